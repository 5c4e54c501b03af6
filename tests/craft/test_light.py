"""The light of a day behaves as light does."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slipwright.craft.errors import BadArgument
from slipwright.craft.light import (
    METHODS,
    clear_sky_mj_m2,
    cloth_said,
    dli_mol_m2,
    dli_range,
    from_cloud,
    from_sunshine,
    from_temperatures,
    hourly_w_m2,
    shade_needed,
)
from slipwright.craft.sun import extraterrestrial_mj_m2

LATITUDES = st.floats(-90, 90)
DAYS = st.dates(date(1950, 1, 1), date(2050, 12, 31))
LIGHT = st.floats(0, 45)
SHARES = st.floats(0, 1)


@given(LATITUDES, DAYS, st.floats(0, 23), st.floats(0, 1))
def test_more_sun_is_more_light_and_more_cloud_is_less(
    lat: float, on: date, sunshine_h: float, more: float
) -> None:
    assert from_sunshine(sunshine_h + more, lat, on) >= from_sunshine(sunshine_h, lat, on)
    assert from_cloud(more, lat, on) <= from_cloud(0, lat, on)
    assert from_temperatures(5, 6 + sunshine_h, lat, on) >= from_temperatures(5, 5 + sunshine_h, lat, on)


@given(LATITUDES, DAYS, st.floats(0, 24), SHARES, st.floats(0, 30))
def test_no_sky_gives_more_light_than_there_is_above_the_air(
    lat: float, on: date, sunshine_h: float, cloud: float, range_c: float
) -> None:
    most = 0.75 * extraterrestrial_mj_m2(lat, on) + 1e-9
    for found in (
        from_sunshine(sunshine_h, lat, on),
        from_cloud(cloud, lat, on),
        from_temperatures(0, range_c, lat, on),
    ):
        assert 0 <= found <= most


@given(LATITUDES, DAYS)
def test_a_cloudless_day_is_the_same_by_sunshine_and_by_cloud(lat: float, on: date) -> None:
    assert from_sunshine(24, lat, on) == pytest.approx(from_cloud(0, lat, on))


@given(LATITUDES, DAYS, LIGHT)
def test_the_hours_of_a_day_sum_to_the_day(lat: float, on: date, radiation: float) -> None:
    assert hourly_w_m2(radiation, lat, on).sum() * 3600e-6 == pytest.approx(radiation)


@given(LIGHT, SHARES, SHARES, SHARES)
def test_cloth_and_cover_only_take_light_away(
    radiation: float, shade: float, more: float, cover: float
) -> None:
    bare = dli_mol_m2(radiation)
    assert dli_mol_m2(radiation, max(shade, more), cover) <= dli_mol_m2(radiation, min(shade, more), cover)
    assert dli_mol_m2(radiation, shade, cover) <= bare


@given(LIGHT, st.floats(0.5, 40), st.floats(0.1, 1))
def test_under_the_shade_needed_plants_have_what_is_wanted_or_all_there_is(
    radiation: float, target: float, cover: float
) -> None:
    needed = shade_needed(radiation, target, cover)
    assert 0 <= needed < 1
    got = dli_mol_m2(radiation, needed, cover)
    assert got == pytest.approx(min(target, float(dli_mol_m2(radiation, 0, cover))), abs=1e-9)


@given(LIGHT, SHARES, st.sampled_from(list(METHODS)))
def test_the_range_holds_its_middle(radiation: float, shade: float, way: str) -> None:
    low, mid, high = dli_range(radiation, METHODS[way].day_share, shade)
    assert 0 <= low <= mid <= high
    assert mid == pytest.approx(dli_mol_m2(radiation, shade))


def test_the_better_way_has_the_smaller_miss_and_the_narrower_range() -> None:
    shares = [method.day_share for method in METHODS.values()]
    assert shares == sorted(shares)
    misses = [method.mae_day_mj_m2 for method in METHODS.values()][1:]
    assert misses == sorted(misses)
    spread = [float(np.ptp(np.array(dli_range(20, share)))) for share in shares]
    assert spread == sorted(spread)


def test_a_cloth_adds_its_own_doubt_and_a_dense_one_most() -> None:
    def doubt(shade: float) -> float:
        low, mid, high = dli_range(20, 0.15, shade)
        return float((high - low) / mid)

    assert doubt(0) < doubt(0.5) < doubt(0.9)


def test_a_thin_cloth_is_called_thin_and_a_thick_one_thick() -> None:
    assert "84 to 92 %" in cloth_said(30.6, shade=0.5)
    assert cloth_said(30.6, shade=0.88) == ""
    assert "thinner" in cloth_said(8, shade=0.9)
    assert "even without cloth" in cloth_said(2)
    assert cloth_said(4) == ""


def test_a_clear_winter_day_is_darker_than_three_quarters_of_the_light_above() -> None:
    december = "2025-12-21"
    assert clear_sky_mj_m2(52, december) < 0.8 * 0.75 * extraterrestrial_mj_m2(52, december)
    assert clear_sky_mj_m2(78, december) < 0.01


def test_in_polar_night_there_is_no_light_to_reckon() -> None:
    december = "2025-12-21"
    assert from_sunshine(0, 78, december) == from_cloud(0.5, 78, december) == 0
    assert shade_needed(0, 8) == 0


def test_whole_tables_are_taken_at_once() -> None:
    lats, days = np.array([[40.0], [-35.0]]), np.array(["2025-06-21", "2025-12-21"], dtype="datetime64[D]")
    assert from_sunshine([8, 3], lats, days).shape == (2, 2)
    assert from_cloud(0.5, lats, days).shape == (2, 2)
    assert from_temperatures([5, 6], 20, lats, days).shape == (2, 2)
    assert clear_sky_mj_m2(lats, days).shape == (2, 2)
    assert hourly_w_m2([20, 5], lats, days).shape == (2, 2, 24)
    assert hourly_w_m2([20, 5], 40, days[0]).shape == (2, 24)


@pytest.mark.parametrize(
    ("of", "arguments", "name"),
    [
        (from_sunshine, (25, 40, "2025-06-21"), "sunshine_h"),
        (from_cloud, (1.1, 40, "2025-06-21"), "cloud_fraction"),
        (from_cloud, (np.nan, 40, "2025-06-21"), "cloud_fraction"),
        (from_temperatures, (20, 10, 40, "2025-06-21"), "tmax_c"),
        (dli_mol_m2, (-1,), "radiation_mj_m2"),
        (dli_mol_m2, (20, 50), "shade"),
        (dli_mol_m2, (20, 0.5, 90), "transmission"),
        (shade_needed, (20, 0), "target_mol_m2"),
    ],
)
def test_what_no_sky_and_no_cloth_is_is_refused(of: object, arguments: tuple[object, ...], name: str) -> None:
    with pytest.raises(BadArgument) as refused:
        of(*arguments)  # type: ignore[operator]
    assert refused.value.argument == name
