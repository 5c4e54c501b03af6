"""Moist air behaves as air does."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slipwright.craft.air import dew_point_c, ea_kpa, es_kpa, leaf_vpd_kpa, vpd_kpa, wet_bulb_c
from slipwright.craft.errors import BadArgument

TEMPERATURES = st.floats(-20, 50)
HUMIDITIES = st.floats(10, 100)


@given(TEMPERATURES, st.floats(0.1, 20))
def test_warmer_air_can_hold_more(air_c: float, more: float) -> None:
    assert es_kpa(air_c + more) > es_kpa(air_c)


@given(TEMPERATURES, HUMIDITIES)
def test_the_deficit_is_what_is_missing(air_c: float, rh_percent: float) -> None:
    assert vpd_kpa(air_c, rh_percent) >= 0
    assert ea_kpa(air_c, rh_percent) + vpd_kpa(air_c, rh_percent) == pytest.approx(es_kpa(air_c))


@given(TEMPERATURES, HUMIDITIES)
def test_air_cooled_to_its_dew_point_is_full(air_c: float, rh_percent: float) -> None:
    dew = dew_point_c(air_c, rh_percent)
    assert es_kpa(dew) == pytest.approx(ea_kpa(air_c, rh_percent), rel=1e-9)
    assert dew <= air_c + 1e-9


@given(TEMPERATURES, HUMIDITIES, st.floats(0, 4000))
def test_dew_point_wet_bulb_and_air_stand_in_this_order(
    air_c: float, rh_percent: float, altitude_m: float
) -> None:
    wet = wet_bulb_c(air_c, rh_percent, altitude_m)
    assert dew_point_c(air_c, rh_percent) - 1e-9 <= wet <= air_c + 1e-9


@given(TEMPERATURES)
def test_in_full_air_all_are_one(air_c: float) -> None:
    assert vpd_kpa(air_c, 100) == pytest.approx(0, abs=1e-12)
    assert dew_point_c(air_c, 100) == pytest.approx(air_c, abs=1e-9)
    assert wet_bulb_c(air_c, 100) == pytest.approx(air_c, abs=1e-9)


@given(TEMPERATURES, HUMIDITIES)
def test_a_leaf_as_warm_as_the_air_has_the_airs_deficit(air_c: float, rh_percent: float) -> None:
    assert leaf_vpd_kpa(air_c, rh_percent, air_c) == pytest.approx(vpd_kpa(air_c, rh_percent), abs=1e-12)
    assert leaf_vpd_kpa(air_c, rh_percent, air_c + 3) > vpd_kpa(air_c, rh_percent)


def test_whole_rows_are_taken_at_once() -> None:
    air, rh = np.array([10.0, 20.0, 30.0]), np.array([90.0, 60.0, 30.0])
    for of in (vpd_kpa, dew_point_c, wet_bulb_c):
        np.testing.assert_allclose(of(air, rh), [of(a, r) for a, r in zip(air, rh, strict=True)])
    assert wet_bulb_c(20, 50, [0, 1000]).shape == (2,)


@pytest.mark.parametrize(
    ("air_c", "rh_percent"), [(20, -1), (20, 101), (20, np.nan), (np.nan, 50), (-61, 50), (81, 50)]
)
def test_what_no_air_is_is_refused(air_c: float, rh_percent: float) -> None:
    with pytest.raises(BadArgument):
        vpd_kpa(air_c, rh_percent)


def test_dry_air_has_no_dew_point() -> None:
    with pytest.raises(BadArgument, match="no dew point"):
        dew_point_c(20, 0)
