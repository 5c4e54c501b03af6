"""The sun against the almanac of other programs and the examples of FAO-56."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from itertools import product

import numpy as np
import pandas as pd
import pytest
import refet.calcs
from astral import Observer
from astral.sun import noon
from astral.sun import sun as astral_sun
from pvlib.solarposition import spa_python

from slipwright.craft.sun import (
    day_length_h,
    elevation_deg,
    extraterrestrial_mj_m2,
    noon_elevation_deg,
    possible_sunshine_h,
)
from tests.outside.published import published

LATITUDES = (-66, -55, -35, -20, 0, 20, 40, 52, 60, 66)


@pytest.mark.parametrize(
    ("row", "lat", "lon", "at"),
    [
        ("PH022", 45, 0, "2025-06-21T09:00"),
        ("PH024", 52, 5, "2026-09-23T11:00"),
        ("PH025", 33.5, 126.5, "2027-12-21T02:00"),
    ],
)
def test_height_as_in_the_table(row: str, lat: float, lon: float, at: str) -> None:
    value, tolerance = published(row)
    assert elevation_deg(lat, lon, at) == pytest.approx(value, abs=tolerance)


@pytest.mark.parametrize(
    ("row", "lat", "on"),
    [("PH026", 45, "2025-06-21"), ("PH027", 35, "2026-03-21"), ("PH028", 52, "2026-11-15")],
)
def test_day_length_as_in_the_table(row: str, lat: float, on: str) -> None:
    value, tolerance = published(row)
    assert day_length_h(lat, on) == pytest.approx(value, abs=tolerance)


def test_extraterrestrial_radiation_as_in_example_8_of_fao_56() -> None:
    value, tolerance = published("PH019")
    assert extraterrestrial_mj_m2(-20, "2025-09-03") == pytest.approx(value, abs=tolerance)


def test_daylight_hours_as_in_example_9_of_fao_56() -> None:
    value, tolerance = published("PH020")
    assert possible_sunshine_h(-20, "2025-09-03") == pytest.approx(value, abs=tolerance)


def test_radiation_and_daylight_above_the_air_as_in_example_18_of_fao_56() -> None:
    # 50.8° N, 6 July: worked out with refet 0.5.0 and pyfao56 1.4.3
    assert extraterrestrial_mj_m2(50.8, "2025-07-06") == pytest.approx(41.088376, abs=1e-6)
    assert possible_sunshine_h(50.8, "2025-07-06") == pytest.approx(16.104612, abs=1e-6)


@pytest.mark.parametrize("lat", LATITUDES)
def test_extraterrestrial_radiation_is_that_of_refet(lat: int) -> None:
    days = np.arange("2025-01-01", "2026-01-01", 7, dtype="datetime64[D]")
    doy = (days - np.datetime64("2025-01-01")).astype(int) + 1
    theirs = refet.calcs.ra_daily(np.radians(np.full(doy.shape, float(lat))), doy)
    np.testing.assert_allclose(extraterrestrial_mj_m2(lat, days), theirs, rtol=1e-3)


def test_height_is_that_of_the_solar_position_algorithm_within_a_fiftieth_of_a_degree() -> None:
    # NREL SPA by pvlib, four years at uneven steps, without refraction
    at = pd.date_range("2024-01-01", "2027-12-31", freq="41h17min", tz="UTC")
    ours_at = at.tz_localize(None).to_numpy()
    for lat, lon in zip(LATITUDES, np.linspace(-175, 175, len(LATITUDES)), strict=True):
        theirs = spa_python(at, lat, lon)["elevation"].to_numpy()
        assert np.abs(elevation_deg(lat, lon, ours_at) - theirs).max() < 0.02


def test_day_length_is_that_of_the_solar_position_algorithm_within_a_minute_and_a_half() -> None:
    # the sun's height by pvlib every minute of the day, the crossings of -0.833° drawn between them
    for lat, on in product(
        (-55, -35, 0, 40, 52, 60), ("2024-03-20", "2025-06-21", "2026-11-15", "2027-12-21")
    ):
        at = pd.date_range(on, periods=24 * 60 + 1, freq="min", tz="UTC")
        height = spa_python(at, lat, 0.0)["elevation"].to_numpy() + 0.833
        first, last = height[:-1], height[1:]
        crossing = np.where(last > first, last, first) / np.where(last == first, 1, np.abs(last - first))
        minutes = np.where((first > 0) & (last > 0), 1.0, np.where((first <= 0) & (last <= 0), 0.0, crossing))
        assert day_length_h(lat, on) * 60 == pytest.approx(minutes.sum(), abs=1.5)


@pytest.mark.parametrize(("lat", "hours"), [(20, 13.3432), (40, 15.0169), (52, 16.7351)])
def test_midsummer_day_as_another_program_has_it(lat: float, hours: float) -> None:
    # pvlib 0.16.1, NREL SPA, longitude 0, 21 June 2025
    assert day_length_h(lat, "2025-06-21") == pytest.approx(hours, abs=1.5 / 60)


@pytest.mark.parametrize("lat", [-55, -35, -20, 0, 20, 40, 52, 60])
def test_day_length_is_that_of_astral_within_a_minute_and_a_half(lat: float) -> None:
    for month in range(1, 13):
        on = date(2025, month, 21)
        theirs = astral_sun(Observer(lat, 0.0), on, tzinfo=UTC)
        hours = (theirs["sunset"] - theirs["sunrise"]) / timedelta(hours=1)
        assert day_length_h(lat, on) == pytest.approx(hours, abs=1.5 / 60)


def test_where_astral_finds_no_sunrise_the_day_has_no_hours_or_all_of_them() -> None:
    for lat, on in product((78, -78), (date(2025, 6, 21), date(2025, 12, 21))):
        with pytest.raises(ValueError, match="Sun"):
            astral_sun(Observer(float(lat), 0.0), on, tzinfo=UTC)
        summer = (lat > 0) == (on.month == 6)
        assert day_length_h(lat, on) == (24 if summer else 0)


@pytest.mark.parametrize(
    ("lat", "on", "height"),
    [
        (20, "2025-06-21", 86.5620),
        (20, "2025-12-21", 46.5601),
        (40, "2025-03-20", 50.0492),
        (40, "2025-06-21", 73.4372),
        (40, "2025-12-21", 26.5596),
        (52, "2025-06-21", 61.4367),
        (52, "2025-12-21", 14.5594),
    ],
)
def test_height_of_noon_as_another_program_has_it(lat: float, on: str, height: float) -> None:
    # pvlib 0.16.1, NREL SPA at transit, longitude 0
    assert noon_elevation_deg(lat, on) == pytest.approx(height, abs=0.02)


def test_noon_falls_when_astral_has_it() -> None:
    for lon, month in product((-120.0, 0.0, 75.0), range(1, 13)):
        at = noon(Observer(40.0, lon), date(2025, month, 21))
        assert isinstance(at, datetime)
        moment = np.datetime64(at.replace(tzinfo=None), "s")
        ours = noon_elevation_deg(40, moment.astype("datetime64[D]"), lon)
        assert elevation_deg(40, lon, moment) == pytest.approx(ours, abs=0.02)
