"""When each kind of wood is right: windows on the calendar, with edges weeks wide."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from slipwright.craft.errors import BadArgument

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    #: month and day of the opening, month and day of the closing, northern hemisphere
    Edges = tuple[tuple[int, int], tuple[int, int]]

WOODS = ("softwood", "semi-hardwood", "hardwood")
#: how far the edges of a season shift from year to year, as a standard deviation: common practice, no source
EDGE_SD_DAYS = 14.0
#: a day is in a window from this probability on, and surely in it from the second
OPEN_FROM = 0.5
SURE_FROM = 0.9

_YEAR_DAYS = 365
_DAYS_OF_MONTH = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


@dataclass(frozen=True)
class Window:
    """An unbroken run of days in which a wood is more likely right than not.

    Attributes
    ----------
    wood : str
        Kind of wood.
    opens_on : date
        First day of the run.
    closes_on : date
        Last day of the run.
    sure_from : date or None
        First day of the run with probability .9 or more.
    sure_to : date or None
        Last day of the run with probability .9 or more.
    p_open : float
        Probability that this window is open on the day asked about [-].
    """

    wood: str
    opens_on: date
    closes_on: date
    sure_from: date | None
    sure_to: date | None
    p_open: float


def p_open(day: date, opens_on: date, closes_on: date, sd_days: float = EDGE_SD_DAYS) -> float:
    """Return the probability that a season is open on a day.

    Parameters
    ----------
    day : date
        The day asked about.
    opens_on : date
        Usual first day of the season.
    closes_on : date
        Usual last day of the season.
    sd_days : float
        Standard deviation of each edge [d].

    Returns
    -------
    float
        Probability [-].

    Raises
    ------
    BadArgument
        If the season closes before it opens, or the deviation is negative.

    Notes
    -----
    Opening and closing are normal about the beginning of the first day and the end of the last,
    and independent: p = F((day + 1/2 - opens) / sd) F((closes + 1/2 - day) / sd). So the first
    and last day of a long season have a little over one half. Independence and 14 days are
    assumptions until a garden's own records of firmness and stages replace them.

    References
    ----------
    Normal edges of 14 days: common practice, no source.

    Examples
    --------
    >>> round(p_open(date(2026, 9, 1), date(2026, 9, 1), date(2026, 11, 30)), 2)
    0.51
    """
    if closes_on < opens_on:
        raise BadArgument("closes_on", f"not lie before opens_on ({opens_on})", closes_on)
    _check_sd(sd_days)
    since = day.toordinal() - opens_on.toordinal() + 0.5
    left = closes_on.toordinal() - day.toordinal() + 0.5
    if sd_days == 0.0:
        return float(since > 0.0 and left > 0.0)
    return _normal(since / sd_days) * _normal(left / sd_days)


def season_dates(
    opens: tuple[int, int], closes: tuple[int, int], *, south: bool, near: date
) -> tuple[date, date]:
    """Return first and last day of the season that holds a day, or else lies nearest to it.

    Parameters
    ----------
    opens : tuple of int
        First day as month and day, northern hemisphere [month, day].
    closes : tuple of int
        Last day as month and day [month, day]; before ``opens`` if the season holds the
        new year.
    south : bool
        Whether the garden lies south of the equator: six months later.
    near : date
        The day asked about.

    Returns
    -------
    tuple of date
        First and last day. Of two equally near, the one still to come.

    Raises
    ------
    BadArgument
        If there is no such day of the year, or ``near`` lies outside the years 5 to 9990.

    Notes
    -----
    29 February is 28 February in years without it. Six months after 31 August is the last of
    February.

    References
    ----------
    Seasons six months apart in the two hemispheres: common practice, no source.

    Examples
    --------
    >>> season_dates((11, 1), (2, 28), south=False, near=date(2027, 1, 10))
    (datetime.date(2026, 11, 1), datetime.date(2027, 2, 28))
    >>> season_dates((8, 15), (9, 30), south=True, near=date(2026, 10, 20))
    (datetime.date(2027, 2, 15), datetime.date(2027, 3, 30))
    """
    return min(_occurrences((opens, closes), south, near), key=lambda season: _distance(season, near))


def windows_of_seasons(
    wood: str, seasons: Sequence[Edges], on: date, south: bool = False, sd_days: float = EDGE_SD_DAYS
) -> tuple[Window, ...]:
    """Return the windows of a wood with several seasons that touch the 365 days from a day on.

    Parameters
    ----------
    wood : str
        ``softwood``, ``semi-hardwood`` or ``hardwood``.
    seasons : sequence of pairs of (month, day)
        Opening and closing of each season, northern hemisphere.
    on : date
        First of the 365 days.
    south : bool
        Whether the garden lies south of the equator.
    sd_days : float
        Standard deviation of each edge [d].

    Returns
    -------
    tuple of Window
        One for each unbroken run of days with probability .5 or more, in the order of the
        calendar. A run may begin before ``on`` and end after the 365 days. A wood that is right
        all the year gives one window of the 365 days.

    Raises
    ------
    BadArgument
        If the wood, a day of the year, the deviation or the year of ``on`` is out of range.

    Notes
    -----
    Seasons are independent: p of a day is 1 less the product of (1 - p) over seasons and years,
    with p of :func:`p_open`. Seasons shorter than about 15 days never reach one half with edges
    of 14 days, and give no window.

    References
    ----------
    Normal edges of 14 days: common practice, no source.

    Examples
    --------
    >>> len(windows_of_seasons("softwood", [((4, 1), (5, 31)), ((8, 1), (9, 15))], date(2026, 3, 1)))
    2
    """
    if wood not in WOODS:
        raise BadArgument("wood", f"be one of {', '.join(WOODS)}", wood)
    _check_sd(sd_days)
    spans = [span for edges in seasons for span in _occurrences(edges, south, on)]
    if any(_fills_the_year(edges) for edges in seasons):
        last = on + timedelta(days=_YEAR_DAYS - 1)
        return (Window(wood, on, last, on, last, 1.0),)
    first_day = on - timedelta(days=_YEAR_DAYS)
    days = [first_day + timedelta(days=i) for i in range(3 * _YEAR_DAYS)]
    chances = _chances(days, spans, sd_days)

    def p_on(start: int, stop: int) -> float:
        own = [span for span in spans if span[0] <= days[stop] and span[1] >= days[start]]
        return _chances([on], own, sd_days)[0]

    return _windows(wood, first_day, chances, p_on)


def windows_of_chances(wood: str, chances: Sequence[float], on: date) -> tuple[Window, ...]:
    """Return the windows of a wood whose chance of being right is known day by day.

    Parameters
    ----------
    wood : str
        ``softwood``, ``semi-hardwood`` or ``hardwood``.
    chances : sequence of float
        Chance on each of 1095 days, the first of them 365 days before ``on`` [-].
    on : date
        The day asked about.

    Returns
    -------
    tuple of Window
        One for each unbroken run of days with a chance of .5 or more that touches the 365 days from ``on``.
        A run that does not hold ``on`` is as likely open on it as that day's chance says if it lies
        nearest, and else not.

    Raises
    ------
    BadArgument
        If the wood is not one of the three, or there are not so many days.

    References
    ----------
    Definition.

    Examples
    --------
    >>> first = [0.0] * 365 + [0.6] * 10 + [0.95] * 20 + [0.0] * 700
    >>> (run,) = windows_of_chances("softwood", first, date(2026, 5, 1))
    >>> run.opens_on, run.sure_from, run.closes_on, run.p_open
    (datetime.date(2026, 5, 1), datetime.date(2026, 5, 11), datetime.date(2026, 5, 30), 0.6)
    """
    if wood not in WOODS:
        raise BadArgument("wood", f"be one of {', '.join(WOODS)}", wood)
    if len(chances) != 3 * _YEAR_DAYS:
        raise BadArgument("chances", f"hold {3 * _YEAR_DAYS} days", len(chances))
    runs = _runs(chances)
    nearest = min(runs, key=lambda run: max(run[0] - _YEAR_DAYS, _YEAR_DAYS - run[1], 0), default=(0, 0))

    def p_on(start: int, stop: int) -> float:
        return float(chances[_YEAR_DAYS]) if (start, stop) == nearest else 0.0

    return _windows(wood, on - timedelta(days=_YEAR_DAYS), chances, p_on)


def occurrences(edges: Edges, south: bool, near: date) -> list[tuple[date, date]]:
    """Return first and last days of a season in the three years before and after a day.

    Parameters
    ----------
    edges : pair of (month, day)
        Opening and closing, northern hemisphere.
    south : bool
        Whether the garden lies south of the equator.
    near : date
        The day.

    Returns
    -------
    list of pairs of date
        Seven seasons, in the order of the calendar.

    References
    ----------
    As `season_dates`.

    Examples
    --------
    >>> occurrences(((5, 1), (7, 31)), False, date(2026, 6, 1))[3]
    (datetime.date(2026, 5, 1), datetime.date(2026, 7, 31))
    """
    return _occurrences(edges, south, near)


def _windows(
    wood: str, first_day: date, chances: Sequence[float], p_on: Callable[[int, int], float]
) -> tuple[Window, ...]:
    windows = []
    for start, stop in _runs(chances):
        if stop < _YEAR_DAYS or start >= 2 * _YEAR_DAYS:
            continue
        # the open ends of a run that fills all the days looked at are cut to the year asked about
        if start == 0 and stop == len(chances) - 1:
            start, stop = _YEAR_DAYS, 2 * _YEAR_DAYS - 1
        sure = [i for i in range(start, stop + 1) if chances[i] >= SURE_FROM]
        windows.append(
            Window(
                wood,
                first_day + timedelta(days=start),
                first_day + timedelta(days=stop),
                first_day + timedelta(days=sure[0]) if sure else None,
                first_day + timedelta(days=sure[-1]) if sure else None,
                float(chances[_YEAR_DAYS]) if start <= _YEAR_DAYS <= stop else p_on(start, stop),
            )
        )
    return tuple(windows)


def _check_sd(sd_days: float) -> None:
    if not (math.isfinite(sd_days) and sd_days >= 0.0):
        raise BadArgument("sd_days", "be 0 or more", sd_days)


def _normal(z: float) -> float:
    return 0.5 * math.erfc(-z / math.sqrt(2.0))


def _day_of(year: int, month_day: tuple[int, int], south: bool) -> date:
    month, day = month_day
    if south:
        month = (month + 5) % 12 + 1
    day = min(day, _DAYS_OF_MONTH[month - 1])
    if (month, day) == (2, 29) and not (year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)):
        day = 28
    return date(year, month, day)


def _occurrences(edges: Edges, south: bool, near: date) -> list[tuple[date, date]]:
    """First and last days of a season in the years about a day."""
    for name, month_day in zip(("opens", "closes"), edges, strict=True):
        month, day = month_day
        if not (1 <= month <= 12 and 1 <= day <= _DAYS_OF_MONTH[month - 1]):
            raise BadArgument(name, "be a (month, day) of the year", month_day)
    if not 5 <= near.year <= 9990:
        raise BadArgument("on", "lie in the years 5 to 9990", near)
    spans = []
    for year in range(near.year - 3, near.year + 4):
        first, last = _day_of(year, edges[0], south), _day_of(year, edges[1], south)
        if last < first:
            last = _day_of(year + 1, edges[1], south)
        spans.append((first, last))
    return spans


def _distance(season: tuple[date, date], near: date) -> tuple[int, int]:
    first, last = season
    if first <= near <= last:
        return 0, 0
    return (abs((first - near).days), 0) if first > near else ((near - last).days, 1)


def _fills_the_year(edges: Edges) -> bool:
    """Whether a season closes on the day before it opens again."""
    first = date(2001, 1, 1) if edges[0] == (2, 29) else _day_of(2001, edges[0], south=False)
    before = first - timedelta(days=1)
    return (before.month, before.day) == edges[1] or (before.month, before.day, edges[1]) == (2, 28, (2, 29))


#: so many standard deviations outside its edges a season's chance is lost in double precision
_BEYOND_SD = 9.0


def _chances(days: list[date], spans: list[tuple[date, date]], sd_days: float) -> list[float]:
    """Probability that any of the seasons is open, for days in a row."""
    p_none = [1.0] * len(days)
    start, reach = days[0].toordinal(), math.ceil(_BEYOND_SD * sd_days) + 1
    for opens_on, closes_on in spans:
        first = max(opens_on.toordinal() - reach - start, 0)
        last = min(closes_on.toordinal() + reach - start, len(days) - 1)
        for i in range(first, last + 1):
            p_none[i] *= 1.0 - p_open(days[i], opens_on, closes_on, sd_days)
    return [1.0 - p for p in p_none]


def _runs(chances: Sequence[float]) -> list[tuple[int, int]]:
    """First and last place of each unbroken run at one half or more."""
    runs = []
    start = None
    for i, p in enumerate([*chances, 0.0]):
        if p >= OPEN_FROM and start is None:
            start = i
        elif p < OPEN_FROM and start is not None:
            runs.append((start, i - 1))
            start = None
    return runs
