"""The weather of days."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
from django.db.models import BooleanField, Count, ExpressionWrapper, F, FloatField, Max, Min, Q
from django.db.models.functions import Cast

from slipwright.craft.weather import Weather
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


def weather_known(garden: Garden, *, on: date) -> Weather:
    """Return all the weather that is known on a day: as observed up to it, and the newest forecasts.

    A forecast stands for its day until that was observed. One query.
    """
    rows = (
        WeatherDay.rows.of(garden)
        .filter(Q(made_on=None, on__lte=on) | Q(made_on__lte=on))
        .order_by("on", F("made_on").asc(nulls_last=True))
        .annotate(low=Cast("tmin_c", FloatField()), high=Cast("tmax_c", FloatField()))
        .values_list("on", "low", "high", "made_on")
    )
    days: dict[date, tuple[float, float, bool]] = {}
    for day, low, high, made_on in rows:
        known = days.get(day)
        if known is None or known[2]:
            days[day] = (low, high, made_on is not None)
    figures = np.array(list(days.values()), dtype=float).reshape(-1, 3)
    return Weather(
        np.array(list(days), dtype="datetime64[D]"),
        figures[:, 0],
        figures[:, 1],
        is_forecast=figures[:, 2].astype(bool),
    )


@dataclass(frozen=True, slots=True)
class WeatherSource:
    """Where days come from, as observed or as forecast; ``source`` is empty where it was not said."""

    source: str
    is_forecast: bool
    n_days: int
    first: date
    last: date


def weather_sources(garden: Garden) -> list[WeatherSource]:
    """Return where the garden's weather comes from, what was observed first, the most days first."""
    rows = (
        WeatherDay.rows.of(garden)
        .order_by()
        .annotate(ahead=ExpressionWrapper(Q(made_on__isnull=False), output_field=BooleanField()))
        .values_list("source", "ahead")
        .annotate(n=Count("on", distinct=True), first=Min("on"), last=Max("on"))
    )
    found = [WeatherSource(source, bool(ahead), n, first, last) for source, ahead, n, first, last in rows]
    return sorted(found, key=lambda one: (one.is_forecast, -one.n_days, one.source))
