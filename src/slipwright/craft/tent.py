"""Cuttings in a clear bag over a pot: how hot it gets in there, and how much water the bag keeps."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from slipwright.craft._tent_balance import LATENT_J_PER_KG, Balance, Inside, balanced
from slipwright.craft.air import ea_kpa, es_kpa
from slipwright.craft.bag import BEAM_SHARE, THROUGH_WET_FILM, USUAL_BAG, Bag, light_caught_w
from slipwright.craft.errors import BadArgument

if TYPE_CHECKING:
    from numpy import float64
    from numpy.typing import ArrayLike, NDArray

    Array = NDArray[float64]

_LEAF_TAKES: Final = 0.55 * 0.5
_MEDIUM_TAKES: Final = 0.75
_MEDIUM_SEES: Final = 0.45
_MEDIUM_OF_THE_REST: Final = 0.1
_MEDIUM_J_PER_C: Final = 8_000.0
_POT_W_PER_C: Final = 0.55  # through the wall of the pot, about 0.09 m2 of it
_MEDIUM_OF_AIR: Final = 0.6  # at the hottest hour
_DAYS_TO_SETTLE: Final = 3


@dataclass(frozen=True, slots=True)
class DayInBag:
    """A day under a bag, step by step along the last axis [°C, %], and the day's sums of water [g]."""

    leaf_c: Array
    air_c: Array
    film_c: Array
    medium_c: Array
    rh_percent: Array
    #: carried off through the tie
    leaked_g: Array
    #: settled on the film; it comes back only where the drip runs into the pot
    condensed_g: Array


def hottest(
    out_c: ArrayLike,
    rh_percent: ArrayLike,
    light_w_m2: ArrayLike,
    elevation_deg: ArrayLike = 50.0,
    *,
    beam_share: float = BEAM_SHARE,
    bag: Bag = USUAL_BAG,
    air_changes_per_h: float = 1.0,
    is_wet: bool = False,
) -> Balance:
    """Return leaf, air and film at the hottest hour of a day.

    Parameters
    ----------
    out_c : array_like
        Air outside the bag [°C].
    rh_percent : array_like
        Relative humidity outside [%].
    light_w_m2 : array_like
        Light on level ground at the bag, after any cloth [W/m2].
    elevation_deg : array_like
        Height of the sun [deg].
    beam_share : float
        Share of the light that comes straight from the sun [-].
    bag : Bag
        The bag.
    air_changes_per_h : float
        How often the air in the bag is changed: 1 tied, 10 loosely tied, 40 open at the foot [1/h].
    is_wet : bool
        Whether water stands on the leaves; dry ones get hotter.

    Returns
    -------
    Balance
        Temperatures [°C] and vapour pressure [kPa] inside.

    Notes
    -----
    Leaf, air, vapour and film each in balance; the medium has taken up 0.6 of what the air is warmer than
    outside. Coefficients of heat are textbook sizes and were not measured on a bag: give the leaf 3 °C
    either way for leaf cover, size of bag and stomata, the light at which it reaches a temperature 40 %.
    Not for bottles or glass.

    References
    ----------
    Our own balance; coefficients from memory of textbooks.

    Examples
    --------
    >>> at = hottest(25, 50, 300)
    >>> print(at.leaf_c.round(1), at.air_c.round(1))
    33.4 29.8
    """
    import numpy as np

    out, rh, caught = np.broadcast_arrays(
        _out_of_doors(out_c),
        np.asarray(rh_percent, dtype=float),
        light_caught_w(light_w_m2, elevation_deg, beam_share=beam_share, bag=bag),
    )
    return balanced(
        _inside(
            bag,
            _changes(air_changes_per_h),
            is_wet,
            caught,
            out,
            ea_kpa(out, rh),
            (1 - _MEDIUM_OF_AIR) * out,
            _MEDIUM_OF_AIR,
        )
    )


