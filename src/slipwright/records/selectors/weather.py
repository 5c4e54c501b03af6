"""The weather of days."""

from __future__ import annotations

from datetime import date

from slipwright.records.models import Garden, WeatherDay


def weather_of(garden: Garden, *, from_on: date, to_on: date) -> list[WeatherDay]:
    """Return the weather of the days between two, both included, one row a day.

    What was observed comes before what was forecast; of forecasts the newest counts. A day nothing
    is known of is left out.
    """
    days: dict[date, WeatherDay] = {}
    rows = WeatherDay.rows.of(garden).filter(on__range=(from_on, to_on)).order_by("on", "made_on")
    for row in rows:
        known = days.get(row.on)
        if known is None or row.made_on is None or known.made_on is not None:
            days[row.on] = row
    return list(days.values())


def weather_on(garden: Garden, on: date) -> WeatherDay | None:
    """Return the weather of a day: as observed, else the newest forecast of it."""
    return next(iter(weather_of(garden, from_on=on, to_on=on)), None)
