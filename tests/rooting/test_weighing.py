"""Draws weighed by the looks that they do not know yet."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from slipwright.rooting.counts import BatchCounts, LookCounts
from slipwright.rooting.curves import fates
from slipwright.rooting.cuttings import Cuttings
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import Kind, Seen, before_records, prior_draws
from slipwright.rooting.likelihood import log_likelihood
from slipwright.rooting.spells import segments_of
from slipwright.rooting.weighing import effective_share, weighed_clocks

STUCK = date(2026, 8, 1)
KIND = Kind("Rosa", "Rosa", "semi-hardwood", "2026", "K7Q2M9T3")
CUTTINGS = Cuttings(auxin="dip", strength=3000.0)


def batch(n_stuck, *looks):
    return BatchCounts(
        STUCK, n_stuck, tuple(LookCounts(STUCK + timedelta(days=day), *counts) for day, *counts in looks)
    )


def weighed(counts, learned=None, seed=5):
    return weighed_clocks(
        learned or before_records(), BatchRecord(CUTTINGS, KIND, counts), np.random.default_rng(seed)
    )


def shares(clocks):
    """Rooted by day 60 and lost by day 60, in log odds."""
    at = np.clip(fates(clocks, [60])[:2, 0], 1e-4, 1 - 1e-4)
    return np.log(at / (1 - at))


def by_brute_force(counts, n=400_000):
    """Mean and spread of the same over so many draws of the prior, weighed by the looks."""
    total, found = [], []
    for seed in range(n // 20_000):
        clocks = prior_draws(np.random.default_rng(900 + seed), 20_000).clocks(CUTTINGS, KIND)
        numbers = np.concatenate([[clocks.level[i], clocks.slope[i], clocks.bend[i]] for i in (0, 1)])
        total.append(log_likelihood(segments_of([counts]), numbers[:, :, None])[:, 0])
        found.append(shares(clocks))
    log_weight, odds = np.concatenate(total), np.concatenate(found, axis=1)
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    mean = odds @ weight
    return mean, np.sqrt((odds - mean[:, None]) ** 2 @ weight)


LIKELY = batch(24, (14, 0, 2), (28, 3, 1), (35, 6, 1))
SLOW = batch(24, (14, 0, 2), (28, 0, 1), (56, 0, 1))
QUICK = batch(60, (14, 20, 2), (21, 25, 1))


@pytest.mark.parametrize("counts", [LIKELY, SLOW, QUICK], ids=["likely", "slow", "quick"])
def test_weighed_draws_agree_with_a_brute_sum_over_many_draws(counts):
    """Whether the thousand draws were enough (the likely one) or had to be drawn anew (the others)."""
    mean, sd = by_brute_force(counts)
    found = shares(weighed(counts))
    assert np.abs(found.mean(axis=1) - mean) / sd == pytest.approx([0, 0], abs=0.25)
    assert found.std(axis=1) / sd == pytest.approx([1, 1], abs=0.25)


@pytest.mark.parametrize("counts", [SLOW, QUICK, batch(500, (14, 0, 20), (34, 200, 20))])
def test_draws_are_fetched_nearer_when_the_looks_surprise(counts):
    clocks = before_records().clocks(CUTTINGS, KIND)
    numbers = np.concatenate([[clocks.level[i], clocks.slope[i], clocks.bend[i]] for i in (0, 1)])
    plain = log_likelihood(segments_of([counts]), numbers[:, :, None])[:, 0]
    assert effective_share(plain) < 0.1
    assert len(np.unique(weighed(counts).level[0])) > 300


def test_looks_without_a_count_leave_the_draws_as_they_are():
    assert np.array_equal(
        weighed(batch(24, (14,), (21,))).level, before_records().clocks(CUTTINGS, KIND).level
    )


def knowing(n_looks):
    """Draws that know the batch itself, from so many of its looks."""
    prior = before_records()
    effect = np.random.default_rng(3).normal(-0.4, 0.3, (2, prior.n_draws))
    told = replace(LIKELY, looks=LIKELY.looks[:n_looks])
    return replace(
        prior, nodes={KIND.path[-1]: effect}, seen={KIND.path[-1]: Seen(told, CUTTINGS.terms(), KIND.offset)}
    )


def test_looks_the_draws_know_already_are_not_used_again():
    known = knowing(3)
    assert np.array_equal(weighed(LIKELY, known).level, known.clocks(CUTTINGS, KIND).level)


def test_only_the_new_looks_of_a_known_batch_count():
    """With all counted, what a batch does later hangs on the later looks alone: as if stuck then."""
    two, known = batch(24, (14, 0, 2), (28, 3, 1)), knowing(2)
    assert np.array_equal(weighed(two, known).level, known.clocks(CUTTINGS, KIND).level)
    clocks = known.clocks(CUTTINGS, KIND)
    at = fates(clocks, [28, 35])
    left = at[2, 0]
    chance = [(at[kind, 1] - at[kind, 0]) / left for kind in (0, 1)]
    log_weight = 6 * np.log(chance[0]) + np.log(chance[1]) + 11 * np.log(at[2, 1] / left)
    weight = np.exp(log_weight - log_weight.max())
    by_hand = clocks.level @ (weight / weight.sum())
    assert weighed(LIKELY, known).level.mean(axis=1) == pytest.approx(by_hand, abs=0.05)


def test_a_known_batch_that_surprises_is_drawn_anew_too():
    sudden = batch(200, (14, 0, 2), (21, 150, 1))
    found = weighed(sudden, knowing(1))
    assert len(np.unique(found.level[0])) > 200
    assert np.isfinite(found.level).all()


@pytest.mark.parametrize(
    "counts",
    [
        batch(24, (2, 24)),
        batch(5, (14, 9, 4)),
        batch(1, (300, 0, 0)),
        batch(500, (1, 0, 500)),
        batch(24, *((day, 0, 0) for day in range(7, 300, 7))),
        batch(24, (0, 3, 3), (0, 3, 3)),
    ],
)
def test_what_cannot_be_still_gives_draws(counts):
    found = weighed(counts)
    assert np.isfinite(found.level).all()
    assert found.n_draws == 1000
