"""A straight answer from the command line."""

from __future__ import annotations

from collections.abc import Callable
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
