"""The weather as it usually is, by the day of the year; it stands where a day was not seen."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from numpy import datetime64, float64, int64
    from numpy.typing import NDArray

    from slipwright.craft.weather import Weather

    Array = NDArray[float64]
    Days = NDArray[datetime64]

#: how far the usual weather of a day reaches to the days beside it, sd of the weights [d]
SMOOTH_D: Final = 10.0
#: days of the year a climatology has: 29 February has one of its own
DAYS_OF_YEAR: Final = 366


@dataclass(frozen=True, slots=True, eq=False)
class Climatology:
    """What is usual on each day of the year, and how much a single day strays from it.

    Parameters
    ----------
    tmin_c, tmax_c : ndarray
        Usual lowest and highest of each of 366 days of the year; nan where nothing is known near [°C].
    tmin_sd_c, tmax_sd_c, mean_sd_c : ndarray
        Standard deviation of single days about it, from year to year [°C].
    n_years : int
        Calendar years that gave days [1].

    References
    ----------
    Our own layout.

    Examples
    --------
    >>> from slipwright.craft.weather import Weather
    >>> usual = climatology(Weather(["2026-05-01", "2026-05-03"], [4, 6], [14, 18]))
    >>> print(usual.of(["2027-05-02"])[1].round(1))
    [16.]
    """

    tmin_c: Array
    tmax_c: Array
    tmin_sd_c: Array
    tmax_sd_c: Array
    mean_sd_c: Array
    n_years: int

    def of(self, days: Any) -> tuple[Array, Array]:
        """Return the usual lowest and highest of days.

        Parameters
        ----------
        days : array_like
            The days, of any year [date].

        Returns
        -------
        tuple of ndarray
            Lowest and highest [°C].
        """
        at = day_of_year(days)
        return self.tmin_c[at], self.tmax_c[at]


def days_from(first: Any, last: Any) -> Days:
    """Return every day from one to another, both included.

    Parameters
    ----------
    first, last : array_like
        The two days [date].

    Returns
    -------
    ndarray
        The days [date].

    References
    ----------
    Our own layout.

    Examples
    --------
    >>> print(days_from("2026-02-28", "2026-03-01"))
    ['2026-02-28' '2026-03-01']
    """
    import numpy as np

    one, after = np.datetime64(first, "D"), np.datetime64(last, "D") + np.timedelta64(1, "D")
    return np.arange(one, after)


def day_of_year(days: Any) -> NDArray[int64]:
    """Return the place of days in a year that always has a 29 February.

    Parameters
    ----------
    days : array_like
        The days [date].

    Returns
    -------
    ndarray
        0 on 1 January to 365 on 31 December [1].

    References
    ----------
    Our own layout.

    Examples
    --------
    >>> print(day_of_year(["2026-01-01", "2026-03-01", "2028-03-01", "2026-12-31"]))
    [  0  60  60 365]
    """
    import numpy as np

    on = np.asarray(days, dtype="datetime64[D]")
    month = on.astype("datetime64[M]")
    first = np.cumsum([0, 31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30])
    return np.asarray(first[month.astype(int) % 12] + (on - month.astype("datetime64[D]")).astype(int))


def climatology(weather: Weather) -> Climatology:
    """Return what is usual on each day of the year, by the days that were seen.

    Parameters
    ----------
    weather : Weather
        Days of as many years as there are; forecasts and filled days are left out.

    Returns
    -------
    Climatology
        Means and standard deviations by the day of the year.

    Notes
    -----
    Each day of the year is a mean of the days seen within 30 days of it in any year, weighted by a normal
    curve of sd 10 d round the ring of the year: the curve of the seasons loses about 1.5 per cent of its
    height. The spread is that of single days about the mean; with one year it is the spread within that
    year. Where no day was seen within 30 days, nothing is said (nan).

    References
    ----------
    Our own; a kernel mean.

    Examples
    --------
    >>> import numpy as np
    >>> from slipwright.craft.weather import Weather, days_from
    >>> on = days_from("2021-01-01", "2024-12-31")
    >>> wave = 10 - 8 * np.cos(2 * np.pi * day_of_year(on) / 366)
    >>> usual = climatology(Weather(on, wave - 4, wave + 4))
    >>> print(usual.tmax_c[[0, 183]].round(1), usual.n_years)
    [ 6.1 21.9] 4
    """
    import numpy as np

    seen = weather.is_known & ~weather.is_forecast & ~weather.is_filled
    at = day_of_year(weather.on[seen])
    apart = np.arange(DAYS_OF_YEAR)
    apart = np.minimum(apart, DAYS_OF_YEAR - apart)
    weight = np.where(apart <= 3 * SMOOTH_D, np.exp(-0.5 * (apart / SMOOTH_D) ** 2), 0)
    around = weight[(np.arange(DAYS_OF_YEAR)[:, None] - np.arange(DAYS_OF_YEAR)) % DAYS_OF_YEAR]

    def usual(values: Array) -> Array:
        with np.errstate(invalid="ignore", divide="ignore"):
            n = around @ np.bincount(at, minlength=DAYS_OF_YEAR).astype(float)
            return np.asarray(around @ np.bincount(at, values, DAYS_OF_YEAR) / n)

    means, sds = [], []
    for values in (weather.tmin_c[seen], weather.tmax_c[seen], weather.mean_c[seen]):
        means.append(usual(values))
        sds.append(np.sqrt(usual((values - means[-1][at]) ** 2)))
    n_years = len(np.unique(weather.on[seen].astype("datetime64[Y]")))
    return Climatology(means[0], means[1], sds[0], sds[1], sds[2], n_years)


def filled(weather: Weather, usual: Climatology | None = None, days: Any = None) -> Weather:
    """Return the weather with every day it does not know as it usually is, marked ``is_filled``.

    Parameters
    ----------
    weather : Weather
        What is known.
    usual : Climatology, optional
        What is usual; ``climatology(weather)`` if not given.
    days : array_like, optional
        The days wanted; from the first to the last of ``weather`` if not given [date].

    Returns
    -------
    Weather
        The days wanted; nan only where nothing usual is known either.

    References
    ----------
    Our own.

    Examples
    --------
    >>> from slipwright.craft.weather import Weather
    >>> seen = Weather(["2026-05-01", "2026-05-03"], [4, 6], [14, 18])
    >>> print(filled(seen).is_filled, filled(seen).tmin_c)
    [False  True False] [4. 5. 6.]
    """
    import numpy as np

    if days is None:
        days = days_from(weather.on[0], weather.on[-1]) if len(weather) else weather.on
    whole = weather.of(days)
    tmin_c, tmax_c = (usual or climatology(weather)).of(whole.on)
    fill = ~whole.is_known & np.isfinite(tmin_c)
    return replace(
        whole,
        tmin_c=np.where(fill, tmin_c, whole.tmin_c),
        tmax_c=np.where(fill, tmax_c, whole.tmax_c),
        is_forecast=whole.is_forecast & ~fill,
        is_filled=whole.is_filled | fill,
    )
