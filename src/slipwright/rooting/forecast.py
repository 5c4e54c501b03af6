"""What a batch will do, day by day, from the handbook's ranges and the batch's own looks.

The handbook gives a range for every kind of wood (``rooting.clocks``).  A batch under way has been
looked at; draws from the range that fit what was seen weigh more.  What still waits is then thrown
forward, cutting by cutting, so that no forecast passes the number alive or falls below what was
counted.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from typing import Any

import numpy as np

from slipwright.craft.days import day_in_words
from slipwright.craft.said import Said, joined
from slipwright.handbook.pages import PotUpRule
from slipwright.rooting._fitting import fitting_draws, seen_steps, thrown_forward
from slipwright.rooting.clocks import Clocks
from slipwright.rooting.counts import BatchCounts
from slipwright.rooting.dates import (
    ROUND_DAYS,
    Edge,
    give_up_on,
    next_look_on,
    pot_up_at,
    pot_up_day,
)
from slipwright.rooting.ranges import Array, Counts

#: draws of one forecast
N_DRAWS = 1000
#: days shown ahead of a batch whose patience has run out
DAYS_PAST_PATIENCE = 28
_EDGES: tuple[Edge, ...] = ("p10", "p50", "p90")


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
class RestsOn:
    """What a number rests on: records, and the share of it that is the handbook's word."""

    n_batches: int
    n_looks: int
    prior_share: float
    text: str

    def as_json(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "n_batches": self.n_batches,
            "n_looks": self.n_looks,
            "prior_share": round(self.prior_share, 2),
            "text": self.text,
        }


@dataclass(frozen=True, slots=True)
class Forecast:
    """A batch day by day, and the days that follow from it."""

    days: tuple[ForecastDay, ...]
    look_next_on: date
    pot_up_on: DayRange
    give_up_on: date
    rests_on: RestsOn

    def as_json(self) -> dict[str, Any]:
        """Plain data, as ``docs/contract/forecast.json`` has it."""
        return {
            "days": [day.as_json() for day in self.days],
            "look_next_on": self.look_next_on.isoformat(),
            "pot_up_on": self.pot_up_on.as_json(),
            "give_up_on": self.give_up_on.isoformat(),
            "rests_on": self.rests_on.as_json(),
        }


def standard_draws(generator: np.random.Generator, n_draws: int = N_DRAWS) -> Array:
    """Return standard normal scores, one row each for rooting, loss and days.

    Parameters
    ----------
    generator : numpy.random.Generator
        Where the draws come from.
    n_draws : int
        How many draws [1].

    Returns
    -------
    array of shape (3, n_draws)
        Scores [-]. One set may serve many batches.

    Notes
    -----
    Independent standard normals.

    References
    ----------
    Definition.

    Examples
    --------
    >>> standard_draws(np.random.default_rng(1), 4).shape
    (3, 4)
    """
    return generator.standard_normal((3, n_draws))


def forecast_batch(
    clocks: Clocks,
    batch: BatchCounts,
    *,
    on: date,
    generator: np.random.Generator,
    draws: Array | None = None,
    ahead: Sequence[int] | None = None,
    pot_up: PotUpRule = "at-once",
    south: bool = False,
    round_days: int = ROUND_DAYS,
) -> Forecast:
    """Forecast of one batch: cuttings rooted, lost and waiting by day, each with its range.

    Parameters
    ----------
    clocks : Clocks
        Rooting and loss of this kind of batch.
    batch : BatchCounts
        What was stuck and what the looks found; looks after ``on`` are left out.
    on : date
        Today.
    generator : numpy.random.Generator
        Where the draws come from.
    draws : array of shape (3, n_draws), optional
        Standard normal scores to use again (`standard_draws`) [-].
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
    For draws of (share that roots, share lost, pace) the chance of what each look found among
    those at risk is multinomial, with chances f (G(t2) - G(t1)) / S, l (t2 - t1)/P / S and the
    rest, S = 1 - f G(t1) - l t1/P; t1 is where that fate was last counted, so a look that counted
    one fate only is used for that one, and no look twice.  A tried sample counts as binomial, the
    newest one, if rooted has not been counted since.  Removed cuttings leave those at risk.
    Draws are weighed by this chance; if fewer than a fifth count, they are drawn anew from a
    normal fitted to the weighed ones and weighed again.  What waits is then thrown forward
    binomially from day to day.  Valid while the looks are honest counts of the same cuttings.
    Potting up: the day on which three, or a third of those then alive if that is more, stand rooted
    and unpotted, or one of three or fewer (`pot_up_at`), then the handbook's rule.  ``prior_share`` is
    the variance of the share that roots, on the handbook's scale, left after the looks.
    The handbook's ranges end with patience: of what waits longer they know nothing, and ``rests_on``
    says so.

    References
    ----------
    Importance weights: Geweke J. 1989, Econometrica 57:1317-1339 (from memory).  When to
    pot up: common practice, no source.

    Examples
    --------
    >>> from slipwright.rooting.clocks import clocks_of_ranges
    >>> rose = clocks_of_ranges((60, 70, 80), (5, 12, 25), (4, 6, 8), 120)
    >>> batch = BatchCounts(date(2026, 10, 20), 9)
    >>> rng = np.random.default_rng(1)
    >>> last = forecast_batch(rose, batch, on=date(2026, 10, 20), generator=rng).days[-1]
    >>> last.rooted.p10 <= 6 <= last.rooted.p90
    True
    """
    if batch.n_stuck < 1:
        raise ValueError(f"n_stuck must be at least 1, not {batch.n_stuck}")
    z0 = standard_draws(generator) if draws is None else draws
    known = batch.until(max(on, batch.stuck_on))
    seen = seen_steps(known)
    z = fitting_draws(clocks, seen, z0, generator)
    limit = give_up_on(batch.stuck_on, clocks.patience_days)
    days_ahead = _days_ahead(ahead, on, limit)
    age = (on - batch.stuck_on).days
    rooted, lost = thrown_forward(clocks, seen, z, known, age + np.asarray(days_ahead), generator)
    return Forecast(
        days=tuple(_forecast_days(on, days_ahead, rooted, lost, known)),
        look_next_on=_look_next(known, on, round_days),
        pot_up_on=_pot_up_range(on, days_ahead, rooted, lost, known, pot_up, south),
        give_up_on=limit,
        rests_on=_rests_on(clocks, known, float(np.var(z[0])), on, limit),
    )


