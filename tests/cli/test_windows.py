"""The windows of every stock plant, as a person asks for them."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

Run = Callable[..., Any]


def test_every_stock_plant_is_told_with_what_it_rests_on(example: Path, answer: Run) -> None:
    plants = answer("windows", "windows", "--garden", example, "--on", "2015-10-20")["plants"]
    assert len(plants) > 5
    (rose,) = [plant for plant in plants if plant["plant"] == "Gate rose"]
    assert {window["wood"] for window in rose["windows"]} == {"softwood", "semi-hardwood", "hardwood"}
    assert rose["bloom"]["p10"] < rose["bloom"]["p50"] < rose["bloom"]["p90"]
    assert rose["rests_on"]["weather_from"] == "2012-01-01"
    assert rose["rests_on"]["weather_to"] >= "2015-10-20"
    assert rose["rests_on"]["n_blooms"] > 0
    for plant in plants:
        for window in plant["windows"]:
            assert date.fromisoformat(window["closes_on"]) >= date(2015, 10, 20)


def test_what_is_not_yet_known_on_the_day_asked_about_is_left_out(example: Path, answer: Run) -> None:
    def rests(on: str) -> dict[str, Any]:
        plants = answer("windows", "windows", "--garden", example, "--on", on)["plants"]
        found: dict[str, Any] = next(one["rests_on"] for one in plants if one["plant"] == "Gate rose")
        return found

    early, late = rests("2014-03-01"), rests("2015-10-20")
    assert early["weather_to"] == "2014-03-01"
    assert early["n_blooms"] < late["n_blooms"]


def test_in_words_each_plant_says_its_days_and_the_doubt(example: Path, run: Run) -> None:
    told = run("windows", "--garden", example, "--on", "2015-10-20").output
    assert "Gate rose" in told
    assert "right now, chance" in told
    assert "8 times in 10 from" in told
    assert "rests on       wood: the handbook's months" in told
    assert "the shoot in your hand decides" in told


def test_a_protected_plant_is_told_as_one(run: Callable[..., Any], example: Path) -> None:
    told = run("windows", "--garden", example, "--on", "2015-10-20").output
    ferry = told[told.index("Ferry bell 1") :]
    assert "not to be stuck: " in ferry[: ferry.index("rests on")]
    assert told.count("not to be stuck") == told.count("Rosa 'Ferry Bell'")
