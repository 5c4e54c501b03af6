"""What a batch will do, day by day, by the two clocks: as believed, as learned, weighed by its own looks.

Draws of the batch's two clocks come from the handbook or from all that the garden's records taught.  Looks
that these do not know yet weigh the draws.  What still waits is then thrown forward, cutting by cutting, so
that no forecast passes the number alive or falls below what was counted.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import pairwise
from typing import Any

import numpy as np

from slipwright.handbook.pages import PotUpRule
from slipwright.rooting.belief_left import prior_share
from slipwright.rooting.counts import BatchCounts
from slipwright.rooting.dates import (
    LEAST_ROUND_DAYS,
    ROUND_DAYS,
    UNSEEN_DAYS,
    give_up_on,
    next_look_on,
)
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import ClockDraws, Learned
from slipwright.rooting.potting import DayRange, pot_up_range, rooted_standing
from slipwright.rooting.ranges import Counts
from slipwright.rooting.resting import RestsOn, rests_on
from slipwright.rooting.standing import Standing, expected_rooted, filled, standing_of, thrown_forward
from slipwright.rooting.weighing import weighed_clocks

#: days shown ahead of a batch whose patience has run out
DAYS_PAST_PATIENCE = 28
#: a walk to one batch is worth so many days of single cuttings that stand rooted and unpotted
WALK_WORTH_DAYS = 10.0
#: past this share of its patience a batch is given up where the chance that one more roots is below that
GIVE_UP_SHARE, GIVE_UP_CHANCE = 0.5, 0.1


@dataclass(frozen=True, slots=True)
class Band:
    """Mean and 10, 50 and 90 per cent points of a number of cuttings."""

    mean: float
    p10: int
    p50: int
    p90: int

    def as_json(self) -> dict[str, float | int]:
        """Plain data."""
        return {"mean": round(self.mean, 2), "p10": self.p10, "p50": self.p50, "p90": self.p90}


@dataclass(frozen=True, slots=True)
class ForecastDay:
    """Cuttings rooted, lost and waiting by the end of one day."""

    on: date
    rooted: Band
    lost: Band
    waiting: Band

    def as_json(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "on": self.on.isoformat(),
            "rooted": self.rooted.as_json(),
            "lost": self.lost.as_json(),
            "waiting": self.waiting.as_json(),
        }


@dataclass(frozen=True, slots=True)
class Forecast:
    """A batch day by day, and the days that follow from it."""

    days: tuple[ForecastDay, ...]
    look_next_on: date
    pot_up_on: DayRange
    give_up_on: date
    rests_on: RestsOn
    #: cuttings stuck, and as counted: those that wait, and those rooted in all
    n_stuck: int = 0
    n_waiting: int = 0
    n_rooted: int = 0
    #: days since anybody looked at what waits; None while that is not long ago
    unseen_days: int | None = None
    #: whether enough were counted that the plant's rule lets be potted today
    pot_now: bool = False

    @property
    def to_look_first(self) -> bool:
        """Whether what has happened unseen must be looked at before the batch is given up."""
        return self.unseen_days is not None or self.days[0].rooted.p50 > self.n_rooted

    @property
    def pot_after_look(self) -> bool:
        """Whether potting up rests on roots nobody has counted, in a batch not looked at for long."""
        if self.unseen_days is None or self.pot_now or self.pot_up_on.p10 is None:
            return False
        return self.pot_up_on.p10 <= self.look_next_on

    def as_json(self) -> dict[str, Any]:
        """Plain data, as ``docs/contract/forecast.json`` has it."""
        return {
            "days": [day.as_json() for day in self.days],
            "look_next_on": self.look_next_on.isoformat(),
            "pot_up_on": self.pot_up_on.as_json(),
            "give_up_on": self.give_up_on.isoformat(),
            "rests_on": self.rests_on.as_json(),
        }


def forecast_batch(
    learned: Learned,
    record: BatchRecord,
    *,
    on: date,
    generator: np.random.Generator,
    patience_days: float,
    from_page: bool = True,
    ahead: Sequence[int] | None = None,
    pot_up: PotUpRule = "at-once",
    south: bool = False,
    round_days: int = ROUND_DAYS,
) -> Forecast:
    """Forecast of one batch: cuttings rooted, lost and waiting by day, each with its range.

    Parameters
    ----------
    learned : Learned
        What is known of all batches: draws of the prior, or of what records taught.
    record : BatchRecord
        The batch: what was stuck, its kind, what the looks found; looks after ``on`` are left out.
    on : date
        Today.
    generator : numpy.random.Generator
        Where the draws come from.
    patience_days : float
        Days after sticking at which waiting ends [days].
    from_page : bool
        Whether a page of the handbook stands behind the prior.
    ahead : sequence of int, optional
        The days ahead of ``on`` to forecast, rising [days]; else every day until patience runs
        out, at least 28.
    pot_up : {'at-once', 'after-new-growth', 'undisturbed-until-spring'}
        The handbook's rule for potting up.
    south : bool
        Whether the garden lies south of the equator.
    round_days : int
        Days between looks [days].

    Returns
    -------
    Forecast
        Numbers of cuttings, not shares; ranges 8 times in 10.

    Raises
    ------
    ValueError
        If ``n_stuck`` is below 1 or ``ahead`` is empty or not rising.

    Notes
    -----
    Draws of the clocks are weighed by the looks (`slipwright.rooting.weighing.weighed_clocks`), and what
    is open is thrown forward (`slipwright.rooting.standing.thrown_forward`).
    Look: ``round_days`` after the last look or sticking, 5 where rot was seen; after the first look from the
    5th day on sooner, once the cuttings rooted since have stood unpotted for 10 cutting-days in expectation,
    where the plant may be potted at once.
    Potting up: of what was counted, as `slipwright.rooting.potting.rooted_standing` has it; of roots not yet
    counted the day on which three, or a third of those then alive if that is more, stand rooted and unpotted,
    or one of three or fewer (`pot_up_at`), not before the next look, then the handbook's rule.
    Giving up: the end of patience; from the middle of patience on at once, where the chance that even one
    more has rooted or roots, until its end and 28 days at least, is below 1 in 10, and somebody looked within
    14 days.

    References
    ----------
    The model: see `slipwright.rooting.learned`.  Looks, potting, giving up: common practice, no source.

    Examples
    --------
    >>> from slipwright.rooting.cuttings import Cuttings
    >>> from slipwright.rooting.learned import Kind, before_records
    >>> rose = Kind("Rosa", "Rosa", "semi-hardwood", "2026")
    >>> record = BatchRecord(Cuttings(), rose, BatchCounts(date(2026, 10, 20), 9))
    >>> on, rng = date(2026, 10, 20), np.random.default_rng(1)
    >>> told = forecast_batch(before_records(), record, on=on, generator=rng, patience_days=120)
    >>> told.days[0].rooted.p90, told.days[-1].rooted.p10 < told.days[-1].rooted.p90
    (0, True)
    """
    if record.counts.n_stuck < 1:
        raise ValueError(f"n_stuck must be at least 1, not {record.counts.n_stuck}")
    stuck_on = record.counts.stuck_on
    stands = rooted_standing(record.counts, pot_up, on=on, south=south)
    known = filled(record.counts.until(max(on, stuck_on)))
    record = replace(record, counts=known)
    limit = give_up_on(stuck_on, patience_days)
    days_ahead = np.asarray(_days_ahead(ahead, on, limit))
    clocks = weighed_clocks(learned, record, generator)
    standing = standing_of(known)
    age = (on - stuck_on).days
    rooted, lost = thrown_forward(clocks, standing, age + days_ahead, generator)
    told = bool(learned.nodes or learned.behind or known.n_looks)
    share = prior_share(clocks, record.cuttings, record.kind, patience_days) if told else 1.0
    look_on = _look_next(clocks, standing, known, on, round_days, pot_up)
    unseen = (on - max([stuck_on, *(look.on for look in known.looks)])).days
    unseen_days = unseen if known.n_waiting and unseen >= UNSEEN_DAYS else None
    return Forecast(
        days=tuple(_forecast_days(on, days_ahead, rooted, lost, known)),
        look_next_on=look_on,
        pot_up_on=pot_up_range(
            on, days_ahead, rooted, lost, known, pot_up, south=south, stands=stands, look_on=look_on
        ),
        give_up_on=limit if unseen_days else _give_up(clocks, standing, stuck_on, on, limit),
        rests_on=rests_on(
            learned,
            record,
            share,
            from_page=from_page,
            past=limit if on > limit and standing.n_open else None,
            on=on,
        ),
        n_stuck=known.n_stuck,
        n_waiting=known.n_waiting,
        n_rooted=known.n_rooted,
        unseen_days=unseen_days,
        pot_now=bool(stands and stands.may_pot(on)),
    )


def _days_ahead(ahead: Sequence[int] | None, on: date, limit: date) -> Sequence[int]:
    if ahead is None:
        return range(max((limit - on).days, DAYS_PAST_PATIENCE) + 1)
    if not ahead or any(a >= b for a, b in pairwise(ahead)):
        raise ValueError(f"ahead must be rising days, not {tuple(ahead)}")
    return ahead


def _bands(numbers: Counts) -> list[Band]:
    """Mean and points of each row of numbers from nought on."""
    n_rows, n = numbers.shape
    most = int(numbers.max()) + 1
    if most > n:
        ordered = np.sort(numbers, axis=1)
        at = [ordered[:, math.ceil(share * n) - 1] for share in (0.1, 0.5, 0.9)]
    else:
        # so many times each number, which is quicker than to put them in order
        places = numbers + np.arange(n_rows)[:, None] * most
        times = np.bincount(places.ravel(), minlength=n_rows * most).reshape(n_rows, most).cumsum(axis=1)
        at = [(times < math.ceil(share * n)).sum(axis=1) for share in (0.1, 0.5, 0.9)]
    means = numbers.mean(axis=1).tolist()
    return [Band(mean, *points) for mean, points in zip(means, np.stack(at, axis=1).tolist(), strict=True)]


def _forecast_days(
    on: date, ahead: Counts, rooted: Counts, lost: Counts, batch: BatchCounts
) -> list[ForecastDay]:
    alive = batch.n_waiting + batch.n_rooted + batch.n_lost
    bands = zip(ahead.tolist(), _bands(rooted), _bands(lost), _bands(alive - rooted - lost), strict=True)
    return [ForecastDay(on + timedelta(days=days), *three) for days, *three in bands]


def _look_next(
    clocks: ClockDraws, standing: Standing, batch: BatchCounts, on: date, round_days: int, rule: PotUpRule
) -> date:
    last = batch.looks[-1] if batch.looks else None
    last_on = max(last.on, batch.stuck_on) if last else batch.stuck_on
    due = next_look_on(
        last.on if last else batch.stuck_on, round_days=round_days, rot_seen=bool(last and last.rot_seen)
    )
    early = (due - last_on).days
    if last and rule == "at-once" and standing.n_open and early > LEAST_ROUND_DAYS:
        since = (last_on - batch.stuck_on).days + np.arange(early)
        rooted = expected_rooted(clocks, standing, since).mean(axis=1)
        late = np.cumsum(rooted - rooted[0])
        early = int(np.searchsorted(late, WALK_WORTH_DAYS))
        due = min(due, last_on + timedelta(days=max(early, LEAST_ROUND_DAYS)))
    return max(due, on)


def _give_up(clocks: ClockDraws, standing: Standing, stuck_on: date, on: date, limit: date) -> date:
    """Return the end of patience, or today where hardly anything can still root."""
    if not standing.n_open or not stuck_on + GIVE_UP_SHARE * (limit - stuck_on) <= on < limit:
        return limit
    last = max((limit - stuck_on).days, (on - stuck_on).days + DAYS_PAST_PATIENCE)
    # one that has rooted since the last count is a reason to look and not to give up
    p_each = expected_rooted(clocks, standing, np.array([last]))[0] / standing.n_open
    p_more = 1 - float(np.mean((1 - p_each) ** standing.n_open))
    return on if p_more < GIVE_UP_CHANCE else limit
