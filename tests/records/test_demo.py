"""The demonstration garden: whole, invented, always the same, and with something of every kind to do."""

from __future__ import annotations

import csv
import math
from collections import Counter
from datetime import UTC, date, datetime
from decimal import Decimal
from functools import cache
from pathlib import Path

import pytest

from slipwright.handbook import load_handbook
from slipwright.records.answers.growing import growing_now
from slipwright.records.answers.round import round_of
from slipwright.records.answers.trials.now import trials_now
from slipwright.records.answers.trials.told import told_of
from slipwright.records.codes import is_code
from slipwright.records.demo import GARDEN, STANDS_ON, demo_garden, demo_user, fill_demo
from slipwright.records.demo.rows import Tables, demo_tables, write_demo
from slipwright.records.demo.sticking import stickings
from slipwright.records.errors import Refused
from slipwright.records.keeping.selfcheck import selfcheck
from slipwright.records.models import BatchState, Garden, Look, Member, Plant, User, Withdrawal
from slipwright.records.selectors.gardens import garden_day
from slipwright.records.selectors.seen import SEASON
from slipwright.records.selectors.trials import trials_in_order
from slipwright.records.services.door import make_code
from slipwright.records.tables.loading import load
from tests.databases import Database

NOW = datetime(2026, 11, 27, 9, 0, tzinfo=UTC)
SQLITE = pytest.mark.parametrize("database", ["sqlite"], indirect=True)
EXAMPLE = Path(__file__).parents[2] / "examples" / "saltmarsh-lane"


@cache
def tables() -> Tables:
    return demo_tables()


def test_it_is_the_same_every_time(tmp_path: Path) -> None:
    written = []
    for name in ("first", "second"):
        folder = tmp_path / name
        folder.mkdir()
        write_demo(folder)
        written.append({file.name: file.read_bytes() for file in folder.iterdir()})
    assert written[0] == written[1]
    assert len(written[0]) > 15


def test_it_is_as_large_as_a_busy_garden() -> None:
    rows = tables()
    assert 250 <= len(rows["batches"]) <= 350
    assert len(rows["plants"]) >= 40
    assert {row["taxon"].split()[0] for row in rows["taxa"]} == {
        "Rosa", "Lavandula", "Salvia", "Punica", "Ribes", "Hydrangea",
    }  # fmt: skip
    assert all(6 <= int(row["n_stuck"]) <= 60 for row in rows["batches"])


def test_no_record_lies_after_the_day_it_stands_at() -> None:
    for name, column in (("batches", "stuck_on"), ("looks", "on"), ("pottings", "on"), ("outcomes", "on")):
        assert max(row[column] for row in tables()[name]) < STANDS_ON.isoformat(), name
    observed = [row["on"] for row in tables()["weather"] if not row.get("made_on")]
    assert max(observed) < STANDS_ON.isoformat()


def test_most_batches_are_stuck_in_the_months_of_the_handbook_and_some_are_not() -> None:
    def in_season(on: date, seasons: list[tuple[tuple[int, int], tuple[int, int]]]) -> bool:
        day = (on.month, on.day)
        return any(a <= day <= b if a <= b else day >= a or day <= b for a, b in seasons)

    found = Counter(
        in_season(stuck.stuck_on, [(season.opens, season.closes) for season in stuck.leaf.seasons])
        for stuck in stickings()
    )
    assert 0.03 < found[False] / found.total() < 0.2


def test_no_plant_gives_more_shoots_in_a_season_than_its_own_share() -> None:
    may_go = {
        row["plant"]: math.floor(int(row["shoots_per_season"]) * Decimal(row["max_share_taken"]))
        for row in tables()["plants"]
        if row["max_share_taken"]
    }
    cut: dict[str, list[tuple[date, int]]] = {}
    for row in tables()["batches"]:
        cut.setdefault(row["plant"], []).append((date.fromisoformat(row["stuck_on"]), int(row["n_shoots"])))
    for plant, shoots in cut.items():
        for on, _ in shoots:
            of_season = sum(n for day, n in shoots if on - SEASON < day <= on)
            assert of_season <= may_go[plant], (plant, on)
    assert len(cut) > 30


