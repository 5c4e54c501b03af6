"""A bag over a pot, asked at the bench."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

ASK = ("craft", "tent", "--tmax-c", 24, "--light-w-m2", 400)


def test_tent_answers_in_json(answer: Callable[..., Any]) -> None:
    assert answer("craft-tent", *ASK) == {
        "leaf_c": {"low": 31.2, "mid": 35.2, "high": 39.2},
        "flag": "hot",
        "rewet_class": "weeks",
    }


@pytest.mark.parametrize(
    ("tmax_c", "light", "flag", "said"),
    [
        (30, 300, "hot", "second cloth before noon"),
        (26, 200, "warm", "second cloth ready"),
        (18, 100, "cool", "not in danger"),
    ],
)
def test_tent_says_what_to_do(
    answer: Callable[..., Any], run: Callable[..., Any], tmax_c: float, light: float, flag: str, said: str
) -> None:
    ask = ("craft", "tent", "--tmax-c", tmax_c, "--light-w-m2", light)
    assert answer("craft-tent", *ask)["flag"] == flag
    told = run(*ask).stdout
    assert said in told
    assert "4 °C" in told
    assert "residual-current" in told


def test_tent_flags_as_the_round_does_and_not_by_a_rounded_figure(answer: Callable[..., Any]) -> None:
    nearly = ("craft", "tent", "--tmax-c", 24, "--light-w-m2", 391.5)
    assert answer("craft-tent", *nearly)["flag"] == "warm"
    hot = ("craft", "tent", "--tmax-c", 24, "--light-w-m2", 393)
    assert answer("craft-tent", *hot)["flag"] == "hot"


@pytest.mark.parametrize(
    ("tie", "drip", "rewet_class"),
    [("tied", "returns", "weeks"), ("tied", "lost", "10-15-days"), ("open", "returns", "under-a-week")],
)
def test_tent_sorts_pots_by_tie_and_drip(
    answer: Callable[..., Any], tie: str, drip: str, rewet_class: str
) -> None:
    assert answer("craft-tent", *ASK, "--tie", tie, "--drip", drip)["rewet_class"] == rewet_class


def test_tent_asks_where_the_drip_goes_and_says_weigh_not_water(run: Callable[..., Any]) -> None:
    asked = run(*ASK).stdout
    assert "Does the drip run back into the pot?" in asked
    assert "Weigh or lift the pot" in asked
    assert "Does the drip" not in run(*ASK, "--drip", "half").stdout


def test_tent_says_that_tied_bags_have_air_enough(run: Callable[..., Any]) -> None:
    assert "enough oxygen" in run(*ASK).stdout
    assert "Tied, not welded" in run(*ASK).stdout


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (("--tmax-c", 99, "--light-w-m2", 5), "--tmax-c"),
        (("--tmax-c", 20, "--light-w-m2", -5), "--light-w-m2"),
    ],
)
def test_tent_refuses_what_cannot_be(run: Callable[..., Any], given: tuple[Any, ...], said: str) -> None:
    assert said in run("craft", "tent", *given, code=2).stderr
