"""The air and light of a day by the clock, and the mist times a bed has in them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from slipwright.craft.errors import BadArgument
from slipwright.craft.mist import BED_M_S, BED_WIND_M_S, Bed, wet_leaf
from slipwright.craft.mist_times import FILM_MM, USABLE, MistDay, day_programme

if TYPE_CHECKING:
    from slipwright.craft.air import Array

COLD_C: Final = 3.0
"""No mist in colder hours: leaves dry slowly and water may freeze in the pipes [°C]."""
_COLDEST_C: Final = -50.0  # a colder day counts as one so cold: there is no mist in either
_WARMED_C: Final = 1.0  # how far below the day's lowest the dew point lies where nobody measured it: 0 to 2


@dataclass(frozen=True, slots=True)
class DayAir:
    """Air and light outside at the 24 hours of the clock, in the open, and when it is light [h]."""

    air_c: Array
    rh_percent: Array
    sun_w_m2: Array
    dawn_h: float
    dusk_h: float


def day_air(
    on: Any,
    lat_deg: float,
    lon_deg: float,
    utc_offset_h: float,
    *,
    tmin_c: float,
    tmax_c: float,
    radiation_mj_m2: float,
    rh_mean_percent: float | None = None,
) -> DayAir:
    """Return the air and light of each hour of a day by the clock, from what the day is known by.

    Parameters
    ----------
    on : date
        The day.
    lat_deg : float
        Latitude, south below 0 [°].
    lon_deg : float
        Longitude, west below 0 [°].
    utc_offset_h : float
        How far the clock is ahead of UTC [h].
    tmin_c : float
        Lowest temperature of the day [°C].
    tmax_c : float
        Highest temperature of the day [°C].
    radiation_mj_m2 : float
        Light of the day in the open [MJ/m2].
    rh_mean_percent : float, optional
        Mean relative humidity of the day [%].

    Returns
    -------
    DayAir
        24 hours, each at its middle; the light adds up to the day's.

    Notes
    -----
    Water in the air is the same all day: by the mean humidity and the mean of what the air could hold at
    the lowest and highest temperature; without humidity, the dew point is taken 1 °C below the lowest
    temperature. In dry country it lies lower and leaves dry sooner. Days below -50 °C count as -50 °C.

    References
    ----------
    Allen et al. (1998), FAO-56, eq. 19 and 48 (from memory); hours of warmth as
    `slipwright.craft.heat.hourly_c`, of light as `slipwright.craft.light.hourly_w_m2`.

    Examples
    --------
    >>> from datetime import date
    >>> day = day_air(date(2026, 7, 15), 35, 0, 0, tmin_c=19, tmax_c=35, radiation_mj_m2=28)
    >>> print(day.air_c[14].round(), day.rh_percent[14].round(), round(float(day.sun_w_m2.sum() * 0.0036), 1))
    35.0 37.0 28.0
    """
    import numpy as np

    from slipwright.craft._almanac import solar_noon
    from slipwright.craft.air import es_kpa
    from slipwright.craft.heat import hourly_c
    from slipwright.craft.light import hourly_w_m2
    from slipwright.craft.sun import day_length_h

    if not -16 <= utc_offset_h <= 16:
        raise BadArgument("utc_offset_h", "lie between -16 and 16 h", utc_offset_h)
    if rh_mean_percent is not None and not 0 <= rh_mean_percent <= 100:
        raise BadArgument("rh_mean_percent", "lie between 0 and 100 %", rh_mean_percent)
    tmin_c, tmax_c = max(tmin_c, _COLDEST_C), max(tmax_c, _COLDEST_C)
    from_noon = float(solar_noon(on, lon_deg) - solar_noon(on, 0.0).round())  # days from noon, UTC
    noon_h = (12 + 24 * from_noon + utc_offset_h) % 24  # some islands keep the day of the other side
    middle = np.arange(24) + 0.5 + 12 - noon_h  # by the sun
    whole = np.concatenate([hourly_c([tmin_c], [tmax_c], lat_deg, [on])[0]] * 3)
    air_c = np.interp(middle, np.arange(-24, 48), whole)
    # light is moved to the clock as sums over three such days, so that none is lost
    by_sun = np.concatenate([[0.0], np.cumsum(np.tile(hourly_w_m2(radiation_mj_m2, lat_deg, on), 3))])
    edges = np.arange(25) + 12 - noon_h
    sun_w_m2 = np.diff(np.interp(edges, np.arange(-24, 49), by_sun))
    es = (es_kpa(tmin_c) + es_kpa(tmax_c)) / 2
    ea = es_kpa(tmin_c - _WARMED_C) if rh_mean_percent is None else es * rh_mean_percent / 100
    half_h = float(day_length_h(lat_deg, on, lon_deg=lon_deg)) / 2
    return DayAir(
        air_c,
        np.clip(100 * ea / es_kpa(air_c), 0, 100),
        sun_w_m2,
        min(max(noon_h - half_h, 0.0), 24.0),
        min(max(noon_h + half_h, 0.0), 24.0),
    )


def mist_day(
    air: DayAir,
    *,
    shade: float,
    bed: Bed = "sheltered",
    wind_m_s: float | None = None,
    film_mm: float = FILM_MM,
    usable: float = USABLE,
    factor: float = 1.0,
) -> MistDay:
    """Return the mist times of a bed in a day's weather.

    Parameters
    ----------
    air : DayAir
        The air and light outside, by the hour.
    shade : float
        Share of the light that cloth and cover keep off [-].
    bed : {'closed', 'sheltered', 'open'}
        A closed tunnel, a sheltered or curtained bed, or one open to wind.
    wind_m_s : float, optional
        Wind at the leaves; that of such a bed where it is not said [m/s].
    film_mm : float, optional
        Water the leaf holds when just wetted [mm].
    usable : float, optional
        Share of it that may go [-].
    factor : float, optional
        The bed's own, learned from what was seen there [-].

    Returns
    -------
    MistDay
        Hours of the clock; those below 3 °C are off.

    References
    ----------
    As `slipwright.craft.mist.wet_leaf` and `slipwright.craft.mist_times.day_programme`.

    Examples
    --------
    >>> from datetime import date
    >>> air = day_air(date(2026, 7, 15), 35, 0, 0, tmin_c=19, tmax_c=35, radiation_mj_m2=28)
    >>> noon = mist_day(air, shade=0.5).hours[12].between
    >>> print(round(noon.low), round(noon.mid), round(noon.high))
    5 10 20
    """
    import numpy as np

    from slipwright.craft.light import BRIGHTEST_W_M2

    if not 0 <= shade <= 1:
        raise BadArgument("shade", "lie between 0 and 1", shade)
    if bed not in BED_M_S:
        raise BadArgument("bed", "be closed, sheltered or open", bed)
    wind = BED_WIND_M_S[bed] if wind_m_s is None else wind_m_s
    sun_w_m2 = np.minimum(air.sun_w_m2, BRIGHTEST_W_M2) * (1 - shade)
    leaf = wet_leaf(air.air_c, air.rh_percent, sun_w_m2, wind, v_ex_m_s=BED_M_S[bed])
    rates = np.where(air.air_c >= COLD_C, np.maximum(leaf.evaporation_mm_h, 0), 0.0)
    return day_programme(rates, air.dawn_h, air.dusk_h, film_mm=film_mm, usable=usable, factor=factor)
