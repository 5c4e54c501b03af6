"""The clocks as curves: shares that make the whole, never run backwards, and bear any draw."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.rooting.cells import CELLS
from slipwright.rooting.curves import days_to_root, fates, middle_clocks, prior_curve
from slipwright.rooting.cuttings import PRIOR_MEANS, Cuttings
from slipwright.rooting.learned import ClockDraws, Kind, prior_draws
from slipwright.rooting.simulate import Hazards, chances

EXTREME = st.floats(-1e3, 1e3)
PAIRS = st.tuples(EXTREME, EXTREME)
DAYS = st.lists(st.floats(0, 2000), min_size=1, max_size=12)


@given(level=PAIRS, slope=PAIRS, bend=PAIRS, days=DAYS)
@settings(deadline=None)
def test_rooted_lost_and_waiting_make_the_whole_and_never_run_backwards(level, slope, bend, days) -> None:
    clocks = ClockDraws(*(np.array(part)[:, None] for part in (level, slope, bend)))
    found = fates(clocks, sorted(days))
    assert np.isfinite(found).all()
    assert (found >= 0).all()
    assert found.sum(axis=0) == pytest.approx(1, abs=1e-9)
    assert (np.diff(found[0, :, 0]) >= -1e-9).all()
    assert (np.diff(found[1, :, 0]) >= -1e-9).all()
    assert (np.diff(found[2, :, 0]) <= 1e-9).all()


@given(level=PAIRS, slope=PAIRS, by_day=st.floats(1, 400), share=st.floats(0.01, 0.99))
@settings(deadline=None)
def test_the_day_of_a_share_lies_before_the_end_whatever_the_draw(level, slope, by_day, share) -> None:
    clocks = ClockDraws(np.array(level)[:, None], np.array(slope)[:, None], np.zeros((2, 1)))
    assert 0 <= days_to_root(clocks, share, by_day=by_day)[0] <= by_day


@given(seed=st.integers(0, 1000), by_day=st.floats(20, 300), share=st.floats(0.05, 0.95))
@settings(deadline=None, max_examples=30)
def test_by_the_day_of_a_share_that_share_has_rooted(seed, by_day, share) -> None:
    kind = Kind("Rosa", "Rosa", "semi-hardwood", "2014")
    clocks = prior_draws(np.random.default_rng(seed), 5).clocks(Cuttings(), kind)
    day = days_to_root(clocks, share, by_day=by_day)
    rooted = np.array([fates(clocks, [on, by_day])[0, :, draw] for draw, on in enumerate(day)])
    assert rooted[:, 0] == pytest.approx(share * rooted[:, 1], rel=1e-6, abs=1e-12)


@pytest.mark.parametrize("day", [0, 3, 7, 55.5, 182, 500])
def test_curves_equal_chances_worked_cell_by_cell(day: float) -> None:
    clocks = middle_clocks(Cuttings("softwood", 0.3, "dip", 2000, cover="open"), (0.4, -0.2))
    hazards = Hazards(*np.exp(clocks.log_hazards()[:, :, 0]))
    assert fates(clocks, [day])[:, 0, 0] == pytest.approx(chances(hazards, 0, day))


def test_days_may_come_in_any_order() -> None:
    clocks = middle_clocks(Cuttings())
    assert np.array_equal(fates(clocks, [80, 9]), fates(clocks, [9, 80])[:, ::-1])


def test_a_day_before_sticking_is_refused() -> None:
    with pytest.raises(ValueError, match="before sticking"):
        fates(middle_clocks(Cuttings()), [-1])


def test_the_middle_is_the_middle_of_the_draws() -> None:
    cuttings, kind = Cuttings(medium="Sand", warmth_c=24), Kind("Rosa", "Rosa", "semi-hardwood", "2014")
    drawn = prior_draws(np.random.default_rng(3), 4000).clocks(cuttings, kind)
    middle = middle_clocks(cuttings)
    assert np.median(drawn.level, axis=1) == pytest.approx(middle.level[:, 0], abs=0.1)
    assert np.median(drawn.slope, axis=1) == pytest.approx(middle.slope[:, 0], abs=0.05)


def test_other_coefficients_may_stand_in_for_the_means() -> None:
    other = middle_clocks(Cuttings(n_nodes=5), means=PRIOR_MEANS | {"nodes": (1.0, 2.0)})
    assert (other.level - middle_clocks(Cuttings()).level)[:, 0] == pytest.approx([1.0, 2.0])


def test_a_prior_curve_rises_with_the_days_and_with_the_points() -> None:
    drawn, kind = prior_draws(np.random.default_rng(1), 400), Kind("Rosa", "Rosa", "semi-hardwood", "2014")
    curve = prior_curve(drawn, Cuttings(), kind, list(range(0, 120, 7)))
    assert (np.diff(curve, axis=0)[:, 1:] > 0).all()
    assert (np.diff(curve, axis=1) >= 0).all()
    assert curve[:, 0] == pytest.approx(0)


def test_every_cell_of_the_grid_is_longer_than_nought() -> None:
    assert (np.diff(CELLS.edges) > 0).all()
