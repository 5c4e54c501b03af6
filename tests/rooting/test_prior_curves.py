"""What is believed before any record, as curves: shares rooted by a day, shares lost, middle days.

The targets are our own, rules of thumb put into figures: common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from slipwright.rooting.curves import days_to_root, fates, middle_clocks
from slipwright.rooting.cuttings import TERMS, Cuttings
from slipwright.rooting.learned import Kind, prior_draws

DAYS = (28, 42, 56, 84, 112, 182)
PLAIN = Cuttings()
DIPPED = Cuttings(auxin="dip", strength=3000)
BARE = Cuttings("hardwood", leaves="none")
DRAWN = prior_draws(np.random.default_rng(7), 4000)

#: cuttings: per cent rooted by DAYS, per cent lost by day 112, middle day among those that root by 182
MIDDLE = {
    "half-ripe wood, dip of 3,000": (DIPPED, (22, 59, 79, 83, 83, 83), 17, 36),
    "half-ripe wood, no hormone": (PLAIN, (12, 38, 64, 81, 82, 82), 18, 44),
    "soft wood, dip of 1,000": (Cuttings("softwood", 0.35, "dip", 1000), (32, 64, 69, 69, 69, 69), 31, 29),
    "bare hard wood": (BARE, (1, 5, 14, 45, 75, 90), 8, 85),
    "soft tip": (replace(DIPPED, wood="softwood", ripeness=0.03), (12, 19, 20, 20, 20, 20), 80, 26),
    "woody base": (replace(DIPPED, ripeness=0.97), (1, 4, 9, 24, 41, 69), 18, 105),
    "15 days from bloom": (replace(DIPPED, bloom=0.5), (15, 46, 70, 79, 80, 80), 20, 40),
    "leafy without a cover": (replace(DIPPED, cover="open"), (12, 33, 47, 52, 52, 52), 48, 37),
}
#: per cent rooted by day 56 and by day 112, at 10, 50 and 90 per cent of batches
RANGES = {
    "half-ripe wood, dip of 3,000": ((17, 67, 94), (28, 80, 96)),
    "half-ripe wood, no hormone": ((14, 54, 89), (28, 78, 95)),
    "soft wood, dip of 1,000": ((6, 61, 92), (7, 66, 94)),
    "bare hard wood": ((2, 14, 54), (17, 66, 96)),
    "soft tip": ((0, 16, 74), (0, 17, 77)),
    "woody base": ((1, 7, 37), (6, 33, 84)),
    "15 days from bloom": ((11, 57, 91), (22, 75, 95)),
    "leafy without a cover": ((1, 35, 82), (2, 46, 87)),
}


def rooted_by(cuttings: Cuttings, *days: float) -> np.ndarray:
    """Draws of the per cent rooted by some days."""
    kind = Kind("Zelkova", "Zelkova serrata", cuttings.wood, "2014")
    return 100 * fates(DRAWN.clocks(cuttings, kind), days)[0]


def middle_day(cuttings: Cuttings) -> float:
    return float(days_to_root(middle_clocks(cuttings), by_day=182)[0])


def lost_by(cuttings: Cuttings, day: float) -> float:
    return 100 * float(fates(middle_clocks(cuttings), [day])[1, 0, 0])


@pytest.mark.parametrize("case", MIDDLE)
def test_the_middle_curve_follows_its_targets(case: str) -> None:
    cuttings, rooted, lost, middle = MIDDLE[case]
    found = fates(middle_clocks(cuttings), DAYS)
    assert 100 * found[0, :, 0] == pytest.approx(rooted, abs=3)
    assert 100 * found[1, 4, 0] == pytest.approx(lost, abs=3)
    assert middle_day(cuttings) == pytest.approx(middle, abs=5)


@pytest.mark.parametrize("case", RANGES)
def test_eight_batches_in_ten_keep_to_the_range(case: str) -> None:
    found = np.quantile(rooted_by(MIDDLE[case][0], 56, 112), (0.1, 0.5, 0.9), axis=1)
    for points, targets in zip(found.T, RANGES[case], strict=True):
        assert points == pytest.approx(targets, abs=8)


def test_two_nodes_root_sooner_and_are_lost_more_under_a_tent_than_four() -> None:
    two, four = (replace(DIPPED, cover="tent", n_nodes=nodes) for nodes in (2, 4))
    assert middle_day(two) < middle_day(four) - 1
    assert lost_by(two, 112) > lost_by(four, 112) + 4
    misted = [lost_by(replace(DIPPED, n_nodes=nodes), 112) for nodes in (2, 4)]
    assert misted[0] - misted[1] < lost_by(two, 112) - lost_by(four, 112)


@pytest.mark.parametrize("auxin", ["none", "talc"])
def test_of_bare_hard_wood_that_roots_in_half_a_year_four_in_five_have_by_week_sixteen(auxin) -> None:
    cuttings = replace(BARE, auxin=auxin, strength=8000.0 if auxin == "talc" else 0.0)
    week_16, half_a_year = fates(middle_clocks(cuttings), [112, 182])[0, :, 0]
    assert week_16 >= 0.8 * half_a_year
    over_draws = rooted_by(cuttings, 112, 182).mean(axis=1)
    assert over_draws[0] >= 0.8 * over_draws[1]


@pytest.mark.parametrize("auxin", ["none", "talc"])
def test_bare_hard_wood_takes_ten_to_sixteen_weeks(auxin) -> None:
    assert 70 <= middle_day(replace(BARE, auxin=auxin, strength=8000.0 if auxin == "talc" else 0.0)) <= 112


def test_a_talc_of_three_in_a_thousand_is_about_a_moderate_dip() -> None:
    talc = middle_clocks(Cuttings(auxin="talc", strength=3000)).level
    low, high = (middle_clocks(Cuttings(auxin="dip", strength=strength)).level for strength in (500, 2000))
    assert low[0] < talc[0] < high[0]
    stronger = middle_clocks(Cuttings(auxin="talc", strength=8000)).level
    assert talc[0] < stronger[0] < middle_clocks(DIPPED).level[0] + 0.1


def test_a_day_in_a_weak_solution_is_about_a_moderate_dip_too() -> None:
    soaked = middle_clocks(Cuttings(auxin="soak", strength=100)).level
    assert middle_clocks(PLAIN).level[0] < soaked[0] < middle_clocks(DIPPED).level[0]


def test_talc_soak_and_dip_are_believed_apart() -> None:
    names = ("dip", "talc", "soak")
    together = np.corrcoef([DRAWN.coefficients[name][0] for name in names])
    assert np.abs(together - np.eye(3)).max() < 0.1


def test_a_dip_is_best_at_some_thousands_and_worse_beyond() -> None:
    levels = {
        strength: middle_clocks(Cuttings(auxin="dip", strength=strength)).level[0, 0]
        for strength in (0, 1000, 3000, 20000)
    }
    assert max(levels, key=levels.__getitem__) == 3000
    assert levels[20000] < levels[1000]


def test_warmth_helps_to_a_point() -> None:
    share = {
        warmth: fates(middle_clocks(Cuttings(warmth_c=warmth)), [56])[0, 0, 0] for warmth in (10, 20, 25, 35)
    }
    assert share[10] < share[20] < share[25]
    assert share[35] < share[25]


def test_what_few_know_moves_no_middle() -> None:
    few = {term.name for term in TERMS if term.rooting == term.loss == (0.0, 0.3) and term.part == "level"}
    assert {"length", "tip", "heel", "mallet", "single_node", "wound", "stored", "leaves_reduced"} <= few


def test_hardly_anything_roots_in_the_first_days_even_at_the_edge_of_belief() -> None:
    assert np.quantile(rooted_by(DIPPED, 7), 0.9) < 5
