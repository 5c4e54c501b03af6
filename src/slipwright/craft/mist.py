"""A wet leaf under mist: how fast its film of water goes, by the sky, the air and the bed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal

from slipwright.craft import _wet_leaf
from slipwright.craft._wet_leaf import within
from slipwright.craft.air import ea_kpa, es_kpa

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from slipwright.craft.air import Array

Bed = Literal["closed", "sheltered", "open"]
BED_M_S: Final[dict[Bed, float]] = {"closed": 0.003, "sheltered": 0.02, "open": 0.1}
"""How fast the air over a bed is changed for that outside [m/s]: our estimates."""
BED_WIND_M_S: Final[dict[Bed, float]] = {"closed": 0.1, "sheltered": 0.15, "open": 0.25}
"""Wind at the leaves where none was measured [m/s]: our estimates."""
LEAF_M: Final = 0.03
"""Width of a leaf where none is said [m]."""
ABSORBED: Final = 0.5
"""Share of the light that a leaf takes up as heat [-]."""
_S_PER_H: Final = 3600.0


@dataclass(frozen=True, slots=True)
class WetLeaf:
    """A wet leaf at rest with its air: arrays of one shape.

    ``evaporation_mm_h`` is per m2 of leaf, below 0 where dew settles; ``air_c`` and ``vpd_kpa`` are
    those of the air beside the leaf, which the mist has cooled and moistened.
    """

    evaporation_mm_h: Array
    leaf_c: Array
    air_c: Array
    vpd_kpa: Array


def forced_m_s(wind_m_s: ArrayLike, width_m: ArrayLike = LEAF_M) -> Array:
    """Return how fast wind carries heat from one side of a leaf.

    Parameters
    ----------
    wind_m_s : array_like
        Wind at the leaf [m/s].
    width_m : array_like
        Width of the leaf along the wind [m].

    Returns
    -------
    ndarray
        Conductance of the still layer for heat, one side [m/s].

    References
    ----------
    Leuning et al. (1995), *Plant, Cell & Environment* 18: 1183-1200, as printed in the manual of the
    package DynACof (read).

    Examples
    --------
    >>> print(forced_m_s(3, 0.068).round(7))
    0.0199263
    """
    wind = within("wind_m_s", wind_m_s, 0, 30, "m/s")
    return _wet_leaf.forced(wind, within("width_m", width_m, 0.001, 0.5, "m"))


def free_m_s(difference_c: ArrayLike, width_m: ArrayLike = LEAF_M) -> Array:
    """Return how fast air that rises or sinks by itself carries heat from one side of a leaf.

    Parameters
    ----------
    difference_c : array_like
        How much the leaf is warmer or colder than the air [°C].
    width_m : array_like
        Width of the leaf [m].

    Returns
    -------
    ndarray
        Conductance for heat, one side [m/s].

    Notes
    -----
    ``0.5 D Gr^0.25 / w`` with ``Gr = 1.6e8 |dT| w^3`` and D = 21.5e-6 m2/s. For ``|dT|`` stands
    ``sqrt(dT^2 + 0.2^2)``: no air is quite still, and with nought there the balance of a wet leaf would
    jump. That is our own; it moves a wet leaf's evaporation by 1.2 % at most where it was checked.

    References
    ----------
    Leuning et al. (1995), *Plant, Cell & Environment* 18: 1183-1200, as printed in the manual of the
    package DynACof (read).

    Examples
    --------
    >>> print(free_m_s([0, 5]).round(5))
    [0.00194 0.00434]
    """
    return _wet_leaf.free(
        within("difference_c", difference_c, -100, 100, "°C"), within("width_m", width_m, 0.001, 0.5, "m")
    )


def wet_leaf(
    air_c: ArrayLike,
    rh_percent: ArrayLike,
    sun_w_m2: ArrayLike,
    wind_m_s: ArrayLike,
    *,
    v_ex_m_s: ArrayLike = float("inf"),
    sides: ArrayLike = 1,
    width_m: ArrayLike = LEAF_M,
    absorbed: ArrayLike = ABSORBED,
) -> WetLeaf:
    """Return how fast the film on a wet leaf goes, and how warm the leaf and the air beside it are.

    Parameters
    ----------
    air_c : array_like
        Temperature of the air outside the bed [°C].
    rh_percent : array_like
        Relative humidity there [%].
    sun_w_m2 : array_like
        Light that falls on the leaf, after every shade and cover [W/m2].
    wind_m_s : array_like
        Wind at the leaf [m/s].
    v_ex_m_s : array_like, optional
        How fast the air over the bed is changed for that outside (`BED_M_S`); left out, the air given
        is that beside the leaf [m/s].
    sides : array_like, optional
        Sides of the leaf that are wet, 1 or 2 [1].
    width_m : array_like, optional
        Width of the leaf [m].
    absorbed : array_like, optional
        Share of the light taken up as heat [-].

    Returns
    -------
    WetLeaf
        Arrays of one shape.

    Notes
    -----
    The exact root of ``aS = 2 rho cp g (Tl-Ta) + k (rho cp/gamma) 1.075 g (es(Tl)-ea)
    + 2 eps sigma (Tl^4-Ta^4)``, a leaf area of 1 over ground. Heat and water go to the air over the bed,
    ``H = rho cp v (Ta-Tout)`` and ``lambda E = (rho cp/gamma) v (ea-eout)``. Holds for leaves of 5 to
    80 mm, wind of 0.05 to 1 m/s, an unbroken film, near sea level.

    References
    ----------
    The balance is textbook; conductances as `forced_m_s` and `free_m_s`; the psychrometer's figure is
    that of Allen et al. (1998), FAO-56, eq. 8 (from memory). That the bed's air is changed at one speed
    is our own simplification, and the speeds are our estimates.

    Examples
    --------
    >>> leaf = wet_leaf(32, 40, 400, 0.4)
    >>> print(leaf.evaporation_mm_h.round(3), leaf.leaf_c.round(1))
    0.671 26.7
    >>> print(wet_leaf(32, 40, 400, 0.4, v_ex_m_s=BED_M_S["sheltered"]).evaporation_mm_h.round(2))
    0.41
    """
    leaf = _surface(air_c, rh_percent, sun_w_m2, wind_m_s, v_ex_m_s, sides, width_m, absorbed)
    found = _wet_leaf.solve(leaf)
    return WetLeaf(
        found.latent_w_m2 / _wet_leaf.HEAT_OF_VAPOUR * _S_PER_H,
        found.leaf_c,
        found.air_c,
        es_kpa(found.air_c) - found.ea_kpa,
    )


def penman_monteith_mm_h(
    air_c: ArrayLike,
    rh_percent: ArrayLike,
    sun_w_m2: ArrayLike,
    wind_m_s: ArrayLike,
    *,
    sides: ArrayLike = 1,
    width_m: ArrayLike = LEAF_M,
) -> Array:
    """Return how fast the film goes by the closed form: a check on `wet_leaf`, within 12 % of it.

    Parameters
    ----------
    air_c : array_like
        Temperature of the air beside the leaf [°C].
    rh_percent : array_like
        Relative humidity there [%].
    sun_w_m2 : array_like
        Light that falls on the leaf [W/m2].
    wind_m_s : array_like
        Wind at the leaf [m/s].
    sides : array_like, optional
        Sides of the leaf that are wet, 1 or 2 [1].
    width_m : array_like, optional
        Width of the leaf [m].

    Returns
    -------
    ndarray
        Evaporation per m2 of leaf [mm/h].

    Notes
    -----
    ``lambda E = (s Rn + rho cp D gHR)/(s + gamma gHR/gV)``, ``gHR = 2 (g + 4 eps sigma T^3/(rho cp))``,
    ``gV = 1.075 k g``, the slope s at the mean of leaf and air; g is that of the leaf as `wet_leaf` finds
    it, so that what is checked is the straight line in place of the curves.

    References
    ----------
    Monteith (1965), *Symposia of the Society for Experimental Biology* 19: 205-234 (from memory).

    Examples
    --------
    >>> print(penman_monteith_mm_h(32, 40, 400, 0.4).round(2))
    0.67
    """
    leaf = _surface(air_c, rh_percent, sun_w_m2, wind_m_s, float("inf"), sides, width_m, ABSORBED)
    warmer_c = _wet_leaf.solve(leaf).leaf_c - leaf.air_c
    return _wet_leaf.penman_monteith(leaf, warmer_c) / _wet_leaf.HEAT_OF_VAPOUR * _S_PER_H


def _surface(
    air_c: ArrayLike,
    rh_percent: ArrayLike,
    sun_w_m2: ArrayLike,
    wind_m_s: ArrayLike,
    v_ex_m_s: ArrayLike,
    sides: ArrayLike,
    width_m: ArrayLike,
    absorbed: ArrayLike,
) -> _wet_leaf.Surface:
    import numpy as np

    given = (
        np.asarray(air_c, dtype=float),
        ea_kpa(air_c, rh_percent),  # says where either is out of bounds
        within("sun_w_m2", sun_w_m2, 0, 1500, "W/m2"),
        within("wind_m_s", wind_m_s, 0, 30, "m/s"),
        within("width_m", width_m, 0.001, 0.5, "m"),
        within("sides", sides, 1, 2, ""),
        within("absorbed", absorbed, 0, 1, ""),
        within("v_ex_m_s", v_ex_m_s, 0.0005, float("inf"), "m/s"),
    )
    return _wet_leaf.Surface(*np.broadcast_arrays(*given))
