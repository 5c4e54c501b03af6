"""Weather without weather: years as smooth as a curve, the last of them as warm as wished."""

from __future__ import annotations

import numpy as np

from slipwright.craft.weather import Weather, days_from
from slipwright.craft.years import WeatherYears, weather_years


def weather(last: str, above_c: float = 0.0, from_on: str = "2026-01-01") -> WeatherYears:
    """Smooth years from 2015 on, warmer or colder from a day on."""
    on = days_from("2015-01-01", last)
    day = (on - on.astype("datetime64[Y]")).astype(int)
    mean = 11 - 9 * np.cos(2 * np.pi * (day - 20) / 365)
    mean = np.where(on >= np.datetime64(from_on), mean + above_c, mean)
    found = weather_years(Weather(on, mean - 5, mean + 5))
    assert found is not None
    return found
