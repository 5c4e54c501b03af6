"""A straight answer from the command line."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from typing import Any

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
