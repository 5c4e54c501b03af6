"""The list of plans holds every smallest plan, and nothing that is not enough."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.season._listing import Listed, Way, plans_listed
from slipwright.season.counts import counts_ready, scores_of

N = 300


def shares(seed: int, n_options: int) -> np.ndarray:
    generator = np.random.default_rng(seed)
    middle = generator.uniform(-0.5, 1.5, (n_options, 1))
    return (1 / (1 + np.exp(-middle - 0.6 * generator.standard_normal((n_options, N))))).astype(np.float32)


def listed(n_wanted: int, assurance: float, ways: list[Way], ready: np.ndarray, standing: int = 0) -> Listed:
    return plans_listed(n_wanted, assurance, tuple(ways), ready, np.full(N, standing), want="w", seed=3)


def as_set(found: Listed) -> set[tuple[tuple[int, int], ...]]:
    return {
        tuple(sorted((int(i), int(n)) for i, n in zip(*row, strict=True) if i >= 0))
        for row in zip(found.options, found.n_containers, strict=True)
    }


def table(ways: list[Way], ready: np.ndarray, most: int) -> np.ndarray:
    """Counts by option and containers; more containers never give fewer plants."""
    counts = np.zeros((len(ways), most + 1, N))
    for i, way in enumerate(ways):
        z = scores_of(3, N, "w", way.option)
        for n in range(1, most + 1):
            counts[i, n] = counts_ready(ready[i], n * way.n_per_container, z)
    return np.maximum.accumulate(counts, axis=1)


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 10_000), n_wanted=st.integers(3, 20), assurance=st.sampled_from([0.6, 0.8, 0.95]))
def test_plans_of_one_and_two_batches_are_all_the_smallest_ones(
    seed: int, n_wanted: int, assurance: float
) -> None:
    ready = shares(seed, 3)
    ways = [Way(name, 4, 1.0, 0.0, 30) for name in "abc"]
    counts = table(ways, ready, 30)
    enough = {
        (i, a, j, b)
        for i, j in ((0, 1), (0, 2), (1, 2))
        for a, b in product(range(31), repeat=2)
        if ((counts[i, a] + counts[j, b]) >= n_wanted).mean() >= assurance - 1e-9
    }
    smallest = {
        tuple((k, n) for k, n in ((i, a), (j, b)) if n)
        for i, a, j, b in enough
        if (i, a - 1, j, b) not in enough and (i, a, j, b - 1) not in enough
    }
    found = as_set(listed(n_wanted, assurance, ways, ready))
    assert {plan for plan in found if len(plan) < 3} == smallest


def test_triples_are_listed_where_one_and_two_batches_are_not_enough() -> None:
    ways = [Way(name, 4, 1.0, 0.0, 2) for name in "abcd"]
    found = as_set(listed(12, 0.8, ways, np.full((4, N), 0.7, np.float32)))
    assert found
    assert {len(plan) for plan in found} == {3}


def test_triples_are_not_listed_where_one_batch_is_cheapest() -> None:
    ways = [Way(name, 4, 1.0, 50.0, 30) for name in "abcd"]
    assert {len(plan) for plan in as_set(listed(12, 0.8, ways, shares(1, 4)))} == {1, 2}


def test_cheap_triples_are_listed_where_spreading_the_risk_pays() -> None:
    ways = [Way(name, 2, 1.0, 0.1, 200) for name in "abcd"]
    generator = np.random.default_rng(2)
    ready = (1 / (1 + np.exp(-0.9 * generator.standard_normal((4, N))))).astype(np.float32)
    found = listed(60, 0.95, ways, ready)
    cost = (found.n_containers * 2.0).sum(axis=1) + 0.1 * (found.options >= 0).sum(axis=1)
    n = (found.options >= 0).sum(axis=1)
    assert cost[n == 3].min() < cost[n == 2].min() < cost[n == 1].min()


def test_a_large_want_is_listed_in_steps_and_every_plan_is_enough() -> None:
    ways = [Way(name, 6, 1.0, 1.0, 10**6) for name in "ab"]
    ready = shares(4, 2)
    found = listed(3_000, 0.9, ways, ready)
    counts = np.zeros((len(found), N))
    for k in range(3):
        for row, (i, n) in enumerate(zip(found.options[:, k], found.n_containers[:, k], strict=True)):
            if i >= 0:
                z = scores_of(3, N, "w", ways[i].option)
                counts[row] += counts_ready(ready[i], int(n) * 6, z)
    assert len(found) > 20
    assert ((counts >= 3_000).mean(axis=1) >= 0.9 - 1e-9).all()


def test_what_stands_is_counted() -> None:
    ways = [Way("a", 1, 1.0, 0.0, 100)]
    without, with_five = (listed(10, 0.8, ways, shares(5, 1), n) for n in (0, 5))
    assert with_five.n_containers[0, 0] < without.n_containers[0, 0]
    assert (without.given, with_five.given) == (0, 5)
    nothing = listed(10, 0.8, ways, shares(5, 1), 12)
    assert nothing.options.tolist() == [[-1, -1, -1]]
    assert nothing.given == 10


@pytest.mark.parametrize(("mean", "most"), [(0.001, 100), (0.5, 0), (0.5, 2)])
def test_nothing_is_listed_where_nothing_is_enough(mean: float, most: int) -> None:
    assert not len(listed(10, 0.8, [Way("a", 1, 1.0, 0.0, most)], np.full((1, N), mean, np.float32)))
