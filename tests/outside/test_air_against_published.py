"""Moist air against published examples and against other programs' values."""

from __future__ import annotations

import pytest

from slipwright.craft.air import dew_point_c, es_kpa, vpd_kpa, wet_bulb_c


@pytest.mark.parametrize(("air_c", "kpa"), [(15, 1.705), (24.5, 3.075)])
def test_saturation_as_in_the_example_of_fao_56(air_c: float, kpa: float) -> None:
    # Allen et al. (1998), chapter 3, example 3
    assert es_kpa(air_c) == pytest.approx(kpa, abs=0.001)


@pytest.mark.parametrize(("air_c", "kpa"), [(5, 0.872575), (30, 4.24697), (40, 7.38494)])
def test_saturation_as_the_steam_tables_have_it(air_c: float, kpa: float) -> None:
    # IAPWS-95, worked out with CoolProp 8.0.0
    assert es_kpa(air_c) == pytest.approx(kpa, rel=0.0015)


@pytest.mark.parametrize(("air_c", "rh_percent", "kpa"), [(25, 60, 1.26769), (35, 30, 3.93947)])
def test_deficit_as_worked_out_elsewhere(air_c: float, rh_percent: float, kpa: float) -> None:
    # PsychroLib 2.5.0
    assert vpd_kpa(air_c, rh_percent) == pytest.approx(kpa, abs=0.01)


@pytest.mark.parametrize(("air_c", "rh_percent", "dew_c"), [(30, 70, 23.9279), (10, 85, 7.5975)])
def test_dew_point_as_worked_out_elsewhere(air_c: float, rh_percent: float, dew_c: float) -> None:
    # PsychroLib 2.5.0
    assert dew_point_c(air_c, rh_percent) == pytest.approx(dew_c, abs=0.03)


@pytest.mark.parametrize(
    ("air_c", "rh_percent", "wet_c"), [(30, 40, 20.064), (20, 50, 13.7834), (15, 90, 14.0098)]
)
def test_wet_bulb_as_worked_out_elsewhere(air_c: float, rh_percent: float, wet_c: float) -> None:
    # PsychroLib 2.5.0, at 101.325 kPa; the psychrometer's equation is good to 0.25 °C
    assert wet_bulb_c(air_c, rh_percent) == pytest.approx(wet_c, abs=0.25)
