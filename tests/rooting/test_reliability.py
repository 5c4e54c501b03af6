"""Bands hold right forecasts as often as they say, and wrong ones fall out of them."""

from __future__ import annotations

from math import comb

import numpy as np
import pytest

from slipwright.rooting.reliability import chance_band, reliability
from slipwright.rooting.scoring import LEVELS, at_levels

N = 60
MANY = np.full(60, 200)


def forecasts(generator: np.random.Generator, *, spread: float = 1.0) -> tuple[np.ndarray, np.ndarray]:
    """Give forecasts of 60 batches and what came; ``spread`` is how wide they are beside the truth."""
    middle = generator.uniform(30, 60, N)
    came = np.round(generator.normal(middle, 8))
    points = at_levels(np.round(generator.normal(middle[:, None], 8 * spread, (N, 1000))))
    return points, came


def test_of_one_forecast_a_batch_the_band_is_the_binomial_s() -> None:
    low, high = chance_band(0.8, range(40))
    chances = [comb(40, k) * 0.8**k * 0.2 ** (40 - k) for k in range(41)]
    k_low, k_high = round(low * 40), round(high * 40)
    assert sum(chances[:k_low]) <= 0.1 < sum(chances[: k_low + 1])
    assert sum(chances[k_high + 1 :]) <= 0.1 < sum(chances[k_high:])


def test_many_forecasts_of_few_batches_make_no_narrow_band() -> None:
    apart = chance_band(0.5, range(200))
    together = chance_band(0.5, [batch for batch in range(10) for _ in range(20)])
    assert together[1] - together[0] > 3 * (apart[1] - apart[0])
    ten = chance_band(0.5, range(10))
    assert together == pytest.approx(ten, abs=0.1)


def test_right_forecasts_lie_in_the_band_as_often_as_it_says() -> None:
    generator = np.random.default_rng(1)
    inside = []
    for _ in range(60):
        found = reliability(*forecasts(generator), range(N), MANY)
        inside += [
            low <= came <= high for low, came, high in zip(found.low, found.came, found.high, strict=True)
        ]
    assert 0.75 < np.mean(inside) < 0.97


@pytest.mark.parametrize(("spread", "fewer"), [(0.4, True), (2.5, False)])
def test_forecasts_too_narrow_or_too_wide_are_seen(spread: float, fewer: bool) -> None:
    found = reliability(*forecasts(np.random.default_rng(2), spread=spread), range(N), MANY)
    if fewer:
        assert found.n_held < found.held_low
        assert found.came[0] > found.high[0]
    else:
        assert found.n_held > found.held_high
        assert found.came[1] < found.low[1]


def test_right_forecasts_are_called_wrong_only_seldom() -> None:
    generator = np.random.default_rng(5)
    outside, sure = 0, 0
    for _ in range(150):
        found = reliability(*forecasts(generator), range(N), MANY)
        outside += not found.held_low <= found.n_held <= found.held_high
        sure += not found.held_sure[0] <= found.n_held <= found.held_sure[1]
    assert sure < outside
    assert sure / 150 < 0.08


def test_forecasts_that_promise_too_much_are_seen() -> None:
    points, came = forecasts(np.random.default_rng(3))
    found = reliability(points + 6, came, range(N), MANY)
    assert found.came[9] > found.high[9]


def test_the_curve_rises_from_level_to_level() -> None:
    found = reliability(*forecasts(np.random.default_rng(4)), range(N), MANY)
    assert list(found.came) == sorted(found.came)
    assert len(found.came) == len(LEVELS)
    assert (found.n, found.n_batches) == (N, N)


def test_ranges_from_none_to_all_are_sure_to_hold() -> None:
    # batches of one cutting: none or one rooted, and the range says just that
    points = np.array([[0] * 9 + [1] * 10] * 8)
    found = reliability(points, np.array([0, 1] * 4), range(8), np.ones(8))
    assert (found.n_held, found.n_expected) == (8, 8)
    assert (found.held_low, found.held_high, found.held_sure) == (8, 8, (8, 8))


def test_levels_of_never_and_always_are_refused() -> None:
    with pytest.raises(ValueError, match="between 0 and 1"):
        chance_band(1.0, [1, 2])
    with pytest.raises(ValueError, match="no forecasts"):
        reliability(np.empty((0, 19)), np.empty(0), [], np.empty(0))
