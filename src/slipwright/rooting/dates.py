"""Days that follow from a batch: the next look, potting up, giving up."""

from __future__ import annotations

import math
from datetime import date, timedelta
from typing import Literal

from slipwright.craft.wood import season_dates
from slipwright.handbook.pages import PotUpRule, Wood

Edge = Literal["p10", "p50", "p90"]
EDGES: tuple[Edge, ...] = ("p10", "p50", "p90")

#: a round comes past every 5 to 10 days, by default every 7
ROUND_DAYS = 7
LEAST_ROUND_DAYS = 5
MOST_ROUND_DAYS = 10
#: a batch nobody looked at for so many days is looked at before anything else is said of it
UNSEEN_DAYS = 14
#: rooted and unpotted cuttings that make potting up worth the walk: so many, or this share
POT_UP_AT = 3
#: in lots of so few each one that roots is potted by itself
FEW = 3
POT_UP_SHARE = 1 / 3
#: days from roots to a new shoot of some length, 10/50/90
NEW_GROWTH_DAYS: dict[Edge, int] = {"p10": 14, "p50": 21, "p90": 35}
#: (month, day) on which new growth of spring is well under way in the north, 10/50/90
SPRING: dict[Edge, tuple[int, int]] = {"p10": (3, 20), "p50": (4, 5), "p90": (4, 25)}
#: what roots later than this northern day is past the growth of this spring and waits for the next
SPRING_IS_OVER = (6, 30)
#: (month, day) from which new shoots are not to be expected before spring, in the north
GROWTH_ENDS = (10, 1)
_PATIENCE: dict[Wood, float] = {"softwood": 70.0, "semi-hardwood": 120.0, "hardwood": 210.0}


def next_look_on(
    last_on: date, *, round_days: int = ROUND_DAYS, rot_seen: bool = False, on: date | None = None
) -> date:
    """Day of the next look at a batch.

    Parameters
    ----------
    last_on : date
        Day of the last look, or of sticking.
    round_days : int
        Days between looks; below 5 counts as 5, above 10 as 10 [days].
    rot_seen : bool
        Whether the last look found rot or mould: then the next comes after 5 days.
    on : date, optional
        Today: a look overdue is due today.

    Returns
    -------
    date
        Day on which the look is due.

    Notes
    -----
    ``last_on`` + ``round_days``, never before ``on``.

    References
    ----------
    Looks every 5 to 10 days: common practice, no source.

    Examples
    --------
    >>> next_look_on(date(2026, 10, 20)).isoformat()
    '2026-10-27'
    """
    days = LEAST_ROUND_DAYS if rot_seen else min(max(round_days, LEAST_ROUND_DAYS), MOST_ROUND_DAYS)
    due = last_on + timedelta(days=days)
    return due if on is None else max(due, on)


def patience_of(wood: Wood) -> float:
    """Return after how many days waiting ends for a plant the handbook does not know.

    Parameters
    ----------
    wood : {'softwood', 'semi-hardwood', 'hardwood'}
        Kind of wood.

    Returns
    -------
    float
        70, 120 or 210 [days].

    References
    ----------
    Our own, long on purpose: common practice, no source.

    Examples
    --------
    >>> patience_of("softwood")
    70.0
    """
    return _PATIENCE[wood]


def give_up_on(stuck_on: date, patience_days: float) -> date:
    """Day on which patience with a batch runs out.

    Parameters
    ----------
    stuck_on : date
        Day of sticking.
    patience_days : float
        Days after sticking at which waiting ends [days].

    Returns
    -------
    date
        The day; the bark is scratched before anything is thrown away.

    Notes
    -----
    ``stuck_on`` + ``patience_days``, to the whole day.

    References
    ----------
    The patience of each wood stands in the handbook with its source or mark.

    Examples
    --------
    >>> give_up_on(date(2026, 10, 20), 120).isoformat()
    '2027-02-17'
    """
    return stuck_on + timedelta(days=round(patience_days))


def pot_up_at(n_alive: int) -> int:
    """Return how many must stand rooted and unpotted before a batch is potted up.

    Parameters
    ----------
    n_alive : int
        Cuttings waiting or rooted and unpotted [1].

    Returns
    -------
    int
        One where three or fewer live; else three, or a third of those alive where that is more [1].

    References
    ----------
    Our own rule, so that a pot shared by many is not turned out for the first few: common practice,
    no source.

    Examples
    --------
    >>> pot_up_at(9), pot_up_at(42), pot_up_at(2)
    (3, 14, 1)
    """
    if n_alive <= FEW:
        return min(n_alive, 1)
    return max(POT_UP_AT, math.ceil(n_alive * POT_UP_SHARE))


def six_months_on(month_day: tuple[int, int]) -> tuple[int, int]:
    """Return the same day of the calendar six months later.

    Parameters
    ----------
    month_day : tuple of two int
        Month and day [-].

    Returns
    -------
    tuple of two int
        Month and day [-], of a year without 29 February.

    Notes
    -----
    The rule is that of `slipwright.craft.wood.season_dates`.

    References
    ----------
    As `slipwright.craft.wood.season_dates`.

    Examples
    --------
    >>> six_months_on((4, 5)), six_months_on((8, 31))
    ((10, 5), (2, 28))
    """
    day, _ = season_dates(month_day, month_day, south=True, near=date(2001, 7, 1))
    return day.month, day.day


def pot_up_day(rooted_on: date, rule: PotUpRule, *, south: bool = False, edge: Edge = "p50") -> date:
    """First day on which rooted cuttings may be potted up.

    Parameters
    ----------
    rooted_on : date
        Day on which enough had rooted.
    rule : {'at-once', 'after-new-growth', 'undisturbed-until-spring'}
        The handbook's rule for the plant.
    south : bool
        Whether the garden lies south of the equator.
    edge : {'p10', 'p50', 'p90'}
        Whether an early, a middling or a late spring and growth are meant.

    Returns
    -------
    date
        The day, never before ``rooted_on`` and never falling in it.

    Notes
    -----
    After new growth: 14/21/35 days after rooting, and not between 1 October and spring (20 March,
    5 April, 25 April; six months later in the south).  Undisturbed until spring is about what roots in
    autumn and winter, when torn roots do not mend: it waits for the first spring after rooting.  What roots
    from spring to 30 June (30 December in the south), while the growth of that year lasts, may be potted at
    once; what roots later waits for the next year's spring.

    References
    ----------
    The rule of each plant stands in the handbook; the days here are our own: common practice, no
    source.

    Examples
    --------
    >>> pot_up_day(date(2026, 12, 1), "undisturbed-until-spring").isoformat()
    '2027-04-05'
    """
    if rule == "at-once":
        return rooted_on
    if rule == "undisturbed-until-spring":
        return _in_spring(rooted_on, south, edge, SPRING_IS_OVER)
    grown_on = rooted_on + timedelta(days=NEW_GROWTH_DAYS[edge])
    return _in_spring(grown_on, south, edge, GROWTH_ENDS)


def _in_spring(day: date, south: bool, edge: Edge, last: tuple[int, int]) -> date:
    """``day`` itself between spring and ``last``, else the spring that follows."""
    opens, closes = season_dates(SPRING[edge], last, south=south, near=day)
    if closes < day:  # the spring past is nearer than the one to come
        opens, closes = season_dates(SPRING[edge], last, south=south, near=day + timedelta(days=183))
    return max(day, opens)