def day(
    out_c: ArrayLike,
    rh_percent: ArrayLike,
    light_w_m2: ArrayLike,
    elevation_deg: ArrayLike,
    *,
    beam_share: float = BEAM_SHARE,
    bag: Bag = USUAL_BAG,
    air_changes_per_h: float = 1.0,
    is_wet: bool = False,
) -> DayInBag:
    """Return a day under a bag, whose steps lie evenly along the last axis from midnight to midnight.

    Parameters
    ----------
    out_c : array_like
        Air outside the bag, shape (..., n_steps) [°C].
    rh_percent : array_like
        Relative humidity outside [%].
    light_w_m2 : array_like
        Light on level ground at the bag, after any cloth [W/m2].
    elevation_deg : array_like
        Height of the sun [deg].
    beam_share : float
        Share of the light that comes straight from the sun [-].
    bag : Bag
        The bag.
    air_changes_per_h : float
        How often the air in the bag is changed: 1 tied, 10 loosely tied, 40 open at the foot [1/h].
    is_wet : bool
        Whether water stands on the leaves.

    Returns
    -------
    DayInBag
        Temperatures [°C], humidity [%], and the day's sums of water [g].

    Notes
    -----
    At each step leaf, air, vapour and film are in balance, and the medium (8 kJ/K) warms or cools by what
    it takes of the light, gives to the air and loses through the pot's wall (0.55 W/K, our estimate). The
    same day is run until the medium begins it as it ends it. At least 24 steps.

    References
    ----------
    Our own balance; coefficients from memory of textbooks.

    Examples
    --------
    >>> import numpy as np
    >>> hour = np.arange(48) / 2 + 0.25
    >>> sun = np.clip(np.sin((hour - 5) / 14 * np.pi), 0, None)
    >>> under = day(20 + 5 * np.cos((hour - 15) / 12 * np.pi), 60, 100 * sun, 70 * sun)
    >>> print(under.leaf_c.max().round(0), under.leaked_g.round(0))
    27.0 2.0
    """
    import numpy as np

    out, rh, light = np.broadcast_arrays(
        _out_of_doors(out_c),
        np.asarray(rh_percent, dtype=float),
        np.asarray(light_w_m2, dtype=float),
    )
    n_steps = out.shape[-1] if out.ndim else 0
    if n_steps < 24:
        raise BadArgument("out_c", "have 24 steps a day or more", n_steps)
    out_kpa = ea_kpa(out, rh)
    caught = np.broadcast_to(light_caught_w(light, elevation_deg, beam_share=beam_share, bag=bag), out.shape)
    on_medium = _MEDIUM_TAKES * (
        THROUGH_WET_FILM * light * bag.area_med_m2 * _MEDIUM_SEES + _MEDIUM_OF_THE_REST * caught
    )
    step_s = 86_400 / n_steps
    changes = _changes(air_changes_per_h)
    medium = out.mean(axis=-1) + 2
    steps: list[Balance] = []
    for _ in range(_DAYS_TO_SETTLE):
        steps = []
        for at in range(n_steps):
            inside = _inside(bag, changes, is_wet, caught[..., at], out[..., at], out_kpa[..., at], medium)
            found = balanced(inside)
            steps.append(found)
            gained = on_medium[..., at] - found.from_medium_w - _POT_W_PER_C * (medium - out[..., at])
            medium = medium + step_s / _MEDIUM_J_PER_C * gained
    air, vapour = _along(steps, "air_c"), _along(steps, "ea_kpa")
    to_g = step_s / LATENT_J_PER_KG * 1000
    return DayInBag(
        _along(steps, "leaf_c"),
        air,
        _along(steps, "film_c"),
        _along(steps, "medium_c"),
        np.minimum(100 * vapour / es_kpa(air), 100.0),
        _along(steps, "leaked_w").sum(axis=-1) * to_g,
        np.clip(_along(steps, "on_film_w"), 0, None).sum(axis=-1) * to_g,
    )


def _inside(
    bag: Bag,
    air_changes_per_h: float,
    is_wet: bool,
    caught_w: Array,
    out_c: Array,
    out_kpa: Array,
    medium_c: Array,
    medium_of_air: float = 0.0,
) -> Inside:
    return Inside(
        bag.leaf_area_m2,
        bag.film_m2,
        bag.area_med_m2,
        bag.air_m3,
        air_changes_per_h,
        is_wet,
        _LEAF_TAKES * caught_w,
        out_c,
        out_kpa,
        medium_c,
        medium_of_air,
    )


def _along(steps: list[Balance], part: str) -> Array:
    import numpy as np

    return np.stack([getattr(step, part) for step in steps], axis=-1)


def _changes(air_changes_per_h: float) -> float:
    if not 0 <= air_changes_per_h <= 200:
        raise BadArgument("air_changes_per_h", "lie between 0 and 200", air_changes_per_h)
    return air_changes_per_h


def _out_of_doors(out_c: ArrayLike) -> Array:
    import numpy as np

    found = np.asarray(out_c, dtype=float)
    if not np.all((found >= -30) & (found <= 50)):
        raise BadArgument("out_c", "lie between -30 and 50 °C", out_c)
    return found
