"""The example garden, from its tables to its papers."""

from __future__ import annotations

import csv
import json
import os
import re
import shutil
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from slipwright.cli import main
from slipwright.rooting import fitting
from tests.cli.conftest import EXAMPLE
from tests.databases import at

Run = Callable[..., Any]


def test_load_says_what_it_took_in(nothing_yet: Path, answer: Run) -> None:
    data = answer("load", "load", EXAMPLE)
    assert data["n_rejected"] == 0
    assert data["tables"]["looks"]["accepted"] == len((EXAMPLE / "looks.csv").read_text().splitlines()) - 1
    assert nothing_yet.exists()


def test_loading_again_changes_nothing(example: Path, answer: Run) -> None:
    data = answer("load", "load", EXAMPLE)
    assert data["accepted"] == 0
    assert data["unchanged"] > 1000


def test_a_bad_line_is_named_and_nothing_is_written(
    example: Path, tmp_path: Path, run: Run, answer: Run
) -> None:
    tables = tmp_path / "tables"
    tables.mkdir()
    code = _code(run)
    (tables / "looks.csv").write_text(f"batch,on,n_rooted\n{code},2015-10-20,1\n{code},2015-10-21,many\n")
    result = run("load", tables, code=2)
    assert "looks.csv, line 3" in result.stderr
    assert "n_rooted 'many'" in result.stderr
    assert "Nothing was loaded" in result.stderr
    data = answer("load", "load", tables, code=2)
    assert data["rejected"][0]["line"] == 3
    assert data["accepted"] == 0


def test_dump_and_load_give_the_same_garden(example: Path, tmp_path: Path, answer: Run) -> None:
    data = answer("dump", "dump", tmp_path / "out.zip")
    assert data["tables"]["batches"] == 17
    again = answer("load", "load", tmp_path / "out.zip")
    assert again["accepted"] == 0
    assert again["n_rejected"] == 0


def test_today_walks_in_order(example: Path, run: Run, answer: Run) -> None:
    data = answer("today", "today")
    places = [act["place"] for act in data["acts"]]
    with (EXAMPLE / "places.csv").open(newline="") as file:
        order = [row["place"] for row in csv.DictReader(file)]
    assert places == sorted(places, key=order.index)
    assert {act["act"] for act in data["acts"]} >= {"look", "pot_up"}
    assert "1. Mist bench" in run("today").stdout


def test_today_never_cuts_a_protected_plant(example: Path, answer: Run) -> None:
    for day in ("2015-05-01", "2015-08-01", "2015-10-20", "2015-12-01"):
        acts = answer("today", "today", "--on", day)["acts"]
        assert "Ferry bell 1" not in {act["plant"] for act in acts}


def test_forecast_of_a_batch_keeps_to_what_is_alive(example: Path, run: Run, answer: Run) -> None:
    code = _code(run)
    now = next(b for b in answer("batches", "batches")["batches"] if b["batch"] == code)
    data = answer("forecast", "forecast", code[:4].lower())
    counts = now["counts"]
    for day in data["days"]:
        assert counts["n_rooted"] <= day["rooted"]["p10"]
        assert day["rooted"]["p90"] <= counts["n_rooted"] + counts["n_waiting"]


