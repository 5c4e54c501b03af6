"""From stuck to ready: which share of a batch is ready by a day, draw by draw.

Rooted cuttings are found half a round late on average, are potted by the handbook's rule, and then live
and come on as growing on has it.  What a taxon has in common is drawn once for all its batches.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from slipwright.handbook.pages import PotUpRule
from slipwright.rooting.dates import pot_up_day
from slipwright.rooting.growing import GrowsOn
from slipwright.rooting.grown import HAZARD_BEHIND
from slipwright.rooting.ranges import Array, SplitNormal, normal_cdf
from slipwright.rooting.ready_days import BATCH, EACH, learn_scores

#: stretches that the days of rooting are cut into where plants come on after potting
_STRETCHES = 6
#: no rule keeps what has roots waiting for longer [d]
_LONGEST_WAIT = 500
#: stages that count their days from potting
AFTER_POTTING = ("weaned", "established")
#: scores of `slipwright.rooting.ready_days` reach so far to either side
_REACH = 8.0


@dataclass(frozen=True, slots=True)
class Timing:
    """When a batch is stuck, when its plants are due, and how waiting and potting go."""

    stuck_on: date
    due: date
    ready_as: str
    wood: str
    rule: PotUpRule
    patience_days: float
    round_days: int
    south: bool

    @property
    def n_days(self) -> int:
        """Days from sticking to the day due."""
        return (self.due - self.stuck_on).days

    def potted_on(self, age: float) -> date:
        """Return the day on which a cutting that rooted at an age is potted."""
        found_on = self.stuck_on + timedelta(days=round(age) + self.round_days // 2)
        return found_on if self.rule == "at-once" else _pot_up_day(found_on, self.rule, self.south)

    def last_age(self, by: date) -> int:
        """Return the age at which a cutting must have rooted to be potted by a day; -1 for none."""
        found_on = by if self.rule == "at-once" else _found_by(by, self.rule, self.south)
        found = (found_on - self.stuck_on).days - self.round_days // 2
        return max(min(found, (by - self.stuck_on).days, round(self.patience_days)), -1)

    def ages_on(self, days: tuple[date, ...]) -> Array:
        """Return the ages on some days."""
        return np.asarray(_ordinals(days) - self.stuck_on.toordinal(), float)

    def last_ages(self, days: tuple[date, ...]) -> Array:
        """Return the ages at which a cutting must have rooted to be potted by each of some days."""
        stuck, by = self.stuck_on.toordinal(), _ordinals(days)
        found = by if self.rule == "at-once" else _all_found_by(days, self.rule, self.south)
        ages = np.minimum(found - stuck - self.round_days // 2, by - stuck)
        return np.asarray(np.clip(ages, -1, max(round(self.patience_days), -1)), float)

    @property
    def last_to_count(self) -> int:
        """The age at which a cutting must have rooted to count by the day due; below 0 for none."""
        if self.ready_as == "rooted":
            return min(self.n_days, round(self.patience_days))
        return self.last_age(self.due)


@lru_cache(maxsize=8_000)
def _pot_up_day(found_on: date, rule: PotUpRule, south: bool) -> date:
    return pot_up_day(found_on, rule, south=south)


@lru_cache(maxsize=8_000)
def _found_by(by: date, rule: PotUpRule, south: bool) -> date:
    """Return the last day on which roots must be found to be potted by a day."""
    low, high = by - timedelta(days=_LONGEST_WAIT), by
    while low < high:
        middle = low + timedelta(days=((high - low).days + 1) // 2)
        if _pot_up_day(middle, rule, south) <= by:
            low = middle
        else:
            high = middle - timedelta(days=1)
    return low


@lru_cache(maxsize=2_000)
def _ordinals(days: tuple[date, ...]) -> NDArray[np.int64]:
    return np.array([day.toordinal() for day in days], np.int64)


@lru_cache(maxsize=2_000)
def _all_found_by(days: tuple[date, ...], rule: PotUpRule, south: bool) -> NDArray[np.int64]:
    return _ordinals(tuple(_found_by(day, rule, south) for day in days))


@dataclass(frozen=True, slots=True)
class OfTaxon:
    """Draws that all batches of a taxon share: mean and spread of what lives, and scores of the days."""

    a: Array
    b: Array
    scores: Array | None
    curve: SplitNormal | None
    stage: str

    def living(self, generator: np.random.Generator, reached: str = "") -> Array | None:
        """Draws of the share of a batch that lives to the stage from the one it has come to."""
        power = HAZARD_BEHIND.get(self.stage, 0.0) - HAZARD_BEHIND.get(reached, 0.0)
        if power <= 0:
            return None
        return np.asarray(generator.beta(self.a, self.b) ** power)

    def come(self, n_days: float, batch: Array) -> Array | None:
        """Return the share of the living that have come so far within days, by the batch's own score."""
        if self.scores is None or self.curve is None:
            return None
        if n_days <= 0:
            return np.zeros_like(self.scores)
        score = float(self.curve.score(np.array(np.log(max(n_days, 0.5)))))
        return normal_cdf((score - self.scores - np.sqrt(BATCH) * batch) / np.sqrt(EACH))


