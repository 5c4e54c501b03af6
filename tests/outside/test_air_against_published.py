"""Moist air against the steam tables and against another program, over all the weather of a garden."""

from __future__ import annotations

import numpy as np
import psychrolib
import pytest
from CoolProp.CoolProp import PropsSI
from CoolProp.HumidAirProp import HAPropsSI

from slipwright.craft.air import dew_point_c, ea_kpa, es_kpa, vpd_kpa, wet_bulb_c
from tests.outside.published import published

psychrolib.SetUnitSystem(psychrolib.SI)
SEA_LEVEL_PA = 101_325
WEATHER = [(float(t), float(rh)) for t in range(1, 46, 4) for rh in (20, 40, 60, 80, 95, 100)]


def test_saturation_is_that_of_iapws_95_within_0_15_per_cent() -> None:
    for air_c in np.linspace(0.02, 45, 46):
        theirs = PropsSI("P", "T", air_c + 273.15, "Q", 0, "Water") / 1000
        assert es_kpa(air_c) == pytest.approx(theirs, rel=0.0015)


@pytest.mark.parametrize(("air_c", "rh_percent"), WEATHER)
def test_air_is_that_of_psychrolib(air_c: float, rh_percent: float) -> None:
    es_pa = psychrolib.GetSatVapPres(air_c)
    assert vpd_kpa(air_c, rh_percent) == pytest.approx(es_pa * (1 - rh_percent / 100) / 1000, abs=0.010)
    dew_c = psychrolib.GetTDewPointFromRelHum(air_c, rh_percent / 100)
    if dew_c > 0:  # below, theirs is the dew point over ice
        assert dew_point_c(air_c, rh_percent) == pytest.approx(dew_c, abs=0.03)
    wet_c = psychrolib.GetTWetBulbFromRelHum(air_c, rh_percent / 100, SEA_LEVEL_PA)
    if wet_c > 0:  # below, theirs is a bulb of ice
        assert wet_bulb_c(air_c, rh_percent) == pytest.approx(wet_c, abs=0.2)


@pytest.mark.parametrize(("air_c", "rh_percent"), [(10, 60), (20, 50), (20, 95), (25, 70), (35, 60)])
def test_wet_bulb_is_that_of_moist_air_with_all_its_forces(air_c: float, rh_percent: float) -> None:
    theirs = HAPropsSI("B", "T", air_c + 273.15, "R", rh_percent / 100, "P", SEA_LEVEL_PA) - 273.15
    assert wet_bulb_c(air_c, rh_percent) == pytest.approx(theirs, abs=0.2)


@pytest.mark.parametrize(
    ("air_c", "rh_percent", "es", "vpd", "dew_c", "wet_c"),
    [
        (5, 90, 0.872487, 0.087249, 3.4985, 4.3017),
        (10, 60, 1.227995, 0.491198, 2.5998, 6.4810),
        (20, 50, 2.338804, 1.169402, 9.2724, 13.7834),
        (20, 95, 2.338804, 0.116940, 19.1746, 19.4386),
        (25, 70, 3.169216, 0.950765, 19.1499, 20.9656),
        (35, 60, 5.627819, 2.251128, 26.0680, 28.1748),
    ],
)
def test_air_as_worked_out_elsewhere(
    air_c: float, rh_percent: float, es: float, vpd: float, dew_c: float, wet_c: float
) -> None:
    # PsychroLib 2.5.0 at 101,325 Pa
    assert es_kpa(air_c) == pytest.approx(es, rel=0.002)
    assert vpd_kpa(air_c, rh_percent) == pytest.approx(vpd, rel=0.003)
    assert dew_point_c(air_c, rh_percent) == pytest.approx(dew_c, abs=0.05)
    assert wet_bulb_c(air_c, rh_percent) == pytest.approx(wet_c, abs=0.2)


@pytest.mark.parametrize(
    ("row", "of", "arguments"),
    [
        ("PH001", es_kpa, (5,)),
        ("PH004", es_kpa, (30,)),
        ("PH005", es_kpa, (40,)),
        ("PH006", es_kpa, (15,)),
        ("PH007", es_kpa, (24.5,)),
        ("PH008", vpd_kpa, (25, 60)),
        ("PH009", vpd_kpa, (35, 30)),
        ("PH013", dew_point_c, (30, 70)),
        ("PH014", dew_point_c, (10, 85)),
        ("PH015", wet_bulb_c, (30, 40)),
        ("PH016", wet_bulb_c, (20, 50)),
        ("PH018", wet_bulb_c, (15, 90)),
    ],
)
def test_air_as_in_the_table(row: str, of: object, arguments: tuple[float, ...]) -> None:
    value, tolerance = published(row)
    if of is wet_bulb_c:
        tolerance = min(tolerance, 0.2)
    assert of(*arguments) == pytest.approx(value, abs=tolerance)  # type: ignore[operator]


def test_vapour_pressure_as_in_example_18_of_fao_56() -> None:
    # 21.5 and 12.3 °C, 63 and 84 %: the mean of the two, worked out with refet 0.5.0
    assert np.mean(ea_kpa([21.5, 12.3], [63, 84])) == pytest.approx(1.408624, abs=1e-6)
