"""Scores are those of their definition, and say what they are meant to say."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slipwright.rooting.plain_average import points_of_average
from slipwright.rooting.scoring import (
    LEVELS,
    at_levels,
    better_by,
    chance_to_hold,
    crps_of_draws,
    crps_of_points,
    held,
    places_among,
)

numbers = st.integers(0, 30)
drawn = st.lists(numbers, min_size=1, max_size=8)
kept = st.lists(numbers, min_size=19, max_size=19).map(sorted)


@given(numbers, numbers)
def test_of_a_forecast_of_one_number_it_is_the_absolute_error(told: int, came: int) -> None:
    error = pytest.approx(abs(told - came), abs=1e-9)
    assert float(crps_of_draws(np.full(5, told), came)) == error
    assert float(crps_of_points(np.full(19, told), came)) == error


@given(drawn, numbers)
def test_of_draws_it_is_the_definition_s(draws: list[int], came: int) -> None:
    n = len(draws)
    plain = sum(abs(x - came) for x in draws) / n
    plain -= sum(abs(x - y) for x in draws for y in draws) / (2 * n * n)
    assert float(crps_of_draws(np.array(draws), came)) == pytest.approx(plain, abs=1e-9)


@given(drawn, numbers)
def test_of_draws_it_is_the_square_under_their_distribution(draws: list[int], came: int) -> None:
    squares = sum((np.mean([x <= k for x in draws]) - (came <= k)) ** 2 for k in range(31))
    assert float(crps_of_draws(np.array(draws), came)) == pytest.approx(squares, abs=1e-9)


def test_of_points_it_is_nearly_that_of_the_whole_forecast() -> None:
    draws = np.random.default_rng(4).normal(50, 10, 100_000)
    for came in (35.0, 50.0, 58.0):
        assert crps_of_points(at_levels(draws), came) == pytest.approx(crps_of_draws(draws, came), rel=0.055)


def test_telling_the_truth_scores_best_in_the_mean() -> None:
    generator = np.random.default_rng(5)
    came = generator.binomial(20, 0.6, 4000)
    scores = {
        share: crps_of_points(at_levels(generator.binomial(20, share, 9999)), came).mean()
        for share in (0.4, 0.5, 0.6, 0.7, 0.8)
    }
    assert min(scores, key=scores.__getitem__) == 0.6


@given(st.lists(numbers, min_size=20, max_size=60))
def test_a_point_is_the_least_number_not_passed_so_often(draws: list[int]) -> None:
    for level, point in zip(LEVELS, at_levels(np.array(draws)).tolist(), strict=True):
        assert np.mean([x <= point for x in draws]) >= level - 1e-9
        assert np.mean([x < point for x in draws]) < level + 1e-9


@given(kept, numbers)
def test_the_places_of_what_came_are_shares_of_one(points: list[int], came: int) -> None:
    places = places_among(np.array([points]), np.array([came]), 40)[0]
    assert places.sum() == pytest.approx(1)
    assert places.min() >= 0
    below, upto = sum(q < came for q in points), sum(q <= came for q in points)
    assert places[:below].sum() == places[upto + 1 :].sum() == 0


@pytest.mark.parametrize(("n", "share"), [(3, 0.5), (12, 0.7), (60, 0.2)])
def test_a_right_forecast_fills_all_places_alike(n: int, share: float) -> None:
    generator = np.random.default_rng(6)
    # each batch has a share of its own, as forecasts of batches differ
    shares = generator.beta(8 * share, 8 * (1 - share), 20_000)
    points = at_levels(generator.binomial(n, shares[:500, None], (500, 2000)))
    came = generator.binomial(n, shares[:500, None], (500, 40))
    places = np.mean([places_among(points, came[:, k], n).mean(axis=0) for k in range(40)], axis=0)
    assert places.cumsum()[:-1] == pytest.approx(LEVELS, abs=0.02)
    holds = np.mean([held(points, came[:, k]).mean() for k in range(40)])
    assert chance_to_hold(points, n).mean() == pytest.approx(holds, abs=0.02)


def test_where_none_or_all_root_often_right_forecasts_still_fill_all_places_alike() -> None:
    generator = np.random.default_rng(8)
    shares = generator.beta(0.4, 0.4, 6000)
    points = np.array([points_of_average(share, 12) for share in shares])
    came = generator.binomial(12, shares)
    curve = places_among(points, came, 12).mean(axis=0).cumsum()[:-1]
    assert curve == pytest.approx(LEVELS, abs=0.008)
    # as if more than all could root
    beyond = places_among(points, came, 99).mean(axis=0).cumsum()[:-1]
    assert beyond[18] > curve[18] + 0.004


def test_half_the_score_is_better_by_half_whatever_is_drawn() -> None:
    found = better_by([1.0, 3.0, 2.0], [2.0, 6.0, 4.0], "abc", np.random.default_rng(1))
    assert (found.share, found.low, found.high) == pytest.approx((0.5, 0.5, 0.5))
    assert found.is_clear


def test_one_batch_makes_nothing_clear() -> None:
    found = better_by([1.0, 2.0], [2.0, 4.0], ["a", "a"], np.random.default_rng(1))
    assert (found.low, found.high, found.n_batches) == pytest.approx((0.5, 0.5, 1))
    assert not found.is_clear


def test_forecasts_of_one_batch_go_together() -> None:
    generator = np.random.default_rng(2)
    ours, theirs = generator.uniform(0, 2, 40), generator.uniform(0, 2, 40)
    apart = better_by(ours, theirs, range(40), np.random.default_rng(3))
    together = better_by(
        np.repeat(ours, 10),
        np.repeat(theirs, 10),
        np.repeat(range(40), 10).tolist(),
        np.random.default_rng(3),
    )
    assert (together.low, together.high) == pytest.approx((apart.low, apart.high))
    assert apart.low < apart.share < apart.high


def test_the_interval_holds_the_truth_about_as_often_as_it_says() -> None:
    generator = np.random.default_rng(7)
    hits = 0
    for _ in range(200):
        theirs = generator.gamma(2, 1, 40)
        ours = 0.8 * theirs * generator.gamma(10, 0.1, 40)
        found = better_by(ours, theirs, range(40), generator)
        hits += found.low <= 0.2 <= found.high
    assert 0.7 < hits / 200 < 0.88


def test_without_scores_there_is_nothing_to_compare() -> None:
    with pytest.raises(ValueError, match="no scores"):
        better_by([], [], [], np.random.default_rng(1))
