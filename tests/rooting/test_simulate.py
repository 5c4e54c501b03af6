"""Invented batches: chances that sum to one, curves that keep to rules of thumb, counts that add up."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.rooting.cells import FLOOR_DAY, GRID_DAYS
from slipwright.rooting.cuttings import Cuttings
from slipwright.rooting.simulate import (
    Hazards,
    chances,
    drawn_counts,
    drawn_effects,
    hazards_of,
)

HALF_RIPE = Cuttings(auxin="dip", strength=3000)
SOFT = Cuttings("softwood", 0.35, "dip", 1000)
HARD = Cuttings("hardwood", auxin="dip", strength=3000, leaves="none")
KINDS = st.sampled_from([HALF_RIPE, SOFT, HARD, Cuttings(ripeness=0.02), Cuttings(cover="open", bloom=1)])


def rooted_by(cuttings: Cuttings, day: float) -> float:
    return chances(hazards_of(cuttings), 0, day)[0]


def middle_day(cuttings: Cuttings) -> int:
    """Day by which half of those that ever root have done so."""
    in_the_end = rooted_by(cuttings, 400)
    return next(day for day in range(400) if rooted_by(cuttings, day) >= in_the_end / 2)


@pytest.mark.parametrize("cuttings", [HALF_RIPE, SOFT, HARD])
@pytest.mark.parametrize(("from_day", "to_day"), [(0, 0), (0, 5), (3, 3.5), (6, 200), (350, 900)])
def test_chances_sum_to_one(cuttings: Cuttings, from_day: float, to_day: float) -> None:
    found = chances(hazards_of(cuttings), from_day, to_day)
    assert sum(found) == pytest.approx(1, abs=1e-12)
    assert min(found) >= 0


@pytest.mark.parametrize("cuttings", [HALF_RIPE, SOFT, HARD])
def test_chances_equal_an_integration_in_small_steps(cuttings: Cuttings) -> None:
    hazards = hazards_of(cuttings)
    step, from_day, to_day = 0.001, 5.0, 90.0
    middles = np.arange(from_day + step / 2, to_day, step)
    cell = np.searchsorted(GRID_DAYS, middles, side="right") - 1
    both = (hazards.rooting + hazards.loss)[cell]
    waiting = np.exp(-np.concatenate(([0.0], np.cumsum(both * step)[:-1])) - both * step / 2)
    expected = [
        float((waiting * hazards.rooting[cell]).sum() * step),
        float((waiting * hazards.loss[cell]).sum() * step),
    ]
    assert chances(hazards, from_day, to_day)[:2] == pytest.approx(expected, abs=1e-5)


def test_the_steps_of_the_grid_stay_near_the_smooth_curve() -> None:
    """Hazards that are constant in pieces differ from the curve they stand for by less than 3 in 100."""
    days = np.arange(0.005, 112, 0.01)
    at = np.log(np.maximum(days, FLOOR_DAY) / 42)
    rooting = np.exp(-3.05 + 2.0 * at - 0.5 * at**2)
    loss = np.exp(-5.70 - 0.30 * at)
    waiting = np.exp(-np.cumsum((rooting + loss) * 0.01))
    smooth = float((waiting * rooting).sum() * 0.01)
    assert rooted_by(Cuttings(), 112) == pytest.approx(smooth, abs=0.03)


def test_a_stretch_is_the_same_in_one_go_or_in_two() -> None:
    hazards = hazards_of(HALF_RIPE)
    first, second = chances(hazards, 0, 33), chances(hazards, 33, 71)
    whole = chances(hazards, 0, 71)
    assert whole[0] == pytest.approx(first[0] + first[2] * second[0])
    assert whole[2] == pytest.approx(first[2] * second[2])


def test_half_ripe_wood_with_hormone_roots_about_eight_in_ten_in_four_to_eight_weeks() -> None:
    assert 0.75 < rooted_by(HALF_RIPE, 112) < 0.9
    assert 28 <= middle_day(HALF_RIPE) <= 56


def test_soft_wood_roots_sooner_and_hard_wood_later() -> None:
    assert middle_day(SOFT) < middle_day(HALF_RIPE) < middle_day(HARD)
    assert middle_day(HARD) > 60


def test_tips_are_lost_more_and_woody_bases_root_slowly() -> None:
    tip, middle, base = (Cuttings(ripeness=ripeness) for ripeness in (0.03, 0.5, 0.97))
    lost = [chances(hazards_of(cuttings), 0, 112)[1] for cuttings in (tip, middle)]
    assert lost[0] > 2 * lost[1]
    assert middle_day(base) > middle_day(middle) + 21


def test_leafy_cuttings_without_cover_are_lost_and_bare_ones_are_not() -> None:
    def lost(cuttings: Cuttings) -> float:
        return chances(hazards_of(cuttings), 0, 84)[1]

    assert lost(Cuttings(cover="open")) > 2 * lost(Cuttings())
    bare = [lost(replace(HARD, cover=cover)) for cover in ("open", "mist")]
    assert bare[0] == bare[1]


def test_full_bloom_costs_roots() -> None:
    assert rooted_by(Cuttings(bloom=1), 56) < 0.8 * rooted_by(Cuttings(), 56)


def test_the_same_seed_draws_the_same() -> None:
    kinds = [("Rosa", "Rosa 'Ice Lantern'", "2014"), ("Ribes", "Ribes nigrum", "2014")] * 3

    def drawn(seed: int) -> tuple[bytes, bytes]:
        generator = np.random.default_rng(seed)
        effects = drawn_effects(generator, kinds)
        return effects.tobytes(), drawn_counts(generator, hazards_of(SOFT), 40, [7, 15, 30]).tobytes()

    assert drawn(5) == drawn(5)
    assert drawn(5) != drawn(6)


def test_batches_of_one_taxon_are_more_alike_than_of_two_genera() -> None:
    generator = np.random.default_rng(2)
    kinds = [(genus, genus, "2014") for genus in map(str, range(400)) for _ in (1, 2)]
    effects = drawn_effects(generator, kinds)[:, 0]
    within = effects[::2] - effects[1::2]
    between = effects[:-2:2] - effects[2::2]
    assert within.std() < 0.8 * between.std()


def test_counts_follow_the_chances() -> None:
    rooted = [
        drawn_counts(np.random.default_rng(seed), hazards_of(HALF_RIPE), 50, [30, 60])[:, 0].sum()
        for seed in range(200)
    ]
    assert np.mean(rooted) / 50 == pytest.approx(rooted_by(HALF_RIPE, 60), abs=0.03)


def test_a_look_later_on_begins_where_the_one_before_ended() -> None:
    certain = Hazards(np.array([0.0] * 19 + [1e3]), np.zeros(20))
    generator = np.random.default_rng(1)
    assert drawn_counts(generator, certain, 9, [200], from_day=10).tolist() == [[0, 0, 9]]
    assert drawn_counts(generator, certain, 9, [300], from_day=200).tolist() == [[9, 0, 0]]


@given(
    cuttings=KINDS,
    effect=st.tuples(st.floats(-6, 6), st.floats(-6, 6)),
    n_stuck=st.integers(0, 500),
    gaps=st.lists(st.integers(0, 60), min_size=1, max_size=12),
    seed=st.integers(0, 2**32 - 1),
)
@settings(max_examples=80, deadline=None)
def test_counts_never_exceed_what_is_at_risk(
    cuttings: Cuttings, effect: tuple[float, float], n_stuck: int, gaps: list[int], seed: int
) -> None:
    days = np.cumsum(gaps).tolist()
    counts = drawn_counts(np.random.default_rng(seed), hazards_of(cuttings, effect), n_stuck, days)
    at_risk = n_stuck
    for rooted, lost, waiting in counts.tolist():
        assert min(rooted, lost, waiting) >= 0
        assert rooted + lost + waiting == at_risk
        at_risk = waiting


@pytest.mark.parametrize(
    "wrong", [{"ripeness": 1.2}, {"bloom": -0.1}, {"bloom": None}, {"strength": -1.0}, {"strength": None}]
)
def test_what_cannot_be_is_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="must"):
        hazards_of(Cuttings(**wrong))  # type: ignore[arg-type]


@pytest.mark.parametrize("days", [(-1, 3), (9, 3)])
def test_days_that_run_backwards_are_refused(days: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="days must run on"):
        chances(hazards_of(SOFT), *days)


def test_fewer_than_none_cannot_be_stuck() -> None:
    with pytest.raises(ValueError, match="n_stuck"):
        drawn_counts(np.random.default_rng(1), hazards_of(SOFT), -1, [7])
