"""The balance of a wet leaf, solved: what `slipwright.craft.mist` gives a name and units to."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

from slipwright.craft.air import SEA_LEVEL_KPA
from slipwright.craft.errors import BadArgument

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

    from slipwright.craft.air import Array

KELVIN: Final = 273.15
HEAT_OF_AIR: Final = 1010.0  # J kg-1 K-1, at one pressure
HEAT_OF_VAPOUR: Final = 2.45e6  # J kg-1
BOLTZMANN: Final = 5.670374e-8  # W m-2 K-4
EMISSIVITY: Final = 0.97
HEAT_SPREADS_M2_S: Final = 21.5e-6
GAMMA_KPA_C: Final = 0.000665 * SEA_LEVEL_KPA  # the psychrometer's figure at sea level
WATER_TO_HEAT: Final = 1.075  # water leaves a surface that much faster than heat does
_NEVER_STILL_C: Final = 0.2  # without it the balance has more roots than one about a leaf as warm as the air
_COLD_C: Final = -60.0
_HOT_C: Final = 120.0
_REACH_C: Final = 60.0  # no wet leaf is further than this from the air beside it
_HALVINGS: Final = 48


class Surface(NamedTuple):
    """What is known of a leaf and the air outside: arrays of one shape."""

    air_c: Array
    ea_kpa: Array
    sun_w_m2: Array
    wind_m_s: Array
    width_m: Array
    sides: Array
    absorbed: Array
    v_ex_m_s: Array  # inf: the air beside the leaf is the air outside


class Solved(NamedTuple):
    """What the balance gives: arrays of one shape."""

    latent_w_m2: Array
    leaf_c: Array
    air_c: Array
    ea_kpa: Array


def forced(wind_m_s: Array, width_m: Array) -> Array:
    """Return what wind carries from one side of a leaf [m/s]."""
    import numpy as np

    return np.asarray(0.003 * np.sqrt(wind_m_s / width_m))


def free(difference_c: Array, width_m: Array) -> Array:
    """Return what rises by itself from one side of a leaf warmer or colder than the air [m/s]."""
    import numpy as np

    grashof = 1.6e8 * np.hypot(difference_c, _NEVER_STILL_C) * width_m**3
    return np.asarray(0.5 * HEAT_SPREADS_M2_S * grashof**0.25 / width_m)


def heat_of_air(air_c: Array) -> Array:
    """Return the heat of a cubic metre of air [J m-3 K-1]."""
    return 1000 * SEA_LEVEL_KPA / (287.05 * (air_c + KELVIN)) * HEAT_OF_AIR


def held(temperature_c: Array) -> Array:
    """Return saturation vapour pressure, also where a search strays [kPa]."""
    import numpy as np

    return np.asarray(0.6108 * np.exp(17.27 * temperature_c / (temperature_c + 237.3)))


def solve(leaf: Surface) -> Solved:
    """Return the root of the balance by halving, with as many roots at once as there are leaves.

    The unknown is how much warmer the leaf is than the air beside it. It says at once what heat leaves
    the leaf, and so the warmth of the air beside it, the leaf's own, what it radiates, what is left to
    evaporate, and how moist that makes the air. What so much moisture would let evaporate falls short
    of, or passes, what is left: that difference falls steadily, and the root is where it is nought.
    """
    import numpy as np

    low = np.full(leaf.air_c.shape, -_REACH_C)
    high = -low
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        is_colder = _over(leaf, middle)[0] > 0
        low, high = np.where(is_colder, middle, low), np.where(is_colder, high, middle)
    return _over(leaf, (low + high) / 2)[1]


def _over(leaf: Surface, warmer_c: Array) -> tuple[Array, Solved]:
    """Return what is left to evaporate over what would, and all that follows, for a difference."""
    import numpy as np

    heat = heat_of_air(leaf.air_c)
    conductance = forced(leaf.wind_m_s, leaf.width_m) + free(warmer_c, leaf.width_m)
    carried = 2 * heat * conductance * warmer_c
    air_c = np.clip(leaf.air_c + carried / (heat * leaf.v_ex_m_s), _COLD_C, _HOT_C)
    leaf_c = np.clip(air_c + warmer_c, _COLD_C, _HOT_C)
    radiated = 2 * EMISSIVITY * BOLTZMANN * ((leaf_c + KELVIN) ** 4 - (air_c + KELVIN) ** 4)
    left = leaf.absorbed * leaf.sun_w_m2 - carried - radiated
    ea_kpa = leaf.ea_kpa + left * GAMMA_KPA_C / (heat * leaf.v_ex_m_s)
    would = leaf.sides * heat / GAMMA_KPA_C * WATER_TO_HEAT * conductance * (held(leaf_c) - ea_kpa)
    return left - would, Solved(left, leaf_c, air_c, ea_kpa)


def penman_monteith(leaf: Surface, warmer_c: Array) -> Array:
    """Return what a leaf evaporates by the form that takes the curve of vapour as straight [W m-2].

    Conductance and slope are those of a leaf ``warmer_c`` warmer than the air; the slope is taken half
    way between them. The air beside the leaf is that outside.
    """
    import numpy as np

    heat = heat_of_air(leaf.air_c)
    conductance = forced(leaf.wind_m_s, leaf.width_m) + free(warmer_c, leaf.width_m)
    both = 2 * (conductance + 4 * EMISSIVITY * BOLTZMANN * (leaf.air_c + KELVIN) ** 3 / heat)
    wet = np.maximum(WATER_TO_HEAT * leaf.sides * conductance, 1e-9)
    mean_c = leaf.air_c + warmer_c / 2
    slope = held(mean_c) * 17.27 * 237.3 / (mean_c + 237.3) ** 2
    net = leaf.absorbed * leaf.sun_w_m2
    short = held(leaf.air_c) - leaf.ea_kpa
    latent = (slope * net + heat * short * both) / (slope + GAMMA_KPA_C * both / wet)
    return np.asarray(latent)


def within(name: str, value: ArrayLike, low: float, high: float, unit: str) -> Array:
    """Return a value as an array, all of it between two bounds."""
    import numpy as np

    found = np.asarray(value, dtype=float)
    if not np.all((found >= low) & (found <= high)):
        above = f"be {low:g} or more" if high == float("inf") else f"lie between {low:g} and {high:g}"
        raise BadArgument(name, f"{above} {unit}".strip(), value)
    return found
