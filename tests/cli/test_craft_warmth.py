"""Warmth and cold added up at the bench."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

WEATHER = Path(__file__).parents[2] / "examples" / "saltmarsh-lane" / "weather.csv"
Answer = Callable[..., Any]


def test_degree_days_of_one_day(answer: Answer) -> None:
    data = answer(
        "craft-degree-days", *("craft", "degree-days", "--tmin-c", 5, "--tmax-c", 20, "--base-c", 10)
    )
    assert data == {
        "degree_days_c": pytest.approx(3.77122, abs=1e-4),
        "by_year": {},
        "n_days": 1,
        "n_filled": 0,
    }


def test_degree_days_of_a_record_by_year(answer: Answer) -> None:
    asked = ("craft", "degree-days", "--weather", WEATHER, "--base-c", 5)
    data = answer("craft-degree-days", *asked, "--method", "average")
    assert data["by_year"]["2012"] == pytest.approx(2396.2)
    assert data["degree_days_c"] == pytest.approx(sum(data["by_year"].values()))
    assert data["n_days"] == 1461
    hourly = answer("craft-degree-days", *asked, "--method", "hourly", "--lat", 47.6)
    assert hourly["by_year"]["2012"] == pytest.approx(2451, rel=0.05)


def test_days_that_are_not_there_stand_as_usual_and_are_told(
    answer: Answer, run: Answer, tmp_path: Path
) -> None:
    file = tmp_path / "weather.csv"
    lines = WEATHER.read_text(encoding="utf-8").splitlines()
    file.write_text("\n".join(lines[:100] + lines[110:]), encoding="utf-8")
    asked = ("craft", "degree-days", "--weather", file, "--base-c", 5)
    whole = answer("craft-degree-days", "craft", "degree-days", "--weather", WEATHER, "--base-c", 5)
    data = answer("craft-degree-days", *asked)
    assert data["n_filled"] == 10
    assert data["n_days"] == 1461
    assert data["by_year"]["2012"] == pytest.approx(whole["by_year"]["2012"], abs=40)
    assert "10 of 1,461 days are not in the file and stand as they usually are" in run(*asked).stdout


def test_a_file_that_knows_nothing_near_a_day_says_so(run: Answer) -> None:
    short = ("--from", "2015-12-01", "--to", "2016-01-31", "--base-c", 5)
    assert "60 degree-days" not in run("craft", "degree-days", "--weather", WEATHER, *short).stdout
    found = run("craft", "chill", "--weather", WEATHER, code=2)
    assert "--lat" in found.stderr


def test_chill_of_a_winter_is_for_information(answer: Answer, run: Answer) -> None:
    winter = ("--lat", 47.6, "--from", "2014-10-01", "--to", "2015-03-31")
    data = answer("craft-chill", "craft", "chill", "--weather", WEATHER, *winter)
    assert data["n_hours"] == 182 * 24
    assert 0 < data["chill_hours"] < data["n_hours"]
    assert 60 < data["chill_portions"] < 120
    assert "for information only" in run("craft", "chill", "--weather", WEATHER, *winter).stdout


def test_chill_of_hours(answer: Answer, tmp_path: Path) -> None:
    file = tmp_path / "hours.csv"
    file.write_text("air_c\n" + "8\n" * 1440, encoding="utf-8")
    data = answer("craft-chill", "craft", "chill", "--hourly", file)
    assert data["chill_hours"] == 0
    assert data["chill_portions"] == pytest.approx(49.8196, rel=1e-4)


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        ("t\n5\n", "no column air_c"),
        ("air_c\nwarm\n", "line 2"),
        ("at,air_c\n2026-01-01T00:00:00+00:00,5\n2026-01-01T02:00:00+00:00,5\n", "by an hour"),
        ("at,air_c\n2026-01-01T00:00:00+00:00,5\n2026-01-01T01:00:00,5\n", "line 3"),
        ("air_c\n", "holds no hour"),
        ("air_c\n5\n" + "4" * 200_000 + "\n", "table with commas"),
    ],
)
def test_hours_that_will_not_do_are_refused(run: Answer, tmp_path: Path, lines: str, said: str) -> None:
    file = tmp_path / "hours.csv"
    file.write_text(lines, encoding="utf-8")
    assert said in run("craft", "chill", "--hourly", file, code=2).stderr


def test_degree_days_says_what_is_missing(run: Answer) -> None:
    assert "--weather FILE" in run("craft", "degree-days", "--base-c", 5, code=2).stderr
    one = ("craft", "degree-days", "--tmin-c", 5, "--tmax-c", 9, "--base-c", 5, "--method", "hourly")
    assert "--lat" in run(*one, code=2).stderr
    wrong = run("craft", "degree-days", "--tmin-c", 9, "--tmax-c", 5, "--base-c", 5, code=2)
    assert "--tmax-c" in wrong.stderr
    unknown = run("craft", "degree-days", "--tmin-c", "nan", "--tmax-c", 5, "--base-c", 5, code=2)
    assert "must be temperatures" in unknown.stderr
