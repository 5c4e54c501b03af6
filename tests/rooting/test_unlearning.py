"""Looks that draws were told of and that stand no longer so: corrected, taken back, or still to come."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from slipwright.rooting.counts import BatchCounts, LookCounts
from slipwright.rooting.curves import fates
from slipwright.rooting.cuttings import Cuttings
from slipwright.rooting.fitting import fit
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import ClockDraws, Kind, Learned, before_records
from slipwright.rooting.likelihood import log_likelihood
from slipwright.rooting.ranges import Array
from slipwright.rooting.spells import segments_of
from slipwright.rooting.told import LEVEL_ROWS, numbers_of, told_of
from slipwright.rooting.unlearning import log_chance_of_seen
from slipwright.rooting.weighing import weighed_clocks

STUCK = date(2026, 8, 1)
KIND = Kind("Rosa", "Rosa", "semi-hardwood", "2026", "A")
CUTTINGS = Cuttings(auxin="dip", strength=3000.0)


def batch(
    n_stuck: int, *looks: tuple[int, ...], code: str = "A", cuttings: Cuttings = CUTTINGS
) -> BatchRecord:
    """Return a batch and looks of (day, rooted, lost)."""
    seen = tuple(LookCounts(STUCK + timedelta(days=look[0]), *(look[1:3] or (None, None))) for look in looks)
    return BatchRecord(cuttings, replace(KIND, batch=code), BatchCounts(STUCK, n_stuck, seen))


OTHERS = (
    batch(20, (21, 3, 2), (42, 6, 1), code="B"),
    batch(24, (21, 1, 4), (42, 8, 2), code="C"),
    batch(15, (28, 5, 1), code="D"),
)
COLD = replace(CUTTINGS, warmth_c=12.0)
CASES = {
    "lost taken for rooted": (batch(10, (30, 0, 7)), batch(10, (30, 7, 0))),
    "all taken back": (batch(10, (30, 0, 7)), batch(10)),
    "the second yet to come": (batch(20, (14, 0, 1), (30, 15, 0)), batch(20, (14, 0, 1))),
    "one put between": (batch(20, (14, 0, 1), (30, 12, 0)), batch(20, (14, 0, 1), (20, 6, 0), (30, 6, 0))),
    "fewer were stuck": (batch(60, (30, 12, 2)), batch(16, (30, 12, 2))),
    "many taken back": (batch(200, (30, 150, 5)), batch(200)),
    "found to stand cold": (batch(20, (30, 15, 1)), batch(20, (30, 15, 1), cuttings=COLD)),
    "in another medium": (
        batch(20, (30, 15, 1)),
        batch(20, (30, 15, 1), cuttings=replace(CUTTINGS, medium="sand")),
    ),
}


def learned_from(*records: BatchRecord) -> Learned:
    """Return what some batches teach."""
    learned = fit(records).learned()
    return replace(learned, behind={(): (len(records), len(records))})


def odds(clocks: ClockDraws) -> Array:
    """Rooted by day 60 and lost by day 60, in log odds."""
    at = np.clip(fates(clocks, [60])[:2, 0], 1e-4, 1 - 1e-4)
    return np.asarray(np.log(at / (1 - at)))


@pytest.mark.parametrize("case", CASES)
def test_a_batch_that_stands_otherwise_than_learned_is_told_as_if_learned_anew(case: str) -> None:
    told, stands = CASES[case]
    stale = learned_from(told, *OTHERS)
    found = odds(weighed_clocks(stale, stands, np.random.default_rng(5)))
    anew = odds(learned_from(stands, *OTHERS).clocks(stands.cuttings, stands.kind))
    assert np.abs(found.mean(axis=1) - anew.mean(axis=1)) / anew.std(axis=1) == pytest.approx(0, abs=0.5)
    assert found.std(axis=1) / anew.std(axis=1) == pytest.approx(1, abs=0.6)


def test_the_only_batch_taken_back_leaves_what_was_believed_before() -> None:
    told, stands = CASES["all taken back"]
    found = weighed_clocks(learned_from(told), stands, np.random.default_rng(5))
    assert np.array_equal(found.level, before_records().clocks(stands.cuttings, stands.kind).level)


def test_a_look_that_counted_nothing_changes_nothing() -> None:
    told = batch(20, (14, 0, 1), (30, 12, 0))
    learned = learned_from(told, *OTHERS)
    between = batch(20, (14, 0, 1), (20,), (30, 12, 0))
    clocks = learned.clocks(told.cuttings, told.kind)
    assert told_of(learned, between, clocks).says_nothing
    assert np.array_equal(weighed_clocks(learned, between, np.random.default_rng(5)).level, clocks.level)


def test_the_chance_of_what_was_told_is_a_sum_over_the_batchs_own_effect() -> None:
    told = batch(20, (14, 0, 1), (30, 12, 0))
    learned = learned_from(told, *OTHERS)
    above = learned.clocks(told.cuttings, replace(told.kind, batch=""))
    depth = len(told.kind.path) - 1
    own = learned.spreads["batch"] * learned.scores(depth)
    numbers = numbers_of(above)
    numbers[LEVEL_ROWS] -= own
    square = np.moveaxis(learned.covariance_below(depth - 1), -1, 0)
    looks, generator = segments_of([told.counts]), np.random.default_rng(8)
    by_hand = []
    for draw in range(12):
        effects = np.linalg.cholesky(square[draw]) @ generator.standard_normal((2, 40_000))
        points = np.repeat(numbers[:, draw : draw + 1], 40_000, axis=1)
        points[LEVEL_ROWS] += effects
        chance = log_likelihood(looks, points[:, :, None])[:, 0]
        by_hand.append(np.log(np.mean(np.exp(chance - chance.max()))) + chance.max())
    found = log_chance_of_seen(learned, told.kind)[:12]
    assert found - found.mean() == pytest.approx(np.array(by_hand) - np.mean(by_hand), abs=0.1)
