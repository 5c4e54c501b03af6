"""Papers for the wall and for learners from the command line."""

from __future__ import annotations

import csv
import re
import subprocess
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from slipwright.craft.figures import FIRM, money
from tests.cli.conftest import EXAMPLE

Run = Callable[..., Any]


def across(file: Path) -> bool:
    found = re.search(rb"/MediaBox \[ ?0 0 ([\d.]+) ([\d.]+) ?\]", file.read_bytes())
    assert found
    return float(found[1]) > float(found[2])


def test_the_year_is_printed_for_the_wall(example: Path, tmp_path: Path, answer: Run) -> None:
    told = answer("year-sheet", "year-sheet", "--year", "2016", "--out", tmp_path / "year.pdf")
    assert told["year"] == 2016
    assert told["n_pages"] == -(-told["n_rows"] // 12)
    assert across(tmp_path / "year.pdf")


def test_a_year_sheet_of_some_plants_in_another_tongue(example: Path, tmp_path: Path, run: Run) -> None:
    told = run(
        "year-sheet", "Rosa", "--year", "2016", "--stock", "letter", "--tongue", "es",
        "--each-plant", "--out", tmp_path / "year.pdf",
    )  # fmt: skip
    assert "on 1 page" in told.stdout


def test_a_plant_nobody_has_is_refused_and_nothing_is_written(
    example: Path, tmp_path: Path, run: Run
) -> None:
    refused = run("year-sheet", "Tulipa", "--year", "2016", "--out", tmp_path / "year.pdf", code=2).stderr
    assert "called Tulipa" in refused
    assert not (tmp_path / "year.pdf").exists()


def test_a_how_to_needs_no_garden(nothing_yet: Path, tmp_path: Path, answer: Run, run: Run) -> None:
    told = answer("how-to", "how-to", "rosemary", "--out", tmp_path / "h.pdf")
    assert (told["of"], told["n_pages"]) == ("Salvia rosmarinus", 2)
    assert answer("how-to", "how-to", "hardwood", "--south", "--out", tmp_path / "h.pdf")["of"] == (
        "Hardwood cuttings"
    )
    assert "no page for tulip" in run("how-to", "tulip", "--out", tmp_path / "x.pdf", code=2).stderr
    wrong = run("how-to", "sage", "--wood", "hardwood", "--out", tmp_path / "x.pdf", code=2).stderr
    assert "it takes softwood, semi-hardwood" in wrong


def test_a_season_is_told_in_words_and_printed_if_asked(
    example: Path, tmp_path: Path, answer: Run, run: Run
) -> None:
    said = run("season-report", "--season", "2015").stdout
    assert said.startswith("Of ")
    told = answer("season-report", "season-report", "--season", "2015", "--out", tmp_path / "s.pdf")
    assert told["season"] == "2015"
    assert told["n_stuck"] == sum(plant["n_stuck"] for plant in told["plants"])
    assert (tmp_path / "s.pdf").read_bytes().startswith(b"%PDF")
    assert "by its year" in run("season-report", "--season", "last", code=2).stderr


def test_no_option_is_offered_that_nothing_goes_by(run: Run) -> None:
    assert "--on" not in run("season-report", "--help").stdout
    assert "--units" not in run("year-sheet", "--help").stdout
    assert "garden" not in run("how-to", "--help").stdout.replace("no garden is needed", "").replace(
        "home gardeners", ""
    )


def table(name: str) -> list[dict[str, str]]:
    with (EXAMPLE / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("season", ["2014", "2015"])
def test_a_season_s_numbers_are_those_of_the_tables_of_the_example(
    season: str, example: Path, answer: Run
) -> None:
    told = answer("season-report", "season-report", "--season", season)
    batches = {row["batch"]: row for row in table("batches") if row["stuck_on"].startswith(season)}
    looks = [row for row in table("looks") if row["batch"] in batches]

    def counted(name: str) -> int:
        return sum(int(row[name] or 0) for row in looks)

    assert told["n_stuck"] == sum(int(row["n_stuck"]) for row in batches.values()) > 0
    assert (told["n_rooted"], told["n_lost"]) == (counted("n_rooted"), counted("n_lost"))
    assert told["n_removed"] == counted("n_removed")
    assert told["n_waiting"] == told["n_stuck"] - told["n_rooted"] - told["n_lost"] - told["n_removed"]
    assert sum(one["n"] for one in told["losses"]) == counted("n_lost") + counted("n_lost_rooted")
    for one in told["losses"]:
        named = [row for row in looks if row["cause"] == one["cause"]]
        assert one["n"] == sum(int(row["n_lost"] or 0) + int(row["n_lost_rooted"] or 0) for row in named)
    for name in ("n_stuck", "n_rooted", "n_lost", "n_waiting", "n_removed"):
        assert sum(one[name] for one in told["plants"]) == told[name], name
    due = {row["want"] for row in table("wants") if row["ready_by"].startswith(season)}
    asked = due | {row["want"] for row in batches.values() if row["want"]}
    assert {one["want"] for one in told["wants"]} == asked


@pytest.mark.parametrize("season", ["2014", "2015"])
def test_what_a_season_cost_is_pots_and_medium_of_its_batches_at_the_costs_written_down(
    season: str, example: Path, run: Run
) -> None:
    costs = {row["item"]: float(row["cost"]) for row in table("costs")}
    pots = {row["container"]: row for row in table("containers")}
    media = {row["medium"]: row["parts"] for row in table("media")}
    spent = 0.0
    for row in table("batches"):
        if row["stuck_on"].startswith(season) and row["container"]:
            pot = pots[row["container"]]
            cells = int(pot["cells"] or 1)
            n = -(-int(row["n_stuck"]) // (int(row["n_per_container"]) * cells))
            parts = [part.split(":") for part in media[row["medium"]].split(";")]
            whole = sum(float(share) for _, share in parts)
            litre = sum(float(share) / whole * costs[name] for name, share in parts)
            spent += n * (costs[pot["cost_item"]] + cells * float(pot["volume_ml"]) / 1000 * litre)
    assert spent
    text = run("season-report", "--season", season).stdout
    assert f"came to {money(spent, 'USD')}" in text
    assert "Labels, hormone, potting on, water, light and the wait are not counted." in text


def test_in_spanish_a_report_is_printed_with_decimal_commas(
    example: Path, tmp_path: Path, run: Run, need_program: Callable[[str], str]
) -> None:
    program = need_program("pdftotext")
    run("season-report", "--season", "2015", "--tongue", "es", "--out", tmp_path / "report.pdf")
    done = subprocess.run([program, tmp_path / "report.pdf", "-"], capture_output=True, check=True)
    amounts = re.findall(r"(\d+[.,]\d\d) USD", done.stdout.decode().replace(FIRM, " "))
    assert amounts
    assert all("," in amount for amount in amounts)