def test_the_hormone_is_the_one_the_handbook_advises() -> None:
    for stuck in stickings():
        dose = stuck.leaf.doses[0]
        assert stuck.row["auxin"] == dose.auxin
        if dose.unit == "mg/kg":
            assert dose.low <= float(stuck.row["auxin_mg_per_kg"]) <= dose.high


def test_protected_plants_are_only_stuck_under_a_licence() -> None:
    taxa = {row["taxon"]: row for row in tables()["taxa"]}
    rights = {row["taxon"]: taxa[row["taxon"]]["rights"] for row in tables()["batches"]}
    assert {row["rights"] for row in taxa.values()} >= {"protected", "licensed"}
    assert "protected" not in rights.values()
    assert any(kind == "licensed" and taxa[name]["licence"] for name, kind in rights.items())


def test_codes_are_codes_and_all_different_in_their_first_four() -> None:
    codes = [row["batch"] for row in tables()["batches"]]
    assert all(is_code(code) for code in codes)
    assert len({code[:4] for code in codes}) == len(codes)


def test_its_weather_is_the_published_one() -> None:
    with (EXAMPLE / "weather.csv").open(encoding="utf-8", newline="") as lines:
        published = {row["on"]: row for row in csv.DictReader(lines)}
    observed = [row for row in tables()["weather"] if not row.get("made_on")]
    assert len(observed) > 1000
    assert all(row == published[row["on"]] for row in observed)


def test_the_years_of_its_plants_follow_the_warmth_of_its_weather() -> None:
    def first_flowers(plant: str) -> dict[int, date]:
        days = [
            date.fromisoformat(r["on"])
            for r in tables()["stages"]
            if (r["plant"], r["bbch"]) == (plant, "60")
        ]
        return {day.year: day for day in days}

    moved = []
    for plant in {row["plant"] for row in tables()["stages"]}:
        days = first_flowers(plant)
        if {2014, 2015} <= days.keys() and days[2014].month < 5:
            moved.append((days[2015] - days[2014].replace(year=2015)).days)
    # the winter of 2015 was more than two degrees warmer than the one before
    assert len(moved) >= 5
    assert sum(moved) / len(moved) < -4


def test_its_windows_rest_on_own_records_and_on_weather_with_a_gap() -> None:
    assert len(tables()["firmness"]) > 150
    assert {row["bbch"] for row in tables()["stages"]} >= {"7", "60", "61", "69", "91", "93"}
    observed = [row["on"] for row in tables()["weather"] if not row.get("made_on")]
    days = (date.fromisoformat(observed[-1]) - date.fromisoformat(observed[0])).days + 1
    assert days - len(observed) == 5


def test_wood_that_roots_badly_in_the_handbook_roots_badly_here() -> None:
    shares: dict[str, list[int]] = {}
    wood = {row["batch"]: row["wood"] for row in tables()["batches"] if row["stuck_on"] < "2014-12-31"}
    for row in tables()["batches"]:
        if row["batch"] in wood:
            shares.setdefault(row["wood"], [0, 0])[0] += int(row["n_stuck"])
    for look in tables()["looks"]:
        if look["batch"] in wood:
            shares[wood[look["batch"]]][1] += int(look.get("n_rooted", 0))
    assert all(0.4 < rooted / stuck < 0.85 for stuck, rooted in shares.values()), shares


@SQLITE
def test_it_fills_a_database_once_and_is_let_in_by_no_password(database: Database) -> None:
    assert demo_garden() is None
    garden = fill_demo(NOW)
    n_looks = Look.rows.of(garden).count()
    assert garden.garden == GARDEN
    assert garden_day(garden, NOW) == STANDS_ON == date(2015, 6, 12)
    assert demo_user().username == "orla"
    assert not demo_user().has_usable_password()
    assert Member.objects.get(garden=garden, user=demo_user()).role == "owner"
    roles = Counter(Member.objects.filter(garden=garden).values_list("role", flat=True))
    assert roles == {"owner": 1, "grower": 1, "volunteer": 2}
    Garden.objects.update(stands_on=date(2015, 7, 10))
    again = fill_demo(NOW)
    # its clock stays where somebody set it
    assert (again.pk, again.stands_on) == (garden.pk, date(2015, 7, 10))
    assert (Look.rows.of(garden).count(), User.objects.count()) == (n_looks, 1)


