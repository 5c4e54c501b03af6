"""The sun keeps its day."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slipwright.craft.errors import BadArgument
from slipwright.craft.sun import (
    TWILIGHT_DEG,
    day_length_h,
    elevation_deg,
    extraterrestrial_mj_m2,
    hourly_shares,
    noon_elevation_deg,
    possible_sunshine_h,
)

LATITUDES = st.floats(-90, 90)
DAYS = st.dates(date(1950, 1, 1), date(2050, 12, 31))


@given(LATITUDES, DAYS)
def test_a_day_has_none_to_all_of_its_hours_and_a_height_there_is(lat: float, on: date) -> None:
    assert 0 <= day_length_h(lat, on) <= 24
    assert 0 <= possible_sunshine_h(lat, on) <= 24
    assert -90 <= noon_elevation_deg(lat, on) <= 90
    assert extraterrestrial_mj_m2(lat, on) >= 0


@given(LATITUDES, DAYS)
def test_the_day_is_longer_with_twilight_than_without_it(lat: float, on: date) -> None:
    assert day_length_h(lat, on, TWILIGHT_DEG) >= day_length_h(lat, on) >= day_length_h(lat, on, 0.0)


@given(LATITUDES, st.floats(-180, 180), DAYS)
def test_the_height_of_noon_is_the_highest_of_the_hour_about_it(lat: float, lon: float, on: date) -> None:
    noon = np.datetime64(on, "s") + round(43200 - 240 * lon)
    about = noon + np.arange(-1800, 1800, 20)
    if np.isin(about.astype("datetime64[Y]").astype(int) + 1970, (1949, 2051)).any():
        return
    assert elevation_deg(lat, lon, about).max() == pytest.approx(noon_elevation_deg(lat, on, lon), abs=0.05)


@given(st.floats(-66, 66), DAYS)
def test_the_hours_share_the_whole_day_and_noon_has_the_most(lat: float, on: date) -> None:
    shares = hourly_shares(lat, on)
    assert shares.shape == (24,)
    assert shares.min() >= 0
    assert shares.sum() == pytest.approx(1)
    np.testing.assert_allclose(shares, shares[::-1], atol=1e-12)
    assert shares.argmax() in (11, 12)


def test_summer_in_the_north_is_winter_in_the_south() -> None:
    june, december = np.datetime64("2025-06-21"), np.datetime64("2025-12-21")
    for of in (day_length_h, noon_elevation_deg, extraterrestrial_mj_m2):
        north, south = of([45, -45], june), of([45, -45], december)
        assert north[0] > north[1]
        assert south[0] < south[1]
    assert day_length_h(0, june) == pytest.approx(day_length_h(0, december), abs=0.02)


def test_beyond_the_polar_circles_a_day_may_have_no_sunset_or_no_sunrise() -> None:
    lats = [78, 90, -78, -90]
    june, december = "2025-06-21", "2025-12-21"
    assert list(day_length_h(lats, june)) == [24, 24, 0, 0]
    assert list(day_length_h(lats, december)) == [0, 0, 24, 24]
    assert list(extraterrestrial_mj_m2([78, -78], december) > 0) == [False, True]
    night = hourly_shares(78, december)
    assert night.sum() == 1
    assert set(np.flatnonzero(night)) == {11, 12}
    assert list(hourly_shares(90, june)) == pytest.approx([1 / 24] * 24)


def test_the_length_of_the_day_has_no_gap_where_polar_day_begins() -> None:
    days = np.arange("2025-01-01", "2026-01-01", dtype="datetime64[D]")
    steps = np.abs(np.diff(day_length_h(60, days)))
    assert steps.max() < 0.12
    assert day_length_h(67, days).max() == 24


def test_whole_tables_are_taken_at_once() -> None:
    lats = np.array([[50.0], [-20.0]])
    days = np.array(["2025-03-01", "2025-09-03", "2025-12-21"], dtype="datetime64[D]")
    for of in (day_length_h, noon_elevation_deg, extraterrestrial_mj_m2, possible_sunshine_h):
        table = of(lats, days)
        assert table.shape == (2, 3)
        assert table[1, 1] == pytest.approx(of(-20, date(2025, 9, 3)))
    assert elevation_deg(lats, 0, days).shape == (2, 3)
    assert hourly_shares(lats, days).shape == (2, 3, 24)


@pytest.mark.parametrize(
    ("lat", "lon", "at", "name"),
    [
        (91, 0, "2025-06-21", "lat_deg"),
        (np.nan, 0, "2025-06-21", "lat_deg"),
        (0, 181, "2025-06-21", "lon_deg"),
        (0, 0, "1949-12-31", "at"),
        (0, 0, "2051-01-01", "at"),
        (0, 0, "NaT", "at"),
        (0, 0, "in June", "at"),
    ],
)
def test_places_and_years_off_the_map_are_refused(lat: float, lon: float, at: str, name: str) -> None:
    with pytest.raises(BadArgument) as refused:
        elevation_deg(lat, lon, at)
    assert refused.value.argument == name


def test_a_horizon_that_is_none_is_refused() -> None:
    with pytest.raises(BadArgument, match="horizon_deg"):
        day_length_h(45, "2025-06-21", 45)
