"""How near to bloom a day is, and what is not known of bloom averaged over."""

from __future__ import annotations

import numpy as np
import pytest

from slipwright.rooting.near_bloom import bloom_of_days, bloom_of_forecast


def test_it_falls_from_one_in_bloom_to_nought_a_month_away_on_either_side() -> None:
    assert bloom_of_days(np.array([0, 3, -3, 30, -45])).tolist() == [1.0, 0.9, 0.9, 0.0, 0.0]


@pytest.mark.parametrize("day", [60, 95, 118, 125, 150, 170, 300])
def test_a_forecast_is_the_mean_over_the_first_and_last_days_it_allows(day: int) -> None:
    draws = np.random.default_rng(5).standard_normal((2, 200_000))
    first, last = 120 + 9 * draws[0], 160 + 12 * draws[1]
    away = np.where(day < first, day - first, np.where(day > last, day - last, 0.0))
    told = bloom_of_forecast(day, 120, 160, first_sd_days=9, last_sd_days=12)
    assert float(told) == pytest.approx(float(bloom_of_days(away).mean()), abs=5e-3)


def test_many_days_are_told_at_once_as_each_alone() -> None:
    days, first = np.array([100.0, 130.0, 190.0]), np.array([120.0, 110.0, 115.0])
    at_once = bloom_of_forecast(days, first, first + 40, first_sd_days=5, last_sd_days=14)
    alone = [
        float(bloom_of_forecast(day, one, one + 40, first_sd_days=5, last_sd_days=14))
        for day, one in zip(days, first, strict=True)
    ]
    assert at_once.tolist() == pytest.approx(alone)


def test_it_never_leaves_nought_to_one_however_little_is_known() -> None:
    days = np.arange(0.0, 366.0)
    told = bloom_of_forecast(days, 150, 152, first_sd_days=40, last_sd_days=60)
    assert told.min() >= 0
    assert told.max() <= 1
