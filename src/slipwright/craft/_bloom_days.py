"""Days of several years laid over one another."""

from __future__ import annotations

from typing import TYPE_CHECKING

from slipwright.craft.years import YEAR_DAYS

if TYPE_CHECKING:
    from numpy import datetime64, float64, int64
    from numpy.typing import ArrayLike, NDArray

    Array = NDArray[float64]
    Days = NDArray[datetime64]


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
    return moved(book, np.where(there, day, 0).sum(axis=-1) / np.maximum(n, 1))


def moved(book: Days, days: Array) -> Days:
    """Return days so many days after others, to the nearest day."""
    import numpy as np

    return np.asarray(book + np.rint(days).astype("timedelta64[D]"))
