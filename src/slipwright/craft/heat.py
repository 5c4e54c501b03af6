"""Warmth added up: degree-days from a day's lowest and highest, the day's course by the hour."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final, Literal, get_args

from slipwright.craft._chilling import chill_hours, chill_portions, growing_degree_hours, utah_units
from slipwright.craft.errors import BadArgument

if TYPE_CHECKING:
    from numpy import bool_, float64
    from numpy.typing import ArrayLike, NDArray

    Array = NDArray[float64]

__all__ = [
    "METHODS",
    "DegreeDays",
    "chill_hours",
    "chill_portions",
    "degree_days_c",
    "growing_degree_hours",
    "hourly_c",
    "utah_units",
]

DegreeDays = Literal["sine", "triangle", "average", "hourly"]
METHODS: Final = get_args(DegreeDays)
COLDEST_C: Final = -90.0
"""Lowest temperature taken [°C]."""
HOTTEST_C: Final = 60.0
"""Highest temperature taken [°C]."""
#: hours by which the sine of the day's course outlasts the day, so that the warmest hour comes after noon
_LAG_H: Final = 4.0
#: the day's course needs some day and some night; a sun that never sets is taken to set for this long [h]
_SHORTEST_H: Final = 1.0


def degree_days_c(
    tmin_c: ArrayLike,
    tmax_c: ArrayLike,
    base_c: ArrayLike,
    upper_c: ArrayLike | None = None,
    method: DegreeDays = "sine",
    *,
    lat_deg: float | None = None,
    on: Any = None,
) -> Array:
    """Return the warmth of days above a base: by how much, for how long.

    Parameters
    ----------
    tmin_c : array_like
        Lowest temperature of the day [°C]; nan where unknown.
    tmax_c : array_like
        Highest temperature of the day [°C]; nan where unknown.
    base_c : array_like
        Temperature below which nothing counts [°C].
    upper_c : array_like, optional
        Temperature above which more warmth adds nothing, a horizontal cut-off [°C].
    method : {"sine", "triangle", "average", "hourly"}, optional
        Course of the day between lowest and highest: a single sine, straight up and down, the middle of the
        two all day long, or ``hourly_c``.
    lat_deg : float, optional
        Latitude, for ``hourly`` [°].
    on : array_like, optional
        The days, for ``hourly`` [date].

    Returns
    -------
    ndarray
        Degree-days of each day [°C d]; nan where the day is.

    Notes
    -----
    Sine and triangle are integrals in closed form, with the cut-off as the difference of two of them.
    A day below the base adds nothing and one above it the middle less the base, whatever the method.
    They differ where the base lies within the day: by up to W/π for the sine and W/4 for the triangle
    against nothing for the average, W half the day's range.

    References
    ----------
    Baskerville & Emin (1969), *Rapid estimation of heat accumulation from maximum and minimum
    temperatures*, Ecology 50:514-517, from memory; the horizontal cut-off by subtraction, common practice.

    Examples
    --------
    >>> print(degree_days_c([5, -3], [20, 8], [10, 5]).round(3))
    [3.771 0.685]
    >>> print(degree_days_c(12, 30, 10, 25).round(3), degree_days_c(5, 20, 10, method="average"))
    9.847 2.5
    """
    import numpy as np

    low, high = _days("tmin_c", tmin_c), _days("tmax_c", tmax_c)
    if np.any(high < low):
        raise BadArgument("tmax_c", "not lie below tmin_c", tmax_c)
    base = np.asarray(base_c, dtype=float)
    if not np.all(np.isfinite(base)):
        raise BadArgument("base_c", "be a temperature", base_c)
    if upper_c is not None and not np.all(np.asarray(upper_c, dtype=float) >= base):
        raise BadArgument("upper_c", "not lie below base_c", upper_c)
    if method not in METHODS:
        raise BadArgument("method", f"be one of {', '.join(METHODS)}", method)
    if method == "hourly":
        if lat_deg is None or on is None:
            raise BadArgument("method", "come with lat_deg and on where it is hourly", method)
        hours = hourly_c(low, high, lat_deg, on)
        if upper_c is not None:
            hours = np.minimum(hours, np.asarray(upper_c, dtype=float)[..., None])
        return np.asarray(np.maximum(hours - base[..., None], 0).mean(axis=-1))
    above = {"sine": _sine, "triangle": _triangle, "average": _average}[method]
    with np.errstate(all="ignore"):  # a day as warm as cold divides by nothing, and is not asked
        found = above(low, high, base)
        if upper_c is not None:
            found = found - above(low, high, np.asarray(upper_c, dtype=float))
    return np.asarray(found)


def hourly_c(tmin_c: ArrayLike, tmax_c: ArrayLike, lat_deg: float, on: Any) -> Array:
    """Return the temperature at each full hour of days: a sine by day, a falling logarithm by night.

    Parameters
    ----------
    tmin_c : array_like
        Lowest temperature of each day [°C]; nan where unknown.
    tmax_c : array_like
        Highest temperature of each day [°C]; nan where unknown.
    lat_deg : float
        Latitude, north above 0 [°].
    on : array_like
        The days, in order [date].

    Returns
    -------
    ndarray
        Temperature at solar hours 0 to 23, a row of 24 a day [°C].

    Notes
    -----
    The lowest stands at sunrise, the highest two hours after noon. A night runs from the sunset of the day
    before to the lowest of the morning, so neighbours in ``on`` are looked at where they are one day apart;
    the first and last days, and days beside a gap, stand for their missing neighbour. Where the sun does not
    set or rise, an hour of night or day is assumed: do not use it beyond the polar circles. Hours are those
    of the sun, not the clock's.

    References
    ----------
    Linvill (1990), *Calculating chilling hours and chill units from daily maximum and minimum temperature
    observations*, HortScience 25(1):14-16, from memory.

    Examples
    --------
    >>> from datetime import date
    >>> hours = hourly_c([4, 6], [14, 18], 45, [date(2026, 3, 20), date(2026, 3, 21)])
    >>> print(hours.shape, hours[1, [6, 14, 20]].round(1))
    (2, 24) [ 6.2 18.  10.9]
    """
    import numpy as np

    from slipwright.craft.sun import day_length_h

    low, high = _days("tmin_c", tmin_c), _days("tmax_c", tmax_c)
    if np.any(high < low):
        raise BadArgument("tmax_c", "not lie below tmin_c", tmax_c)
    days = np.asarray(on, dtype="datetime64[D]")
    if days.ndim > 1:
        raise BadArgument("on", "be one day or a row of days", on)
    shape = np.broadcast_shapes(low.shape, high.shape, days.shape)
    low, high, days = (np.atleast_1d(np.broadcast_to(one, shape)) for one in (low, high, days))
    lasts = np.clip(day_length_h(lat_deg, days), _SHORTEST_H, 24 - _SHORTEST_H)
    rise, sets = 12 - lasts / 2, 12 + lasts / 2
    at_sunset = low + (high - low) * np.sin(np.pi * lasts / (lasts + _LAG_H))
    joined = np.r_[False, np.diff(days) == np.timedelta64(1, "D")]
    before = np.where(joined, np.arange(len(days)) - 1, np.arange(len(days)))
    after = np.where(np.r_[joined[1:], False], np.arange(len(days)) + 1, np.arange(len(days)))
    # a neighbour of which nothing is known stands in for nothing
    before = np.where(np.isnan(at_sunset[before]), np.arange(len(days)), before)
    after = np.where(np.isnan(low[after]), np.arange(len(days)), after)

    hour = np.arange(24.0)
    morning = _night(hour + 24, sets[before], 24 + rise, at_sunset[before], low)
    evening = _night(hour, sets, 24 + rise[after], at_sunset, low[after])
    phase = np.clip((hour - rise[:, None]) / (lasts + _LAG_H)[:, None], 0, 1)
    day = low[:, None] + (high - low)[:, None] * np.sin(np.pi * phase)
    found = np.where(hour <= rise[:, None], morning, np.where(hour <= sets[:, None], day, evening))
    return np.asarray(found if shape else found[0])


def _night(hour: Array, sets: Array, rise: Array, from_c: Array, to_c: Array) -> Array:
    """Return the fall from sunset to sunrise; hours before sunset are as at sunset."""
    import numpy as np

    gone = np.maximum(hour - sets[:, None], 0)
    share = np.log1p(gone) / np.log1p(rise - sets)[:, None]
    return np.asarray(from_c[:, None] - (from_c - to_c)[:, None] * share)


def _sine(low: Array, high: Array, base: Array) -> Array:
    import numpy as np

    middle, half = (low + high) / 2, (high - low) / 2
    angle = np.arcsin(np.clip((base - middle) / half, -1, 1))
    within = ((middle - base) * (np.pi / 2 - angle) + half * np.cos(angle)) / np.pi
    return _between(low, high, base, np.asarray(within))


def _triangle(low: Array, high: Array, base: Array) -> Array:
    return _between(low, high, base, (high - base) ** 2 / (2 * (high - low)))


def _average(low: Array, high: Array, base: Array) -> Array:
    import numpy as np

    return np.asarray(np.maximum((low + high) / 2 - base, 0))


def _between(low: Array, high: Array, base: Array, within: Array) -> Array:
    import numpy as np

    whole = (low + high) / 2 - base
    unknown: NDArray[bool_] = np.isnan(whole)
    found = np.where(low >= base, whole, np.where(high <= base, 0.0, within))
    return np.where(unknown, np.nan, found)


def _days(name: str, value: ArrayLike) -> Array:
    import numpy as np

    found = np.asarray(value, dtype=float)
    if np.any((found < COLDEST_C) | (found > HOTTEST_C)):
        raise BadArgument(name, f"lie between {COLDEST_C:g} and {HOTTEST_C:g} °C", value)
    return found