def of_taxon(grows: GrowsOn, stage: str, wood: str, generator: np.random.Generator, n_draws: int) -> OfTaxon:
    """Return draws of what all batches of a taxon have in common as it grows on to a stage."""
    weights = grows.grid.unseen if grows.shares is None else grows.shares
    at = generator.choice(weights.size, size=n_draws, p=weights.ravel() / weights.sum())
    a, b = (parameter.ravel()[at] for parameter in grows.grid.precisions())
    curve = grows.prior.curve(wood, stage)
    scores = None
    if curve is not None:
        known = grows.scores[stage] if stage in grows.scores else learn_scores({})[""]
        grid = np.linspace(-_REACH, _REACH, len(known))
        scores = generator.choice(grid, size=n_draws, p=known / known.sum())
    return OfTaxon(a, b, scores, curve, stage)


@dataclass(frozen=True)
class Rooting:
    """Ages up to which the rooted are counted, and the days left after potting of each stretch between."""

    timing: Timing

    @cached_property
    def ages(self) -> tuple[int, ...]:
        """Ages at which the rooted are counted, rising."""
        last = self.timing.last_to_count
        if last < 0:
            return ()
        if self.timing.ready_as not in AFTER_POTTING:
            return (last,)
        return tuple(sorted({round(last * k / _STRETCHES) for k in range(1, _STRETCHES + 1)}))

    @cached_property
    def days_left(self) -> tuple[int, ...]:
        """Days from potting to the day due of those that rooted in the middle of each stretch."""
        before = (0, *self.ages[:-1])
        middles = [(low + high) / 2 for low, high in zip(before, self.ages, strict=True)]
        return tuple((self.timing.due - self.timing.potted_on(age)).days for age in middles)


def share_ready(
    rooting: Rooting,
    rooted_at: Callable[[Sequence[int]], Array],
    taxon: OfTaxon,
    generator: np.random.Generator,
    n_draws: int,
) -> Array:
    """Return the share of the cuttings stuck that is ready by the day due, by draw.

    ``rooted_at`` gives the share rooted by some ages, of shape (n_ages, n_draws); ``generator`` is the
    batch's own.
    """
    if not rooting.ages:
        return np.zeros(n_draws)
    stage = rooting.timing.ready_as
    rooted = rooted_at(rooting.ages)
    own = generator.standard_normal(n_draws)
    if stage in AFTER_POTTING:
        steps = np.diff(rooted, axis=0, prepend=np.zeros((1, n_draws)))
        come = [taxon.come(days, own) for days in rooting.days_left]
        share = sum(
            (step if part is None else step * part for step, part in zip(steps, come, strict=True)),
            np.zeros(n_draws),
        )
    else:
        share = rooted[-1]
        if stage == "finished" and (part := taxon.come(rooting.timing.n_days, own)) is not None:
            share = share * part
    living = taxon.living(generator)
    return np.clip(share if living is None else share * living, 0.0, 1.0)