@SQLITE
def test_its_records_are_sound_and_the_round_asks_for_something_of_every_kind(database: Database) -> None:
    garden = fill_demo(NOW)
    assert selfcheck().ok
    acts = Counter(act.act for act in round_of(garden, load_handbook(), on=STANDS_ON).acts)
    assert set(acts) == {"cut", "look", "weigh", "shade", "pot_up", "give_up"}
    assert max(acts.values()) < 25, "a round nobody could walk"

    under_way = BatchState.rows.of(garden).filter(ended_on=None)
    assert 50 <= under_way.count() <= 75
    assert set(under_way.values_list("batch__wood", flat=True)) == {"softwood", "hardwood"}
    assert under_way.filter(n_looks=0).exists()
    assert under_way.filter(n_to_pot__gte=3).exists()
    assert under_way.filter(n_potted__gt=0, n_waiting__gt=0).exists()
    assert BatchState.rows.of(garden).exclude(flags="").count() == 1
    assert Withdrawal.rows.of(garden).count() == 1
    assert Plant.rows.of(garden).exclude(from_batch="").exists()


@SQLITE
def test_one_of_its_trials_was_judged_and_one_runs(database: Database) -> None:
    garden = fill_demo(NOW)
    running, judged = trials_now(garden, trials_in_order(garden), on=STANDS_ON)
    assert (judged.state, len(judged.counted), len(judged.pots)) == ("done", 20, 20)
    told = told_of(judged)
    assert told is not None
    assert told.verdict.kind in ("open", "likely"), "a trial that is not settled teaches most"
    assert (running.state, len(running.counted), len(running.pots)) == ("running", 0, 12)
    assert all(pot.pot.looks for pot in running.pots)
    assert judged.row.planned_at is not None
    assert judged.stuck_on is not None
    assert judged.row.planned_at.date() <= judged.stuck_on


@SQLITE
def test_a_database_with_a_real_garden_is_left_alone(database: Database, garden: Garden) -> None:
    with pytest.raises(Refused, match=f"garden.sqlite3 holds the garden {garden.name}, which is no demo"):
        fill_demo(NOW)
    assert Garden.objects.count() == 1
    assert not User.objects.exists()


@SQLITE
def test_a_file_in_which_somebody_signs_in_or_began_to_set_up_is_left_alone(database: Database) -> None:
    somebody = User.objects.create_user("orla", password="of her own, and long")
    with pytest.raises(Refused, match="sign-in name orla") as refused:
        fill_demo(NOW)
    assert any("remove it" in door for door in refused.value.doors)
    somebody.delete()
    make_code(purpose="set-up", now=NOW, minutes=5)
    with pytest.raises(Refused, match="a garden of your own"):
        fill_demo(NOW)
    assert not Garden.objects.exists()


@SQLITE
def test_what_was_half_made_is_brought_to_its_end(database: Database, tmp_path: Path) -> None:
    write_demo(tmp_path)
    for name in ("looks", "pottings", "outcomes", "withdrawals", "acts"):
        (tmp_path / f"{name}.csv").unlink()
    load(tmp_path, now=NOW)
    left_over = User(username="orla")
    left_over.set_unusable_password()
    left_over.save()
    assert demo_garden() is None
    garden = fill_demo(NOW)
    assert Look.rows.of(garden).count() == len(tables()["looks"])
    assert demo_user() == left_over
    assert selfcheck().ok


@SQLITE
def test_a_few_batches_of_pots_are_to_be_looked_at(database: Database) -> None:
    benches = growing_now(fill_demo(NOW), load_handbook(), on=STANDS_ON)
    due = [one for bench in benches for one in bench.due]
    assert 3 <= len(due) <= 12
    assert {one.coming[0].ready_as for one in due} == {"weaned", "finished"}
    assert sum(len(bench.later) for bench in benches) > 40
