"""Mixing, drain test and dips at the bench."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

MIX = ("craft", "mix", "--pots", 24, "--pot-l", 2.83, "--part", "perlite=1", "--part", "vermiculite=1")
DIP = ("craft", "dip", "--stock-mg-per-l", 10_000, "--want-mg-per-l", 3000, "--volume-ml", 500)


def test_mix_answers_in_json(answer: Callable[..., Any]) -> None:
    data = answer("craft-mix", *MIX)
    assert data["blend_l"] == pytest.approx(71.316, abs=0.01)
    assert data["parts_l"]["perlite"] == data["parts_l"]["vermiculite"] == pytest.approx(39.6, abs=0.05)
    assert data["water_l"] == pytest.approx(31.4, abs=0.05)


def test_mix_warns_of_dust_where_there_is_dust(run: Callable[..., Any]) -> None:
    assert "Dust" in run(*MIX).stdout
    assert "estimates" in run(*MIX).stdout
    assert "Dust" not in run("craft", "mix", "--pots", 1, "--pot-l", 1, "--part", "bark=1").stdout


@pytest.mark.parametrize("part", ["perlite", "perlite=x", "=1"])
def test_mix_says_how_a_part_is_given(run: Callable[..., Any], part: str) -> None:
    assert "perlite=1" in run("craft", "mix", "--pots", 1, "--pot-l", 1, "--part", part, code=2).stderr


def test_drain_test_answers_in_json(answer: Callable[..., Any]) -> None:
    asked = ("--volume-ml", 2800, "--added-ml", 2100, "--drained-ml", 700)
    data = answer("craft-drain-test", "craft", "drain-test", *asked)
    assert data == {"porosity": 0.75, "air_space": 0.25, "container_capacity": 0.5}


def test_drain_test_says_what_cannot_be(run: Callable[..., Any]) -> None:
    asked = ("--volume-ml", 2800, "--added-ml", 2100, "--drained-ml", 2200)
    assert "--drained-ml" in run("craft", "drain-test", *asked, code=2).stderr


def test_dip_answers_in_json(answer: Callable[..., Any]) -> None:
    data = answer("craft-dip", *DIP, "--alcohol-percent", 50)
    assert data == {
        "stock_ml": 150.0,
        "make_up_to_ml": 500.0,
        "alcohol_percent": 15.0,
        "acid_mg_per_l": 3000.0,
    }
    assert answer("craft-dip", *DIP)["alcohol_percent"] is None
    assert answer("craft-dip", *DIP, "--auxin", "k-iba")["acid_mg_per_l"] == pytest.approx(2526.5, abs=0.1)


def test_dip_warns_where_the_acid_may_come_out(run: Callable[..., Any]) -> None:
    assert "may come out" in run(*DIP, "--alcohol-percent", 50).stdout
    assert "may come out" not in run(*DIP, "--alcohol-percent", 50, "--auxin", "k-iba").stdout
    assert "may come out" not in run(*DIP, "--alcohol-percent", 96).stdout
    assert "label is law" in run(*DIP).stdout


def test_dip_warns_of_strong_alcohol(run: Callable[..., Any]) -> None:
    strong = ("craft", "dip", "--stock-mg-per-l", 10_000, "--want-mg-per-l", 6000, "--volume-ml", 50)
    assert "may hurt the bases" in run(*strong, "--alcohol-percent", 96).stdout
    assert "may hurt the bases" not in run(*strong, "--alcohol-percent", 80).stdout


def test_a_slip_of_ten_times_wants_a_second_yes(run: Callable[..., Any]) -> None:
    slip = ("craft", "dip", "--stock-mg-per-l", 20_000, "--want-mg-per-l", 15_000, "--volume-ml", 50)
    assert run(*slip).stdout  # without a plant nothing says that it is unusual
    refused = run(*slip, "--for", "lavender", code=2).stderr
    assert "Ten times off" in refused
    assert "--confirmed" in refused
    assert "Ten times off" in run(*slip, "--for", "lavender", "--confirmed").stdout


def test_strengths_of_another_hormone_are_told_as_such(run: Callable[..., Any]) -> None:
    weak = ("craft", "dip", "--stock-mg-per-l", 20_000, "--want-mg-per-l", 1000, "--volume-ml", 50)
    of_naa = run(*weak, "--for", "lavender", "--auxin", "k-naa").stdout
    assert "500 to 1,000 mg/L of NAA for" in of_naa
    of_iba = run(*weak, "--for", "lavender").stdout
    assert "500 to 1,000 mg/L of another hormone, and none of IBA, for" in of_iba


def test_beyond_20_000_wants_a_second_yes_for_any_plant(run: Callable[..., Any]) -> None:
    strong = ("craft", "dip", "--stock-mg-per-l", 50_000, "--want-mg-per-l", 20_001, "--volume-ml", 50)
    assert "--confirmed" in run(*strong, code=2).stderr
    assert run(*strong, "--confirmed").stdout


def test_dip_names_plants_near_a_name_it_does_not_know(run: Callable[..., Any]) -> None:
    assert "near it" in run(*DIP, "--for", "lavendar", code=2).stderr
