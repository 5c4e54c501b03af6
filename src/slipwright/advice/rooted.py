"""Rooted cuttings that stand unpotted: since when, and whether they may be potted."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from slipwright.advice.walk import BatchOnRound, rule_of
from slipwright.handbook.pages import PotUpRule
from slipwright.rooting.counts import BatchCounts
from slipwright.rooting.dates import POT_UP_AT, pot_up_at, pot_up_day
from slipwright.rooting.forecast import DayRange

#: rooted ones too few to turn a pot out for are potted all the same after so many days
STANDING_DAYS = 14
#: days for which cuttings that were taken out and were not ready are left alone
NOT_READY_DAYS = 7


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


def stands_rooted(batch: BatchOnRound, *, on: date, south: bool = False) -> StandsRooted | None:
    """Return the rooted cuttings of a batch that stand unpotted.

    Parameters
    ----------
    batch : BatchOnRound
        The batch.
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
    >>> stands = stands_rooted(BatchOnRound("K7Q2M9T3", "Rosa", "hardwood", counts), on=date(2026, 11, 27))
    >>> stands.n, stands.since.isoformat(), stands.may_pot(date(2026, 11, 27))
    (4, '2026-11-20', True)
    """
    known = batch.counts.until(max(on, batch.counts.stuck_on))
    n = known.n_to_pot
    if n <= 0:
        return None
    n_alive = n + max(known.n_waiting, 0)
    enough, few = max(pot_up_at(n_alive), 1), min(POT_UP_AT, n_alive)
    since, enough_on = _since(known, 1), None
    if n >= enough:
        since = enough_on = _since(known, enough)
    elif n >= few:
        since = _since(known, few)
        enough_on = since + timedelta(days=STANDING_DAYS)
    rule = rule_of(batch)
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
    p10, p50, p90 = (pot_up_day(rooted_on, rule, south=south, edge=edge) for edge in ("p10", "p50", "p90"))
    return DayRange(p10, p50, p90, rule)


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
