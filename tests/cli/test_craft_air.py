"""The sums of the air."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest


def test_air_answers_in_json(answer: Callable[..., Any]) -> None:
    data = answer("craft-air", "craft", "air", "--t-c", 25, "--rh-percent", 60, "--leaf-c", 28)
    assert data["vpd_kpa"] == pytest.approx(1.268, abs=0.01)
    assert data["es_kpa"] == pytest.approx(data["ea_kpa"] + data["vpd_kpa"])
    assert data["leaf_vpd_kpa"] - data["vpd_kpa"] == pytest.approx(0.6, abs=0.05)


def test_air_without_a_leaf_says_nothing_of_it(answer: Callable[..., Any], run: Callable[..., Any]) -> None:
    asked = ("craft", "air", "--t-c", 20, "--rh-percent", 50)
    assert answer("craft-air", *asked)["leaf_vpd_kpa"] is None
    assert "At the leaf" not in run(*asked).stdout


def test_higher_up_a_wet_thing_is_cooler(answer: Callable[..., Any]) -> None:
    asked = ("craft", "air", "--t-c", 30, "--rh-percent", 40)
    assert (
        answer("craft-air", *asked, "--altitude-m", 2000)["wet_bulb_c"]
        < answer("craft-air", *asked)["wet_bulb_c"]
    )


def test_air_tells_how_far_to_trust_it(run: Callable[..., Any]) -> None:
    said = run("craft", "air", "--t-c", 25, "--rh-percent", 60).stdout
    assert "1.3 kPa" in said
    assert "0.10 kPa" in said


def test_air_says_what_will_not_do(run: Callable[..., Any]) -> None:
    assert "--rh-percent" in run("craft", "air", "--t-c", 25, "--rh-percent", 160, code=2).stderr
