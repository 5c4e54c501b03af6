"""The likelihood of looks: equal to plain products, exact in slopes and curvature, finite everywhere."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise, product

import numpy as np
import pytest

from slipwright.rooting.cells import CELLS
from slipwright.rooting.counts import BatchCounts, LookCounts
from slipwright.rooting.cuttings import Cuttings
from slipwright.rooting.learned import Kind, prior_draws
from slipwright.rooting.likelihood import N_NUMBERS, jet_of, log_likelihood
from slipwright.rooting.simulate import Hazards, chances
from slipwright.rooting.spells import segments_of

ON = date(2026, 6, 1)
DAYS = (9, 24, 60)
COUNTS = (
    {},
    {"n_rooted": 2},
    {"n_lost": 1},
    {"n_rooted": 2, "n_lost": 1},
    {"n_waiting": 3},
    {"n_removed": 1},
)
TRIED = {"n_tried": 4, "n_tried_rooted": 1}


def batch(*looks: tuple[int, dict[str, int]], n: int = 12) -> BatchCounts:
    return BatchCounts(ON, n, tuple(LookCounts(ON + timedelta(days=day), **found) for day, found in looks))


#: every way to leave columns empty at three looks, samples tried, a batch with nothing counted among them
BATCHES = [batch(*zip(DAYS, found, strict=True)) for found in product([*COUNTS, TRIED], repeat=3)]
SEEN = segments_of(BATCHES)
FULL = [
    batch(*((day, {"n_rooted": 2, "n_lost": 1}) for day in days)) for days in [(3,), (5, 40), (30, 380, 700)]
]


def drawn(n_points: int, n_batches: int, seed: int = 3) -> np.ndarray:
    """Six numbers of each batch as the priors would have them, (6, n_points, n_batches)."""
    clocks = prior_draws(np.random.default_rng(seed), n_points * n_batches).clocks(
        Cuttings(), Kind("", "", "", "")
    )
    six = [each[clock] for clock in (0, 1) for each in (clocks.level, clocks.slope, clocks.bend)]
    return np.reshape(six, (N_NUMBERS, n_points, n_batches))


def hazards(numbers: np.ndarray) -> Hazards:
    r, l = numbers.reshape(2, 3) @ np.stack([CELLS.times**k for k in range(3)])  # noqa: E741
    return Hazards(np.exp(r), np.exp(l))


@pytest.mark.parametrize("counts", FULL)
def test_full_looks_are_a_product_of_chances(counts: BatchCounts) -> None:
    numbers = drawn(4, 1)
    numbers[[0, 3]] -= 3  # so that some still wait after years
    found = log_likelihood(segments_of([counts]), numbers)[:, 0]
    for point in range(4):
        total, waiting = 0.0, counts.n_stuck
        days = [0, *((look.on - ON).days for look in counts.looks)]
        for begin, end in pairwise(days):
            waiting -= 3
            total += np.log(chances(hazards(numbers[:, point, 0]), begin, end)) @ [2, 1, waiting]
        assert found[point] == pytest.approx(total, rel=1e-9)


def test_it_is_the_product_of_days_gone_through_one_by_one() -> None:
    counts = batch((20, {"n_rooted": 3, "n_lost": 2, "n_removed": 1}), (45, {"n_rooted": 1}))
    numbers = drawn(1, 1)
    per_day = hazards(numbers[:, 0, 0])
    cell = np.searchsorted(CELLS.edges, np.arange(45), side="right") - 1
    r, l = per_day.rooting[cell], per_day.loss[cell]  # noqa: E741
    stays = np.exp(-(r + l))
    roots, dies = r / (r + l) * (1 - stays), l / (r + l) * (1 - stays)

    def within(by: np.ndarray, begin: int, end: int) -> float:
        return float(sum(np.prod(stays[begin:day]) * by[day] for day in range(begin, end)))

    first = 3 * np.log(within(roots, 0, 20)) + 2 * np.log(within(dies, 0, 20)) + 7 * np.log(stays[:20].prod())
    second = np.log(within(roots, 20, 45)) + 5 * np.log(1 - within(roots, 20, 45))
    assert log_likelihood(segments_of([counts]), numbers)[0, 0] == pytest.approx(first + second, rel=1e-10)


def moved(numbers: np.ndarray, k: int, by: float) -> np.ndarray:
    there = numbers.copy()
    there[k] += by
    return there


def test_slopes_are_those_of_the_value() -> None:
    numbers = drawn(3, len(BATCHES))
    slope = jet_of(SEEN, numbers, order=1).slope
    assert slope is not None
    step = 1e-5
    for k in range(N_NUMBERS):
        difference = log_likelihood(SEEN, moved(numbers, k, step)) - log_likelihood(
            SEEN, moved(numbers, k, -step)
        )
        np.testing.assert_allclose(slope[k], difference / (2 * step), rtol=1e-6, atol=1e-6)


def test_curvature_is_that_of_the_slopes() -> None:
    numbers = drawn(3, len(BATCHES))
    curve = jet_of(SEEN, numbers).curve
    assert curve is not None
    step = 1e-5
    for k in range(N_NUMBERS):
        up, down = (jet_of(SEEN, moved(numbers, k, by), order=1).slope for by in (step, -step))
        assert up is not None
        assert down is not None
        np.testing.assert_allclose(curve[k], (up - down) / (2 * step), rtol=1e-5, atol=1e-5)


def test_value_and_slopes_do_not_depend_on_how_many_derivatives_are_asked_for() -> None:
    numbers = drawn(2, len(BATCHES))
    jets = [jet_of(SEEN, numbers, order=order) for order in range(3)]
    assert [jet.slope is None for jet in jets] == [True, False, False]
    assert [jet.curve is None for jet in jets] == [True, True, False]
    np.testing.assert_array_equal(jets[0].value, jets[2].value)
    np.testing.assert_array_equal(jets[1].slope, jets[2].slope)  # type: ignore[arg-type]


@pytest.mark.parametrize("level", list(product([-200.0, -30.0, -12.0, 3.0, 14.0, 90.0], repeat=2)))
def test_at_the_farthest_hazards_all_is_finite(level: tuple[float, float]) -> None:
    numbers = np.zeros((N_NUMBERS, 1, len(BATCHES)))
    numbers[[0, 3], 0] = np.array(level)[:, None]
    jet = jet_of(SEEN, numbers)
    for found in (jet.value, jet.slope, jet.curve):
        assert np.isfinite(found).all()  # type: ignore[arg-type]
    assert (jet.value <= 1e-9).all()


def test_a_hazard_held_at_its_bounds_has_no_slope() -> None:
    numbers = drawn(1, len(BATCHES))
    numbers[0, :, 1::2] -= 100
    numbers[3, :, ::2] += 60
    jet = jet_of(SEEN, numbers)
    assert jet.slope is not None
    assert jet.curve is not None
    for held, chosen in ((slice(0, 3), slice(1, None, 2)), (slice(3, 6), slice(0, None, 2))):
        assert (jet.slope[held, :, chosen] == 0).all()
        assert (jet.curve[held, :, :, chosen] == 0).all()
        assert (jet.curve[:, held, :, chosen] == 0).all()
    step = 1e-4
    for k in range(N_NUMBERS):
        up, down = (jet_of(SEEN, moved(numbers, k, by), order=1) for by in (step, -step))
        assert up.slope is not None
        assert down.slope is not None
        np.testing.assert_allclose(jet.slope[k], (up.value - down.value) / (2 * step), rtol=1e-5, atol=1e-2)
        np.testing.assert_allclose(jet.curve[k], (up.slope - down.slope) / (2 * step), rtol=1e-4, atol=1e-2)


def test_where_hardly_anything_can_happen_waiting_is_certain_and_each_event_costs_its_hazard() -> None:
    counts = [batch((30, {"n_rooted": 0, "n_lost": 0})), batch((30, {"n_rooted": 1, "n_lost": 0}))]
    numbers = np.zeros((N_NUMBERS, 1, 2))
    numbers[[0, 3]] = -25
    found = log_likelihood(segments_of(counts), numbers)[0]
    assert found == pytest.approx([0, -25 + np.log(30)], abs=1e-8)


def test_a_batch_has_the_same_likelihood_among_others_and_each_point_alone() -> None:
    numbers = drawn(2, len(BATCHES))
    together = jet_of(SEEN, numbers)
    for k in (0, 57, 200, 342):
        for point in range(2):
            alone = jet_of(segments_of([BATCHES[k]]), numbers[:, point : point + 1, k : k + 1])
            np.testing.assert_allclose(alone.value[0, 0], together.value[point, k], rtol=1e-12)
            np.testing.assert_allclose(
                alone.slope[:, 0, 0], together.slope[:, point, k], rtol=1e-9, atol=1e-12
            )  # type: ignore[index]
            np.testing.assert_allclose(
                alone.curve[:, :, 0, 0], together.curve[:, :, point, k], rtol=1e-9, atol=1e-12
            )  # type: ignore[index]


@pytest.mark.parametrize("n_segments", [1, 100, 1500])
def test_runs_of_batches_put_together_are_the_whole(n_segments: int) -> None:
    numbers = drawn(2, len(BATCHES))
    whole = jet_of(SEEN, numbers)
    jets = [jet_of(run, numbers[:, :, chosen]) for chosen, run in SEEN.runs(n_segments)]
    assert len(jets) > 1
    np.testing.assert_allclose(np.concatenate([jet.value for jet in jets], -1), whole.value, rtol=1e-12)
    np.testing.assert_allclose(
        np.concatenate([jet.curve for jet in jets], -1), whole.curve, rtol=1e-9, atol=1e-12
    )  # type: ignore[arg-type,misc]


def test_without_counts_there_is_nothing_to_explain() -> None:
    jet = jet_of(segments_of([batch(), batch((9, {}))]), np.zeros((N_NUMBERS, 3, 2)))
    assert jet.value.tolist() == [[0, 0]] * 3
    assert jet.slope is not None
    assert jet.curve is not None
    assert (jet.slope.shape, jet.curve.shape) == ((6, 3, 2), (6, 6, 3, 2))


def test_looks_with_all_counts_leave_levels_with_one_top() -> None:
    counts = [
        one
        for one in BATCHES
        if all(look.n_rooted is not None and look.n_lost is not None for look in one.looks)
    ]
    curve = jet_of(segments_of([*counts, *FULL]), drawn(20, len(counts) + len(FULL))).curve
    assert curve is not None
    levels = np.moveaxis(curve[np.ix_([0, 3], [0, 3])], (0, 1), (-2, -1))
    assert np.linalg.eigvalsh(levels).max() <= 1e-9
