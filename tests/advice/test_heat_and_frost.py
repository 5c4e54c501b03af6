"""Shade where a tent gets too hot, fleece where a pot may freeze: from when on, and with how much warning."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slipwright.advice.heat_and_frost import Danger, dangers_at, is_near_frost, strongest_light_w_m2
from slipwright.advice.walk import PlaceOnRound, WeatherOnRound

SUN = {"light_w_m2": 850.0, "tomorrow_light_w_m2": 850.0}


def tent(shade_percent: float | None = 60, **more: float) -> PlaceOnRound:
    return PlaceOnRound("Tent", "bench", "tent", 1, shade_percent=shade_percent, **more)  # type: ignore[arg-type]


def dangers(
    place: PlaceOnRound, weather: WeatherOnRound, *, is_tented: bool = True, has_cuttings: bool = True
) -> list[Danger]:
    return list(dangers_at(place, weather, is_tented=is_tented, has_cuttings=has_cuttings))


def test_the_same_day_is_hot_under_thin_cloth_and_not_under_thick() -> None:
    mild = WeatherOnRound(12, 26, **SUN)
    assert [one.when for one in dangers(tent(60), mild)] == ["today"]
    assert dangers(tent(80), mild) == []
    assert [one.c for one in dangers(tent(0), mild)] == [50]


def test_winter_light_is_kinder_than_summer_light() -> None:
    winter = strongest_light_w_m2(47, date(2015, 12, 20))
    summer = strongest_light_w_m2(47, date(2015, 6, 20))
    assert winter < 300 < 800 < summer
    assert dangers(tent(), WeatherOnRound(12, 26, light_w_m2=winter)) == []
    assert dangers(tent(), WeatherOnRound(12, 26, light_w_m2=summer))


def test_a_dull_day_is_told_from_a_bright_one_by_whatever_is_known() -> None:
    on = date(2015, 6, 12)
    clear = strongest_light_w_m2(47, on)
    assert strongest_light_w_m2(47, on, cloud_fraction=1) < clear / 2
    assert strongest_light_w_m2(47, on, sunshine_h=0) < clear / 2
    assert strongest_light_w_m2(47, on, radiation_mj_m2=8, sunshine_h=15) < clear / 2
    assert strongest_light_w_m2(47, on, sunshine_h=15) == pytest.approx(clear, rel=0.1)


def test_whatever_weather_may_be_written_down_has_an_answer() -> None:
    for lat in (-90, -60, 0, 60, 68, 90):
        light = strongest_light_w_m2(lat, date(2015, 12, 21), radiation_mj_m2=60)
        assert light <= 1500
        for tmax_c in (-90.0, 60.0):
            dangers(tent(0), WeatherOnRound(-90, tmax_c, -90, tmax_c, light, light))


def test_the_south_has_its_summer_in_december() -> None:
    assert strongest_light_w_m2(-35, date(2015, 12, 20)) > 1.5 * strongest_light_w_m2(-35, date(2015, 6, 20))


def test_heat_is_told_the_day_before_with_the_evening_to_shade_in() -> None:
    (one,) = dangers(tent(), WeatherOnRound(9, 19, 12, 28, **SUN))
    assert (one.act, one.when) == ("shade", "tomorrow")
    assert "this evening" in one.why
    (today,) = dangers(tent(), WeatherOnRound(9, 28, 12, 19, **SUN))
    assert today.when == "today"
    assert "before noon" in today.why
    (both,) = dangers(tent(), WeatherOnRound(9, 28, 12, 31, **SUN))
    assert both.when == "today"
    assert "today and tomorrow" in both.why


def test_heat_read_there_now_goes_before_any_forecast() -> None:
    (one,) = dangers(tent(air_c=36), WeatherOnRound(9, 30, 12, 31, **SUN))
    assert (one.when, one.c) == ("now", 36)
    assert "loosening hardly cools" in one.why


def test_without_shade_or_light_written_down_31_degrees_is_hot() -> None:
    assert dangers(tent(None), WeatherOnRound(12, 31))
    assert dangers(tent(None), WeatherOnRound(12, 30.9)) == []
    assert dangers(tent(None), WeatherOnRound(12, 33, **SUN))
    assert dangers(tent(None), WeatherOnRound(12, 26, **SUN)) == []


def test_heat_is_told_of_tents_only() -> None:
    assert dangers(tent(), WeatherOnRound(12, 40, **SUN), is_tented=False) == []


@given(st.floats(-20, 45), st.floats(0, 20), st.floats(0, 95), st.floats(0, 1100))
def test_once_hot_a_warmer_day_is_hot_too(tmax_c: float, more: float, shade: float, light: float) -> None:
    if dangers(tent(shade), WeatherOnRound(0, tmax_c, light_w_m2=light)):
        hotter = WeatherOnRound(0, min(tmax_c + more, 60), light_w_m2=light)
        assert dangers(tent(shade), hotter)
        assert dangers(tent(shade / 2), hotter)


def test_frost_is_that_of_the_coming_night() -> None:
    frame = PlaceOnRound("Frame", "frame")
    assert is_near_frost(WeatherOnRound(9, 14, -1, 5))
    assert not is_near_frost(WeatherOnRound(-1, 9, 6, 12))
    assert is_near_frost(WeatherOnRound(-1, 9)), "where tomorrow is not known last night speaks for it"
    (zero,) = dangers(frame, WeatherOnRound(9, 14, -0.4, 5), is_tented=False)
    assert zero.why.startswith("0 °C")
    (one,) = dangers(frame, WeatherOnRound(9, 14, -1.4, 5), is_tented=False)
    assert (one.act, one.when, one.c) == ("protect", "tonight", -1.4)
    assert one.why == "−1 °C tonight; fleece the frame, roots are tenderest"


def test_frost_is_told_of_frames_and_nursery_where_something_stands() -> None:
    cold = WeatherOnRound(1, 8)
    for kind in ("frame", "nursery"):
        assert dangers(PlaceOnRound("P", kind), cold, is_tented=False)
        assert dangers(PlaceOnRound("P", kind), cold, is_tented=False, has_cuttings=False) == []
        young = PlaceOnRound("P", kind, n_young_pots=3)
        assert dangers(young, cold, is_tented=False, has_cuttings=False)
    for kind in ("bench", "shelf", ""):
        assert dangers(PlaceOnRound("P", kind), cold, is_tented=False) == []


def test_a_tent_in_a_frame_may_ask_for_both() -> None:
    frame = PlaceOnRound("Frame", "frame", "tent", shade_percent=30)
    found = dangers(frame, WeatherOnRound(1, 24, **SUN))
    assert [one.act for one in found] == ["shade", "protect"]


@given(
    st.none() | st.floats(-30, 20),
    st.none() | st.floats(20, 50),
    st.none() | st.floats(-30, 20),
    st.none() | st.floats(20, 50),
    st.none() | st.floats(0, 1100),
)
def test_the_reason_is_ten_words_at_most(
    low: float | None,
    high: float | None,
    next_low: float | None,
    next_high: float | None,
    light: float | None,
) -> None:
    sky = WeatherOnRound(low, high, next_low, next_high, light, light)
    for kind in ("frame", "nursery"):
        for one in dangers(PlaceOnRound("P", kind, air_c=high), sky):
            assert len(one.why.split()) <= 10
            assert not one.why.endswith(".")
