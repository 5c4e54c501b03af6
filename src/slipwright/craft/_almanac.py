"""The sun's place among the stars, and checked numbers, places and days."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from slipwright.craft.errors import BadArgument

if TYPE_CHECKING:
    from numpy import datetime64, float64
    from numpy.typing import ArrayLike, NDArray

    Array = NDArray[float64]
    Times = NDArray[datetime64]

_YEARS: Final = (1950, 2050)
_EPOCH: Final = "2000-01-01T12:00:00"


def sun_at(n: Array) -> tuple[Array, Array, Array]:
    """Return declination, right ascension and mean longitude [rad] at days since noon of 1 January 2000."""
    import numpy as np

    longitude = np.radians(280.460 + 0.9856474 * n)
    anomaly = np.radians(357.528 + 0.9856003 * n)
    ecliptic = longitude + np.radians(1.915 * np.sin(anomaly) + 0.020 * np.sin(2 * anomaly))
    tilt = np.radians(23.439 - 4e-7 * n)
    right_ascension = np.arctan2(np.cos(tilt) * np.sin(ecliptic), np.cos(ecliptic))
    return np.arcsin(np.sin(tilt) * np.sin(ecliptic)), right_ascension, longitude


def sidereal_rad(n: Array) -> Array:
    """Return Greenwich mean sidereal time."""
    import numpy as np

    return np.asarray(np.radians(15 * (6.697375 + 0.0657098242 * n) + 360.0 * ((n + 0.5) % 1.0)))


def solar_noon(on: Any, lon_deg: ArrayLike) -> Array:
    """Return solar noon of days at a longitude, in days since noon of 1 January 2000."""
    import numpy as np

    middle = days_since_2000(days(on)) + 0.5 - longitude(lon_deg) / 360
    _, right_ascension, mean = sun_at(middle)
    early = (mean - right_ascension + np.pi) % (2 * np.pi) - np.pi  # the equation of time
    return np.asarray(middle - early / (2 * np.pi))


def half_day_h(lat: Array, declination: Array, height_deg: Array) -> Array:
    """Return the hours from noon until the sun sinks to a height: 0 if never so high, 12 if never so low."""
    import numpy as np

    above = np.sin(np.radians(height_deg)) - np.sin(lat) * np.sin(declination)
    across = np.maximum(np.cos(lat) * np.cos(declination), 1e-12)
    return np.asarray(12 / np.pi * np.arccos(np.clip(above / across, -1, 1)))


def fao_day(on: Times) -> tuple[Array, Array]:
    """Return declination [rad] and inverse squared distance of the sun by the day of the year (FAO-56)."""
    import numpy as np

    angle = 2 * np.pi / 365 * ((on - on.astype("datetime64[Y]")).astype(float) + 1)
    return 0.409 * np.sin(angle - 1.39), 1 + 0.033 * np.cos(angle)


def fao_sunset_rad(lat: Array, declination: Array) -> Array:
    """Return the hour angle of sunset by geometry: 0 in polar night, π in polar day."""
    import numpy as np

    return np.asarray(np.pi / 12 * half_day_h(lat, declination, np.asarray(0.0)))


def sunlit(lat: Array, declination: Array, first: Array, last: Array) -> Array:
    """Return the sine of the sun's height summed from one hour angle to another [rad]."""
    import numpy as np

    level = np.sin(lat) * np.sin(declination) * (last - first)
    return np.asarray(level + np.cos(lat) * np.cos(declination) * (np.sin(last) - np.sin(first)))


def days_since_2000(at: Times) -> Array:
    """Return days since noon of 1 January 2000."""
    import numpy as np

    return np.asarray((at.astype("datetime64[s]") - np.datetime64(_EPOCH)) / np.timedelta64(86400, "s"))


def latitude(value: ArrayLike) -> Array:
    """Return latitudes that are on the globe."""
    return within("lat_deg", value, -90, 90, "°")


def longitude(value: ArrayLike) -> Array:
    """Return longitudes that are on the globe."""
    return within("lon_deg", value, -180, 180, "°")


def within(name: str, value: ArrayLike, low: float, high: float, unit: str = "") -> Array:
    """Return an array whose every member lies between two limits."""
    import numpy as np

    found = np.asarray(value, dtype=float)
    if not np.all((found >= low) & (found <= high)):
        raise BadArgument(name, f"lie between {low:g} and {high:g} {unit}".rstrip(), value)
    return found


def days(on: Any) -> Times:
    """Return days as an array, inside the years the almanac holds for."""
    return _times("on", on, "datetime64[D]")


def moments(at: Any) -> Times:
    """Return moments of UTC as an array, inside the years the almanac holds for."""
    return _times("at", at, "datetime64[s]")


def _times(name: str, value: Any, kind: str) -> Times:
    import numpy as np

    try:
        found = np.asarray(value, dtype=kind)
    except ValueError:
        raise BadArgument(name, "be a day or a moment such as 2026-09-10", value) from None
    years = found.astype("datetime64[Y]").astype(np.int64) + 1970
    if np.any(np.isnat(found)) or not np.all((years >= _YEARS[0]) & (years <= _YEARS[1])):
        raise BadArgument(name, f"lie in the years {_YEARS[0]} to {_YEARS[1]}", value)
    return found
