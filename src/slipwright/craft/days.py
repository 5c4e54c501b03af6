"""Days as people say them, to be said in any tongue, and the weeks they lie in."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Final

from slipwright.craft.said import Said

if TYPE_CHECKING:
    from datetime import date

#: "May" is the whole name of its month too: here it is one that other tongues shorten like the rest
MONTHS: Final = (
    Said("Jan"),
    Said("Feb"),
    Said("Mar"),
    Said("Apr"),
    Said("May{short}", short=""),
    Said("Jun"),
    Said("Jul"),
    Said("Aug"),
    Said("Sep"),
    Said("Oct"),
    Said("Nov"),
    Said("Dec"),
)


def monday_of(day: date) -> date:
    """Return the Monday of a day's week.

    Parameters
    ----------
    day : date
        The day.

    Returns
    -------
    date
        The day itself, or the Monday before it.

    References
    ----------
    ISO 8601-1:2019: a week begins on Monday.

    Examples
    --------
    >>> from datetime import date
    >>> monday_of(date(2015, 6, 12)).isoformat()
    '2015-06-08'
    """
    return day - timedelta(days=day.weekday())


def day_in_words(day: date, *, beside: date | None = None) -> str:
    """Return a day as people say it, with the year only where it is needed.

    Parameters
    ----------
    day : date
        The day.
    beside : date, optional
        A day whose year the reader has in mind.

    Returns
    -------
    str
        Such as "10 Sep", or "10 Sep 2027" in another year than ``beside``.

    References
    ----------
    Our own wording.

    Examples
    --------
    >>> from datetime import date
    >>> day_in_words(date(2027, 2, 3), beside=date(2026, 11, 4))
    '3 Feb 2027'
    """
    month = MONTHS[day.month - 1]
    if beside is not None and beside.year == day.year:
        return Said("{day} {month}", day=day.day, month=month)
    return Said("{day} {month} {year}", day=day.day, month=month, year=day.year)
