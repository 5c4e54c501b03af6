"""A straight answer from the command line."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import date, timedelta
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from slipwright.rooting import fitting

ROSE = (
    "advise",
    "climbing rose",
    "--on",
    "2026-10-20",
    "--at",
    "41.0,-72.5",
    "--shoot",
    "spent",
    "--want",
    5,
)


def test_answer_is_a_sentence_first(run: Callable[..., Any]) -> None:
    text = run(*ROSE, "--have", "tent").stdout
    assert text.startswith("Yes: take semi-hardwood")
    assert "Rests on" in text
    assert "8 times in 10" in text


def test_answer_keeps_to_the_contract(answer: Callable[..., Any]) -> None:
    data = answer("advise", *ROSE)
    assert data["verdict"] == "yes"
    assert data["best"]["wood"] == "semi-hardwood"


def test_today_is_taken_from_the_setting(answer: Callable[..., Any]) -> None:
    winter = answer("advise", "advise", "rose", "--at", "41,-72", env={"SLIPWRIGHT_TODAY": "2026-01-05"})
    assert winter["best"]["wood"] == "hardwood"


def test_unknown_plant_offers_names(answer: Callable[..., Any]) -> None:
    data = answer("advise", "advise", "lavander", "--on", "2026-07-01")
    assert data["verdict"] in ("unknown", "yes", "soon", "no")
    assert "avender" in data["why"] or data["best"]


def test_protected_plant_is_not_allowed(answer: Callable[..., Any]) -> None:
    data = answer("advise", "advise", "rose", "--on", "2026-10-20", "--rights", "protected")
    assert data["verdict"] == "not_allowed"
    assert data["steps"] == []


def test_bad_place_is_named(run: Callable[..., Any]) -> None:
    assert "LAT,LON" in run("advise", "rose", "--at", "north", code=2).stderr


def test_bad_date_is_named(run: Callable[..., Any]) -> None:
    assert "2026-13-01" in run("advise", "rose", "--on", "2026-13-01", code=2).stderr


def test_bad_setting_is_named(run: Callable[..., Any]) -> None:
    result = run("advise", "rose", code=2, env={"SLIPWRIGHT_TODAY": "yesterday"})
    assert "SLIPWRIGHT_TODAY" in result.stderr


def _weather_file(folder: Path, above_c: float) -> Path:
    """Ten years of one smooth spring, the last of them warmer or colder."""
    lines = ["on,tmin_c,tmax_c"]
    day = date(2016, 1, 1)
    while day <= date(2026, 5, 10):
        mean = 11 - 9 * math.cos(2 * math.pi * (day.timetuple().tm_yday - 20) / 365)
        mean += above_c if day.year == 2026 else 0
        lines.append(f"{day},{mean - 5:.1f},{mean + 5:.1f}")
        day += timedelta(days=1)
    file = folder / "weather.csv"
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return file


def test_weather_moves_bloom_and_wood_and_is_named(answer: Callable[..., Any], tmp_path: Path) -> None:
    blooms, opens = [], []
    for above_c in (-2, 2):
        file = _weather_file(tmp_path, above_c)
        asked = ("advise", "dog rose", "--on", "2026-05-10", "--at", "41,-72", "--weather", file)
        data = answer("advise", *asked)
        blooms.append(data["bloom"]["p50"])
        opens.append(next(run["opens_on"] for run in data["windows"] if run["wood"] == "softwood"))
        assert data["bloom"]["p10"] < data["bloom"]["p50"] < data["bloom"]["p90"]
        assert "weather to 10 May" in data["rests_on"]["text"]
    assert blooms[1] < blooms[0]
    assert opens[1] < opens[0]


def test_weather_without_a_day_before_is_refused(run: Callable[..., Any], tmp_path: Path) -> None:
    file = tmp_path / "weather.csv"
    file.write_text("on,tmin_c,tmax_c\n2026-05-01,4,14\n", encoding="utf-8")
    refused = run("advise", "rose", "--on", "2026-04-01", "--weather", file, code=2)
    assert "no day with a lowest and a highest temperature" in refused.output


LANTERN = ("advise", "Rosa 'Lantern Keeper'", "--on", "2015-10-20", "--want", 5)


def test_with_a_garden_it_rests_on_what_was_learned_there_and_on_where_it_is(
    example: Path, run: Callable[..., Any], answer: Callable[..., Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    before = run(*LANTERN, "--garden", example).stdout
    assert "Nothing is learned from this garden's looks yet." in before
    assert "slipwright learn" in before
    monkeypatch.setattr(fitting, "fit", partial(fitting.fit, integrate_up_to=0))
    run("learn")
    alone, told = answer("advise", *LANTERN), answer("advise", *LANTERN, "--garden", example)
    assert alone["rests_on"]["text"].startswith("Rests on the handbook alone")
    assert told["rests_on"]["text"].startswith("Rests on your ")
    assert told["rests_on"]["n_batches"] > 1
    assert told["best"]["p_rooted"] != alone["best"]["p_rooted"]
    assert "No latitude given" in alone["rests_on"]["text"]
    assert "No latitude given" not in told["rests_on"]["text"]
    assert told == answer("advise", *LANTERN, "--in", "Saltmarsh Lane Community Garden")
    said = " ".join(run(*LANTERN, "--garden", example).stdout.split())
    assert "batches of Rosa 'Lantern Keeper' and the handbook" in said
    assert "what the handbook holds likely" in said


def test_a_garden_knows_where_it_is(example: Path, run: Callable[..., Any]) -> None:
    assert "--at" in run(*LANTERN, "--garden", example, "--at", "41,-72", code=2).stderr


def test_what_is_wrong_is_named_as_it_was_typed(run: Callable[..., Any]) -> None:
    assert "--want must be 1 or more" in run("advise", "rose", "--want", "0", code=2).stderr
    new = ("forecast", "--new", "rosemary", "--wood", "softwood")
    refused = run(*new, "--stuck", "0", code=2).stderr
    assert "--stuck" in refused
    assert "n_stuck" not in refused