def _days_ahead(ahead: Sequence[int] | None, on: date, limit: date) -> Sequence[int]:
    if ahead is None:
        return range(max((limit - on).days, DAYS_PAST_PATIENCE) + 1)
    if not ahead or any(a >= b for a, b in pairwise(ahead)):
        raise ValueError(f"ahead must be rising days, not {tuple(ahead)}")
    return ahead


def _bands(numbers: Counts) -> list[Band]:
    """Mean and points of each row."""
    ordered = np.sort(numbers, axis=1)
    n = ordered.shape[1]
    at = ordered[:, [math.ceil(share * n) - 1 for share in (0.1, 0.5, 0.9)]].tolist()
    means = ordered.mean(axis=1).tolist()
    return [Band(mean, *points) for mean, points in zip(means, at, strict=True)]


def _forecast_days(
    on: date, ahead: Sequence[int], rooted: Counts, lost: Counts, batch: BatchCounts
) -> list[ForecastDay]:
    alive = batch.n_waiting + batch.n_rooted + batch.n_lost
    bands = zip(ahead, _bands(rooted), _bands(lost), _bands(alive - rooted - lost), strict=True)
    return [ForecastDay(on + timedelta(days=days), *three) for days, *three in bands]


def _look_next(batch: BatchCounts, on: date, round_days: int) -> date:
    last = batch.looks[-1] if batch.looks else None
    return next_look_on(
        last.on if last else batch.stuck_on,
        round_days=round_days,
        rot_seen=bool(last and last.rot_seen),
        on=on,
    )


def _pot_up_range(
    on: date,
    ahead: Sequence[int],
    rooted: Counts,
    lost: Counts,
    batch: BatchCounts,
    rule: PotUpRule,
    south: bool,
) -> DayRange:
    """When enough of those alive by then stand rooted and unpotted, by the rule of the plant."""
    to_pot = rooted - (batch.n_rooted - batch.n_to_pot)
    alive = to_pot + batch.n_waiting - (rooted - batch.n_rooted) - (lost - batch.n_lost)
    if not alive.any():
        return DayRange(None, None, None, rule, 1.0)
    numbers, place = np.unique(alive, return_inverse=True)
    enough = np.array([max(pot_up_at(int(n)), 1) for n in numbers])
    reached = to_pot >= enough[place].reshape(alive.shape)
    never = len(ahead)
    first = np.sort(np.where(reached.any(axis=0), reached.argmax(axis=0), never))
    points: list[date | None] = []
    for edge, share in zip(_EDGES, (0.1, 0.5, 0.9), strict=True):
        k = int(first[math.ceil(share * len(first)) - 1])
        rooted_on = None if k == never else on + timedelta(days=ahead[k])
        points.append(rooted_on and pot_up_day(rooted_on, rule, south=south, edge=edge))
    return DayRange(points[0], points[1], points[2], rule, float(np.mean(first == never)))


def _rests_on(clocks: Clocks, batch: BatchCounts, variance: float, on: date, limit: date) -> RestsOn:
    n_looks = len(batch.looks)
    told = any(look.n_rooted is not None or look.n_lost is not None or look.n_tried for look in batch.looks)
    share = min(max(variance, 0.0), 1.0) if told else 1.0
    base = Said("the handbook's ranges") if clocks.from_page else Said("wide ranges for any plant")
    if n_looks == 1:
        grounds = Said("Rests on {base} and 1 look at this batch", base=base)
    elif n_looks:
        grounds = Said("Rests on {base} and {n} looks at this batch", base=base, n=n_looks)
    else:
        grounds = Said("Rests on {base} alone", base=base)
    why = "" if clocks.from_page else Said("the handbook has no page for this one")
    text = joined([grounds, why, Said("no other records of yours are used yet.")], "; ")
    if on > limit and batch.n_waiting:
        past = Said(
            "Patience ran out on {day}: beyond that day the ranges know nothing, so what "
            "still waits may root or die on days that cannot be told, and the numbers are surer than we are.",
            day=day_in_words(limit, beside=on),
        )
        text = joined([text, past])
    return RestsOn(0, n_looks, share, text)
