"""The season's programme, as a person asks for it."""

from __future__ import annotations

import csv
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from django.db import OperationalError

from slipwright.cli.plan import _line
from slipwright.records.answers.programme.told import LineTold
from slipwright.records.services.plan_lists import KeptLists
from slipwright.season.programme import Line
from tests.outputs.reading_pdf import pages_of

Run = Callable[..., Any]
ON = "2015-06-12"


@pytest.fixture
def plan(example: Path) -> tuple[Any, ...]:
    return "plan", "--garden", example, "--on", ON


def test_every_want_is_told_with_what_it_gets_or_what_stops_it(plan: tuple[Any, ...], answer: Run) -> None:
    found = answer("plan", *plan)
    assert len(found["wants"]) >= 3
    for want in found["wants"]:
        assert want["short_by"] == want["n_wanted"] - want["planned"]
        assert bool(want["short_by"]) == bool(want["stopped_by"])
        if not want["short_by"]:
            assert want["promised"] >= want["assurance"] - 0.02
    assert found["programme"]
    for line in found["programme"]:
        assert date.fromisoformat(line["week"]).weekday() == 0
        assert line["week"] >= "2015-06-08"
    assert all(load["used"] <= load["room"] + 1e-6 for load in found["load"])
    assert found["cost"] == pytest.approx(sum(line["cost"] for line in found["programme"]), abs=0.05)


def test_the_table_holds_the_programme(plan: tuple[Any, ...], answer: Run, tmp_path: Path) -> None:
    file = tmp_path / "programme.csv"
    found = answer("plan", *plan, "--csv", file)
    with file.open(newline="", encoding="utf-8") as opened:
        rows = list(csv.DictReader(opened))
    assert [(row["week"], row["want"], int(row["n_to_stick"])) for row in rows] == [
        (line["week"], line["want"], line["n_to_stick"]) for line in found["programme"]
    ]


def test_in_words_it_goes_by_week_and_says_what_is_assumed(plan: tuple[Any, ...], run: Run) -> None:
    told = run(*plan).output
    assert "Week of 2015-" in told
    assert "What stops it" in told
    assert "common practice, no source" in told
    assert "Nothing is learned from this garden's looks yet" in told


def test_a_garden_that_is_held_keeps_no_programme_from_being_told(
    plan: tuple[Any, ...], answer: Run, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    def held(self: KeptLists) -> None:
        raise OperationalError("database is locked")

    monkeypatch.setattr(KeptLists, "settle", held)
    assert answer("plan", *plan)["programme"]
    assert "was not kept: database is locked" in run(*plan).stderr


def test_a_folder_that_is_not_there_is_refused(plan: tuple[Any, ...], run: Run, tmp_path: Path) -> None:
    assert "--csv" in run(*plan, "--csv", tmp_path / "none" / "a.csv", code=2).output


def test_sheets_are_written_in_the_tongue_and_units_asked_for(
    plan: tuple[Any, ...], answer: Run, tmp_path: Path, need_program: Callable[[str], str]
) -> None:
    collecting, crew = tmp_path / "collecting.pdf", tmp_path / "crew.pdf"
    more = ("--collecting", collecting, "--crew", crew, "--tongue", "es", "--units", "us")
    found = answer("plan", *plan, *more)
    assert [one["file"] for one in found["papers"]] == [str(collecting), str(crew)]
    program = need_program("pdftotext")
    for file, one in zip((collecting, crew), found["papers"], strict=True):
        text = " ".join(pages_of(program, file.read_bytes()))
        assert one["n_pages"] >= 1
        assert "12 jun" in text
        assert " in (" in text


def test_the_table_and_the_sheets_call_a_line_alike(
    plan: tuple[Any, ...], run: Run, tmp_path: Path, need_program: Callable[[str], str]
) -> None:
    table, crew = tmp_path / "programme.csv", tmp_path / "crew.pdf"
    told = run(*plan, "--csv", table, "--crew", crew).output
    assert f"Table: {table}" in told
    assert f": {crew}" in told
    with table.open(newline="", encoding="utf-8") as opened:
        rows = list(csv.DictReader(opened))
    text = " ".join(pages_of(need_program("pdftotext"), crew.read_bytes()))
    for row in rows:
        assert f"{row['line']} {row['taxon'].split()[0]}" in text
        assert row["n_to_stick"] in text


@pytest.mark.parametrize(("n", "said"), [(1, "Tallow south (1 shoot)"), (2, "Tallow south (2 shoots)")])
def test_one_shoot_is_one(n: int, said: str) -> None:
    line = Line(date(2026, 7, 6), "roses", "o", "Rosa", "softwood", "", "Tallow south", 8, 1, 1.0)
    assert said in _line(LineTold(line, (("Tallow south", n),)))
