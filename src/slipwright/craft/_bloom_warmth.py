"""The warmth of the two months before bloom."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from slipwright.craft._bloom_days import years_before
from slipwright.craft.years import YEAR_DAYS

if TYPE_CHECKING:
    from numpy import bool_, float64, int64
    from numpy.typing import ArrayLike, NDArray

    from slipwright.craft.years import WeatherYears

    Array = NDArray[float64]

#: the warmth of so many days before the usual day moves it [d]
SPAN_DAYS: Final = 60
#: how far the mean of 60 days strays from year to year where the weather does not say [°C]
SPAN_SD_C: Final = 1.0
#: years of weather the value above is worth [1]
_SPAN_SD_YEARS: Final = 4.0


@dataclass(frozen=True, slots=True, eq=False)
class Warmth:
    """How much warmer than usual the days before bloom are, and what is not yet known of it.

    Attributes
    ----------
    anomaly_c : ndarray
        Mean of the 60 days less the usual one; days not seen count as usual [°C].
    sd_c : ndarray
        Standard deviation of what the days not seen add [°C].
    n_days_seen : ndarray
        Days of the 60 that are seen or forecast [1].
    n_years : ndarray
        Earlier years that say what is usual [1].
    usual_c : ndarray
        Mean of the same days in those years; nan where there is none [°C].
    """

    anomaly_c: Array
    sd_c: Array
    n_days_seen: NDArray[int64]
    n_years: NDArray[int64]
    usual_c: Array


def warmth(years: WeatherYears, usual_on: ArrayLike, known_to: ArrayLike | None = None) -> Warmth:
    """Return how warm the 60 days before a usual day are against other years.

    Parameters
    ----------
    years : WeatherYears
        The garden's weather.
    usual_on : array_like
        Usual day of first flower, in the year asked about [date].
    known_to : array_like, optional
        Last day that counts as seen; the last of the weather unless given [date].

    Returns
    -------
    Warmth
        Of each day given.

    Notes
    -----
    Usual is the mean of the same days in the 20 years before. Days not seen are as usual; what they may add
    has the spread of the same days over those years, pooled with that of a 60-day mean of 1.0 °C as if it had
    been seen in four years. Where no year was seen, nothing is known but that spread.

    References
    ----------
    Our own; the spread of 1.0 °C is that of spring at 143 stations in Korea (0.95) and Japan (0.83),
    measured.

    Examples
    --------
    >>> import numpy as np
    >>> from slipwright.craft.weather import Weather, days_from
    >>> from slipwright.craft.years import weather_years
    >>> on = days_from("2020-01-01", "2026-04-30")
    >>> warm = np.where(on >= np.datetime64("2026-01-01"), 12.0, 10.0)
    >>> found = warmth(weather_years(Weather(on, warm - 5, warm + 5)), ["2026-04-20", "2026-05-30"])
    >>> print(found.anomaly_c.round(2), found.n_days_seen)
    [2.   1.03] [60 31]
    """
    import numpy as np

    ends = np.asarray(usual_on, "datetime64[D]")
    last = np.datetime64(years.known_to, "D") if known_to is None else np.asarray(known_to, "datetime64[D]")
    stop = years.place(ends)
    start = stop - SPAN_DAYS
    known = np.minimum(years.place(last) + 1, len(years))
    seen_to = np.clip(known, start, stop)
    shape = np.broadcast_shapes(stop.shape, seen_to.shape)
    start, stop, seen_to = (np.broadcast_to(part, shape) for part in (start, stop, seen_to))
    n_seen = np.where(start >= 0, seen_to - start, 0)
    seen_to = start + n_seen
    back = years.shifts().reshape((-1, *[1] * len(shape)))
    begin = start[None] - back
    there = (begin >= 0) & (stop[None] - back <= known)
    n_there = _between(years.n_seen_sum, begin, stop[None] - back, there)
    there &= n_there >= 0.8 * SPAN_DAYS
    n_years = there.sum(axis=0)
    first = _between(years.mean_sum_c, begin, seen_to[None] - back, there)
    later = _between(years.mean_sum_c, seen_to[None] - back, stop[None] - back, there)
    some = np.maximum(n_years, 1)
    usual = np.where(there, first, 0).sum(axis=0) / some
    own = _between(years.mean_sum_c, start, seen_to, n_seen > 0)
    anomaly = np.where(n_years > 0, (own - usual) / SPAN_DAYS, 0.0)
    n_seen = np.where(n_years > 0, n_seen, 0)
    later_mean = np.where(there, later, 0).sum(axis=0) / some
    squares = np.where(there, (later - later_mean) ** 2, 0).sum(axis=0) / SPAN_DAYS**2
    general = (SPAN_SD_C * ((SPAN_DAYS - n_seen) / SPAN_DAYS) ** 0.75) ** 2
    pooled = (squares + _SPAN_SD_YEARS * general) / (np.maximum(n_years - 1, 0) + _SPAN_SD_YEARS)
    whole = np.where(there, first + later, 0).sum(axis=0) / some / SPAN_DAYS
    return Warmth(anomaly, np.sqrt(pooled), n_seen, n_years, np.where(n_years > 0, whole, np.nan))


def warmth_in(years: WeatherYears, usual_on: ArrayLike) -> Array:
    """Return how warm the 60 days before days of the past were.

    Parameters
    ----------
    years : WeatherYears
        The garden's weather.
    usual_on : array_like
        The plant's usual day, in the years asked about [date].

    Returns
    -------
    ndarray
        Mean of the 60 days; nan where less than four in five of them were seen [°C].

    References
    ----------
    Definition.

    Examples
    --------
    >>> from slipwright.craft.weather import Weather, days_from
    >>> from slipwright.craft.years import weather_years
    >>> on = days_from("2026-01-01", "2026-04-30")
    >>> years = weather_years(Weather(on, [5.0] * len(on), [15.0] * len(on)))
    >>> print(warmth_in(years, ["2025-04-20", "2026-04-20"]))
    [nan 10.]
    """
    import numpy as np

    stop = years.place(usual_on)
    start = stop - SPAN_DAYS
    inside = (start >= 0) & (stop <= len(years))
    enough = _between(years.n_seen_sum, start, stop, inside) >= 0.8 * SPAN_DAYS
    return np.asarray(np.where(enough, _between(years.mean_sum_c, start, stop, inside) / SPAN_DAYS, np.nan))


def own_anomalies(years: WeatherYears, own_on: ArrayLike, usual_on: ArrayLike, usual_c: ArrayLike) -> Array:
    """Return how warm the 60 days before a plant's usual day were in the years of its records.

    Parameters
    ----------
    years : WeatherYears
        The garden's weather.
    own_on : array_like
        Own records, a row a plant; NaT where there is none [date].
    usual_on : array_like
        Usual day of first flower in the season asked about, one a plant [date].
    usual_c : array_like
        What is usual of those 60 days, as `warmth` says it [°C].

    Returns
    -------
    ndarray
        Above usual, as `own_on` is laid out; nan where not known [°C].

    References
    ----------
    Definition.

    Examples
    --------
    >>> from slipwright.craft.weather import Weather, days_from
    >>> from slipwright.craft.years import weather_years
    >>> on = days_from("2024-01-01", "2026-04-30")
    >>> years = weather_years(Weather(on, [5.0] * len(on), [15.0] * len(on)))
    >>> print(own_anomalies(years, [["2024-05-01", "2025-05-02"]], ["2026-04-30"], [9.0]))
    [[1. 1.]]
    """
    import numpy as np

    usual = np.asarray(usual_on, "datetime64[D]")[..., None]
    back = np.rint(years_before(own_on, usual_on) * YEAR_DAYS).astype("timedelta64[D]")
    there = ~np.isnat(np.asarray(own_on, "datetime64[D]"))
    above = warmth_in(years, usual - back) - np.asarray(usual_c, float)[..., None]
    return np.asarray(np.where(there, above, np.nan))


def _between(sums: Array, start: NDArray[int64], stop: NDArray[int64], there: NDArray[bool_]) -> Array:
    import numpy as np

    last = len(sums) - 1
    found = sums[np.clip(stop, 0, last)] - sums[np.clip(start, 0, last)]
    return np.asarray(np.where(there, found, 0.0))
