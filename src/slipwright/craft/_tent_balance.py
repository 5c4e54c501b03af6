"""The heat and water that leaves, air, film and medium under a bag give each other, at one moment."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from slipwright.craft.air import COLDEST_C, HOTTEST_C, es_kpa

if TYPE_CHECKING:
    from numpy import float64
    from numpy.typing import NDArray

    Array = NDArray[float64]

LATENT_J_PER_KG: Final = 2.45e6
_STEFAN_BOLTZMANN: Final = 5.670374e-8
_EMISSIVITY: Final = 0.95
_PSYCHROMETRIC_KPA_PER_C: Final = 0.066
_AIR_KG_M3: Final = 1.19
_AIR_J_PER_KG_C: Final = 1010.0
_AIR_KPA: Final = 101.3
_WATER_TO_AIR: Final = 0.622
_LEAF_W_M2_C: Final = 5.0  # each of two sides
_MEDIUM_W_M2_C: Final = 3.0
_FILM_W_M2_C: Final = 3.0
_OUTSIDE_W_M2_C: Final = 5.0 + 4.0 * 0.2**0.5  # wind of 0.2 m/s
_SKY_SHARE: Final = 0.9  # of what a film in the open would radiate away
_LEAF_FILM_VIEW: Final = 1.5
_DRY_LEAF: Final = 0.15  # of what a wet leaf gives off
_PASSES: Final = 25


@dataclass(frozen=True, slots=True)
class Inside:
    """What the balance rests on; areas in m², heat in W, temperatures in °C, vapour in kPa."""

    leaf_area_m2: float
    film_area_m2: float
    medium_area_m2: float
    air_m3: float
    air_changes_per_h: float
    is_wet: bool
    leaf_w: Array
    out_c: Array
    out_kpa: Array
    #: the medium: so warm, and so much of the warmth of the air above it
    medium_c: Array
    medium_of_air: float = 0.0


@dataclass(frozen=True, slots=True)
class Balance:
    """Temperatures and vapour that balance [°C, kPa], and the flows of heat with them [W]."""

    leaf_c: Array
    air_c: Array
    film_c: Array
    ea_kpa: Array
    medium_c: Array
    #: taken from the medium by the air and by evaporation
    from_medium_w: Array
    #: given to the film by water settling on it; below 0 where the film dries
    on_film_w: Array
    #: carried off as vapour through the tie
    leaked_w: Array


def balanced(given: Inside) -> Balance:
    """Return the state in which leaf, air, vapour and film each give as much as they get.

    The four are solved together: vapour pressure over water and the strength of radiation are taken
    along their slope at the state found last, until that no longer changes.
    """
    import numpy as np

    out, out_kpa = given.out_c, given.out_kpa
    wet = 1.0 if given.is_wet else _DRY_LEAF
    leaf = 2 * _LEAF_W_M2_C * given.leaf_area_m2
    medium, film = _MEDIUM_W_M2_C * given.medium_area_m2, _FILM_W_M2_C * given.film_area_m2
    leaf_kpa, medium_kpa, film_kpa = (part / _PSYCHROMETRIC_KPA_PER_C for part in (leaf * wet, medium, film))
    changed_kg_s = given.air_changes_per_h / 3600 * given.air_m3 * _AIR_KG_M3
    tie, tie_kpa = (
        changed_kg_s * _AIR_J_PER_KG_C,
        changed_kg_s * _WATER_TO_AIR / _AIR_KPA * LATENT_J_PER_KG,
    )
    leaf_c, air_c, film_c = (np.asarray(out + warmer) for warmer in (5.0, 3.0, 1.0))
    ea = es_kpa(out)
    of_air = given.medium_of_air
    for _ in range(_PASSES):
        medium_c = np.asarray(given.medium_c + of_air * air_c)
        (over_leaf, steep_leaf), (over_film, steep_film), (over_medium, steep_medium) = (
            _over_water(at) for at in (leaf_c, film_c, medium_c)
        )
        to_film = _LEAF_FILM_VIEW * given.leaf_area_m2 * _radiating((leaf_c + film_c) / 2)
        outward = given.film_area_m2 * (_OUTSIDE_W_M2_C + _SKY_SHARE * _radiating((film_c + out) / 2))
        none = np.zeros_like(leaf_c)
        rows = [
            [leaf + leaf_kpa * steep_leaf + to_film, none - leaf, none - leaf_kpa, -to_film],
            [none - leaf, none + leaf + medium * (1 - of_air) + film + tie, none, none - film],
            [
                -leaf_kpa * steep_leaf,
                -medium_kpa * steep_medium * of_air,
                none + leaf_kpa + medium_kpa + film_kpa + tie_kpa,
                -film_kpa * steep_film,
            ],
            [-to_film, none - film, none - film_kpa, film + film_kpa * steep_film + to_film + outward],
        ]
        gets = [
            given.leaf_w - leaf_kpa * (over_leaf - steep_leaf * leaf_c),
            medium * given.medium_c + tie * out,
            leaf_kpa * (over_leaf - steep_leaf * leaf_c)
            + medium_kpa * (over_medium - steep_medium * of_air * air_c)
            + film_kpa * (over_film - steep_film * film_c)
            + tie_kpa * out_kpa,
            outward * out - film_kpa * (over_film - steep_film * film_c),
        ]
        matrix = np.stack([np.stack(row, axis=-1) for row in rows], axis=-2)
        found = np.linalg.solve(matrix, np.stack(gets, axis=-1)[..., None])[..., 0]
        moved = np.max(np.abs(found[..., 0] - leaf_c), initial=0.0)
        leaf_c, air_c, ea, film_c = (np.asarray(found[..., part], dtype=np.float64) for part in range(4))
        if moved < 1e-9:
            break
    medium_c = np.asarray(given.medium_c + of_air * air_c)
    evaporated = medium_kpa * (es_kpa(_in_range(medium_c)) - ea)
    return Balance(
        leaf_c,
        air_c,
        film_c,
        ea,
        medium_c,
        evaporated + medium * (medium_c - air_c),
        film_kpa * (ea - es_kpa(_in_range(film_c))),
        tie_kpa * (ea - out_kpa),
    )


def _radiating(mean_c: Array) -> Array:
    return 4 * _EMISSIVITY * _STEFAN_BOLTZMANN * (mean_c + 273.15) ** 3


def _over_water(at_c: Array) -> tuple[Array, Array]:
    """Return vapour pressure over water and its slope [kPa, kPa/°C]."""
    at = _in_range(at_c)
    over = es_kpa(at)
    return over, over * 17.27 * 237.3 / (at + 237.3) ** 2


def _in_range(at_c: Array) -> Array:
    import numpy as np

    return np.clip(at_c, COLDEST_C, HOTTEST_C)
