"""A bag over a pot is hotter than the air outside, and keeps its water."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.craft.bag import Bag, light_caught_w
from slipwright.craft.errors import BadArgument
from slipwright.craft.tent import day, hottest

OUT = st.floats(0, 40)
HUMIDITY = st.floats(5, 100)
LIGHT = st.floats(0, 1000)
UP = st.floats(10, 90)
HOUR = (np.arange(24) + 0.5) * 1.0
SUN = np.clip(np.sin((HOUR - 5) / 14 * np.pi), 0, None)
AIR = 20 + 5 * np.cos((HOUR - 15) / 12 * np.pi)


def a_day(light_w_m2: float, **how: float) -> object:
    return day(AIR, 60, light_w_m2 * SUN, 70 * SUN, **how)  # type: ignore[arg-type]


@given(OUT, HUMIDITY, LIGHT, UP)
def test_light_makes_leaf_warmer_than_air_and_air_warmer_than_film(
    out_c: float, rh_percent: float, light_w_m2: float, elevation_deg: float
) -> None:
    at = hottest(out_c, rh_percent, light_w_m2 + 100, elevation_deg)
    assert at.leaf_c > at.air_c > at.film_c > out_c - 1e-6


@given(OUT, HUMIDITY, LIGHT, st.floats(1, 200))
def test_more_light_and_more_warmth_make_a_hotter_leaf(
    out_c: float, rh_percent: float, light_w_m2: float, more: float
) -> None:
    leaf = hottest(out_c, rh_percent, light_w_m2).leaf_c
    assert hottest(out_c, rh_percent, light_w_m2 + more).leaf_c > leaf
    assert hottest(out_c + more / 40, rh_percent, light_w_m2).leaf_c > leaf


@given(OUT, HUMIDITY, st.floats(50, 1000))
def test_a_wet_leaf_stays_cooler(out_c: float, rh_percent: float, light_w_m2: float) -> None:
    dry, wet = (hottest(out_c, rh_percent, light_w_m2, is_wet=is_wet) for is_wet in (False, True))
    assert wet.leaf_c < dry.leaf_c


@given(st.floats(10, 35), st.floats(50, 500))
def test_a_looser_tie_hardly_cools(out_c: float, light_w_m2: float) -> None:
    tied, loose = (hottest(out_c, 50, light_w_m2, air_changes_per_h=n).leaf_c for n in (1, 10))
    assert 0 <= tied - loose < 1


def test_without_light_nothing_in_it_is_hotter_than_outside() -> None:
    at = hottest(20, 100, 0)
    assert at.leaf_c == pytest.approx(20, abs=1e-6)
    assert at.film_c == pytest.approx(20, abs=1e-6)


def test_many_are_answered_as_one_at_a_time() -> None:
    out, light = np.array([[10.0], [30.0]]), np.array([0.0, 300.0, 900.0])
    together = hottest(out, 50, light).leaf_c
    assert together.shape == (2, 3)
    assert together[1, 2] == pytest.approx(float(hottest(30, 50, 900).leaf_c), abs=1e-6)
    several = day(np.stack([AIR, AIR + 5]), 60, 300 * SUN, 70 * SUN)
    assert several.leaf_c.shape == (2, 24)
    assert several.leaked_g[1] == pytest.approx(float(day(AIR + 5, 60, 300 * SUN, 70 * SUN).leaked_g))


@settings(max_examples=15, deadline=None)
@given(st.floats(0, 900), st.floats(1, 100))
def test_water_leaked_grows_with_the_light_and_with_the_leak(light_w_m2: float, more: float) -> None:
    usual = a_day(light_w_m2)
    assert a_day(light_w_m2 + more).leaked_g > usual.leaked_g  # type: ignore[attr-defined]
    assert a_day(light_w_m2, air_changes_per_h=1 + more / 10).leaked_g > usual.leaked_g  # type: ignore[attr-defined]


def test_a_day_ends_as_it_began() -> None:
    under = day(AIR, 60, 500 * SUN, 70 * SUN)
    assert abs(under.medium_c[-1] - under.medium_c[0]) < 1.5
    assert np.all((under.rh_percent > 50) & (under.rh_percent <= 100))
    assert under.condensed_g > 0


def test_finer_steps_change_little() -> None:
    hour = (np.arange(192) + 0.5) / 8
    sun = np.clip(np.sin((hour - 5) / 14 * np.pi), 0, None)
    fine = day(20 + 5 * np.cos((hour - 15) / 12 * np.pi), 60, 500 * sun, 70 * sun)
    coarse = day(AIR, 60, 500 * SUN, 70 * SUN)
    assert fine.leaf_c.max() == pytest.approx(coarse.leaf_c.max(), abs=0.5)
    assert fine.leaked_g == pytest.approx(float(coarse.leaked_g), rel=0.03)


@given(LIGHT, st.floats(-90, 90))
def test_light_caught_is_never_below_none_and_grows_with_the_light(light: float, up: float) -> None:
    assert 0 <= light_caught_w(light, up) <= light_caught_w(light + 1, up)


def test_light_from_straight_above_falls_on_the_top_alone() -> None:
    bag = Bag()
    caught = light_caught_w(100, 90, beam_share=1, bag=bag)
    assert caught == pytest.approx(100 * bag.area_top_m2 * 0.85 * 0.92)


@pytest.mark.parametrize(
    ("said", "asked"),
    [
        ("out_c", lambda: hottest(60, 50, 300)),
        ("light_w_m2", lambda: hottest(20, 50, -1)),
        ("rh_percent", lambda: hottest(20, 101, 300)),
        ("air_changes_per_h", lambda: hottest(20, 50, 300, air_changes_per_h=-1)),
        ("beam_share", lambda: hottest(20, 50, 300, beam_share=2)),
        ("elevation_deg", lambda: hottest(20, 50, 300, 100)),
        ("out_c", lambda: day([20] * 12, 60, 0, 0)),
        ("diameter_m", lambda: Bag(diameter_m=0)),
    ],
)
def test_what_will_not_do_is_named(said: str, asked: object) -> None:
    with pytest.raises(BadArgument) as error:
        asked()  # type: ignore[operator]
    assert error.value.argument == said
