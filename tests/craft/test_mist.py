"""A wet leaf, the time its film lasts, and the bursts of a day."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.craft.air import vpd_kpa
from slipwright.craft.errors import BadArgument
from slipwright.craft.mist import (
    BED_M_S,
    forced_m_s,
    free_m_s,
    penman_monteith_mm_h,
    wet_leaf,
)
from slipwright.craft.mist_controller import short_form, short_form_mm_h
from slipwright.craft.mist_day import COLD_C, DayAir, day_air, mist_day
from slipwright.craft.mist_times import (
    BEFORE_DARK_H,
    burst_s,
    can_rate_mm_per_min,
    day_programme,
    film_life_min,
    interval_min,
)

AIR_C = st.floats(2, 42)
RH = st.floats(10, 100)
SUN = st.floats(0, 900)
WIND = st.floats(0.05, 1)
V_EX = st.sampled_from([*BED_M_S.values(), float("inf")])
STEP = st.floats(0.01, 1)


def lost(air_c: float, rh: float, sun: float, wind: float, v_ex: float) -> float:
    return float(wet_leaf(air_c, rh, sun, wind, v_ex_m_s=v_ex).evaporation_mm_h)


# --- the balance ----------------------------------------------------------------------------------------


@settings(deadline=None)
@given(AIR_C, RH, SUN, WIND, V_EX)
def test_the_balance_closes(air_c: float, rh: float, sun: float, wind: float, v_ex: float) -> None:
    leaf = wet_leaf(air_c, rh, sun, wind, v_ex_m_s=v_ex)
    difference = leaf.leaf_c - leaf.air_c
    g = forced_m_s(wind) + free_m_s(difference)
    heat = 1010 * 101300 / (287.05 * (air_c + 273.15))
    carried = 2 * heat * g * difference
    radiated = 2 * 0.97 * 5.670374e-8 * ((leaf.leaf_c + 273.15) ** 4 - (leaf.air_c + 273.15) ** 4)
    gone = leaf.evaporation_mm_h / 3600 * 2.45e6
    assert carried + radiated + gone == pytest.approx(0.5 * sun, abs=1e-6)
    es = 0.6108 * np.exp(17.27 * leaf.leaf_c / (leaf.leaf_c + 237.3))
    es_air = 0.6108 * np.exp(17.27 * leaf.air_c / (leaf.air_c + 237.3))
    gamma = 0.000665 * 101.3
    assert heat / gamma * 1.075 * g * (es - es_air + leaf.vpd_kpa) == pytest.approx(gone, abs=1e-5)
    assert leaf.air_c - air_c == pytest.approx(carried / (heat * v_ex), abs=1e-6)


@settings(deadline=None)
@given(AIR_C, RH, SUN, WIND, V_EX, STEP)
def test_drier_air_dries_leaves_sooner(
    air_c: float, rh: float, sun: float, wind: float, v_ex: float, step: float
) -> None:
    drier = rh * (1 - 0.2 * step)
    assert lost(air_c, drier, sun, wind, v_ex) > lost(air_c, rh, sun, wind, v_ex)


@settings(deadline=None)
@given(AIR_C, RH, SUN, WIND, V_EX, STEP)
def test_more_light_dries_leaves_sooner(
    air_c: float, rh: float, sun: float, wind: float, v_ex: float, step: float
) -> None:
    less, more = wet_leaf(air_c, rh, [sun, sun + 100 * step], wind, v_ex_m_s=v_ex).evaporation_mm_h
    # light that warms a cold leaf stills the air that sank from it, so a little may be lost
    assert more > 0.9 * less
    if wet_leaf(air_c, rh, sun, wind, v_ex_m_s=v_ex).leaf_c > air_c + 0.2:
        assert more > less


@settings(deadline=None)
@given(AIR_C, st.floats(10, 80), st.floats(0, 150), st.floats(0.05, 0.9), STEP)
def test_more_wind_dries_leaves_in_dry_air_and_little_sun_sooner(
    air_c: float, rh: float, sun: float, wind: float, step: float
) -> None:
    # where a leaf is warmer than dry air, wind cools it and may spare it water
    leaf = wet_leaf(air_c, rh, sun, wind)
    if leaf.leaf_c <= leaf.air_c:
        assert lost(air_c, rh, sun, wind + 0.1 * step, np.inf) > lost(air_c, rh, sun, wind, np.inf)


@settings(deadline=None)
@given(AIR_C, RH, SUN, WIND)
def test_a_leaf_keeps_within_what_sky_and_air_allow(air_c: float, rh: float, sun: float, wind: float) -> None:
    leaf = wet_leaf(air_c, rh, sun, wind)
    assert air_c - 25 < leaf.leaf_c < air_c + 25
    assert leaf.evaporation_mm_h < 3
    assert leaf.evaporation_mm_h > -1e-6  # air below its dew point is not asked for


@settings(deadline=None)
@given(AIR_C, RH, SUN, WIND)
def test_a_bed_open_without_end_is_the_air_outside(air_c: float, rh: float, sun: float, wind: float) -> None:
    far = wet_leaf(air_c, rh, sun, wind, v_ex_m_s=1e9)
    assert far.evaporation_mm_h == pytest.approx(lost(air_c, rh, sun, wind, np.inf), rel=1e-4, abs=1e-6)


@settings(deadline=None)
@given(st.floats(18, 40), st.floats(10, 60), st.floats(0, 300), st.floats(0.1, 1))
def test_the_more_closed_the_bed_the_slower_its_leaves_dry(
    air_c: float, rh: float, sun: float, wind: float
) -> None:
    # in cold, damp or very bright weather a closed bed is warmer, and that may outweigh its moist air
    closed, sheltered, is_open = (lost(air_c, rh, sun, wind, v) for v in sorted(BED_M_S.values()))
    assert closed < sheltered < is_open < lost(air_c, rh, sun, wind, np.inf)


@settings(deadline=None)
@given(AIR_C, RH, SUN, WIND, V_EX)
def test_a_small_change_changes_little(air_c: float, rh: float, sun: float, wind: float, v_ex: float) -> None:
    near = lost(air_c + 1e-6, rh, sun + 1e-6, wind, v_ex)
    assert near == pytest.approx(lost(air_c, rh, sun, wind, v_ex), abs=1e-4)


def test_many_leaves_at_once_are_each_as_alone() -> None:
    air, sun = np.array([[15.0], [30.0]]), np.array([0.0, 200.0, 600.0])
    leaf = wet_leaf(air, 50, sun, 0.2, v_ex_m_s=0.02)
    assert leaf.evaporation_mm_h.shape == (2, 3)
    assert leaf.evaporation_mm_h[1, 2] == pytest.approx(lost(30, 50, 600, 0.2, 0.02), abs=1e-12)


@settings(deadline=None)
@given(st.floats(12, 38), st.floats(20, 90), st.floats(0, 600), WIND, st.sampled_from([1, 2]))
def test_the_closed_form_agrees(air_c: float, rh: float, sun: float, wind: float, sides: int) -> None:
    exact = float(wet_leaf(air_c, rh, sun, wind, sides=sides).evaporation_mm_h)
    assert penman_monteith_mm_h(air_c, rh, sun, wind, sides=sides) == pytest.approx(
        exact, rel=0.05, abs=0.005
    )


@pytest.mark.parametrize("wind", [0.1, 0.25, 0.5, 1.0])
def test_the_short_form_misses_by_little(wind: float) -> None:
    air, rh, sun = np.meshgrid(np.linspace(18, 34, 6), np.linspace(35, 90, 6), np.linspace(0, 450, 6))
    exact = wet_leaf(air, rh, sun, wind).evaporation_mm_h
    missed = short_form_mm_h(air, rh, sun, wind) - exact
    assert np.sqrt((missed**2).mean()) < 0.05
    assert abs(missed.mean()) < 0.03
    a, b = short_form(wind)
    fitted = np.linalg.lstsq(np.column_stack([sun.ravel(), vpd_kpa(air, rh).ravel()]), exact.ravel())[0]
    assert fitted == pytest.approx([a, b], rel=0.1)


def test_between_winds_the_short_form_has_no_step() -> None:
    for wind in (0.1, 0.25, 0.5, 1.0):
        below, above = short_form(wind - 1e-9), short_form(wind + 1e-9)
        assert np.array(below) == pytest.approx(np.array(above), rel=1e-6)
    assert short_form(5) == short_form(1)


@pytest.mark.parametrize(
    ("name", "value"),
    [("rh_percent", 101), ("air_c", 200), ("sun_w_m2", -1), ("wind_m_s", -0.1), ("wind_m_s", float("nan"))],
)
def test_what_cannot_be_is_refused(name: str, value: float) -> None:
    asked = {"air_c": 20, "rh_percent": 50, "sun_w_m2": 100, "wind_m_s": 0.2} | {name: value}
    with pytest.raises(BadArgument) as refused:
        wet_leaf(**asked)
    assert refused.value.argument == name


# --- film, burst, can -----------------------------------------------------------------------------------


@settings(deadline=None)
@given(st.floats(0.01, 2), st.floats(0.01, 1), st.floats(0.1, 1))
def test_a_film_lasts_as_long_as_it_takes_to_go(rate: float, film: float, usable: float) -> None:
    assert film_life_min(rate, film, usable) * rate / 60 == pytest.approx(film * usable)


def test_a_leaf_that_loses_nothing_keeps_its_film() -> None:
    assert np.all(np.isinf(film_life_min([0.0, -0.1])))
    assert interval_min(0.0) is None


@settings(deadline=None)
@given(st.floats(0.05, 2), st.floats(0.3, 3))
def test_the_interval_goes_from_half_to_double(rate: float, factor: float) -> None:
    between = interval_min(rate, factor=factor)
    assert between is not None
    assert between.high == pytest.approx(2 * between.mid) == pytest.approx(4 * between.low)
    assert between.mid == pytest.approx(max(4.2 / rate * factor, 1))


@settings(deadline=None)
@given(st.floats(0.02, 5), st.floats(0.1, 1))
def test_a_burst_puts_back_what_went(rate: float, catch: float) -> None:
    assert burst_s(rate, catch=catch) / 60 * rate * catch == pytest.approx(0.07)


@settings(deadline=None)
@given(st.floats(1, 500), st.floats(30, 200), st.floats(1, 30))
def test_a_can_twice_as_wide_catches_four_times_as_much(ml: float, wide: float, minutes: float) -> None:
    rate = can_rate_mm_per_min(ml, wide, minutes)
    assert can_rate_mm_per_min(4 * ml, 2 * wide, minutes) == pytest.approx(rate)


# --- the day --------------------------------------------------------------------------------------------

JULY = date(2026, 7, 15)


def a_day(**changed: float) -> DayAir:
    known = {"tmin_c": 13.0, "tmax_c": 24.0, "radiation_mj_m2": 20.0} | changed
    return day_air(JULY, 40, 0, 0, **known)


@settings(deadline=None)
@given(st.floats(-170, 170), st.sampled_from([-5.0, -4.0, 0.0, 1.0, 5.5, 10.0]))
def test_the_clock_moves_the_day_and_keeps_its_light(lon: float, early: float) -> None:
    offset = round(lon / 15) + early / 5  # clocks are within an hour or two of the sun
    day = day_air(JULY, 40, lon, offset, tmin_c=13, tmax_c=24, radiation_mj_m2=20)
    assert day.sun_w_m2.sum() * 0.0036 == pytest.approx(20, rel=1e-6)
    noon = (day.dawn_h + day.dusk_h) / 2
    assert noon == pytest.approx(12 + offset - lon / 15, abs=0.3)
    assert (day.sun_w_m2 * (np.arange(24) + 0.5)).sum() / day.sun_w_m2.sum() == pytest.approx(noon, abs=0.05)


@pytest.mark.parametrize(
    ("lat", "lon", "offset"),
    [(-13.8, -172, 13), (-21.2, -175.2, 13), (1.9, -157.4, 14), (-44, -176.5, 12.75), (52, 179, -12)],
)
def test_islands_that_keep_the_day_of_the_other_side_have_their_noon(
    lat: float, lon: float, offset: float
) -> None:
    air = day_air(JULY, lat, lon, offset, tmin_c=20, tmax_c=29, radiation_mj_m2=20)
    assert 11 < (air.dawn_h + air.dusk_h) / 2 < 14
    assert air.sun_w_m2.sum() * 0.0036 == pytest.approx(20, rel=1e-6)
    assert mist_day(air, shade=0.5).n_bursts > 10


@pytest.mark.parametrize("offset", [-1.0, 0.0, 2.0, 3.0])
def test_the_warmth_of_the_day_keeps_two_hours_behind_its_light_by_any_clock(offset: float) -> None:
    air = day_air(JULY, 40, 0, offset, tmin_c=13, tmax_c=24, radiation_mj_m2=20)
    noon = (air.sun_w_m2 * (np.arange(24) + 0.5)).sum() / air.sun_w_m2.sum()
    assert air.air_c.argmax() + 0.5 == pytest.approx(noon + 2, abs=0.6)


def test_the_sun_runs_before_the_clock_in_november_and_behind_in_february() -> None:
    noons = {}
    for on in (date(2026, 2, 11), date(2026, 11, 3)):
        air = day_air(on, 40, 0, 0, tmin_c=3, tmax_c=9, radiation_mj_m2=8)
        noons[on.month] = (air.dawn_h + air.dusk_h) / 2
    assert noons[2] == pytest.approx(12 + 14.2 / 60, abs=0.02)
    assert noons[11] == pytest.approx(12 - 16.4 / 60, abs=0.02)


def test_a_midnight_sun_loses_no_light_to_the_clock() -> None:
    air = day_air(date(2026, 6, 21), 69.6, 18.9, 2, tmin_c=9, tmax_c=20, radiation_mj_m2=25)
    assert air.sun_w_m2.sum() * 0.0036 == pytest.approx(25, rel=1e-6)


@pytest.mark.parametrize("rh", [-5.0, 101.0, float("nan")])
def test_a_humidity_that_cannot_be_is_refused(rh: float) -> None:
    with pytest.raises(BadArgument, match="rh_mean_percent"):
        a_day(rh_mean_percent=rh)


def test_whatever_weather_may_be_written_down_has_an_answer() -> None:
    for tmin_c, tmax_c, light in ((-90, -70, 0), (-60, -55, 0), (-90, 60, 60), (59, 60, 60)):
        air = day_air(date(2026, 12, 21), 60, 5, 1, tmin_c=tmin_c, tmax_c=tmax_c, radiation_mj_m2=light)
        assert len(mist_day(air, shade=0).hours) == 24


def test_the_air_is_driest_when_it_is_warmest() -> None:
    day = a_day(rh_mean_percent=60)
    assert day.rh_percent.argmin() == day.air_c.argmax()
    assert day.air_c.min() >= 13
    assert day.air_c.max() <= 24


def test_without_humidity_the_coldest_hour_is_nearly_full_of_water() -> None:
    assert 88 < a_day().rh_percent.max() <= 100


@settings(deadline=None)
@given(
    st.lists(st.floats(0, 1.5), min_size=24, max_size=24),
    st.floats(3, 9),
    st.floats(15, 22),
    st.floats(0.25, 4),
)
def test_the_bursts_of_a_day_are_what_its_leaves_lost(
    rates: list[float], dawn: float, dusk: float, factor: float
) -> None:
    day = day_programme(rates, dawn, dusk, factor=factor)
    assert day.n_bursts == pytest.approx(day.lost_mm / (0.07 * factor), abs=1.0001)
    for hour in day.hours:
        assert (hour.between is None) == (hour.n_bursts == 0)
        if hour.hour >= dusk - BEFORE_DARK_H or hour.hour + 1 <= dawn:
            assert hour.n_bursts == 0
    assert 1 <= dusk - (day.last_at_h or dusk - 1) <= 2


def test_a_thicker_cloth_and_a_closed_bed_ask_for_fewer_bursts() -> None:
    air = a_day(rh_mean_percent=55)
    half, thick = mist_day(air, shade=0.5), mist_day(air, shade=0.9)
    assert mist_day(air, shade=0.9, bed="closed").n_bursts < thick.n_bursts < half.n_bursts
    assert half.n_bursts < mist_day(air, shade=0.5, bed="open").n_bursts


def test_a_bed_seen_dry_is_misted_more_often() -> None:
    air = a_day(rh_mean_percent=55)
    usual, dry = (mist_day(air, shade=0.5, factor=factor).hours[12].between for factor in (1.0, 0.75))
    assert usual is not None
    assert dry is not None
    assert dry.mid == pytest.approx(0.75 * usual.mid)


def test_no_mist_in_hours_near_frost() -> None:
    air = a_day(tmin_c=-4, tmax_c=9, radiation_mj_m2=12)
    day = mist_day(air, shade=0)
    assert day.n_bursts
    assert all(hour.between is None for hour in day.hours if air.air_c[hour.hour] < COLD_C)


def test_a_day_without_dark_or_light_still_has_an_answer() -> None:
    for lat, on in ((78, date(2026, 6, 21)), (78, date(2026, 12, 21))):
        air = day_air(on, lat, 15, 1, tmin_c=5, tmax_c=9, radiation_mj_m2=0.1)
        assert len(mist_day(air, shade=0.5).hours) == 24


@pytest.mark.parametrize(
    ("given", "name"), [({"shade": 1.5}, "shade"), ({"shade": 0.5, "bed": "airtight"}, "bed")]
)
def test_a_bed_that_cannot_be_is_refused(given: dict[str, object], name: str) -> None:
    with pytest.raises(BadArgument) as refused:
        mist_day(a_day(), **given)  # type: ignore[arg-type]
    assert refused.value.argument == name
