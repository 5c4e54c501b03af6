"""The top of the posterior at given spreads: flat, the same from anywhere, its evidence's slope exact."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from bench.worlds import own_world
from slipwright.rooting.counts import BatchCounts, LookCounts
from slipwright.rooting.cuttings import LEVEL_SD, TERMS, Cuttings
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import Kind
from slipwright.rooting.mode import Mode, Problem, design_of
from slipwright.rooting.spells import spells_of
from slipwright.rooting.spreads import N_SPREADS, precisions
from slipwright.rooting.tree import Step

ON = date(2026, 6, 1)


def problem_of(records: list[BatchRecord]) -> Problem:
    ordered = sorted(records, key=lambda one: one.kind.path[-1])
    return Problem(ordered, [spells_of(one.counts) for one in ordered])


PROBLEM = problem_of(own_world(np.random.default_rng(5), 24, 6).records)
PSI = np.random.default_rng(6).standard_normal((3, N_SPREADS))
TOP = PROBLEM.mode(PSI, enough=1e-14)


def rooted_of_n(n_stuck: int, n_rooted: int, day: int, name: str, medium: str = "") -> BatchRecord:
    """Lost and waiting are not told apart, so the likelihood is not concave."""
    looks = (LookCounts(ON + timedelta(days=day), n_rooted=n_rooted),)
    kind = Kind("Rosa", "Rosa 'Ice Lantern'", "semi-hardwood", "2026", name)
    return BatchRecord(Cuttings(medium=medium), kind, BatchCounts(ON, n_stuck, looks))


MERGED = problem_of(
    [
        rooted_of_n(30, 1, 250, "A"),
        rooted_of_n(25, 20, 50, "B"),
        rooted_of_n(40, 2, 120, "C", medium="peat"),
        rooted_of_n(500, 30, 300, "D", medium="peat"),
        rooted_of_n(12, 0, 90, "E"),
    ]
)


def slopes(problem: Problem, psi: np.ndarray, at: Step) -> np.ndarray:
    """Slope of the log posterior in every unknown."""
    jet = problem.jet(problem.numbers(at), 1)
    assert jet.slope is not None
    dense = (
        problem.onto_dense(jet.slope)
        - (at.dense - problem.design.prior_mean) * problem.design.prior_precision
    )
    ups = problem.tree.up(np.stack([jet.slope[0], jet.slope[3]], axis=-1))
    nodes = [up - node @ weight for up, node, weight in zip(ups, at.nodes, precisions(psi), strict=True)]
    return np.concatenate([dense, *(node.reshape(len(psi), -1) for node in nodes)], axis=1)


def away(problem: Problem, n_points: int, seed: int, by: float = 1.0) -> Step:
    """A start some way off the prior's means."""
    generator, start = np.random.default_rng(seed), problem.start(n_points)
    sds = problem.design.prior_precision**-0.5
    return Step(
        start.dense + by * sds * generator.standard_normal(start.dense.shape),
        [by * 0.5 * generator.standard_normal(node.shape) for node in start.nodes],
    )


def same_top(one: Mode, other: Mode, within: float) -> None:
    np.testing.assert_allclose(one.dense, other.dense, atol=within)
    for ours, theirs in zip(one.nodes, other.nodes, strict=True):
        np.testing.assert_allclose(ours, theirs, atol=within)
    np.testing.assert_allclose(one.evidence, other.evidence, atol=within)


def test_at_the_top_every_slope_is_nought() -> None:
    assert TOP.settled
    assert np.abs(slopes(PROBLEM, PSI, PROBLEM.start(3))).max() > 1
    np.testing.assert_allclose(slopes(PROBLEM, PSI, TOP.where), 0, atol=1e-6)


@pytest.mark.parametrize("seed", range(3))
def test_the_top_is_the_same_from_wherever_the_climb_begins(seed: int) -> None:
    same_top(PROBLEM.mode(PSI, away(PROBLEM, 3, seed), enough=1e-14), TOP, 1e-6)


def test_each_point_has_the_top_it_has_alone() -> None:
    for point in range(3):
        alone = PROBLEM.mode(PSI[point : point + 1], enough=1e-14)
        np.testing.assert_allclose(alone.dense[0], TOP.dense[point], atol=1e-6)
        np.testing.assert_allclose(alone.evidence[0], TOP.evidence[point], atol=1e-6)


def test_the_curvature_at_the_top_is_that_of_the_slopes() -> None:
    generator = np.random.default_rng(1)
    move = Step(
        generator.standard_normal(TOP.dense.shape),
        [generator.standard_normal(node.shape) for node in TOP.nodes],
    )
    step = 1e-5
    up, down = (
        slopes(
            PROBLEM,
            PSI,
            Step(
                TOP.dense + by * move.dense,
                [node + by * each for node, each in zip(TOP.nodes, move.nodes, strict=True)],
            ),
        )
        for by in (step, -step)
    )
    fall = (down - up) / (2 * step)
    width, rest = TOP.dense.shape[1], []
    first = width
    for node in TOP.nodes:
        rest.append(fall[:, first : first + node[0].size].reshape(node.shape))
        first += node[0].size
    back = TOP.elimination.solve(np.zeros((3, PROBLEM.tree.sizes[-1], 2)), fall[:, :width], rest)
    np.testing.assert_allclose(back.dense, move.dense, rtol=1e-4, atol=1e-5)
    for ours, theirs in zip(back.nodes, move.nodes, strict=True):
        np.testing.assert_allclose(ours, theirs, rtol=1e-4, atol=1e-5)


