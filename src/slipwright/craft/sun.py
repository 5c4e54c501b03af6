"""Where the sun stands, how long the day is, and the light that reaches the top of the air."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from slipwright.craft import _almanac as almanac

if TYPE_CHECKING:
    from numpy import float64
    from numpy.typing import ArrayLike, NDArray

    Array = NDArray[float64]

RISING_DEG: Final = -0.833
"""Height of the sun's middle when its upper edge is seen to rise, with refraction [°]."""
TWILIGHT_DEG: Final = -6.0
"""Height of the sun at the end of civil twilight, for plants that count the hours of light [°]."""
SOLAR_CONSTANT_MJ_M2_MIN: Final = 0.0820
"""Light of the sun above the air, on a surface that faces it [MJ/m² a minute]."""


def elevation_deg(lat_deg: ArrayLike, lon_deg: ArrayLike, at: Any) -> Array:
    """Return how high the middle of the sun stands, without refraction.

    Parameters
    ----------
    lat_deg : array_like
        Latitude, south below 0 [°].
    lon_deg : array_like
        Longitude, west below 0 [°].
    at : array_like of datetime64
        Moments, UTC.

    Returns
    -------
    ndarray
        Height above the level, below 0 by night [°].

    Notes
    -----
    The low-precision almanac: mean longitude, mean anomaly, two terms of the equation of the centre,
    Greenwich sidereal time. Good to 0.01° in the years 1950 to 2050; refused outside them.

    References
    ----------
    Michalsky (1988), The Astronomical Almanac's algorithm for approximate solar position (1950-2050),
    *Solar Energy* 40(3), from memory.

    Examples
    --------
    >>> print(elevation_deg(45, 0, "2025-06-21T09:00").round(1))
    47.4
    """
    import numpy as np

    lat, lon = np.radians(almanac.latitude(lat_deg)), np.radians(almanac.longitude(lon_deg))
    n = almanac.days_since_2000(almanac.moments(at))
    declination, right_ascension, _ = almanac.sun_at(n)
    hour_angle = almanac.sidereal_rad(n) + lon - right_ascension
    sine = np.sin(lat) * np.sin(declination) + np.cos(lat) * np.cos(declination) * np.cos(hour_angle)
    return np.asarray(np.degrees(np.arcsin(np.clip(sine, -1, 1))))


def noon_elevation_deg(lat_deg: ArrayLike, on: Any, lon_deg: ArrayLike = 0.0) -> Array:
    """Return how high the sun stands when it is highest.

    Parameters
    ----------
    lat_deg : array_like
        Latitude, south below 0 [°].
    on : array_like of datetime64 or date
        Days.
    lon_deg : array_like, optional
        Longitude, west below 0: it moves noon within the day of UTC, and changes little [°].

    Returns
    -------
    ndarray
        Height above the level at solar noon, below 0 in polar night [°].

    References
    ----------
    As :func:`elevation_deg`.

    Examples
    --------
    >>> print(noon_elevation_deg([52, -35], "2025-06-21").round(1))
    [61.4 31.6]
    """
    import numpy as np

    lat = almanac.latitude(lat_deg)
    declination = almanac.sun_at(almanac.solar_noon(on, lon_deg))[0]
    return np.asarray(90 - np.abs(lat - np.degrees(declination)))


def day_length_h(
    lat_deg: ArrayLike, on: Any, horizon_deg: ArrayLike = RISING_DEG, lon_deg: ArrayLike = 0.0
) -> Array:
    """Return how long the sun stands above a height: from sunrise to sunset, unless another is given.

    Parameters
    ----------
    lat_deg : array_like
        Latitude, south below 0 [°].
    on : array_like of datetime64 or date
        Days.
    horizon_deg : array_like, optional
        Height of the sun's middle that begins and ends the day: -0.833 as it is seen, -6 with civil
        twilight, 0 as geometry has it [°].
    lon_deg : array_like, optional
        Longitude, west below 0 [°].

    Returns
    -------
    ndarray
        Hours: 0 where the sun stays below, 24 where it never sinks so far [h].

    Notes
    -----
    ``cos H = (sin h0 - sin φ sin δ) / (cos φ cos δ)``, with the declination δ taken anew at rise and
    at set. Level ground; a hill or a wall takes its own part.

    References
    ----------
    As :func:`elevation_deg`; -0.833° is 34' of refraction and 16' of the sun's disc.

    Examples
    --------
    >>> print(day_length_h([45, 69, 69], ["2025-06-21", "2025-06-21", "2025-12-21"]).round(1))
    [15.6 24.   0. ]
    """
    import numpy as np

    lat = np.radians(almanac.latitude(lat_deg))
    height = almanac.within("horizon_deg", horizon_deg, -18, 30, "°")
    noon = almanac.solar_noon(on, lon_deg)
    half = almanac.half_day_h(lat, almanac.sun_at(noon)[0], height)
    rise = almanac.half_day_h(lat, almanac.sun_at(noon - half / 24)[0], height)
    sets = almanac.half_day_h(lat, almanac.sun_at(noon + half / 24)[0], height)
    return np.asarray(rise + sets)


