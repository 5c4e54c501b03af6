"""Moist air: how much more water it could take up, and where it begins to drop it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from slipwright.craft.errors import BadArgument

if TYPE_CHECKING:
    from numpy import float64
    from numpy.typing import ArrayLike, NDArray

    Array = NDArray[float64]

COLDEST_C: Final = -60.0
"""Lowest temperature taken [°C]."""
HOTTEST_C: Final = 80.0
"""Highest temperature taken [°C]."""
SEA_LEVEL_KPA: Final = 101.3
"""Air pressure at sea level [kPa]."""
_E0_KPA: Final = 0.6108
_SLOPE: Final = 17.27
_SHIFT_C: Final = 237.3
_PSYCHROMETER: Final = 0.000662  # per °C, of a ventilated psychrometer
_STEPS: Final = 30  # Newton's method has settled long before


def es_kpa(air_c: ArrayLike) -> Array:
    """Return the vapour pressure of air that can take up no more water.

    Parameters
    ----------
    air_c : array_like
        Temperature of the air [°C].

    Returns
    -------
    ndarray
        Saturation vapour pressure over water [kPa].

    References
    ----------
    Allen et al. (1998), *Crop evapotranspiration*, FAO Irrigation and Drainage Paper 56, eq. 11.

    Examples
    --------
    >>> print(es_kpa([15, 24.5]).round(3))
    [1.705 3.075]
    """
    import numpy as np

    at = _temperature("air_c", air_c)
    return np.asarray(_E0_KPA * np.exp(_SLOPE * at / (at + _SHIFT_C)))


def ea_kpa(air_c: ArrayLike, rh_percent: ArrayLike) -> Array:
    """Return the vapour pressure of air of a given humidity.

    Parameters
    ----------
    air_c : array_like
        Temperature of the air [°C].
    rh_percent : array_like
        Relative humidity [%].

    Returns
    -------
    ndarray
        Actual vapour pressure [kPa].

    References
    ----------
    Allen et al. (1998), FAO-56, eq. 17, for one moment.

    Examples
    --------
    >>> print(ea_kpa(25, 60).round(3))
    1.901
    """
    return es_kpa(air_c) * _humidity(rh_percent) / 100


def vpd_kpa(air_c: ArrayLike, rh_percent: ArrayLike) -> Array:
    """Return how far the air is from holding all the water it could: what dries leaves.

    Parameters
    ----------
    air_c : array_like
        Temperature of the air [°C].
    rh_percent : array_like
        Relative humidity [%].

    Returns
    -------
    ndarray
        Vapour pressure deficit [kPa].

    References
    ----------
    Allen et al. (1998), FAO-56, chapter 3.

    Examples
    --------
    >>> print(vpd_kpa([25, 35], [60, 30]).round(2))
    [1.27 3.94]
    """
    return es_kpa(air_c) - ea_kpa(air_c, rh_percent)


def leaf_vpd_kpa(air_c: ArrayLike, rh_percent: ArrayLike, leaf_c: ArrayLike) -> Array:
    """Return the deficit as a leaf of its own warmth has it; below 0 water settles on the leaf.

    Parameters
    ----------
    air_c : array_like
        Temperature of the air [°C].
    rh_percent : array_like
        Relative humidity [%].
    leaf_c : array_like
        Temperature of the leaf [°C].

    Returns
    -------
    ndarray
        Vapour pressure deficit from leaf to air [kPa].

    References
    ----------
    Allen et al. (1998), FAO-56, eq. 11 and 17, with the saturation taken at the leaf.

    Examples
    --------
    >>> print(leaf_vpd_kpa(25, 60, [25, 15]).round(2))
    [ 1.27 -0.2 ]
    """
    return es_kpa(_temperature("leaf_c", leaf_c)) - ea_kpa(air_c, rh_percent)


def dew_point_c(air_c: ArrayLike, rh_percent: ArrayLike) -> Array:
    """Return the temperature to which air must cool for drops to form.

    Parameters
    ----------
    air_c : array_like
        Temperature of the air [°C].
    rh_percent : array_like
        Relative humidity, above 0 [%].

    Returns
    -------
    ndarray
        Dew point [°C].

    References
    ----------
    Allen et al. (1998), FAO-56, eq. 11, solved for the temperature.

    Examples
    --------
    >>> print(dew_point_c([30, 10], [70, 85]).round(1))
    [23.9  7.6]
    """
    import numpy as np

    if np.any(np.asarray(rh_percent, dtype=float) <= 0):
        raise BadArgument("rh_percent", "be above 0, for dry air has no dew point", rh_percent)
    x = np.log(ea_kpa(air_c, rh_percent) / _E0_KPA)
    return np.asarray(_SHIFT_C * x / (_SLOPE - x))


def wet_bulb_c(air_c: ArrayLike, rh_percent: ArrayLike, altitude_m: ArrayLike = 0.0) -> Array:
    """Return the temperature of a wet thing in moving air and shade: of wet medium under mist, about.

    Parameters
    ----------
    air_c : array_like
        Temperature of the air [°C].
    rh_percent : array_like
        Relative humidity [%].
    altitude_m : array_like, optional
        Height above the sea [m].

    Returns
    -------
    ndarray
        Wet-bulb temperature [°C].

    Notes
    -----
    The root of ``ea = es(Tw) - 0.000662 P (T - Tw)`` by Newton's method; P by the height.

    References
    ----------
    Allen et al. (1998), FAO-56, eq. 7, 15 and 16, from memory.

    Examples
    --------
    >>> print(wet_bulb_c([30, 20], [40, 50]).round(1))
    [20.1 13.8]
    """
    import numpy as np

    air = _temperature("air_c", air_c)
    ea = ea_kpa(air, rh_percent)
    height = np.asarray(altitude_m, dtype=float)
    if not np.all((height >= -500) & (height <= 9000)):
        raise BadArgument("altitude_m", "lie between -500 and 9000 m", altitude_m)
    lost = _PSYCHROMETER * SEA_LEVEL_KPA * ((293 - 0.0065 * height) / 293) ** 5.26
    wet = air + 0 * lost  # as many as all that was given, taken together
    for _ in range(_STEPS):
        es = _E0_KPA * np.exp(_SLOPE * wet / (wet + _SHIFT_C))
        steep = es * _SLOPE * _SHIFT_C / (wet + _SHIFT_C) ** 2
        wet = wet - (es - lost * (air - wet) - ea) / (steep + lost)
    return np.asarray(wet)


def _temperature(name: str, value: ArrayLike) -> Array:
    import numpy as np

    found = np.asarray(value, dtype=float)
    if not np.all((found >= COLDEST_C) & (found <= HOTTEST_C)):
        raise BadArgument(name, f"lie between {COLDEST_C:g} and {HOTTEST_C:g} °C", value)
    return found


def _humidity(value: ArrayLike) -> Array:
    import numpy as np

    found = np.asarray(value, dtype=float)
    if not np.all((found >= 0) & (found <= 100)):
        raise BadArgument("rh_percent", "lie between 0 and 100 %", value)
    return found
