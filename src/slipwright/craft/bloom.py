"""When a plant will flower: its own usual day, moved by the warmth of the two months before."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from slipwright.craft._bloom_clear import first_clear_day, p_clear, p_in_bloom
from slipwright.craft._bloom_days import days_after, moved, usual_day, years_before
from slipwright.craft._bloom_warmth import SPAN_DAYS, SPAN_SD_C, Warmth, own_anomalies, warmth, warmth_in
from slipwright.craft.errors import BadArgument
from slipwright.craft.years import YEAR_DAYS

if TYPE_CHECKING:
    from datetime import date

    from numpy import bool_, datetime64, float64, int64
    from numpy.typing import ArrayLike, NDArray

    Array = NDArray[float64]
    Days = NDArray[datetime64]

__all__ = [
    "BOOK_SD_DAYS",
    "LATE_WINTER",
    "LATE_WINTER_DAY",
    "LENGTH_SD_DAYS",
    "SHARP_DAYS",
    "SPAN_DAYS",
    "SPAN_SD_C",
    "SPRING",
    "BloomForecast",
    "Slope",
    "Warmth",
    "days_after",
    "first_clear_day",
    "forecast",
    "is_late_winter",
    "own_anomalies",
    "p_clear",
    "p_in_bloom",
    "shared_slope",
    "slope_prior",
    "usual_day",
    "warmth",
    "warmth_in",
    "years_before",
]

#: how far off the handbook's day lies where the garden has no record, as a standard deviation [d]
BOOK_SD_DAYS: Final = 14.0
#: what the weather does not explain is known from about so many days ahead on [d]
SHARP_DAYS: Final = 45
#: bloom before this day of a northern year follows the late winter's warmth [d]
LATE_WINTER_DAY: Final = 80
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
        moved(book, mean),
        moved(book, mean - 1.2815515655446004 * sd),
        moved(book, mean + 1.2815515655446004 * sd),
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
