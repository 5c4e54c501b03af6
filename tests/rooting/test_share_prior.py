"""What a handbook's range of shares says of a genus before any record."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.handbook import load_handbook
from slipwright.rooting.share_prior import TAXON_SHARE, gaussian_steps, share_grid
from slipwright.rooting.surviving import points_of_share

RANGES = sorted(
    {
        (page.survive_percent.p10 / 100, page.survive_percent.p50 / 100, page.survive_percent.p90 / 100)
        for page in load_handbook().pages
        if page.survive_percent
    }
)


@pytest.mark.parametrize("points", RANGES)
def test_before_any_record_a_batch_has_the_handbooks_points(points) -> None:
    grid = share_grid(*points)
    assert grid.weights.sum() == pytest.approx(1, abs=1e-6)
    assert points_of_share(grid, grid.unseen) == pytest.approx(points, abs=1e-5)


@settings(max_examples=20, deadline=None)
@given(st.floats(0.05, 0.95), st.floats(0.35, 2.0), st.floats(0.35, 2.0))
def test_so_has_any_range_one_side_of_which_is_at_most_half_as_wide_again(p50, low, high) -> None:
    odds = np.log(p50 / (1 - p50)) + np.array([-min(low, 1.5 * high), 0.0, min(high, 1.5 * low)])
    points = np.clip(1 / (1 + np.exp(-odds)), 0.003, 0.997)
    grid = share_grid(*points)
    assert points_of_share(grid, grid.unseen) == pytest.approx(points, abs=2e-3)


def test_plants_of_a_genus_differ_by_their_part_of_the_range() -> None:
    grid = share_grid(0.6, 0.8, 0.92)
    of_genus, of_plant = grid.weights.sum(axis=1), grid.unseen.sum(axis=1)

    def variance(weights):
        return weights @ (grid.log_odds - weights @ grid.log_odds) ** 2

    low = min(np.log(0.8 / 0.2) - np.log(0.6 / 0.4), np.log(0.92 / 0.08) - np.log(0.8 / 0.2)) / 1.2815515655
    assert variance(of_plant) - variance(of_genus) == pytest.approx(TAXON_SHARE * low**2, rel=0.02)


def test_steps_are_normal_and_no_step_stays() -> None:
    points = np.linspace(-4, 4, 81)
    steps = gaussian_steps(points, 0.5)
    assert steps[40] @ points**2 == pytest.approx(0.25, rel=1e-6)
    assert (gaussian_steps(points, 0.0) == np.eye(81)).all()
