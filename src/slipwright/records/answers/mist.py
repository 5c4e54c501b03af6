"""The mist times of a bed: its weather, its cloth and nozzles, and what was seen of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Literal
from zoneinfo import ZoneInfo

from slipwright.craft.light import BRIGHTEST_W_M2, from_cloud, from_sunshine, from_temperatures
from slipwright.craft.mist import BED_WIND_M_S, Bed, wet_leaf
from slipwright.craft.mist_bed import Learned, bed_factor, bed_history
from slipwright.craft.mist_controller import short_form
from slipwright.craft.mist_day import day_air, mist_day
from slipwright.craft.mist_times import (
    FILM_MM,
    USABLE,
    Between,
    MistDay,
    burst_s,
    can_rate_mm_per_min,
    interval_min,
)
from slipwright.records import selectors
from slipwright.records.answers.air import air_of_places
from slipwright.records.models import Garden, Place, WeatherDay
from slipwright.records.selectors import BedSeen

#: today and the days after it that mist times are worked out for, where there is weather for them
DAYS_AHEAD = 6
#: shade taken where a place does not say its own [%]
SHADE_PERCENT = 50.0
#: what was seen lately and shown; the factor rests on all of it
SHOWN = 12
LightBy = Literal["measured", "sunshine", "cloud", "temperatures"]


@dataclass(frozen=True, slots=True)
class MistOn:
    """The mist times of one day, and what its weather is known by."""

    on: date
    tmin_c: float
    tmax_c: float
    rh_mean_percent: float | None
    light_by: LightBy
    is_forecast: bool
    times: MistDay
    #: light at the leaf, under the place's shade, of each hour [W/m2]
    sun_w_m2: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class SeenThen:
    """A thing seen at a bed, who saw it, and the bed's factor after it."""

    who: str
    learned: Learned


@dataclass(frozen=True, slots=True)
class MistNow:
    """What an instrument reads at a bed now, and how often that asks for mist; None where it does not."""

    at: datetime
    vpd_kpa: float
    knows_light: bool
    between: Between | None


@dataclass(frozen=True, slots=True)
class MistBed:
    """A mist bed as its page shows it."""

    place: str
    bed: Bed
    shade_percent: float
    knows_shade: bool
    rate_mm_per_min: float | None
    burst_s: float | None
    factor: float
    #: newest first
    seen: tuple[SeenThen, ...]
    n_seen: int
    days: tuple[MistOn, ...]
    #: what a controller adds up an hour: mm for each W/m2, mm for each kPa; it mists at ``refill_mm``
    a: float
    b: float
    refill_mm: float
    wind_m_s: float
    now: MistNow | None = None


def mist_bed(
    garden: Garden,
    place: Place,
    *,
    on: date,
    now: datetime,
    bed: Bed = "sheltered",
    by_hand: WeatherDay | None = None,
) -> MistBed:
    """Return the mist times of a bed for a day and those after it. Four queries.

    ``by_hand`` is the weather of the first day where somebody typed it.
    """
    seen = selectors.seen_of_bed(garden, place)
    factor, history = _learned(garden, seen, on, now)
    weather = selectors.weather_of(garden, from_on=on, to_on=on + timedelta(days=DAYS_AHEAD))
    if by_hand is not None:
        weather = [by_hand, *(day for day in weather if day.on != on)]
    shade = place.shade_percent
    shade_percent = SHADE_PERCENT if shade is None else float(shade)
    rate = float(place.mist_mm_per_min) if place.mist_mm_per_min else None
    a, b = (float(figure) for figure in short_form(BED_WIND_M_S[bed]))
    days = tuple(
        _on(garden, day, shade_percent, bed, factor) for day in sorted(weather, key=lambda one: one.on)
    )
    return MistBed(
        place=place.place,
        bed=bed,
        shade_percent=shade_percent,
        knows_shade=shade is not None,
        rate_mm_per_min=rate,
        burst_s=burst_s(rate) if rate else None,
        factor=factor,
        seen=tuple(reversed(history[-SHOWN:])),
        n_seen=len(history),
        days=days,
        a=a,
        b=b,
        refill_mm=FILM_MM * USABLE * factor,
        wind_m_s=BED_WIND_M_S[bed],
        now=_now(garden, place, days, bed, factor, now),
    )


