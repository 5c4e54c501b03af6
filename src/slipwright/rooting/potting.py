"""Rooted cuttings that stand unpotted: since when, and from which day they may be potted."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from slipwright.handbook.pages import PotUpRule
from slipwright.rooting.counts import BatchCounts
from slipwright.rooting.dates import EDGES, FEW, POT_UP_AT, POT_UP_SHARE, pot_up_at, pot_up_day
from slipwright.rooting.ranges import Counts

#: rooted ones too few to turn a pot out for are potted all the same after so many days
STANDING_DAYS = 14
#: days for which cuttings that were taken out and were not ready are left alone
NOT_READY_DAYS = 7


@dataclass(frozen=True, slots=True)
class DayRange:
    """A day with its 10 and 90 per cent points; ``None`` where it may never come."""

    p10: date | None
    p50: date | None
    p90: date | None
    rule: str = ""
    #: chance that it never comes, as far as the forecast looks
    p_never: float = 0.0

    def as_json(self) -> dict[str, str | None]:
        """Plain data."""
        points = {"p10": self.p10, "p50": self.p50, "p90": self.p90}
        texts: dict[str, str | None] = {
            name: day.isoformat() if day else None for name, day in points.items()
        }
        return {**texts, "rule": self.rule}


@dataclass(frozen=True, slots=True)
class StandsRooted:
    """Rooted and unpotted cuttings of a batch on a day."""

    n: int
    #: the day from which as many as are potted together have stood; while fewer do, the first one's
    since: date
    #: the first day to turn the pot out, as far as their number goes; None while too few stand
    enough_on: date | None
    rule: PotUpRule
    #: when the plant's rule lets them be potted, counted from ``since``
    may_from: DayRange
    #: whether new growth was seen since, where the rule waits for it
    grows: bool
    #: the day of the last look that found them not ready to pot; None where none did since they stand
    not_ready_on: date | None = None

    def is_let(self, on: date) -> bool:
        """Whether the plant's rule lets them be potted on a day."""
        return self.grows or self.may_from.p50 is None or on >= self.may_from.p50

    def may_pot(self, on: date) -> bool:
        """Whether enough stand and the rule lets them be potted on a day."""
        return self.enough_on is not None and on >= self.enough_on and self.is_let(on)

    @property
    def pot_up_on(self) -> DayRange | None:
        """When they may be potted, by their number and by the rule; None while too few stand."""
        enough_on = self.enough_on
        if enough_on is None:
            return None
        if self.grows:
            return DayRange(enough_on, enough_on, enough_on, self.rule)
        may = self.may_from
        low, middle, high = (day and max(day, enough_on) for day in (may.p10, may.p50, may.p90))
        return DayRange(low, middle, high, self.rule)


def rooted_standing(
    batch: BatchCounts, rule: PotUpRule, *, on: date, south: bool = False
) -> StandsRooted | None:
    """Return the rooted cuttings of a batch that stand unpotted.

    Parameters
    ----------
    batch : BatchCounts
        What was stuck, what the looks found, what was potted; looks after ``on`` are left out.
    rule : {'at-once', 'after-new-growth', 'undisturbed-until-spring'}
        The handbook's rule for the plant.
    on : date
        Today.
    south : bool
        Whether the garden lies south of the equator.

    Returns
    -------
    StandsRooted or None
        Since when they stand and when they may be potted; None where none stands.

    Notes
    -----
    Enough are three, or a third of those alive if that is more; three will do once they stand 14 days.
    Where both are so, the one that lets them be potted first holds.
    The rule counts from the day enough stood, so a plant whose spring has passed since may be potted.
    A look that found them not ready holds them for 7 days.

    References
    ----------
    Our own: common practice, no source.

    Examples
    --------
    >>> from slipwright.rooting.counts import LookCounts
    >>> looks = (LookCounts(date(2026, 11, 10), 2), LookCounts(date(2026, 11, 20), 2))
    >>> counts = BatchCounts(date(2026, 9, 1), 12, looks)
    >>> stands = rooted_standing(counts, "at-once", on=date(2026, 11, 27))
    >>> stands.n, stands.since.isoformat(), stands.may_pot(date(2026, 11, 27))
    (4, '2026-11-20', True)
    """
    known = batch.until(max(on, batch.stuck_on))
    n = known.n_to_pot
    if n <= 0:
        return None
    n_alive = n + max(known.n_waiting, 0)
    enough, few = max(pot_up_at(n_alive), 1), min(POT_UP_AT, n_alive)
    # each way to have enough: since when they stand, and from when they are potted as far as numbers go
    ways: list[tuple[date, date]] = []
    if n >= enough:
        ways.append((_since(known, enough), _since(known, enough)))
    if n >= few:
        ways.append((_since(known, few), _since(known, few) + timedelta(days=STANDING_DAYS)))
    since, enough_on = min(
        ways,
        key=lambda way: max(way[1], pot_up_day(way[0], rule, south=south)),
        default=(_since(known, 1), None),
    )
    looks = [look for look in known.looks if look.on >= since]
    grows = rule == "after-new-growth" and any("new-leaf" in look.signs for look in looks)
    not_ready_on = max((look.on for look in looks if "not-ready" in look.signs), default=None)
    if enough_on and not_ready_on:
        enough_on = max(enough_on, not_ready_on + timedelta(days=NOT_READY_DAYS))
    return StandsRooted(n, since, enough_on, rule, may_pot_from(since, rule, south), grows, not_ready_on)