def test_a_forecast_of_a_day_gone_by_says_up_to_when_other_batches_were_learned_from(
    example: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(fitting, "fit", partial(fitting.fit, integrate_up_to=0))
    code = _code(run)
    assert "learned from up to" not in run("forecast", code, "--on", "2015-10-20").stdout
    run("learn")
    assert "Other batches were learned from up to 20" in run("forecast", code, "--on", "2015-10-20").stdout
    assert "learned from up to" not in run("forecast", code, "--on", "2099-10-20").stdout


def test_forecast_of_a_new_batch_needs_no_garden(nothing_yet: Path, answer: Run, run: Run) -> None:
    data = answer("forecast", "forecast", "--new", "rosemary", "--wood", "softwood", "--stuck", 30)
    assert data["days"][-1]["rooted"]["p90"] <= 30
    assert "softwood" in run("forecast", "--new", "rosemary", code=2).stderr
    assert "handbook" in run("forecast", "--new", "baobab", "--wood", "softwood", code=2).stderr
    assert run("forecast", code=2).stderr


def test_forecast_of_a_new_batch_follows_the_hemisphere(nothing_yet: Path, answer: Run, run: Run) -> None:
    def potted(*where: str) -> str:
        new = ("--new", "rosemary", "--wood", "hardwood", "--stuck", 12, "--on", "2016-06-01")
        return str(answer("forecast", "forecast", *new, *where)["pot_up_on"]["p50"])

    assert potted("--at", "-34.0,18.5") != potted("--at", "41.0,-72.5") == potted()
    assert "LAT,LON" in run("forecast", "--new", "sage", "--wood", "softwood", "--at", "north", code=2).stderr
    bare = run("forecast", "--new", "rosemary", "--wood", "softwood", "--on", "2016-06-01").stdout
    assert "northern calendar is assumed" in bare


def test_forecast_refuses_what_it_would_not_read(nothing_yet: Path, run: Run) -> None:
    assert "--at" in run("forecast", "K7Q2", "--at", "41,-72", code=2).stderr
    assert "--stuck" in run("forecast", "K7Q2", "--stuck", 9, code=2).stderr


def test_forecast_of_a_name_that_only_touches_one_is_refused(run: Run) -> None:
    refused = run("forecast", "--new", "rock rose", "--wood", "hardwood", code=2).stderr
    assert "no page for rock rose; near it: rose" in refused


def test_forecast_of_many_keeps_its_columns(run: Run) -> None:
    text = run("forecast", "--new", "rosemary", "--wood", "softwood", "--stuck", 300000).stdout
    rows = text.splitlines()[2:8]
    assert "300,000 (300,000-300,000)" in rows[1]
    assert len({len(row) for row in rows}) == 1
    assert all(row.count("  ") >= 3 for row in rows)


def test_a_batch_past_its_patience_says_so(example: Path, run: Run) -> None:
    text = run("forecast", _code(run), "--on", "2018-06-01").stdout
    assert "patience ran out" in text
    assert "not before" not in text


def test_a_batch_not_looked_at_for_long_still_waits_and_is_to_be_looked_at(example: Path, run: Run) -> None:
    under_way = json.loads(run("batches", "--json").stdout)["batches"]
    code = next(b["batch"] for b in under_way if b["counts"]["n_waiting"] > 5 and not b["counts"]["n_to_pot"])
    text = run("forecast", code, "--on", "2018-06-01").stdout
    assert re.search(r"Not looked at for \d+ days; by now likely .+ of \d+ have rooted: look\.", text)
    assert "Nothing waits" not in text
    assert "look and scratch the bark first" in text
    (act,) = [
        act
        for act in json.loads(run("today", "--on", "2018-06-01", "--json").stdout)["acts"]
        if act["batch"] == code and act["act"] in ("look", "give_up")
    ]
    assert act["act"] == "look"
    assert act["why"].startswith("unseen ")


def test_a_day_before_a_batch_was_stuck_is_refused(example: Path, run: Run) -> None:
    code = _code(run)
    refused = run("forecast", code, "--on", "2010-01-01", code=2).stderr
    assert "was stuck on" in refused
    assert "give that day or a later one" in refused
    for written in (("look", code, "--rooted", 1), ("pot-up", code, 1)):
        early = (*written, "--on", "2010-01-01", "--by", "bea")
        refused = run(*early, code=2).stderr
        assert "2010-01-01 is before" in refused
        assert "Nothing was written down" in refused
        told = run(*early, "--as-counted").stdout
        assert "! something is dated before the day it was stuck" in told


def test_labels_sheet_and_calendar_are_written(example: Path, tmp_path: Path, answer: Run) -> None:
    labels = answer(
        "labels", "labels", "--since", "2015-09-01", "--stock", "stake", "--out", tmp_path / "l.pdf"
    )
    assert labels["n_labels"] >= len(labels["batches"]) * 2
    sheet = answer("sheet", "sheet", "Gate roses 2016", "--out", tmp_path / "s.pdf")
    assert sheet["n_pages"] in (1, 2)
    feed = answer("calendar", "calendar", "--out", tmp_path / "c.ics")
    assert feed["n_events"] > 10
    assert (tmp_path / "l.pdf").read_bytes().startswith(b"%PDF")
    assert (tmp_path / "s.pdf").read_bytes().startswith(b"%PDF")
    assert (tmp_path / "c.ics").read_bytes().startswith(b"BEGIN:VCALENDAR\r\n")


def test_sheet_of_a_batch(example: Path, tmp_path: Path, run: Run, answer: Run) -> None:
    assert answer("sheet", "sheet", _code(run), "--out", tmp_path / "s.pdf")["n_pages"] >= 1


def test_papers_refuse_what_is_not_there(example: Path, tmp_path: Path, run: Run) -> None:
    assert "no want called" in run("sheet", "Tulips", "--out", tmp_path / "s.pdf", code=2).stderr
    assert "ZZZZ" in run("labels", "ZZZZ", "--out", tmp_path / "l.pdf", code=2).stderr
    assert "cannot write" in run("calendar", "--out", tmp_path / "no" / "c.ics", code=2).stderr
    assert list(tmp_path.glob("*.pdf")) == []


def test_calendar_days_keep_their_ids(example: Path, tmp_path: Path, run: Run) -> None:
    uids = []
    for name in ("a.ics", "b.ics"):
        run("calendar", "--out", tmp_path / name)
        lines = (tmp_path / name).read_text().splitlines()
        uids.append([line for line in lines if line.startswith("UID:")])
    assert uids[0] == uids[1]
    assert len(set(uids[0])) == len(uids[0])


def test_a_round_is_written_down(example: Path, run: Run, answer: Run) -> None:
    stuck = answer(
        "record",
        *("stick", "Rosa 'Lantern Keeper'", 24, "--plant", "Gate rose", "--place", "Tent 1", "--by", "orla"),
    )["recorded"][0]
    assert stuck["counts"]["n_waiting"] == 24
    code = stuck["batch"]
    looked = answer(
        "record",
        *("look", code[:4], "--rooted", 3, "--lost", 1, "--cause", "rot-from-base", "--by", "bea"),
    )["recorded"][0]
    assert looked["counts"]["n_waiting"] == 20
    look, potted = answer("record", "pot-up", code, 5, "--container", "Pot 9 cm", "--by", "tam")["recorded"]
    assert (look["kind"], potted["kind"]) == ("look", "potting")
    assert potted["counts"]["n_rooted"] == 5
    assert potted["counts"]["n_to_pot"] == 0
    assert "5 rooted, 1 lost, 18 waiting, 5 potted" in run("batches").stdout
    assert "2 more were counted as rooted" in run("pot-up", code, 2, "--by", "tam").stdout


def test_counts_that_do_not_add_up_are_asked_about(example: Path, run: Run, answer: Run) -> None:
    code = _code(run)
    before = answer("batches", "batches")
    said = run("look", code, "--rooted", 99, "--by", "bea", code=2).stderr
    assert "accounted for of" in said
    assert "--as-counted" in said
    assert "accounted for of" in run("pot-up", code, 500, "--by", "tam", code=2).stderr
    assert (
        "77 counted as still waiting"
        in run("look", code, "--rooted", 1, "--waiting", 77, "--by", "bea", code=2).stderr
    )
    assert answer("batches", "batches") == before
    taken = answer("record", "look", code, "--rooted", 99, "--as-counted", "--by", "bea")["recorded"][0]
    assert taken["flags"] == ["more-than-stuck"]
    answer("withdraw", "withdraw", taken["id"], "--reason", "ten too many nines", "--by", "bea")
    assert answer("batches", "batches") == before


def test_a_volunteer_takes_back_only_their_own(example: Path, run: Run) -> None:
    said = run("withdraw", "look-0001", "--reason", "no", "--by", "bea", code=2).stderr
    assert "bea" in said


def test_a_name_cannot_play_with_the_terminal(example: Path, run: Run) -> None:
    assert "\x1b" not in run("sheet", "\x1b[31mTulips\u202e", "--out", "x.pdf", code=2).stderr


def test_a_file_that_is_no_garden_is_named(tmp_path: Path) -> None:
    file = tmp_path / "letter.txt"
    file.write_text("Dear Orla, " * 400)
    with at(f"sqlite:///{file}"):
        checked = CliRunner().invoke(main, ["selfcheck"])
    assert checked.exit_code == 1
    assert "not a database" in checked.output
    for command in (["today"], ["load", str(EXAMPLE)], ["batches"]):
        with at(f"sqlite:///{file}"):
            result = CliRunner().invoke(main, command)
        assert result.exit_code == 2, result.output
        assert "cannot be read as a garden" in result.stderr
    assert file.read_text().startswith("Dear Orla")


def test_a_day_beyond_the_calendar_is_refused(example: Path, run: Run) -> None:
    assert "too far" in run("forecast", _code(run), "--on", "9999-12-31", code=2).stderr


def test_a_refusal_says_why_and_what_is_open(example: Path, run: Run) -> None:
    said = run("stick", "Rosa 'Ferry Bell'", 5, "--wood", "softwood", "--by", "orla", code=2).stderr
    assert "2033" in said
    said = run("stick", "Rosa 'Lantern Keeper'", 5, "--shoot", "budded", "--by", "orla", code=2).stderr
    assert "budded" in said
    assert "who recorded" in run("look", _code(run), "--rooted", 1, code=2).stderr


def test_a_protected_plant_gets_no_label(example: Path, tmp_path: Path, run: Run) -> None:
    run(
        *("stick", "Rosa 'Ferry Bell'", 5, "--wood", "softwood", "--by", "orla"),
        *("--already-done", "--ground", "experiment"),
    )
    codes = [line.split()[0] for line in run("batches").stdout.splitlines() if "Ferry Bell" in line]
    assert "Protected" in run("labels", codes[0], "--out", tmp_path / "l.pdf", code=2).stderr
    assert not (tmp_path / "l.pdf").exists()
    assert "Protected" in run("labels", "--out", tmp_path / "l.pdf").stdout
    assert (tmp_path / "l.pdf").exists()


def test_backup_and_restore(example: Path, tmp_path: Path, run: Run, answer: Run) -> None:
    (tmp_path / "copies").mkdir()
    made = answer("backup", "backup", "--to", tmp_path / "copies")
    before = answer("batches", "batches")
    run("look", _code(run), "--rooted", 2, "--by", "bea")
    assert answer("batches", "batches") != before
    back = answer("restore", "restore", made["file"])
    assert back["n_entries"] == made["n_entries"]
    assert Path(back["kept_as"]).exists()
    assert answer("batches", "batches") == before
    assert "entries of Saltmarsh Lane Community Garden are back" in run("restore", made["file"]).stdout


def test_selfcheck_is_content(example: Path, answer: Run) -> None:
    data = answer("selfcheck", "selfcheck")
    assert data["ok"]
    assert data["n_batches"] == 17


def test_selfcheck_of_nothing_is_not_well(nothing_yet: Path, run: Run) -> None:
    assert "no garden" in run("selfcheck", code=1).stdout


def test_migrate_has_nothing_to_do(example: Path, answer: Run) -> None:
    assert answer("migrate", "migrate") == {"applied": [], "backup": None}


@pytest.mark.parametrize(
    "command", [["today"], ["batches"], ["dump", "x.zip"], ["calendar", "--out", "x.ics"]]
)
def test_without_a_garden_a_command_says_how_to_make_one(
    nothing_yet: Path, run: Run, command: list[str]
) -> None:
    assert "slipwright load" in run(*command, code=2).stderr
    assert not nothing_yet.exists()


def test_garden_option_names_another_file(tmp_path: Path, loaded_once: Path) -> None:
    import subprocess
    import sys

    file = tmp_path / "an odd name, 100 %.sqlite3"
    shutil.copyfile(loaded_once, file)
    done = subprocess.run(
        [sys.executable, "-m", "slipwright.cli", "batches", "--json", "--garden", str(file)],
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
        env={**os.environ, "SLIPWRIGHT_TODAY": "2015-10-20"},
    )
    assert len(json.loads(done.stdout)["batches"]) > 5


def _code(run: Run) -> str:
    """Return the code of a batch of the example that is under way."""
    batches = json.loads(run("batches", "--json").stdout)["batches"]
    return str(next(b["batch"] for b in batches if b["counts"]["n_rooted"] and b["counts"]["n_waiting"] > 5))
