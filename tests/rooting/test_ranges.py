import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slipwright.rooting.ranges import (
    Z90,
    RangeError,
    logit,
    normal_cdf,
    share_curve,
    share_of_logit,
    split_normal,
)

points = st.lists(st.floats(0, 1), min_size=3, max_size=3).map(sorted)


@given(points)
def test_share_curve_passes_through_its_three_points(three):
    curve = share_curve(*three)
    back = share_of_logit(curve.at(np.array([-Z90, 0.0, Z90])))
    assert back == pytest.approx([min(max(p, 0.002), 0.998) for p in three], abs=2e-3)
    assert list(back) == sorted(back)


@given(points, st.floats(-6, 6), st.floats(-6, 6))
def test_curve_never_falls_and_score_undoes_at(three, a, b):
    curve = split_normal(*three)
    low, high = sorted((a, b))
    at = curve.at(np.array([low, high]))
    assert at[0] <= at[1]
    assert curve.score(at) == pytest.approx([low, high], abs=1e-6)


@pytest.mark.parametrize("three", [(0.5, 0.4, 0.6), (0.5, 0.6, 0.55), (math.nan, 0.1, 0.2)])
def test_falling_or_missing_points_are_refused_with_their_values(three):
    with pytest.raises(RangeError) as caught:
        split_normal(*three)
    assert caught.value.value == three


def test_shares_outside_nought_and_one_are_refused():
    with pytest.raises(RangeError, match="shares from 0 to 1"):
        share_curve(0.5, 0.6, 1.2)


def test_normal_curve_agrees_with_the_error_function():
    z = np.linspace(-9, 9, 3001)
    exact = [0.5 * math.erfc(-x / math.sqrt(2)) for x in z]
    assert np.max(np.abs(normal_cdf(z) - exact)) < 1e-7


def test_logit_of_certain_shares_stays_finite():
    assert logit(0.0) == pytest.approx(-logit(1.0))
    assert math.isfinite(logit(1.0))
    assert float(share_of_logit(1e9)) == 1.0
