"""Degree-days and chill against published and separately computed values.

Rows of ``physics-values.csv`` come from numerical integration and from the R package chillR 0.77
(Luedeling et al.). The sums by year of the NOAA daily record were computed with scipy's ``quad`` over a sine.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from slipwright.craft.heat import (
    DegreeDays,
    chill_hours,
    chill_portions,
    degree_days_c,
    growing_degree_hours,
    utah_units,
)
from slipwright.craft.weather import Weather, read_weather
from tests.outside.published import published

WAVE = 8 + 8 * np.sin(2 * np.pi * np.arange(1440) / 24)
EXAMPLE = Path(__file__).parents[2] / "examples" / "saltmarsh-lane" / "weather.csv"


@pytest.fixture(scope="module")
def weather() -> Weather:
    return read_weather(EXAMPLE)


@pytest.mark.parametrize(
    ("value_id", "method", "day"),
    [
        ("PH062", "sine", (5, 20, 10, None)),
        ("PH063", "triangle", (5, 20, 10, None)),
        ("PH064", "sine", (12, 30, 10, 25)),
        ("PH066", "sine", (-3, 8, 5, None)),
        ("PH067", "triangle", (-3, 8, 5, None)),
        ("PH069", "triangle", (8, 35, 10, 30)),
    ],
)
def test_degree_days_of_a_day(
    value_id: str, method: DegreeDays, day: tuple[float, float, float, float | None]
) -> None:
    value, tolerance = published(value_id)
    assert degree_days_c(*day, method=method) == pytest.approx(value, abs=tolerance)


@pytest.mark.parametrize(
    ("tmin_c", "tmax_c", "base_c", "value"),
    [
        (2, 18, 5, 5.5623498091),
        (8, 20, 5, 9),
        (-4, 4, 5, 0),
        (0, 10, 5, 1.5915494309),
        (4, 6, 5, 0.3183098862),
        (-2, 12, 4, 2.7509445300),
    ],
)
def test_single_sine_equals_quadrature(tmin_c: float, tmax_c: float, base_c: float, value: float) -> None:
    assert degree_days_c(tmin_c, tmax_c, base_c) == pytest.approx(value, abs=1e-9)


@pytest.mark.parametrize(
    ("value_id", "summed", "hours"),
    [
        ("PH070", chill_hours, np.full(720, 5.0)),
        ("PH071", utah_units, np.full(720, 5.0)),
        ("PH073", growing_degree_hours, np.full(720, 5.0)),
        ("PH074", chill_hours, np.full(1440, 8.0)),
        ("PH075", utah_units, np.full(1440, 8.0)),
        ("PH076", chill_portions, np.full(1440, 8.0)),
        ("PH080", chill_portions, WAVE),
        ("PH081", growing_degree_hours, WAVE),
    ],
)
def test_chill_and_heat_of_hours(value_id: str, summed: object, hours: object) -> None:
    value, tolerance = published(value_id)
    assert summed(hours) == pytest.approx(value, abs=tolerance)  # type: ignore[operator]


@pytest.mark.parametrize(
    ("method", "by_year"),
    [
        ("average", {"2012": 2396.2, "2013": 2720.7, "2014": 2941.3, "2015": 3017.95}),
        ("sine", {"2012": 2451.0170, "2013": 2759.3243, "2014": 2975.6906, "2015": 3049.9115}),
    ],
)
def test_degree_days_of_the_noaa_record_by_year(
    weather: Weather, method: DegreeDays, by_year: dict[str, float]
) -> None:
    each = degree_days_c(weather.tmin_c, weather.tmax_c, 5, method=method)
    years = weather.on.astype("datetime64[Y]").astype(str)
    assert {str(year): each[years == year].sum() for year in np.unique(years)} == pytest.approx(by_year)


def test_the_day_500_degree_days_are_reached(weather: Weather) -> None:
    each = degree_days_c(weather.tmin_c, weather.tmax_c, 5)
    years = weather.on.astype("datetime64[Y]").astype(str)
    reached = [
        str(weather.on[years == year][np.argmax(np.cumsum(each[years == year]) >= 500)])
        for year in np.unique(years)
    ]
    assert reached == ["2012-05-24", "2013-05-11", "2014-05-07", "2015-04-22"]


def test_the_noaa_record_has_no_gap(weather: Weather) -> None:
    assert len(weather) == 1461
    assert not len(weather.gaps())
