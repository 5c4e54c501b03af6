"""What medium holds once it has drained, by the height it stands in."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from slipwright.craft.errors import BadArgument
from slipwright.craft.said import Said

if TYPE_CHECKING:
    from numpy import float64
    from numpy.typing import ArrayLike, NDArray

    Array = NDArray[float64]

HIGHEST_MM: Final = 2000.0
"""Highest column of medium taken [mm]."""
_CM: Final = 10.0  # mm
_HALVINGS: Final = 80
#: where the two series meet, (a z)^n, and how many terms settle them
_JOIN: Final = 4.0
_TERMS: Final = 160


@dataclass(frozen=True)
class Retention:
    """How fast a medium lets its water go with the height above the level of free water.

    Attributes
    ----------
    held : float
        Water that never drains, by volume [-].
    full : float
        Water when every pore is full, by volume [-].
    alpha_per_cm : float
        How soon it begins to drain [1/cm].
    steep : float
        How evenly sized the pores are: van Genuchten's n, above 1 [-].
    origin : str
        Where the four come from.
    """

    held: float
    full: float
    alpha_per_cm: float
    steep: float
    origin: str = ""

    def __post_init__(self) -> None:
        """Refuse what is no medium."""
        if not 0.0 <= self.held < self.full <= 1.0:
            raise BadArgument("full", f"be at most 1 and above held ({self.held:g})", self.full)
        if not (math.isfinite(self.alpha_per_cm) and self.alpha_per_cm > 0.0):
            raise BadArgument("alpha_per_cm", "be above 0", self.alpha_per_cm)
        if not 1.0 < self.steep <= 10.0:
            raise BadArgument("steep", "be above 1 and at most 10", self.steep)


_ESTIMATE: Final = Said("our own estimate, plus or minus 0.10; your own drain test replaces it")
MEDIA: Final = {
    "peat": Retention(
        0.0,
        0.928,
        0.349,
        1.40,
        Said("a published regression for loose field peat of 0.05 g/cm3; bagged peat differs"),
    ),
    "peat and perlite": Retention(0.10, 0.82, 0.25, 1.70, _ESTIMATE),
    "perlite": Retention(0.18, 0.75, 0.50, 2.0, _ESTIMATE),
    "perlite and vermiculite": Retention(0.20, 0.78, 0.30, 1.8, _ESTIMATE),
}
"""Media by name; all but loose peat are estimates and are labelled so."""


def water_at(medium: Retention, height_mm: ArrayLike) -> Array:
    """Return the water in drained medium at a height above the level of free water.

    Parameters
    ----------
    medium : Retention
        The medium.
    height_mm : array_like
        Height above the pot's bottom, or above the water of a tray or mat [mm].

    Returns
    -------
    ndarray
        Water by volume [m3/m3].

    Notes
    -----
    theta = held + (full - held) [1 + (a h)^n]^-(1 - 1/n). At the bottom no pore holds air, whatever
    the mix.

    References
    ----------
    van Genuchten M.T. 1980, Soil Science Society of America Journal 44:892-898 (from memory).

    Examples
    --------
    >>> print(water_at(MEDIA["peat"], [0, 100]).round(2))
    [0.93 0.54]
    """
    import numpy as np

    above = np.asarray(_height(height_mm, least=0.0)) / _CM
    n = medium.steep
    share = (1.0 + (medium.alpha_per_cm * above) ** n) ** (1.0 / n - 1.0)
    return np.asarray(medium.held + (medium.full - medium.held) * share)


def water_after_draining(
    medium: Retention,
    height_mm: ArrayLike,
    *,
    top_mm: ArrayLike = 1.0,
    bottom_mm: ArrayLike = 1.0,
    above_water_mm: ArrayLike = 0.0,
) -> Array:
    """Return the water that a pot holds on the whole once it has drained.

    Parameters
    ----------
    medium : Retention
        The medium.
    height_mm : array_like
        Height of the medium in the pot [mm].
    top_mm, bottom_mm : array_like, optional
        Width of a round pot at the surface and at the bottom; only their ratio counts [mm].
    above_water_mm : array_like, optional
        Height of the pot's bottom above the level of free water [mm].

    Returns
    -------
    ndarray
        Water by volume, the mean of the pot [m3/m3]; the air is ``medium.full`` less it.

    Notes
    -----
    The mean of :func:`water_at` over the pot, in closed form: the integral of h^k [1 + (a h)^n]^-m
    from 0 to H is H^(k+1)/(k+1) 2F1(m, (k+1)/n; 1 + (k+1)/n; -(a H)^n), with m = 1 - 1/n; a straight
    pot needs k = 0, a pot that widens upward k = 0, 1 and 2. Observed for medium that was filled to
    its brim and left to drain, 20 to 300 mm high.

    References
    ----------
    The idea of Milks R.R., Fonteno W.C. and Larson R.A. 1989, Journal of the American Society for
    Horticultural Science 114(1):53-56, abstract; the closed form is our own and equals quadrature.

    Examples
    --------
    >>> print(water_after_draining(MEDIA["perlite"], [25, 50, 100]).round(2))
    [0.66 0.56 0.44]
    """
    import numpy as np

    high = _height(height_mm) / _CM
    under = _height(above_water_mm, least=0.0, name="above_water_mm") / _CM
    top = _height(top_mm, name="top_mm", most=1e5)
    base = _height(bottom_mm, name="bottom_mm", most=1e5)
    # the area at a height z above free water is proportional to (b0 + b1 z)^2
    b1 = (top - base) / high
    b0 = base - b1 * under
    powers = (b0**2, 2.0 * b0 * b1, b1**2)
    total = sum(
        c * (_moment(medium, under + high, k) - _moment(medium, under, k)) for k, c in enumerate(powers)
    )
    room = high * (top**2 + top * base + base**2) / 3.0
    return np.asarray(medium.held + (medium.full - medium.held) * total / room)


def retention_of_test(
    like: Retention, porosity: float, container_capacity: float, height_mm: float
) -> Retention:
    """Return a medium that holds what a drain test found, with the pores of its kind.

    Parameters
    ----------
    like : Retention
        Medium of the same kind, whose evenness of pores is taken over.
    porosity : float
        Share of pores found [-].
    container_capacity : float
        Share of water found after draining [-].
    height_mm : float
        Height of the medium in the test [mm].

    Returns
    -------
    Retention
        What holds just so much at that height.

    Raises
    ------
    BadArgument
        If so little water stayed, or so much, that it is no medium of this kind.

    Notes
    -----
    ``steep`` is the kind's; ``held`` is the kind's share of the pores; ``alpha_per_cm`` is found by
    halving, for the water that stays falls as it rises. From one test another height is an estimate:
    the further from the height tested, the more it leans on the kind.

    References
    ----------
    Our own.

    Examples
    --------
    >>> mine = retention_of_test(MEDIA["perlite and vermiculite"], 0.75, 0.50, 150)
    >>> print(water_after_draining(mine, [50, 150]).round(2))
    [0.65 0.5 ]
    """
    if not 0.0 < porosity <= 1.0:
        raise BadArgument("porosity", "be above 0 and at most 1", porosity)
    held = like.held * porosity / like.full
    if not held < container_capacity < porosity:
        rule = Said(
            "lie above what such a medium never lets go ({held}) and below its pores ({full})",
            held=f"{held:.2f}",
            full=f"{porosity:.2f}",
        )
        raise BadArgument("container_capacity", rule, container_capacity)
    origin = Said("your drain test, with pores as even as its kind has them")
    low, high = math.log(1e-6), math.log(1e4)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        tried = Retention(held, porosity, math.exp(middle), like.steep, origin)
        if float(water_after_draining(tried, height_mm)) > container_capacity:
            low = middle
        else:
            high = middle
    return Retention(held, porosity, math.exp((low + high) / 2.0), like.steep, origin)


def _moment(medium: Retention, to_cm: Array, power: int) -> Array:
    """Return the integral of z^power [1 + (a z)^n]^-m from 0 to a height.

    The hypergeometric function of :func:`water_after_draining`, by its series about 0 (after Pfaff's
    transformation) as far as (a z)^n = 4, and by that about infinity, term by term, from there on.
    scipy's hyp2f1 comes back infinite or coarse for many of these arguments.
    """
    import numpy as np

    n, k = medium.steep, power + 1.0
    m, u = 1.0 - 1.0 / n, medium.alpha_per_cm * to_cm
    join = _JOIN ** (1.0 / n)
    near = np.minimum(u, join)
    y = near**n
    total = term = np.ones_like(y)
    for j in range(_TERMS):
        term = term * (m + j) / (1.0 + k / n + j) * y / (1.0 + y)
        total = total + term
    total = near**k / k * (1.0 + y) ** -m * total
    beyond, sign = np.log(np.maximum(u, join) / join), 1.0
    for j in range(_TERMS // 4):
        p = k - n * (m + j)
        grown = np.expm1(p * beyond) / p if p else beyond
        total = total + sign * join**p * grown
        sign *= -(m + j) / (j + 1.0)
    return np.asarray(total / medium.alpha_per_cm**k)


def _height(value: ArrayLike, least: float = 1.0, name: str = "height_mm", most: float = HIGHEST_MM) -> Array:
    import numpy as np

    found = np.asarray(value, dtype=float)
    if not np.all((found >= least) & (found <= most)):
        raise BadArgument(name, f"lie between {least:g} and {most:g} mm", value)
    return found
