"""The rule for leaves under a bag agrees with the balance it was drawn from."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slipwright.craft.errors import BadArgument
from slipwright.craft.leaf_heat import EITHER_WAY_C, heat_flag, leaf_c, shade_to_be_safe
from slipwright.craft.tent import hottest


def test_it_is_within_two_degrees_of_the_balance_where_that_reaches_35() -> None:
    for out_c, light_w_m2 in ((10, 838), (15, 687), (20, 529), (25, 363), (28, 259), (30, 187), (32, 116)):
        assert leaf_c(out_c, light_w_m2).mid == pytest.approx(
            float(hottest(out_c, 50, light_w_m2).leaf_c), abs=1.7
        )


@given(st.floats(-20, 45), st.floats(0, 1200), st.floats(0.1, 10))
def test_more_warmth_and_light_make_more_heat(tmax_c: float, light_w_m2: float, more: float) -> None:
    heat = leaf_c(tmax_c, light_w_m2)
    assert heat.high - heat.mid == pytest.approx(EITHER_WAY_C)
    assert heat.mid - heat.low == pytest.approx(EITHER_WAY_C)
    assert leaf_c(tmax_c + more, light_w_m2).mid > heat.mid
    assert leaf_c(tmax_c, light_w_m2 + more).mid > heat.mid


@given(st.floats(-50, 100))
def test_every_warmth_has_its_flag(mid_c: float) -> None:
    flags = ["cool", "warm", "hot"]
    assert flags.index(heat_flag(mid_c)) == (mid_c >= 31) + (mid_c >= 35)


@given(st.floats(0, 34.9), st.floats(1, 1200))
def test_shade_that_is_enough_leaves_no_leaf_too_hot(tmax_c: float, light_w_m2: float) -> None:
    shade = float(shade_to_be_safe(tmax_c, light_w_m2))
    assert 0 <= shade <= 1
    assert leaf_c(tmax_c, light_w_m2 * (1 - shade)).mid <= 35 + 1e-9
    if shade:
        assert leaf_c(tmax_c, light_w_m2 * (1 - shade)).mid == pytest.approx(35)


def test_no_shade_helps_where_the_air_itself_is_too_hot() -> None:
    assert math.isnan(shade_to_be_safe(35, 300))
    assert np.isnan(shade_to_be_safe([34, 36], 300)).tolist() == [False, True]


def test_what_will_not_do_is_named() -> None:
    with pytest.raises(BadArgument, match="tmax_c"):
        leaf_c(99, 300)
    with pytest.raises(BadArgument, match="light_w_m2"):
        leaf_c(20, float("nan"))
