"""A bag over a pot against unit conversions, the ideal gas and earlier runs of the same balance.

The balance was not measured on a bag: its own values guard against change, they prove nothing.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import brentq

from slipwright.craft.air import es_kpa
from slipwright.craft.bag_air import breath, respired_ml_d, water_permeance_g_m2_d_kpa
from slipwright.craft.rewetting import days_to_rewet, rewet_class, water_lost_g
from slipwright.craft.tent import DayInBag, day, hottest
from tests.outside.published import published

# light on level ground at which a leaf reaches a temperature, by the air outside; RH 50 %, sun at 50°
OUTSIDE = (10, 15, 20, 25, 28, 30, 32)
DRY_35 = (838, 687, 529, 363, 259, 187, 116)
DRY_40 = (1051, 898, 738, 569, 464, 392, 318)
WET_35 = (None, 1068, 832, 576, 414, 302, 185)

# clear June days at 40° N, 15 to 26 °C: light at noon, then leaf, air [°C], mean RH [%], condensed [g]
DAYS = ((99, 28.7, 27.3, 98, 6), (495, 37.2, 32.5, 93, 40), (989, 45.0, 37.5, 90, 92))
# the same days: water lost [g/d] tied, with half the drip lost, loosely tied, open at the foot
LOST = ((99, 2.2, 5.3, 18, 60), (495, 3.0, 23, 24, 77), (989, 3.9, 50, 31, 98))


def light_for(leaf_c: float, out_c: float, *, is_wet: bool = False) -> float:
    return float(
        brentq(lambda light: float(hottest(out_c, 50, light, is_wet=is_wet).leaf_c) - leaf_c, 1, 1500)
    )


@pytest.mark.parametrize(("value_id", "out_c"), [("PH052", 25), ("PH053", 30)])
def test_the_light_at_which_a_dry_leaf_reaches_35(value_id: str, out_c: float) -> None:
    value, tolerance = published(value_id)
    assert light_for(35, out_c) == pytest.approx(value, abs=tolerance)


@pytest.mark.parametrize(
    ("leaf_c", "is_wet", "row"), [(35, False, DRY_35), (40, False, DRY_40), (35, True, WET_35)]
)
def test_the_table_of_heat(leaf_c: float, is_wet: bool, row: tuple[float | None, ...]) -> None:
    for out_c, light in zip(OUTSIDE, row, strict=True):
        if light is not None:
            assert light_for(leaf_c, out_c, is_wet=is_wet) == pytest.approx(light, rel=0.05), out_c


def test_at_25_degrees_and_300_watts() -> None:
    at = hottest(25, 50, 300)
    assert at.leaf_c == pytest.approx(25 + 8.4, abs=0.2)
    assert at.air_c == pytest.approx(25 + 4.8, abs=0.2)
    assert at.medium_c == pytest.approx(25 + 0.6 * (at.air_c - 25))


def june_day(light_w_m2: float, air_changes_per_h: float = 1) -> DayInBag:
    hour = (np.arange(96) + 0.5) / 4
    lat, dec = np.radians(40), np.radians(23.4)
    up = np.sin(lat) * np.sin(dec) + np.cos(lat) * np.cos(dec) * np.cos(np.radians(15 * (hour - 12)))
    out = 20.5 + 5.5 * np.cos((hour - 15) / 12 * np.pi)
    light = light_w_m2 * (np.clip(up, 0, None) / up.max()) ** 1.15
    rh = 100 * es_kpa(12) / es_kpa(out)
    return day(out, rh, light, np.degrees(np.arcsin(up)), air_changes_per_h=air_changes_per_h)


@pytest.mark.parametrize(("light", "leaf_c", "air_c", "rh_percent", "condensed_g"), DAYS)
def test_the_days_of_the_balance(
    light: float, leaf_c: float, air_c: float, rh_percent: float, condensed_g: float
) -> None:
    under = june_day(light)
    assert under.leaf_c.max() == pytest.approx(leaf_c, abs=1)
    assert under.air_c.max() == pytest.approx(air_c, abs=1)
    assert under.rh_percent.mean() == pytest.approx(rh_percent, abs=1)
    assert under.condensed_g == pytest.approx(condensed_g, rel=0.1)


@pytest.mark.parametrize(("light", "tied", "half", "loose", "open_"), LOST)
def test_the_water_lost_on_those_days(
    light: float, tied: float, half: float, loose: float, open_: float
) -> None:
    assert water_lost_g(26, light) == pytest.approx(tied, rel=0.1)
    assert water_lost_g(26, light, "tied", "half") == pytest.approx(half, rel=0.1)
    assert water_lost_g(26, light, "loose") == pytest.approx(loose, rel=0.1)
    assert water_lost_g(26, light, "open") == pytest.approx(open_, rel=0.1)


def test_a_tied_bag_in_shade_is_weighed_long_before_it_is_watered() -> None:
    tied, half, loose, open_ = (
        float(days_to_rewet(lost_g))
        for lost_g in (
            water_lost_g(26, 99),
            water_lost_g(26, 99, "tied", "half"),
            water_lost_g(26, 99, "loose"),
            water_lost_g(26, 99, "open"),
        )
    )
    assert tied == pytest.approx(125, rel=0.1)
    assert half == pytest.approx(53, rel=0.1)
    classes = [rewet_class(days) for days in (tied, half, loose, open_)]
    assert classes == ["weeks", "weeks", "10-15-days", "under-a-week"]


@pytest.mark.parametrize(("value_id", "tested", "mil"), [("PH044", 1, 1), ("PH045", 2, 2)])
def test_water_through_polyethylene_in_other_units(value_id: str, tested: float, mil: float) -> None:
    value, tolerance = published(value_id)
    assert water_permeance_g_m2_d_kpa(tested, mil) == pytest.approx(value, abs=tolerance)


def test_water_through_a_cooler_film() -> None:
    assert water_permeance_g_m2_d_kpa(2, 2, 25) == pytest.approx(1.5, rel=0.02)


def test_breath_by_the_ideal_gas() -> None:
    value, tolerance = published("PH049")
    assert respired_ml_d(100, 25, 25) == pytest.approx(value, abs=tolerance)


def test_gases_in_a_welded_and_in_a_tied_bag() -> None:
    welded = breath(25, air_changes_per_h=0)
    assert welded.o2_lost == pytest.approx((3.3, 6.6), rel=0.05)
    assert welded.co2_gained == pytest.approx((0.7, 1.6), rel=0.1)
    full = breath(50, air_changes_per_h=0, mg_co2_per_kg_h=150)
    assert full.o2_lost == pytest.approx((10, 20), rel=0.05)
    assert breath(25, air_changes_per_h=0.1).co2_gained[1] == pytest.approx(0.14, abs=0.01)
    assert breath(25).co2_gained[1] == pytest.approx(0.015, abs=0.001)
