"""The sums of the sun and of its light."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

HERE = ("--lat", 52, "--lon", 5, "--on", "2026-09-23")


@pytest.mark.parametrize("at", ["11:00", "13:00+02:00", "2026-09-23T11:00:00Z", "2026-09-23T13:00+02:00"])
def test_sun_answers_in_json_for_a_time_however_it_is_given(answer: Callable[..., Any], at: str) -> None:
    data = answer("craft-sun", "craft", "sun", *HERE, "--at", at)
    assert data["elevation_deg"] == pytest.approx(37.3773, abs=0.02)
    assert data["noon_elevation_deg"] >= data["elevation_deg"]
    assert data["day_length_h"] == pytest.approx(12.16, abs=0.05)
    assert data["extraterrestrial_mj_m2"] > 0


def test_sun_without_a_time_has_no_height_but_noons(answer: Callable[..., Any]) -> None:
    assert answer("craft-sun", "craft", "sun", *HERE)["elevation_deg"] is None


def test_sun_of_today_unless_a_day_is_given(answer: Callable[..., Any]) -> None:
    data = answer("craft-sun", "craft", "sun", "--lat", 52, env={"SLIPWRIGHT_TODAY": "2026-06-21"})
    assert data["day_length_h"] > 16


def test_sun_knows_polar_day_and_polar_night(run: Callable[..., Any]) -> None:
    assert "does not rise" in run("craft", "sun", "--lat", 78, "--on", "2026-12-21").stdout
    assert "does not set" in run("craft", "sun", "--lat", -78, "--on", "2026-12-21").stdout


def test_sun_says_what_will_not_do(run: Callable[..., Any]) -> None:
    assert "--lat " in run("craft", "sun", "--lat", 95, "--on", "2026-06-21", code=2).stderr
    assert "09:00" in run("craft", "sun", *HERE, "--at", "noon", code=2).stderr
    assert "1950 to 2050" in run("craft", "sun", "--lat", 5, "--on", "2126-06-21", code=2).stderr


def light(answer: Callable[..., Any], *known: object, on: str = "2026-06-21") -> Any:
    return answer("craft-light", "craft", "light", "--lat", 41, "--lon", -72, "--on", on, *known)


@pytest.mark.parametrize(
    "known",
    [
        ("--sunshine-h", 10),
        ("--cloud-fraction", 0.3),
        ("--radiation-mj-m2", 24),
        ("--tmin-c", 14, "--tmax-c", 25),
    ],
)
def test_light_answers_in_json_from_whatever_is_known(
    answer: Callable[..., Any], known: tuple[Any, ...]
) -> None:
    data = light(answer, *known)
    assert data["radiation_mj_m2"] == pytest.approx(24, abs=3)
    assert data["dli_mol_m2"]["low"] < data["dli_mol_m2"]["mid"] < data["dli_mol_m2"]["high"]


def test_light_under_cloth_and_cover_is_that_of_the_arithmetic(answer: Callable[..., Any]) -> None:
    data = light(answer, "--radiation-mj-m2", 20, "--shade-percent", 50, "--cover-transmission", 0.9)
    assert data["dli_mol_m2"]["mid"] == pytest.approx(18.5085, abs=0.01)
    assert data["shade_percent_needed"] == pytest.approx(100 * (1 - 10 / 37.017), abs=0.01)


def test_light_for_a_lower_target_needs_more_shade(answer: Callable[..., Any]) -> None:
    bright = light(answer, "--radiation-mj-m2", 30.6, "--target-mol", 10)
    dim = light(answer, "--radiation-mj-m2", 30.6, "--target-mol", 5)
    assert (bright["shade_percent_needed"], dim["shade_percent_needed"]) == pytest.approx((84, 92), abs=0.5)


def test_light_warns_of_a_cloth_too_thin_and_says_what_it_rests_on(run: Callable[..., Any]) -> None:
    asked = ("craft", "light", "--lat", 41, "--on", "2026-06-21", "--sunshine-h", 14, "--shade-percent")
    thin, right = run(*asked, 50).stdout, run(*asked, 88).stdout
    assert "Too bright" in thin
    assert "Too bright" not in right
    assert "hours of sunshine" in right
    assert "within 22 %" in right


def test_light_wants_one_thing_known_and_only_one(run: Callable[..., Any]) -> None:
    asked = ("craft", "light", "--lat", 41, "--on", "2026-06-21")
    assert "--sunshine-h" in run(*asked, code=2).stderr
    assert "give one" in run(*asked, "--sunshine-h", 4, "--cloud-fraction", 0.5, code=2).stderr
    assert "go together" in run(*asked, "--tmin-c", 4, code=2).stderr
    assert "--sunshine-h" in run(*asked, "--sunshine-h", 30, code=2).stderr
