"""Years of weather side by side."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from slipwright.craft.errors import BadArgument
from slipwright.craft.weather import Weather, days_from
from slipwright.craft.years import WeatherYears, same_day, weather_years


def steady(first: str, last: str, mean_c: float = 15.0, without: slice | None = None) -> WeatherYears:
    on = days_from(first, last)
    mean = np.full(len(on), mean_c)
    if without is not None:
        mean[without] = np.nan
    found = weather_years(Weather(on, mean - 2, mean + 2))
    assert found is not None
    return found


def test_heat_goes_on_as_other_years_brought_it() -> None:
    years = steady("2021-01-01", "2026-06-30")
    heat = years.heat_since(date(2026, 6, 1), 60)
    assert heat.shape[1] == 60
    assert len(heat) >= 4
    assert heat[:, -1] == pytest.approx(600.0, rel=1e-6)
    assert heat[:, 29] == pytest.approx(300.0, rel=1e-6)


def test_days_that_are_all_known_go_one_way() -> None:
    years = steady("2025-01-01", "2026-06-30")
    assert years.heat_since(date(2026, 6, 1), 30).shape == (1, 30)


def test_before_its_first_day_it_knows_nothing() -> None:
    years = steady("2026-01-01", "2026-06-30")
    assert len(years.heat_since(date(2025, 12, 31), 10)) == 0
    assert len(years.heat_since(date(2026, 6, 1), 60)) == 0


def test_gaps_stand_as_they_usually_are_and_are_counted() -> None:
    years = steady("2025-01-01", "2026-06-30", without=slice(100, 110))
    assert years.n_filled == 10
    assert years.mean_sum_c[-1] == pytest.approx(15.0 * len(years))
    assert years.n_seen_sum[-1] == len(years) - 10


def test_a_stretch_hardly_seen_is_no_other_year() -> None:
    whole = steady("2021-01-01", "2026-06-30")
    holed = steady("2021-01-01", "2026-06-30", without=slice(150, 240))
    since = (date(2026, 6, 20), 60)
    assert len(holed.heat_since(*since)) == len(whole.heat_since(*since)) - 1


def test_days_after_the_one_asked_about_count_only_as_forecast() -> None:
    on = days_from("2026-06-01", "2026-06-10")
    mean = np.full(len(on), 15.0)
    told = Weather(on, mean, mean, is_forecast=np.arange(10) >= 7)
    years = weather_years(told, date(2026, 6, 4))
    assert years is not None
    assert (years.known_to, years.is_forecast_from) == (date(2026, 6, 10), date(2026, 6, 8))
    assert years.n_filled == 3
    seen = weather_years(Weather(on, mean, mean), date(2026, 6, 4))
    assert seen is not None
    assert seen.known_to == date(2026, 6, 4)


def test_no_day_known_is_no_weather() -> None:
    assert weather_years(Weather([], [], [])) is None
    assert weather_years(Weather(["2026-06-01"], [np.nan], [np.nan])) is None


def test_a_base_that_is_no_temperature_of_growth_is_refused() -> None:
    with pytest.raises(BadArgument, match="base_c"):
        weather_years(Weather(["2026-06-01"], [5], [9]), base_c=60)


def test_the_same_day_of_another_year() -> None:
    assert same_day(date(2024, 2, 29), 1) in (date(2025, 2, 28), date(2025, 3, 1))
    assert same_day(date(2026, 5, 20), -400) == date(1626, 5, 20)


def test_few_and_wild_days_do_not_swing_beyond_the_earth() -> None:
    on = ["2020-02-01", "2020-05-09", "2021-04-05", "2021-11-10", "2022-01-10", "2022-05-05"]
    cold, warm = [-43.2, -26.5, 34.2, -28.6, -7.6, -85.9], [60.0, 54.2, 60.0, 60.0, 37.9, -17.8]
    years = weather_years(Weather(on, cold, warm))
    assert years is not None
    assert np.isfinite(years.heat_since(date(2020, 2, 1), 800)).all()
