"""A clear bag over a pot: its sizes, and the light that comes through its wet film."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi
from typing import TYPE_CHECKING, Final

from slipwright.craft.errors import BadArgument

if TYPE_CHECKING:
    from numpy import float64
    from numpy.typing import ArrayLike, NDArray

    Array = NDArray[float64]

BEAM_SHARE: Final = 0.7
"""Share of the light that comes straight from the sun on a clear day [-]."""
THROUGH_WET_FILM: Final = 0.85 * 0.92
"""Share of the light that comes through the film and the drops on it [-]."""
_LOWEST_SUN: Final = 0.1  # sine of the elevation below which a beam is as long as there


@dataclass(frozen=True, slots=True)
class Bag:
    """A bag over a pot: a bag 20 cm wide and 30 cm high over a pot of 16.5 cm, unless told.

    Widths and heights in m, areas in m².
    """

    diameter_m: float = 0.20
    height_m: float = 0.30
    area_med_m2: float = pi / 4 * 0.165**2
    leaf_area_m2: float = 0.05

    def __post_init__(self) -> None:
        """Refuse a bag that has no room."""
        for name in ("diameter_m", "height_m", "area_med_m2", "leaf_area_m2"):
            if not 0 < getattr(self, name) < 100:
                raise BadArgument(name, "be above 0 and below 100", getattr(self, name))

    @property
    def area_top_m2(self) -> float:
        """The bag from above [m²]."""
        return pi / 4 * self.diameter_m**2

    @property
    def film_m2(self) -> float:
        """Its film, top and side [m²]."""
        return self.area_top_m2 + pi * self.diameter_m * self.height_m

    @property
    def air_m3(self) -> float:
        """The air in it [m³]."""
        return self.area_top_m2 * self.height_m


USUAL_BAG: Final = Bag()


def light_caught_w(
    light_w_m2: ArrayLike, elevation_deg: ArrayLike, *, beam_share: float = BEAM_SHARE, bag: Bag = USUAL_BAG
) -> Array:
    """Return the light that comes through the wet film of a bag, from above and from the sides.

    Parameters
    ----------
    light_w_m2 : array_like
        Light on level ground at the bag, after any cloth [W/m2].
    elevation_deg : array_like
        Height of the sun [deg].
    beam_share : float
        Share of the light that comes straight from the sun [-].
    bag : Bag
        The bag.

    Returns
    -------
    ndarray
        Heat of the light inside [W].

    Notes
    -----
    ``q = .85 .92 [b S / sin e (A_top sin e + D H cos e) + (1 - b) S (A_top + pi D H / 2)]``. A sun lower
    than 6 degrees is taken to stand at 6.

    References
    ----------
    Geometry of an upright cylinder; 0.85 and 0.92 are textbook sizes for polyethylene with drops, from
    memory.

    Examples
    --------
    >>> print(light_caught_w(300, 50).round(1))
    22.3
    """
    import numpy as np

    light = _within("light_w_m2", light_w_m2, 0, 1500)
    up = np.sin(np.radians(_within("elevation_deg", elevation_deg, -90, 90)))
    if not 0 <= beam_share <= 1:
        raise BadArgument("beam_share", "lie between 0 and 1", beam_share)
    up = np.maximum(up, _LOWEST_SUN)
    side = bag.diameter_m * bag.height_m
    beam = beam_share * light / up * (bag.area_top_m2 * up + side * np.sqrt(1 - up**2))
    sky = (1 - beam_share) * light * (bag.area_top_m2 + pi / 2 * side)
    return np.asarray(THROUGH_WET_FILM * (beam + sky))


def _within(name: str, value: ArrayLike, low: float, high: float) -> Array:
    import numpy as np

    found = np.asarray(value, dtype=float)
    if not np.all((found >= low) & (found <= high)):
        raise BadArgument(name, f"lie between {low:g} and {high:g}", value)
    return found
