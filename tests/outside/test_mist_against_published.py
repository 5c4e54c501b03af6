"""Mist against printed values and against what growers do.

The conductance of a leaf is printed in the manual of the package DynACof (Leuning et al. 1995); the other
values are sums by hand or guard against change. A burst of about 30 s every 20 to 30 minutes by day is
common practice, no source; that it is wrong on a hot dry noon and on an overcast day follows from the
balance and is tested so that nobody takes the timer for the answer.
"""

from __future__ import annotations

from datetime import date
from math import pi

import numpy as np
import pytest

from slipwright.craft.air import es_kpa
from slipwright.craft.mist import BED_M_S, BED_WIND_M_S, Bed, forced_m_s, penman_monteith_mm_h, wet_leaf
from slipwright.craft.mist_day import day_air, mist_day
from slipwright.craft.mist_times import MistDay, can_rate_mm_per_min, film_life_min
from slipwright.craft.sun import extraterrestrial_mj_m2
from tests.outside.published import published


def close(value_id: str) -> object:
    value, tolerance = published(value_id)
    return pytest.approx(value, abs=tolerance)


def test_conductance_of_a_leaf_in_wind() -> None:
    assert forced_m_s(3, 0.068) == close("PH033")


@pytest.mark.parametrize(
    ("given", "lost", "warmth"),
    [((32, 40, 400, 0.4), "PH037", "PH038"), ((18, 85, 80, 0.15), "PH039", "PH040")],
)
def test_a_wet_leaf(given: tuple[float, float, float, float], lost: str, warmth: str) -> None:
    leaf = wet_leaf(*given)
    assert leaf.evaporation_mm_h == close(lost)
    assert leaf.leaf_c == close(warmth)
    assert penman_monteith_mm_h(*given) == pytest.approx(leaf.evaporation_mm_h, rel=0.12)


def test_film_life() -> None:
    assert film_life_min(0.21) == close("PH041")


def test_depth_of_mist() -> None:
    across_mm = 6 * 304.8
    ml = 0.17 * 3785.411784
    assert can_rate_mm_per_min(ml, across_mm, 1) == close("PH042")
    assert ml * 1000 / (pi * across_mm**2 / 4) == close("PH042")


def test_middling_weather_is_common_practice() -> None:
    air, rh, sun = np.meshgrid(np.linspace(18, 30, 4), np.linspace(40, 85, 4), np.linspace(80, 400, 4))
    leaf = wet_leaf(air, rh, sun, BED_WIND_M_S["sheltered"], v_ex_m_s=BED_M_S["sheltered"])
    life = film_life_min(leaf.evaporation_mm_h)
    assert life.size == 64
    assert np.median(life) == pytest.approx(23, abs=1.5)
    assert np.percentile(life, [25, 75]) == pytest.approx([18, 30], abs=1.5)
    assert np.mean((life >= 15) & (life <= 40)) >= 0.75


HOT = (35, date(2026, 7, 15), 19, 35, 12, 0.75)
MILD = (40, date(2026, 6, 15), 13, 24, 12, 0.47)
OVERCAST = (45, date(2026, 4, 15), 9, 15, 9, 0.20)


def day_of(
    lat: float, on: date, tmin: float, tmax: float, dew: float, share: float, bed: Bed, shade: float = 0.5
) -> MistDay:
    """Return the mist times of a day of which the dew point and the share of full light are known."""
    rh = 100 * es_kpa(dew) / ((es_kpa(tmin) + es_kpa(tmax)) / 2)
    light = float(extraterrestrial_mj_m2(lat, on)) * share
    air = day_air(on, lat, 0, 0, tmin_c=tmin, tmax_c=tmax, radiation_mj_m2=light, rh_mean_percent=float(rh))
    return mist_day(air, shade=shade, bed=bed)


def noon_min(day: MistDay) -> float:
    between = day.hours[12].between or day.hours[13].between
    assert between is not None
    return between.mid


def test_a_hot_dry_noon_dries_leaves_three_times_between_bursts_of_a_timer() -> None:
    day = day_of(*HOT, bed="sheltered")
    assert noon_min(day) == pytest.approx(8, abs=1.5)
    assert 60 < day.n_bursts < 90


def test_on_an_overcast_day_a_timer_gives_twice_too_much() -> None:
    day = day_of(*OVERCAST, bed="sheltered")
    assert noon_min(day) == pytest.approx(50, abs=6)
    assert 8 <= day.n_bursts <= 15


def test_a_mild_day_is_what_the_timer_was_set_for() -> None:
    day = day_of(*MILD, bed="sheltered")
    assert noon_min(day) == pytest.approx(19, abs=3)
    assert 28 <= day.n_bursts <= 38


@pytest.mark.parametrize(("weather", "closed", "windy"), [(HOT, 14, 6), (MILD, 29, 14), (OVERCAST, 90, 38)])
def test_the_bed_matters_as_much_as_the_sky(
    weather: tuple[float, date, float, float, float, float], closed: float, windy: float
) -> None:
    assert noon_min(day_of(*weather, bed="closed")) == pytest.approx(closed, rel=0.25)
    assert noon_min(day_of(*weather, bed="open")) == pytest.approx(windy, rel=0.25)


def test_shade_alone_does_little_in_dry_air_and_much_in_a_closed_tunnel() -> None:
    half, thick = (noon_min(day_of(*HOT, bed="sheltered", shade=shade)) for shade in (0.5, 0.88))
    tunnel = noon_min(day_of(*HOT, bed="closed", shade=0.88))
    assert thick < 1.6 * half
    assert tunnel > 2 * thick
