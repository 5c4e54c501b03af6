"""Daily weather with its years side by side: what the same days were like in other years."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Final

from slipwright.craft.errors import BadArgument

if TYPE_CHECKING:
    from numpy import float64, int64
    from numpy.typing import ArrayLike, NDArray

    from slipwright.craft.weather import Weather

    Array = NDArray[float64]

#: a turn of the seasons [d]
YEAR_DAYS: Final = 365.2425
#: shoots grow above this: common practice, no source [°C]
GROWTH_BASE_C: Final = 5.0
#: a stretch of another year is looked at if so much of it was seen
_SEEN_SHARE: Final = 0.8
#: years that say what is usual; older ones were cooler [1]
USUAL_YEARS: Final = 20


@dataclass(frozen=True, slots=True, eq=False)
class WeatherYears:
    """A garden's daily weather, its gaps filled by what is usual, ready to be summed.

    Attributes
    ----------
    starts_on, known_to : date
        First and last day of it.
    mean_sum_c, heat_sum_c_d, n_seen_sum : ndarray
        Of the days before each day: sum of the day's mean [°C d], degree-days above 5 °C [°C d], number of
        days seen or forecast [1].
    n_filled : int
        Days that stand as they usually are [1].
    is_forecast_from : date or None
        First day that is a forecast.

    References
    ----------
    Our own layout.

    Examples
    --------
    >>> from slipwright.craft.weather import Weather
    >>> years = weather_years(Weather(["2026-05-01", "2026-05-03"], [4, 6], [14, 18]))
    >>> years.known_to, years.n_filled
    (datetime.date(2026, 5, 3), 1)
    """

    starts_on: date
    known_to: date
    mean_sum_c: Array
    heat_sum_c_d: Array
    n_seen_sum: Array
    n_filled: int
    is_forecast_from: date | None = None

    def __len__(self) -> int:
        """Return the number of days."""
        return len(self.mean_sum_c) - 1

    def place(self, day: ArrayLike) -> NDArray[int64]:
        """Return the place of days among its days; below 0 before the first.

        Parameters
        ----------
        day : array_like
            The days [date].

        Returns
        -------
        ndarray
            Places [1].
        """
        import numpy as np

        first = np.datetime64(self.starts_on, "D")
        return np.asarray((np.asarray(day, "datetime64[D]") - first).astype("int64"))

    def shifts(self) -> NDArray[int64]:
        """Return how many days back each of the earlier years lies that say what is usual [d]."""
        import numpy as np

        n = np.arange(1, min(int(len(self) / YEAR_DAYS) + 3, USUAL_YEARS + 1))
        return np.asarray(np.rint(n * YEAR_DAYS).astype("int64"))

    def heat_since(self, from_on: date, n_days: int) -> Array:
        """Return the heat from a day to each of the following, as it was or as other years would bring it.

        Parameters
        ----------
        from_on : date
            The first day that counts.
        n_days : int
            Number of days [1].

        Returns
        -------
        ndarray
            A row for each way the year may go on, a column a day: degree-days up to and with that day
            [°C d]. One row where all days are known; no row where the weather does not reach back.
        """
        import numpy as np

        start = int(self.place(np.datetime64(from_on)))
        if start < 0 or start > len(self):
            return np.empty((0, n_days))
        known = min(n_days, len(self) - start)
        seen = self.heat_sum_c_d[start + 1 : start + known + 1] - self.heat_sum_c_d[start]
        if known == n_days:
            return np.asarray(seen[None, :])
        begin, length = start + known, n_days - known
        ahead = []
        for shift in self.shifts():
            one = begin - int(shift)
            if one < 0 or one + length > len(self):
                continue
            if self.n_seen_sum[one + length] - self.n_seen_sum[one] >= _SEEN_SHARE * length:
                ahead.append(self.heat_sum_c_d[one + 1 : one + length + 1] - self.heat_sum_c_d[one])
        if not ahead:
            return np.empty((0, n_days))
        so_far = seen[-1] if known else 0.0
        rows = np.empty((len(ahead), n_days))
        rows[:, :known] = seen
        rows[:, known:] = so_far + np.array(ahead)
        return rows


def weather_years(
    weather: Weather, on: date | None = None, *, base_c: float = GROWTH_BASE_C
) -> WeatherYears | None:
    """Return a garden's weather ready for sums over its years.

    Parameters
    ----------
    weather : Weather
        Days seen, and days ahead as forecast.
    on : date, optional
        The day asked about: days seen after it are left out, forecasts stay.
    base_c : float
        Temperature above which shoots grow [°C].

    Returns
    -------
    WeatherYears or None
        None where not one day is known.

    Raises
    ------
    BadArgument
        If the base is not a temperature of growth.

    Notes
    -----
    Days not known between the first and the last stand as they usually are, and are counted.

    References
    ----------
    Heat by `slipwright.craft.heat.degree_days_c`; usual days by `slipwright.craft.weather.climatology`.

    Examples
    --------
    >>> from slipwright.craft.weather import Weather
    >>> years = weather_years(Weather(["2026-05-01", "2026-05-02"], [10, 10], [20, 20]))
    >>> years.heat_since(date(2026, 5, 1), 2).round(1).tolist()
    [[10.0, 20.0]]
    """
    import numpy as np

    from slipwright.craft.heat import COLDEST_C, HOTTEST_C, degree_days_c
    from slipwright.craft.weather import days_from, filled

    if not -10.0 <= base_c <= 30.0:
        raise BadArgument("base_c", "lie from -10 to 30", base_c)
    if on is not None:
        weather = weather.of(weather.on[(weather.on <= np.datetime64(on, "D")) | weather.is_forecast])
    known = weather.on[weather.is_known]
    if not len(known):
        return None
    days = days_from(known[0], known[-1])
    cut = weather.of(days)
    whole = cut if cut.is_known.all() else filled(weather, days=days)
    # where nothing usual is known either, the nearest days on both sides speak; a curve through few and wild
    # days may swing beyond what any place on earth has
    tmin_c, tmax_c = (
        np.clip(_bridged(values), COLDEST_C, HOTTEST_C) for values in (whole.tmin_c, whole.tmax_c)
    )
    heat = degree_days_c(tmin_c, tmax_c, base_c)
    ahead = days[cut.is_forecast & cut.is_known]
    return WeatherYears(
        days[0].item(),
        days[-1].item(),
        _summed((tmin_c + tmax_c) / 2),
        _summed(heat),
        _summed(cut.is_known.astype(float)),
        int((~cut.is_known).sum()),
        ahead[0].item() if len(ahead) else None,
    )


def same_day(day: date, years_later: int) -> date:
    """Return the day at the same place of the seasons some years later.

    Parameters
    ----------
    day : date
        The day.
    years_later : int
        How many years, below 0 for earlier [1].

    Returns
    -------
    date
        So many turns of 365.2425 days later, to the nearest day.

    References
    ----------
    The mean year of the Gregorian calendar.

    Examples
    --------
    >>> same_day(date(2026, 5, 20), -4)
    datetime.date(2022, 5, 20)
    """
    return day + timedelta(days=round(years_later * YEAR_DAYS))


def _bridged(values: Array) -> Array:
    import numpy as np

    there = np.isfinite(values)
    if there.all():
        return values
    at = np.arange(len(values))
    return np.asarray(np.interp(at, at[there], values[there]))


def _summed(values: Array) -> Array:
    import numpy as np

    return np.concatenate([[0.0], np.cumsum(values)])
