"""Batches already stuck for a want, as live forecasts in the scenarios of the programme."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from slipwright.advice.walk import patience_of_batch, record_of_batch, rule_of
from slipwright.records import selectors
from slipwright.records.answers.programme.given import Given
from slipwright.records.answers.programme.ready import AFTER_POTTING, OfTaxon, Rooting, Timing
from slipwright.records.answers.walk import batches_on_round
from slipwright.records.models import Garden
from slipwright.records.selectors import BatchNow, Growing
from slipwright.records.words import READY_AS
from slipwright.rooting.curves import fates
from slipwright.rooting.growing import GrowsOn
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import ClockDraws, Learned
from slipwright.rooting.ranges import Array, Counts
from slipwright.rooting.standing import Standing, filled, standing_of, thrown_forward
from slipwright.rooting.told import told_of
from slipwright.rooting.weighing import weighed_clocks
from slipwright.season.counts import generator_of

if TYPE_CHECKING:
    from slipwright.handbook import Handbook
    from slipwright.records.answers.programme.draws import Scenarios

#: young plants of which nobody says when they are finished stand so long [d]
_A_YEAR = 365
#: the same looks weigh the same draws
_SEED = 1


@dataclass(frozen=True, slots=True)
class StandingBatch:
    """A batch that has not ended, of which potted plants stand, or that gave plants for a want to come.

    ``record`` holds its counts up to the day; ``grown`` are its potted plants, if any. ``want`` may be empty.
    """

    now: BatchNow
    want: str
    on: date
    record: BatchRecord
    timing: Timing
    grows: GrowsOn
    grown: Growing | None = None
    #: draws weighed by looks that were not learned from yet
    weighed: ClockDraws | None = None

    def due_on(self, day: date) -> StandingBatch:
        """Return the batch as if its plants were due on a day."""
        return replace(self, timing=replace(self.timing, due=day))

    @property
    def age(self) -> int:
        """Days since it was stuck."""
        return (self.on - self.timing.stuck_on).days

    @property
    def stands(self) -> Standing:
        """Its cuttings as counted."""
        return standing_of(filled(self.record.counts))

    @property
    def is_open(self) -> bool:
        """Whether cuttings wait, or stand rooted and unpotted."""
        counts = self.record.counts
        return self.now.ended_on is None and (counts.n_waiting > 0 or counts.n_to_pot > 0)

    @property
    def mark(self) -> tuple[object, ...]:
        """All that its forecast rests on, beside what was learned."""
        grown = self.grown
        of_pots = (grown.n_standing, grown.n_handed_on, grown.reached, grown.last_potted_on) if grown else ()
        return (self.now.batch, self.on, self.record, self.timing, of_pots, self.is_open)


def standing_batches(garden: Garden, handbook: Handbook, given: Given) -> list[StandingBatch]:
    """Return every batch that counts from now on, with what it was stuck for. At most ten queries.

    Plants that were handed on count for the want they were made for, also where no other of the batch stands.
    """
    on = given.on
    due = {want.want: want for want in given.wants if want.ready_by >= on}
    potted = {one.pk: one for one in selectors.potted_batches(garden, on=on)}
    batches = [
        one
        for one in selectors.states_of_all_batches(garden)
        if one.stuck_on <= on and (one.ended_on is None or _counts(potted.get(one.pk), one.want in due))
    ]
    found = []
    for now, batch in zip(batches, batches_on_round(garden, handbook, batches), strict=True):
        want = due.get(now.want)
        grows = given.growth.of(now.taxon, batch.page)
        record = record_of_batch(batch, south=given.south)
        record = BatchRecord(record.cuttings, record.kind, record.counts.until(on))
        timing = Timing(
            now.stuck_on,
            want.ready_by if want else _likely_finished(grows, now),
            want.ready_as if want else "finished",
            now.wood,
            rule_of(batch),
            patience_of_batch(batch),
            given.round_days,
            given.south,
        )
        found.append(
            StandingBatch(
                now,
                want.want if want else "",
                on,
                record,
                timing,
                grows,
                potted.get(now.pk),
            )
        )
    return found


def _counts(potted: Growing | None, is_for_a_want: bool) -> bool:
    """Tell whether an ended batch still counts: its plants stand, or were handed on for a want to come."""
    return potted is not None and (potted.n_standing > 0 or (is_for_a_want and potted.n_handed_on > 0))


def _likely_finished(grows: GrowsOn, now: BatchNow) -> date:
    days = grows.days("finished", now.wood)
    return now.stuck_on + timedelta(days=round(days[1]) if days else _A_YEAR)


def weighed(batch: StandingBatch, learned: Learned) -> ClockDraws | None:
    """Return draws weighed by the looks at a batch that were not learned from, None where all were."""
    if not batch.is_open:
        return None
    record = batch.record
    if told_of(learned, record, learned.clocks(record.cuttings, record.kind)).says_nothing:
        return None
    return weighed_clocks(learned, record, generator_of(_SEED, "weighed", batch.now.batch))


def counts_standing(scenarios: Scenarios, batch: StandingBatch) -> Counts:
    """Return how many plants of a batch will be ready by the day due, by scenario."""
    n = scenarios.n_draws
    generator = scenarios.generator("standing", batch.now.batch)
    stage, timing = batch.timing.ready_as, batch.timing
    shared = scenarios.grows(batch.grows, batch.now.taxon, stage, timing.wood)
    own = generator.standard_normal(n)
    total = np.zeros(n, np.int64)
    grown = batch.grown
    if grown is not None:
        total += max(grown.n_handed_on, 0)
        if _has_come(grown.reached, stage):
            total += max(grown.n_standing, 0)
        elif grown.last_potted_on is not None:
            since = timing.stuck_on if stage == "finished" else grown.last_potted_on
            chance = _product(n, shared.come((timing.due - since).days, own))
            chance = _product(n, chance, shared.living(generator, grown.reached))
            total += generator.binomial(max(grown.n_standing, 0), chance)
    if batch.is_open:
        steps, ages = _rooting(scenarios, batch, generator)
        chances = [_chance(batch, age, shared, own, n) for age in ages]
        each = sum((step * chance for step, chance in zip(steps, chances, strict=True)), np.zeros(n))
        number = np.sum(steps, axis=0)
        chance = _product(n, each / np.maximum(number, 1), shared.living(generator))
        total += generator.binomial(number, np.clip(chance, 0.0, 1.0))
    return total


def _has_come(reached: str, stage: str) -> bool:
    reached = reached or "potted"
    return READY_AS.index(reached) >= READY_AS.index(stage)


def _product(n: int, *parts: Array | None) -> Array:
    product = np.ones(n)
    for part in parts:
        if part is not None:
            product = product * part
    return product


def _rooting(
    scenarios: Scenarios, batch: StandingBatch, generator: np.random.Generator
) -> tuple[list[Counts], list[float]]:
    """Return cuttings that stand rooted now and that root in each stretch to come, with their ages."""
    clocks, stands = _clocks(scenarios, batch, generator), batch.stands
    ages = [batch.age, *(age for age in Rooting(batch.timing).ages if age > batch.age)]
    rooted, _ = thrown_forward(clocks, stands, np.array(ages), generator)
    counts = batch.record.counts
    first = np.asarray(rooted[0] - stands.n_rooted + counts.n_to_pot, np.int64)
    middles = [float(batch.age), *((low + high) / 2 for low, high in pairwise(ages))]
    return [first, *np.diff(rooted, axis=0)], middles


def _chance(batch: StandingBatch, age: float, shared: OfTaxon, own: Array, n: int) -> Array:
    timing, stage = batch.timing, batch.timing.ready_as
    if stage == "rooted":
        return np.ones(n)
    left = (timing.due - timing.potted_on(age)).days
    if left < 0:
        return np.zeros(n)
    if stage in AFTER_POTTING:
        return _product(n, shared.come(left, own))
    return _product(n, shared.come(timing.n_days, own) if stage == "finished" else None)


def _clocks(scenarios: Scenarios, batch: StandingBatch, generator: np.random.Generator) -> ClockDraws:
    """Draws of its clocks in the order of the scenarios.

    Looks that were not learned from weigh the draws; those are then put in the order in which the scenarios
    have the batch do well, so that it goes with the other batches of its kind.
    """
    clocks = scenarios.clocks(batch.record.cuttings, batch.record.kind, batch.now.batch)
    if batch.weighed is None:
        return clocks
    last = [max(batch.timing.last_to_count, batch.age + 1)]
    rank = np.argsort(np.argsort(fates(clocks, last)[0, 0], kind="stable"), kind="stable")
    seen = batch.weighed
    order = np.argsort(fates(seen, last)[0, 0], kind="stable")
    picked = order[(rank * seen.n_draws) // scenarios.n_draws]
    return ClockDraws(seen.level[:, picked], seen.slope[:, picked], seen.bend[:, picked], seen.cells)


def by_want(batches: Sequence[StandingBatch]) -> Mapping[str, list[StandingBatch]]:
    """Return the batches that stand for each want."""
    found: dict[str, list[StandingBatch]] = {}
    for one in batches:
        if one.want:
            found.setdefault(one.want, []).append(one)
    return found