def weather_by_hand(
    on: date, *, tmin_c: Decimal, tmax_c: Decimal, rh_mean_percent: Decimal | None
) -> WeatherDay:
    """Return a day's weather as somebody typed it: it is kept nowhere."""
    return WeatherDay(on=on, tmin_c=tmin_c, tmax_c=tmax_c, rh_mean_percent=rh_mean_percent, made_on=on)


def rate_by_cans(*, caught_ml: Decimal, can_diameter_mm: Decimal, minutes: Decimal) -> Decimal:
    """Return what nozzles give by a catch-can test, to a hundredth [mm/min]."""
    rate = can_rate_mm_per_min(float(caught_ml), float(can_diameter_mm), float(minutes))
    return Decimal(f"{rate:.2f}")


def _learned(
    garden: Garden, seen: Sequence[BedSeen], on: date, now: datetime
) -> tuple[float, list[SeenThen]]:
    """Return the factor of a bed on a day, and what it was learned from, oldest first.

    In a garden that stands at another day its last hour counts, or the newest seeing where that is later.
    """
    zone = ZoneInfo(garden.time_zone)
    is_today = now.astimezone(zone).date() == on
    at = now if is_today else datetime.combine(on, time(23, 59), zone)
    at = max([at, *(one.at for one in seen)])
    words = [(one.at, one.seen) for one in seen]
    history = [SeenThen(one.who, then) for one, then in zip(seen, bed_history(words), strict=True)]
    return bed_factor(words, at), history


def _now(
    garden: Garden, place: Place, days: Sequence[MistOn], bed: Bed, factor: float, now: datetime
) -> MistNow | None:
    """Return how often the air an instrument reads among the leaves now asks for mist.

    Its light is what was read, else the weather's; where neither is known nothing is said.
    """
    air = next(iter(air_of_places(garden, place.place)), None)
    read = air.of_air if air else None
    if read is None or not now - selectors.IS_NOW <= read.at <= now:
        return None
    here = read.at.astimezone(ZoneInfo(garden.time_zone))
    sun_w_m2 = read.light_w_m2
    if sun_w_m2 is None:
        sun_w_m2 = next((day.sun_w_m2[here.hour] for day in days if day.on == here.date()), None)
    if sun_w_m2 is None:
        return None
    sun_w_m2 = min(max(sun_w_m2, 0.0), BRIGHTEST_W_M2)
    leaf = wet_leaf(read.air_c or 0.0, read.rh_percent or 0.0, sun_w_m2, BED_WIND_M_S[bed])
    between = interval_min(float(leaf.evaporation_mm_h), factor=factor)
    return MistNow(here, read.vpd_kpa or 0.0, read.light_w_m2 is not None, between)


def _on(garden: Garden, day: WeatherDay, shade_percent: float, bed: Bed, factor: float) -> MistOn:
    lat_deg = float(garden.latitude_deg)
    light_mj_m2, light_by = _light(day, lat_deg)
    offset = datetime.combine(day.on, time(12), ZoneInfo(garden.time_zone)).utcoffset() or timedelta()
    rh = None if day.rh_mean_percent is None else float(day.rh_mean_percent)
    air = day_air(
        day.on,
        lat_deg,
        float(garden.longitude_deg),
        offset / timedelta(hours=1),
        tmin_c=float(day.tmin_c),
        tmax_c=float(day.tmax_c),
        radiation_mj_m2=light_mj_m2,
        rh_mean_percent=rh,
    )
    return MistOn(
        on=day.on,
        tmin_c=float(day.tmin_c),
        tmax_c=float(day.tmax_c),
        rh_mean_percent=rh,
        light_by=light_by,
        is_forecast=day.made_on is not None,
        times=mist_day(air, shade=shade_percent / 100, bed=bed, factor=factor),
        sun_w_m2=tuple(float(light) * (1 - shade_percent / 100) for light in air.sun_w_m2),
    )


def _light(day: WeatherDay, lat_deg: float) -> tuple[float, LightBy]:
    """Return a day's light by the best that is known of it [MJ/m2]."""
    if day.radiation_mj_m2 is not None:
        return float(day.radiation_mj_m2), "measured"
    if day.sunshine_h is not None:
        return float(from_sunshine(float(day.sunshine_h), lat_deg, day.on)), "sunshine"
    if day.cloud_fraction is not None:
        return float(from_cloud(float(day.cloud_fraction), lat_deg, day.on)), "cloud"
    warmth = from_temperatures(float(day.tmin_c), float(day.tmax_c), lat_deg, day.on)
    return float(warmth), "temperatures"