def possible_sunshine_h(lat_deg: ArrayLike, on: Any) -> Array:
    """Return the hours of sun a day could have, as the sums of radiation reckon them.

    Parameters
    ----------
    lat_deg : array_like
        Latitude, south below 0 [°].
    on : array_like of datetime64 or date
        Days.

    Returns
    -------
    ndarray
        Hours by geometry alone, without refraction and the sun's disc [h].

    Notes
    -----
    ``N = 24 ωs / π``. Shorter than the day as it is seen: use :func:`day_length_h` for that.

    References
    ----------
    Allen et al. (1998), FAO-56, eq. 24, 25 and 34.

    Examples
    --------
    >>> print(possible_sunshine_h(-20, "2025-09-03").round(1))
    11.7
    """
    import numpy as np

    declination, _ = almanac.fao_day(almanac.days(on))
    return np.asarray(24 / np.pi * almanac.fao_sunset_rad(np.radians(almanac.latitude(lat_deg)), declination))


def extraterrestrial_mj_m2(lat_deg: ArrayLike, on: Any) -> Array:
    """Return the light of a day on level ground if there were no air.

    Parameters
    ----------
    lat_deg : array_like
        Latitude, south below 0 [°].
    on : array_like of datetime64 or date
        Days.

    Returns
    -------
    ndarray
        Extraterrestrial radiation, 0 in polar night [MJ/m²].

    Notes
    -----
    ``Ra = 24·60/π Gsc dr (ωs sin φ sin δ + cos φ cos δ sin ωs)``, with the declination and distance of
    FAO-56, because the sums of radiation were fitted to it. Within 2 % below 45° of latitude; at 60°
    in November up to 7 % low.

    References
    ----------
    Allen et al. (1998), FAO-56, eq. 21 to 25.

    Examples
    --------
    >>> print(extraterrestrial_mj_m2(-20, "2025-09-03").round(1))
    32.2
    """
    import numpy as np

    lat = np.radians(almanac.latitude(lat_deg))
    declination, nearness = almanac.fao_day(almanac.days(on))
    sunset = almanac.fao_sunset_rad(lat, declination)
    shone = almanac.sunlit(lat, declination, -sunset, sunset)
    return np.asarray(12 * 60 / np.pi * SOLAR_CONSTANT_MJ_M2_MIN * nearness * shone)


def hourly_shares(lat_deg: ArrayLike, on: Any) -> Array:
    """Return what share of a day's light above the air falls in each hour by the sun.

    Parameters
    ----------
    lat_deg : array_like
        Latitude, south below 0 [°].
    on : array_like of datetime64 or date
        Days.

    Returns
    -------
    ndarray
        Shares of the hours from 0 to 1 o'clock to 23 to 24 on the last axis; solar noon is 12. They
        add up to 1; in polar night the two hours about noon hold the twilight there is [-].

    References
    ----------
    Allen et al. (1998), FAO-56, eq. 28.

    Examples
    --------
    >>> print(hourly_shares(40, "2025-06-21")[[5, 8, 11, 12]].round(3))
    [0.019 0.078 0.108 0.108]
    """
    import numpy as np

    declination, _ = almanac.fao_day(almanac.days(on))
    lat, declination = np.broadcast_arrays(np.radians(almanac.latitude(lat_deg)), declination)
    lat, declination = lat[..., None], declination[..., None]
    sunset = almanac.fao_sunset_rad(lat, declination)
    edges = np.clip(np.pi / 12 * (np.arange(25) - 12), -sunset, sunset)
    shone = np.clip(almanac.sunlit(lat, declination, edges[..., :-1], edges[..., 1:]), 0, None)
    whole = shone.sum(axis=-1, keepdims=True)
    night = np.where(np.isin(np.arange(24), (11, 12)), 0.5, 0.0)
    return np.asarray(np.where(whole > 0, shone / np.where(whole > 0, whole, 1), night))
