"""Warmth of the medium paces rooting."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slipwright.craft.errors import BadArgument
from slipwright.craft.pace import TEMPERATE, WARM, pace


@pytest.mark.parametrize("warmths", [TEMPERATE, WARM])
def test_it_is_best_at_the_best_and_nothing_outside(warmths: tuple[float, float, float]) -> None:
    coldest, best, hottest = warmths
    assert pace(best, *warmths) == 1
    assert pace([coldest - 5, coldest, hottest, hottest + 5], *warmths).tolist() == [0, 0, 0, 0]


@given(st.floats(8, 34), st.floats(8, 34))
def test_it_rises_to_the_best_and_falls_beyond(one: float, other: float) -> None:
    low, high = sorted((one, other))
    if high <= TEMPERATE[1]:
        assert pace(low) <= pace(high)
    if low >= TEMPERATE[1]:
        assert pace(low) >= pace(high)
    assert 0 <= float(pace(one)) <= 1


@given(st.floats(-10, 50))
def test_it_makes_no_leaps(at: float) -> None:
    assert abs(float(pace(at + 1e-6)) - float(pace(at))) < 1e-5


def test_the_three_warmths_follow_each_other() -> None:
    with pytest.raises(BadArgument, match="best_c"):
        pace(20, 10, 8, 30)


def test_it_takes_arrays() -> None:
    assert pace(np.full((2, 3), 20.0)).shape == (2, 3)
