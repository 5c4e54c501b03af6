"""When a plant will flower: its own usual day, moved by the warmth of the two months before."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from slipwright.craft.errors import BadArgument
from slipwright.craft.years import YEAR_DAYS, WeatherYears

if TYPE_CHECKING:
    from datetime import date

    from numpy import bool_, datetime64, float64, int64
    from numpy.typing import ArrayLike, NDArray

    Array = NDArray[float64]
    Days = NDArray[datetime64]

#: the warmth of so many days before the usual day moves it [d]
SPAN_DAYS: Final = 60
#: how far off the handbook's day lies where the garden has no record, as a standard deviation [d]
BOOK_SD_DAYS: Final = 14.0
#: what the weather does not explain is known from about so many days ahead on [d]
SHARP_DAYS: Final = 45
#: bloom before this day of a northern year follows the late winter's warmth [d]
LATE_WINTER_DAY: Final = 80
#: how far the mean of 60 days strays from year to year where the weather does not say [°C]
SPAN_SD_C: Final = 1.0
#: years of weather the value above is worth [1]
_SPAN_SD_YEARS: Final = 4.0
#: how the length of a bloom strays from the handbook's, sd: common practice, no source [d]
LENGTH_SD_DAYS: Final = 10.0


@dataclass(frozen=True, slots=True)
class Slope:
    """By how many days a degree of warmth moves bloom, and how far single years stray.

    Attributes
    ----------
    days_per_c : float
        Mean of the slope [d/°C].
    sd_days_per_c : float
        Its standard deviation [d/°C].
    residual_days : float
        Standard deviation of a plant's year about the line [d].
    n_years : int
        Plant-years of the garden it has learned from [1].
    """

    days_per_c: float
    sd_days_per_c: float
    residual_days: float
    n_years: int = 0


#: spring and early summer bloom
SPRING: Final = Slope(-3.8, 0.9, 4.5)
#: bloom before about 20 March of the north
LATE_WINTER: Final = Slope(-6.0, 2.0, 8.5)


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


@dataclass(frozen=True, slots=True, eq=False)
class BloomForecast:
    """First flower of plants in one season: normal, with the points that hold it 8 times in 10.

    Attributes
    ----------
    first_on : ndarray
        Middle of the range, p50 [date].
    p10, p90 : ndarray
        Ends of the range [date].
    after_book_days : ndarray
        Mean, from the handbook's day [d].
    sd_days : ndarray
        Standard deviation [d].
    n_own : ndarray
        Own records it rests on [1].
    """

    first_on: Days
    p10: Days
    p90: Days
    after_book_days: Array
    sd_days: Array
    n_own: NDArray[int64]

    @property
    def p50(self) -> Days:
        """The middle of the range [date]."""
        return self.first_on


def is_late_winter(usual_on: ArrayLike, *, south: bool = False) -> NDArray[bool_]:
    """Return whether a plant flowers so early that the late-winter setting holds.

    Parameters
    ----------
    usual_on : array_like
        Usual day of first flower [date].
    south : bool
        Whether the garden lies south of the equator.

    Returns
    -------
    ndarray
        Whether it lies before day 80 of the year, in the south six months later.

    References
    ----------
    Our own: measured on first flowers of a spring tree blooming in February and March.

    Examples
    --------
    >>> print(is_late_winter(["2026-03-01", "2026-05-20"]), is_late_winter("2026-08-20", south=True))
    [ True False] True
    """
    import numpy as np

    on = np.asarray(usual_on, "datetime64[D]")
    if south:
        on = on - np.timedelta64(round(YEAR_DAYS / 2), "D")
    day = (on - on.astype("datetime64[Y]").astype("datetime64[D]")).astype("int64") + 1
    return np.asarray(day < LATE_WINTER_DAY)


def slope_prior(usual_on: date, *, south: bool = False) -> Slope:
    """Return what is known beforehand of how a plant's bloom follows warmth.

    Parameters
    ----------
    usual_on : date
        Usual day of first flower.
    south : bool
        Whether the garden lies south of the equator.

    Returns
    -------
    Slope
        Spring's, or late winter's.

    References
    ----------
    Measured on first-flower records of seven spring species, and of one of late winter; Ellwood et al.
    (2013), PLOS ONE 8(1):e53788, as summarised in a textbook: -3.2 and -4.1 d/°C.

    Examples
    --------
    >>> from datetime import date
    >>> slope_prior(date(2026, 5, 20)).days_per_c
    -3.8
    """
    import numpy as np

    return LATE_WINTER if bool(is_late_winter(np.datetime64(usual_on), south=south)) else SPRING


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
    Our own; the spread of 1.0 °C is that of spring at 143 stations in Korea (0.95) and Japan (0.83), measured.

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


def forecast(
    own_on: ArrayLike,
    own_anomaly_c: ArrayLike,
    *,
    book_on: ArrayLike,
    anomaly_c: ArrayLike = 0.0,
    anomaly_sd_c: ArrayLike = SPAN_SD_C,
    slope: Slope = SPRING,
    book_sd_days: float = BOOK_SD_DAYS,
    flat: bool = True,
) -> BloomForecast:
    """Return when plants will show their first flower.

    Parameters
    ----------
    own_on : array_like
        Own records of first flower, a row a plant; NaT where there is none [date].
    own_anomaly_c : array_like
        Warmth of the 60 days before in those years, above usual; nan where not known [°C].
    book_on : array_like
        The handbook's day in the season asked about, one a plant [date].
    anomaly_c : array_like
        Warmth of the 60 days before in the season asked about [°C].
    anomaly_sd_c : array_like
        Standard deviation of what is not yet known of it [°C].
    slope : Slope
        How bloom follows warmth, as `shared_slope` has learned it or as it is known beforehand.
    book_sd_days : float
        Standard deviation of the handbook's day for a plant without records [d].
    flat : bool
        Whether a plant with records forgets the handbook's day.

    Returns
    -------
    BloomForecast
        One value a plant.

    Notes
    -----
    y = m + b (T - T_usual) + e; m flat with one record or more, else N(book, 14 d); b as in ``slope``; e
    normal. Given b, m is normal; both are integrated in closed form. A year whose warmth is not known
    counts with the spread warmth has. Tested for spring bloom of hardy woody plants; not for later
    flushes, summer and autumn bloom, pruned plants, or climates without a cool winter.

    References
    ----------
    Conjugate normal regression; slope and residual as in `slope_prior`.

    Examples
    --------
    >>> found = forecast([["2024-05-20", "2025-05-26"]], [[1.0, -0.5]], book_on=["2026-05-25"],
    ...                  anomaly_c=[1.0], anomaly_sd_c=0.0)
    >>> print(found.first_on, found.sd_days.round(1), found.n_own)
    ['2026-05-21'] [5.6] [2]
    """
    import numpy as np

    book = np.asarray(book_on, "datetime64[D]")
    parts = _Records.of(own_on, own_anomaly_c, book, slope, book_sd_days, flat=flat)
    anomaly, spread = np.asarray(anomaly_c, float), np.asarray(anomaly_sd_c, float)
    if not np.all(spread >= 0):
        raise BadArgument("anomaly_sd_c", "be 0 or more", anomaly_sd_c)
    away = anomaly - parts.mean_anomaly_c
    variance_b = slope.sd_days_per_c**2
    mean = parts.mean_day + slope.days_per_c * away
    variance = (
        1 / parts.weight
        + variance_b * away**2
        + slope.residual_days**2
        + (slope.days_per_c**2 + variance_b) * spread**2
    )
    sd = np.sqrt(variance)
    return BloomForecast(
        _moved(book, mean),
        _moved(book, mean - 1.2815515655446004 * sd),
        _moved(book, mean + 1.2815515655446004 * sd),
        np.asarray(mean),
        np.asarray(sd),
        parts.n_own,
    )


def shared_slope(
    own_on: ArrayLike, own_anomaly_c: ArrayLike, *, book_on: ArrayLike, slope: Slope = SPRING
) -> Slope:
    """Return the slope that all plants of a garden tell together, each keeping its own mean.

    Parameters
    ----------
    own_on : array_like
        Own records of first flower, a row a plant; NaT where there is none [date].
    own_anomaly_c : array_like
        Warmth of the 60 days before in those years; nan where not known [°C].
    book_on : array_like
        The handbook's day in any season, one a plant [date].
    slope : Slope
        What is known beforehand.

    Returns
    -------
    Slope
        Narrower by what the plants tell; plants with one record tell nothing of it.

    Notes
    -----
    With m of each plant flat and integrated, the plants' sums of squares about their own means add.
    Plants of one garden share their years' weather and more: residuals common to a year are not
    modelled, so many plants over few years make it too narrow by a little.

    References
    ----------
    Conjugate normal regression.

    Examples
    --------
    >>> one = shared_slope([["2024-05-20", "2025-05-26"]], [[1.5, -1.5]], book_on=["2026-05-25"])
    >>> round(one.days_per_c, 2), round(one.sd_days_per_c, 2)
    (-3.51, 0.83)
    """
    import numpy as np

    book = np.asarray(book_on, "datetime64[D]")
    parts = _Records.of(own_on, own_anomaly_c, book, slope, BOOK_SD_DAYS, flat=True)
    told = parts.n_own > 1
    precision = 1 / slope.sd_days_per_c**2
    whole = precision + float(parts.squares[told].sum())
    mean = (precision * slope.days_per_c + float(parts.products[told].sum())) / whole
    n_years = int((parts.n_own[told] - 1).sum())
    return Slope(mean, whole**-0.5, slope.residual_days, n_years)


def usual_day(own_on: ArrayLike, book_on: ArrayLike) -> Days:
    """Return the mean of own first flowers in the season of the handbook's day, or that day.

    Parameters
    ----------
    own_on : array_like
        Own records, a row a plant; NaT where there is none [date].
    book_on : array_like
        The handbook's day in the season asked about, one a plant [date].

    Returns
    -------
    ndarray
        One a plant [date].

    References
    ----------
    Definition.

    Examples
    --------
    >>> print(usual_day([["2024-05-20", "2025-05-26", "NaT"]], ["2026-06-01"]))
    ['2026-05-23']
    """
    import numpy as np

    book = np.asarray(book_on, "datetime64[D]")
    day = days_after(own_on, book)
    there = np.isfinite(day)
    n = there.sum(axis=-1)
    return _moved(book, np.where(there, day, 0).sum(axis=-1) / np.maximum(n, 1))


def days_after(own_on: ArrayLike, book_on: ArrayLike) -> Array:
    """Return how many days after the handbook's day records of any year lie, by the nearest year.

    Parameters
    ----------
    own_on : array_like
        Records, a row a plant [date].
    book_on : array_like
        The handbook's day, one a plant [date].

    Returns
    -------
    ndarray
        From -183 to 183; nan where there is no record [d].

    References
    ----------
    The mean year of the Gregorian calendar.

    Examples
    --------
    >>> print(days_after(["2016-12-28", "2026-01-05"], "2026-01-01").round())
    [-4.  4.]
    """
    import numpy as np

    on = np.asarray(own_on, "datetime64[D]")
    apart = (on - np.asarray(book_on, "datetime64[D]")[..., None]).astype("timedelta64[D]")
    day = np.where(np.isnat(on), np.nan, apart.astype(float))
    return np.asarray(day - np.rint(day / YEAR_DAYS) * YEAR_DAYS)


def years_before(own_on: ArrayLike, book_on: ArrayLike) -> NDArray[int64]:
    """Return how many seasons before the handbook's day records lie.

    Parameters
    ----------
    own_on : array_like
        Records, a row a plant [date].
    book_on : array_like
        The handbook's day, one a plant [date].

    Returns
    -------
    ndarray
        Seasons; 0 where there is no record [1].

    References
    ----------
    The mean year of the Gregorian calendar.

    Examples
    --------
    >>> print(years_before([["2024-12-28", "2026-01-05"]], ["2026-01-01"]))
    [[1 0]]
    """
    import numpy as np

    on = np.asarray(own_on, "datetime64[D]")
    apart = (np.asarray(book_on, "datetime64[D]")[..., None] - on).astype("timedelta64[D]")
    return np.asarray(np.rint(np.where(np.isnat(on), 0.0, apart.astype(float)) / YEAR_DAYS).astype("int64"))


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


def p_clear(
    day: ArrayLike,
    first_day: ArrayLike,
    last_day: ArrayLike,
    *,
    first_sd_days: ArrayLike,
    last_sd_days: ArrayLike,
    gap_before_days: float,
    gap_after_days: float,
) -> Array:
    """Return the chance that a day lies clear of bloom by the gaps before and after.

    Parameters
    ----------
    day : array_like
        The days, on any scale [d].
    first_day, last_day : array_like
        Mean day of first and of last flower, on the same scale [d].
    first_sd_days, last_sd_days : array_like
        Their standard deviations [d].
    gap_before_days, gap_after_days : float
        Days to keep clear [d].

    Returns
    -------
    ndarray
        Chance; 1 where the gaps swallow the bloom [-].

    Notes
    -----
    P(before first flower less the gap) + P(after last flower and the gap), each normal.

    References
    ----------
    Normal distribution.

    Examples
    --------
    >>> chance = p_clear([82, 120, 158], 120, 120, first_sd_days=6, last_sd_days=6,
    ...                  gap_before_days=30, gap_after_days=30)
    >>> print(chance.round(2))
    [0.91 0.   0.91]
    """
    import numpy as np
    from scipy.special import ndtr

    at = np.asarray(day, float)
    before = ndtr((np.asarray(first_day) - gap_before_days - at) / _sd(first_sd_days))
    after = ndtr((at - gap_after_days - np.asarray(last_day)) / _sd(last_sd_days))
    return np.asarray(np.minimum(before + after, 1.0))


def p_in_bloom(
    day: ArrayLike,
    first_day: ArrayLike,
    last_day: ArrayLike,
    *,
    first_sd_days: ArrayLike,
    last_sd_days: ArrayLike,
) -> Array:
    """Return the chance that a day lies between first and last flower.

    Parameters
    ----------
    day : array_like
        The days, on any scale [d].
    first_day, last_day : array_like
        Mean day of first and of last flower, on the same scale [d].
    first_sd_days, last_sd_days : array_like
        Their standard deviations [d].

    Returns
    -------
    ndarray
        Chance [-].

    References
    ----------
    Normal distribution.

    Examples
    --------
    >>> print(p_in_bloom([100, 130], 120, 141, first_sd_days=6, last_sd_days=8).round(2))
    [0.   0.88]
    """
    import numpy as np
    from scipy.special import ndtr

    at = np.asarray(day, float)
    begun = ndtr((at + 0.5 - np.asarray(first_day)) / _sd(first_sd_days))
    over = ndtr((at - 0.5 - np.asarray(last_day)) / _sd(last_sd_days))
    return np.asarray(np.clip(begun - over, 0.0, 1.0))


def first_clear_day(last_day: ArrayLike, sd_days: ArrayLike, gap_days: float, p: float = 0.9) -> Array:
    """Return from when on a day lies clear of bloom with a wished chance.

    Parameters
    ----------
    last_day : array_like
        Mean day of last flower, on any scale [d].
    sd_days : array_like
        Its standard deviation [d].
    gap_days : float
        Days to keep clear [d].
    p : float
        The chance wished, above 0 and below 1 [-].

    Returns
    -------
    ndarray
        The day, on the same scale [d].

    References
    ----------
    Normal quantile: the gap and 1.28 standard deviations at nine in ten.

    Examples
    --------
    >>> print(first_clear_day(120, 6, 30).round(3))
    157.689
    """
    import numpy as np
    from scipy.special import ndtri

    if not 0 < p < 1:
        raise BadArgument("p", "lie above 0 and below 1", p)
    return np.asarray(np.asarray(last_day, float) + gap_days + ndtri(p) * np.asarray(sd_days, float))


@dataclass(frozen=True, slots=True, eq=False)
class _Records:
    """Sums of each plant's own records, with the handbook's day as one more where it counts."""

    n_own: NDArray[int64]
    weight: Array
    mean_day: Array
    mean_anomaly_c: Array
    squares: Array
    products: Array

    @staticmethod
    def of(
        own_on: ArrayLike, own_anomaly_c: ArrayLike, book: Days, slope: Slope, book_sd: float, *, flat: bool
    ) -> _Records:
        import numpy as np

        if not book_sd > 0:
            raise BadArgument("book_sd_days", "be above 0", book_sd)
        if not slope.residual_days > 0:
            raise BadArgument("residual_days", "be above 0", slope.residual_days)
        day = days_after(own_on, book)
        anomaly = np.asarray(own_anomaly_c, float)
        there = np.isfinite(day)
        known = there & np.isfinite(anomaly)
        spread = (slope.days_per_c**2 + slope.sd_days_per_c**2) * SPAN_SD_C**2
        each = np.where(there, 1 / (slope.residual_days**2 + np.where(known, 0.0, spread)), 0.0)
        day, anomaly = np.where(there, day, 0.0), np.where(known, anomaly, 0.0)
        n_own = there.sum(axis=-1)
        book_weight = np.where((n_own > 0) & flat, 0.0, book_sd**-2)
        weight = each.sum(axis=-1) + book_weight
        mean_day = (each * day).sum(axis=-1) / weight
        mean_anomaly = (each * anomaly).sum(axis=-1) / weight
        away = anomaly - mean_anomaly[..., None]
        squares = (each * away**2).sum(axis=-1)
        products = (each * away * (day - mean_day[..., None])).sum(axis=-1)
        return _Records(n_own, weight, mean_day, mean_anomaly, squares, products)


def _between(sums: Array, start: NDArray[int64], stop: NDArray[int64], there: NDArray[bool_]) -> Array:
    import numpy as np

    last = len(sums) - 1
    found = sums[np.clip(stop, 0, last)] - sums[np.clip(start, 0, last)]
    return np.asarray(np.where(there, found, 0.0))


def _moved(book: Days, days: Array) -> Days:
    import numpy as np

    return np.asarray(book + np.rint(days).astype("timedelta64[D]"))


def _sd(sd_days: ArrayLike) -> Array:
    import numpy as np

    sd = np.asarray(sd_days, float)
    if not np.all(sd > 0):
        raise BadArgument("sd_days", "be above 0", sd_days)
    return sd
