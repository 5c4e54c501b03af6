"""What the sky asks for: shade where a tent gets too hot, fleece where a pot may freeze.

The one place that says from when on; the round, its page and the demonstration take it from here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Literal

from slipwright.advice._wording import plain
from slipwright.craft.leaf_heat import C_PER_W_M2, HOT_C, heat_flag, leaf_c
from slipwright.craft.light import BRIGHTEST_W_M2, clear_sky_mj_m2, from_cloud, from_sunshine, hourly_w_m2
from slipwright.craft.said import Said

if TYPE_CHECKING:
    from slipwright.advice.walk import PlaceOnRound, WeatherOnRound

When = Literal["now", "today", "tomorrow", "tonight"]

#: fleece at this night's minimum and below: under a clear sky ground and pots lie some degrees below
#: the air.  Common practice, no source
NEAR_FROST_C = 3.0
#: air this warm, read under a tent, is as much of a danger: a leaf in some light is 4 °C warmer
HOT_AIR_C = 31.0
#: where nobody wrote down the shade of a place it has what cuttings want, which is the kindest guess
SHADE_WHERE_UNKNOWN = 0.85
#: and without the sun either, 31 °C is as far as one goes
_LIGHT_WHERE_UNKNOWN_W_M2 = (HOT_C - HOT_AIR_C) / C_PER_W_M2
_OUT_OF_DOORS = ("frame", "nursery")


@dataclass(frozen=True, slots=True)
class Danger:
    """Heat or frost at a place: what to do, when it comes, and the temperature that it rests on [°C].

    For heat ``c`` is how warm a leaf likely gets, or what was read now; for frost the night's minimum.
    ``why`` says so in ten words at most.
    """

    act: Literal["shade", "protect"]
    when: When
    c: float
    why: str


def strongest_light_w_m2(
    lat_deg: float,
    on: date,
    *,
    radiation_mj_m2: float | None = None,
    sunshine_h: float | None = None,
    cloud_fraction: float | None = None,
) -> float:
    """Return the strongest light of a day on level ground in the open.

    Parameters
    ----------
    lat_deg : float
        Latitude, south below 0 [°].
    on : date
        The day.
    radiation_mj_m2 : float, optional
        The day's radiation, if it is known [MJ/m²].
    sunshine_h : float, optional
        Hours of sunshine, if they are known [h].
    cloud_fraction : float, optional
        Share of the sky under cloud, if it is known [-].

    Returns
    -------
    float
        Mean of the brightest hour [W/m²], from the best that is known; of a clear sky where nothing is.

    Notes
    -----
    Under broken cloud the sun may for minutes shine as on a clear day.

    References
    ----------
    As `slipwright.craft.light`.

    Examples
    --------
    >>> round(strongest_light_w_m2(47.45, date(2015, 6, 12)), -1)
    900.0
    >>> round(strongest_light_w_m2(47.45, date(2015, 6, 12), cloud_fraction=1), -1)
    310.0
    """
    if radiation_mj_m2 is not None:
        day = radiation_mj_m2
    elif sunshine_h is not None:
        day = float(from_sunshine(sunshine_h, lat_deg, on))
    elif cloud_fraction is not None:
        day = float(from_cloud(cloud_fraction, lat_deg, on))
    else:
        day = float(clear_sky_mj_m2(lat_deg, on))
    return min(float(hourly_w_m2(day, lat_deg, on).max()), BRIGHTEST_W_M2)


def is_near_frost(weather: WeatherOnRound) -> bool:
    """Return whether the coming night may freeze a pot.

    Parameters
    ----------
    weather : WeatherOnRound
        The extremes of today and tomorrow, as far as known.

    Returns
    -------
    bool
        Whether tonight's minimum is 3 °C or less.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> from slipwright.advice.walk import WeatherOnRound
    >>> is_near_frost(WeatherOnRound(2.9, 8.0)), is_near_frost(WeatherOnRound(2.9, 8.0, 5.0, 9.0))
    (True, False)
    """
    return weather.tonight_c is not None and weather.tonight_c <= NEAR_FROST_C


def dangers_at(
    place: PlaceOnRound, weather: WeatherOnRound, *, is_tented: bool, has_cuttings: bool
) -> Iterator[Danger]:
    """Give what heat and frost ask for at a place, heat first, at most one of each.

    Parameters
    ----------
    place : PlaceOnRound
        The place.
    weather : WeatherOnRound
        Extremes and strongest light of today and tomorrow, as far as known.
    is_tented : bool
        Whether cuttings wait there under a tent.
    has_cuttings : bool
        Whether cuttings wait there at all.

    Yields
    ------
    Danger
        Heat read there now goes before heat of today, and that before heat of tomorrow, which calls for
        the second cloth this evening.

    References
    ----------
    As `slipwright.craft.leaf_heat`; frost: common practice, no source.

    Examples
    --------
    >>> from slipwright.advice.walk import PlaceOnRound, WeatherOnRound
    >>> tent = PlaceOnRound("Tent", "bench", "tent", shade_percent=60)
    >>> sky = WeatherOnRound(9, 19, 11, 27, light_w_m2=850, tomorrow_light_w_m2=850)
    >>> [danger.why for danger in dangers_at(tent, sky, is_tented=True, has_cuttings=True)]
    ['leaves likely above 35 °C tomorrow; second cloth this evening']
    """
    if is_tented and (heat := _heat(place, weather)):
        yield heat
    tonight_c = weather.tonight_c
    stands_out = place.kind in _OUT_OF_DOORS and (has_cuttings or place.n_young_pots)
    if stands_out and tonight_c is not None and is_near_frost(weather):
        c = plain(round(tonight_c), 0).replace("-", "−")
        why = (
            Said("{c} °C tonight; fleece the frame, roots are tenderest", c=c)
            if place.kind == "frame"
            else Said("{c} °C tonight; fleece the pots, roots are tenderest", c=c)
        )
        yield Danger("protect", "tonight", tonight_c, why)


def _heat(place: PlaceOnRound, weather: WeatherOnRound) -> Danger | None:
    if place.air_c is not None and place.air_c >= HOT_AIR_C:
        now = Said("{c} °C there now; shade it, loosening hardly cools", c=plain(place.air_c, 0))
        return Danger("shade", "now", place.air_c, now)
    today_c = _leaf_c(place, weather.tmax_c, weather.light_w_m2)
    tomorrow_c = _leaf_c(place, weather.tomorrow_tmax_c, weather.tomorrow_light_w_m2)
    is_hot_tomorrow = tomorrow_c is not None and heat_flag(tomorrow_c) == "hot"
    if today_c is not None and heat_flag(today_c) == "hot":
        why = (
            Said("likely above 35 °C today and tomorrow; second cloth throughout")
            if is_hot_tomorrow
            else Said("leaves likely above 35 °C today; second cloth before noon")
        )
        return Danger("shade", "today", round(today_c), why)
    if tomorrow_c is not None and is_hot_tomorrow:
        why = Said("leaves likely above 35 °C tomorrow; second cloth this evening")
        return Danger("shade", "tomorrow", round(tomorrow_c), why)
    return None


def _leaf_c(place: PlaceOnRound, tmax_c: float | None, open_w_m2: float | None) -> float | None:
    """Return how warm a leaf likely gets under a tent at a place, None without the day's maximum."""
    if tmax_c is None:
        return None
    light = _LIGHT_WHERE_UNKNOWN_W_M2
    if open_w_m2 is not None:
        shade = SHADE_WHERE_UNKNOWN if place.shade_percent is None else place.shade_percent / 100
        light = open_w_m2 * (1 - shade)
    return round(float(leaf_c(tmax_c, light).mid), 6)