def may_pot_from(rooted_on: date, rule: PotUpRule, south: bool) -> DayRange:
    """Return when a plant's rule lets be potted what has stood rooted since a day.

    Parameters
    ----------
    rooted_on : date
        Day from which they have stood rooted.
    rule : {'at-once', 'after-new-growth', 'undisturbed-until-spring'}
        The handbook's rule for the plant.
    south : bool
        Whether the garden lies south of the equator.

    Returns
    -------
    DayRange
        The first such day: early, middling and late.

    References
    ----------
    As `slipwright.rooting.dates.pot_up_day`.

    Examples
    --------
    >>> may_pot_from(date(2026, 12, 1), "undisturbed-until-spring", False).p50.isoformat()
    '2027-04-05'
    """
    p10, p50, p90 = (pot_up_day(rooted_on, rule, south=south, edge=edge) for edge in EDGES)
    return DayRange(p10, p50, p90, rule)


def pot_up_range(
    on: date,
    ahead: Counts,
    rooted: Counts,
    lost: Counts,
    batch: BatchCounts,
    rule: PotUpRule,
    *,
    south: bool,
    stands: StandsRooted | None,
    look_on: date,
) -> DayRange:
    """Return when enough of those alive by then stand rooted, unpotted and counted, by the plant's rule.

    Parameters
    ----------
    on : date
        Today.
    ahead : array of shape (n_days,)
        The days ahead of ``on`` that were forecast, rising [days].
    rooted, lost : array of shape (n_days, n_draws)
        Draws of the cuttings rooted and lost in all by each of them [1].
    batch : BatchCounts
        The batch as counted.
    rule : {'at-once', 'after-new-growth', 'undisturbed-until-spring'}
        The handbook's rule for the plant.
    south : bool
        Whether the garden lies south of the equator.
    stands : StandsRooted or None
        What was counted and stands unpotted.
    look_on : date
        Day of the next look: before it no more are counted.

    Returns
    -------
    DayRange
        The day, never before ``on``; a point is None where it does not come as far as was forecast.

    References
    ----------
    As `rooted_standing`.

    Examples
    --------
    >>> on, waits = date(2026, 9, 1), BatchCounts(date(2026, 8, 1), 3)
    >>> rooted, none = np.array([[0, 0], [1, 2]]), np.zeros((2, 2), int)
    >>> told = pot_up_range(
    ...     on, np.array([0, 7]), rooted, none, waits, "at-once", south=False, stands=None, look_on=on
    ... )
    >>> told.p50.isoformat()
    '2026-09-08'
    """
    counted = stands.pot_up_on if stands else None
    if counted and batch.n_to_pot >= pot_up_at(batch.n_to_pot + batch.n_waiting):
        p10, p50, p90 = (day and max(day, on) for day in (counted.p10, counted.p50, counted.p90))
        return DayRange(p10, p50, p90, rule)
    to_pot = rooted - (batch.n_rooted - batch.n_to_pot)
    alive = to_pot + batch.n_waiting - (rooted - batch.n_rooted) - (lost - batch.n_lost)
    if not alive.any():
        return DayRange(None, None, None, rule, 1.0)
    # `pot_up_at`, of all draws at once
    enough = np.where(alive <= FEW, 1, np.maximum(POT_UP_AT, np.ceil(alive * POT_UP_SHARE)))
    reached = to_pot >= enough
    never = len(ahead)
    first = np.sort(np.where(reached.any(axis=0), reached.argmax(axis=0), never))
    points: list[date | None] = []
    for edge, share in zip(EDGES, (0.1, 0.5, 0.9), strict=True):
        k = int(first[math.ceil(share * len(first)) - 1])
        days: list[date] = []
        if k != never:
            seen_on = max(on + timedelta(days=int(ahead[k])), look_on)
            days.append(pot_up_day(seen_on, rule, south=south, edge=edge))
        # fewer that were counted are potted all the same, once they have stood for long
        if counted and (day := getattr(counted, edge)):
            days.append(max(day, on))
        points.append(min(days, default=None))
    return DayRange(points[0], points[1], points[2], rule, 0.0 if counted else float(np.mean(first == never)))


def _since(known: BatchCounts, enough: int) -> date:
    """Day of the look since which enough have stood rooted and unpotted."""
    standing, since = -known.n_potted, None
    for look in known.looks:
        standing += (look.n_rooted or 0) - (look.n_lost_rooted or 0)
        if standing < enough:
            since = None
        elif since is None:
            since = max(look.on, known.stuck_on)
    return since or known.stuck_on
