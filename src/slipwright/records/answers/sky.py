"""The weather of a day and the next as the round takes it."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

from slipwright.advice.heat_and_frost import strongest_light_w_m2
from slipwright.advice.walk import WeatherOnRound
from slipwright.records import selectors
from slipwright.records.answers.remembered import Remembered, as_of
from slipwright.records.models import Garden, WeatherDay

#: a day's weather, and what the round takes of it
Sky = tuple[WeatherDay | None, WeatherOnRound | None]
_SKIES: Remembered[Sky] = Remembered()


def sky_on(garden: Garden, on: date) -> Sky:
    """Return the weather of a day, and what the round takes of it and of the next. One query, or none.

    ``garden`` must have just been read. Light is worked out from the best that is known of each day's sky,
    and from a clear one where nothing is.
    """
    rests_on = as_of(0, garden.last_edit, on)
    sky = _SKIES.get(garden.garden, rests_on)
    if sky is None:
        sky = _sky(garden, on)
        _SKIES.keep(garden.garden, rests_on, sky)
    return sky


def _sky(garden: Garden, on: date) -> Sky:
    days = {day.on: day for day in selectors.weather_of(garden, from_on=on, to_on=on + timedelta(days=1))}
    today, tomorrow = days.get(on), days.get(on + timedelta(days=1))
    if not days:
        return None, None
    return today, WeatherOnRound(
        float(today.tmin_c) if today else None,
        float(today.tmax_c) if today else None,
        float(tomorrow.tmin_c) if tomorrow else None,
        float(tomorrow.tmax_c) if tomorrow else None,
        _light(garden, today),
        _light(garden, tomorrow),
    )


def _light(garden: Garden, day: WeatherDay | None) -> float | None:
    if day is None:
        return None
    return strongest_light_w_m2(
        float(garden.latitude_deg),
        day.on,
        radiation_mj_m2=_number(day.radiation_mj_m2),
        sunshine_h=_number(day.sunshine_h),
        cloud_fraction=_number(day.cloud_fraction),
    )


def _number(found: Decimal | None) -> float | None:
    return None if found is None else float(found)
