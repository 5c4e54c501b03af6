"""How often to mist, asked at the terminal."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from tests.outside.published import published

NOON = ("craft", "mist", "--t-c", 32, "--rh-percent", 40, "--sun-w-m2", 400, "--wind-m-s", 0.4)


def test_mist_answers_in_json(answer: Callable[..., Any]) -> None:
    data = answer("craft-mist", *NOON, "--rate-mm-per-min", 0.25)
    value, tolerance = published("PH037")
    assert data["evaporation_mm_h"] == pytest.approx(value, abs=tolerance)
    interval = data["interval_min"]
    assert interval["mid"] == pytest.approx(60 * 0.07 / value, rel=0.02)
    assert interval["low"] * 2 == pytest.approx(interval["mid"]) == interval["high"] / 2
    assert data["burst_s"] == pytest.approx(28, abs=0.5)


def test_a_curtained_bed_is_misted_less_often_than_its_air_outside_says(answer: Callable[..., Any]) -> None:
    free = answer("craft-mist", *NOON)["interval_min"]["mid"]
    sheltered = answer("craft-mist", *NOON, "--bed", "sheltered")["interval_min"]["mid"]
    closed = answer("craft-mist", *NOON, "--bed", "closed")["interval_min"]["mid"]
    assert free < sheltered < closed


def test_without_a_test_of_the_nozzles_no_burst_is_made_up(
    answer: Callable[..., Any], run: Callable[..., Any]
) -> None:
    assert answer("craft-mist", *NOON)["burst_s"] is None
    assert "catch" in run(*NOON).stdout


def test_leaves_that_dry_never_get_no_interval(answer: Callable[..., Any], run: Callable[..., Any]) -> None:
    night = ("craft", "mist", "--t-c", 12, "--rh-percent", 100, "--sun-w-m2", 0, "--wind-m-s", 0.1)
    assert answer("craft-mist", *night)["interval_min"] is None
    assert "no mist" in run(*night).stdout


def test_the_words_give_a_range_and_what_it_rests_on(run: Callable[..., Any]) -> None:
    said = run(*NOON, "--bed", "sheltered").stdout
    for words in ("from", "our estimate", "from memory"):
        assert words in said


@pytest.mark.parametrize(
    ("option", "value"),
    [("--rh-percent", 140), ("--sun-w-m2", -5), ("--wind-m-s", -1), ("--film-mm", 0), ("--catch", 2)],
)
def test_mist_says_what_will_not_do(run: Callable[..., Any], option: str, value: float) -> None:
    result = run(*NOON, "--rate-mm-per-min", 0.25, option, value, code=2)
    assert str(value) in result.stderr