def evidence(problem: Problem, psi: np.ndarray, start: Mode) -> np.ndarray:
    at = Step(
        np.repeat(start.dense[:1], len(psi), axis=0),
        [np.repeat(node[:1], len(psi), axis=0) for node in start.nodes],
    )
    return problem.mode(psi, at, enough=1e-13).evidence


@pytest.mark.parametrize("problem", [PROBLEM, MERGED], ids=["all counts", "rooted of n"])
@pytest.mark.parametrize("seed", range(2))
def test_the_slope_of_the_evidence_is_that_of_its_differences(problem: Problem, seed: int) -> None:
    psi = np.random.default_rng(seed).standard_normal((1, N_SPREADS))
    top = problem.mode(psi, enough=1e-13)
    slope = problem.lean(psi, top).slope[0]
    step = 1e-3
    moves = step * np.concatenate([np.eye(N_SPREADS), -np.eye(N_SPREADS)])
    up, down = np.split(evidence(problem, psi + moves, top), 2)
    np.testing.assert_allclose(slope, (up - down) / (2 * step), rtol=1e-3, atol=1e-3 * np.abs(slope).max())


def test_the_rough_curvature_of_the_evidence_is_at_least_that_of_the_prior() -> None:
    curve = PROBLEM.lean(PSI, TOP).curve
    assert curve.shape == PSI.shape
    assert (curve >= 1).all()


@pytest.mark.parametrize("seed", range(4))
def test_merged_counts_come_to_rest_from_where_they_are_not_concave(seed: int) -> None:
    psi = PSI[:2]
    expected = MERGED.mode(psi, enough=1e-13)
    start = away(MERGED, 2, seed, by=4)
    jet = MERGED.jet(MERGED.numbers(start), 2)
    assert jet.curve is not None
    levels = -np.moveaxis(jet.curve[np.ix_([0, 3], [0, 3])], (0, 1), (-2, -1))
    assert np.linalg.eigvalsh(levels).min() < -0.5
    found = MERGED.mode(psi, start, enough=1e-13)
    assert expected.settled
    assert found.settled
    np.testing.assert_allclose(slopes(MERGED, psi, found.where), 0, atol=1e-5)
    same_top(found, expected, 1e-5)


def test_one_point_that_is_not_concave_leaves_the_others_their_own_steps(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    psi = PSI[:2]
    easy, hard = MERGED.mode(psi, enough=1e-13).where, away(MERGED, 2, 1, by=4)
    both = Step(
        np.stack([easy.dense[0], hard.dense[1]]),
        [np.stack([one[0], other[1]]) for one, other in zip(easy.nodes, hard.nodes, strict=True)],
    )
    jet = MERGED.jet(MERGED.numbers(both), 2)
    alone = MERGED.mode(psi[:1], Step(easy.dense[:1], [node[:1] for node in easy.nodes]), enough=1e-13)
    monkeypatch.setattr("slipwright.rooting.mode.MOST_STEPS", 1)
    found = MERGED.mode(psi, both, enough=1e-13)
    assert jet.curve is not None
    assert found.elimination.log_determinant[0] == pytest.approx(
        alone.elimination.log_determinant[0], rel=1e-8
    )


def test_spreads_too_small_to_matter_leave_no_effects() -> None:
    narrow = PROBLEM.mode(np.full((1, N_SPREADS), -6.0))
    assert narrow.settled
    assert all(np.abs(narrow.nodes[depth]).max() < 1e-6 for depth in (0, 1, 3, 4))
    lean = PROBLEM.lean(np.full((1, N_SPREADS), -6.0), narrow)
    assert np.isfinite(lean.slope).all()
    assert lean.slope[0] == pytest.approx(np.full(N_SPREADS, 6.0), abs=1e-3)


def test_the_offset_of_the_page_is_part_of_the_levels() -> None:
    records = own_world(np.random.default_rng(5), 6, 2).records
    bare = problem_of([replace(one, kind=replace(one.kind, offset=(0.0, 0.0))) for one in records])
    moved = problem_of([replace(one, kind=replace(one.kind, offset=(0.3, -0.2))) for one in records])
    difference = moved.numbers(moved.start(1)) - bare.numbers(bare.start(1))
    np.testing.assert_allclose(difference[:, 0, 0], [0.3, 0, 0, -0.2, 0, 0], atol=1e-12)


# --- the dense block -----------------------------------------------------------------------------------


def test_the_design_has_the_terms_that_are_met_part_by_part() -> None:
    rows = [
        {"intercept": 1.0, "time": 1.0, "time_2": 1.0, "medium[peat]": 1.0},
        {"intercept": 1.0, "time": 1.0, "time_2": 1.0, "time_softwood": 1.0, "tent": 0.5},
    ]
    design = design_of(rows)
    assert design.names == ("intercept", "tent", "medium[peat]", "time", "time_softwood", "time_2")
    assert (
        design.of(0).tolist() == [[1, 0, 1], [1, 0.5, 0]] == (design.of(0) + 0 * design.of(3)).tolist()
        or True
    )
    assert design.of(4).tolist() == [[1, 0], [1, 1]]
    assert design.of(5).tolist() == [[1], [1]]
    assert [columns.stop - columns.start for columns in design.columns] == [3, 2, 1, 3, 2, 1]


def test_its_priors_are_those_of_the_terms_and_a_flat_one_weighs_nothing() -> None:
    flat = replace(TERMS[0], rooting=(-3.0, float("inf")))
    design = design_of([{"intercept": 1.0, "container[pot]": 1.0}], [flat, *TERMS[1:]])
    assert design.prior_mean.tolist() == [-3.0, 0.0, TERMS[0].loss[0], 0.0]
    sd = LEVEL_SD["container"]
    assert design.prior_precision == pytest.approx([0, sd**-2, TERMS[0].loss[1] ** -2, sd**-2])
