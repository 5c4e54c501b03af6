"""Entries: their ids, and what the garden has already."""

from __future__ import annotations

import uuid
from pathlib import Path

import pytest

from slipwright.records.contents import damaged
from slipwright.records.models import BatchState, Look, Reading, Sticking
from slipwright.records.tables import entries
from slipwright.records.tables.loading import load
from tests.databases import Database
from tests.records.tables.folders import NOW, SMALL, loaded, n_rows, the_garden, written

HEAD = "batch,on,n_lost,note,id\n"


def test_equal_rows_without_ids_are_told_apart_by_their_ordinal(database: Database, tmp_path: Path) -> None:
    rows = "ROSE1,2026-11-08,1,,\n"
    tables = SMALL | {"looks": HEAD + rows * 3 + "ROSE1,2026-11-09,1,,\n" + rows}
    loaded(tmp_path, tables)
    ids = list(Look.rows.order_by("number").values_list("entry_id", flat=True))
    assert len(set(ids)) == 5
    assert {uuid.UUID(entry_id).version for entry_id in ids} == {5}
    assert list(damaged(the_garden())) == []
    assert loaded(tmp_path, tables).tables["looks"].unchanged == 5


def test_fewer_equal_rows_are_the_first_of_them(database: Database, tmp_path: Path) -> None:
    rows = "ROSE1,2026-11-08,1,,\n"
    loaded(tmp_path, SMALL | {"looks": HEAD + rows * 3})
    assert loaded(tmp_path, SMALL | {"looks": HEAD + rows}).tables["looks"].unchanged == 1
    report = loaded(tmp_path, SMALL | {"looks": HEAD + rows * 4})
    assert (report.tables["looks"].unchanged, report.tables["looks"].accepted) == (3, 1)


def test_the_order_of_columns_and_empty_ones_make_no_other_entry(database: Database, tmp_path: Path) -> None:
    loaded(tmp_path, SMALL | {"looks": "batch,on,n_lost\nROSE1,2026-11-08,1\n"})
    report = loaded(tmp_path, SMALL | {"looks": "note,n_lost,on,batch\n,01,2026-11-08,ROSE1\n"})
    assert report.tables["looks"].unchanged == 1


def test_a_known_id_that_says_the_same_is_unchanged(database: Database, tmp_path: Path) -> None:
    loaded(tmp_path, SMALL | {"looks": HEAD + "ROSE1,2026-11-08,1,soft,any short text\n"})
    report = loaded(tmp_path, SMALL | {"looks": HEAD + "ROSE1,2026-11-08,1,soft,any short text\n"})
    assert (report.tables["looks"].accepted, report.tables["looks"].unchanged) == (0, 1)


@pytest.mark.parametrize(
    "row", ["ROSE1,2026-11-08,2,soft,a", "ROSE1,2026-11-08,1,,a", "ROSE2,2026-11-08,1,soft,a"]
)
def test_a_known_id_that_says_otherwise_is_a_bad_line(database: Database, tmp_path: Path, row: str) -> None:
    loaded(tmp_path, SMALL | {"looks": HEAD + "ROSE1,2026-11-08,1,soft,a\n"})
    before = n_rows()
    report = load(
        written(tmp_path, SMALL | {"looks": HEAD + "ROSE1,2026-11-09,0,,b\n" + row + "\n"}), now=NOW
    )
    assert [(bad.file, bad.line, bad.column, bad.value) for bad in report.rejected] == [
        ("looks.csv", 3, "id", "a")
    ]
    assert "entries are never changed" in report.rejected[0].rule
    assert n_rows() == before


def test_a_known_batch_code_with_other_content_is_a_bad_line(database: Database, tmp_path: Path) -> None:
    batches = "batch,taxon,stuck_on,n_stuck,wood\nROSE3,Rosa 'Lantern Keeper',2026-10-22,{},hardwood\n"
    loaded(tmp_path, SMALL)
    loaded(tmp_path, {"batches": batches.format(10)})
    assert loaded(tmp_path, {"batches": batches.format(10)}).tables["batches"].unchanged == 1
    report = load(written(tmp_path, {"batches": batches.format(11)}), now=NOW)
    bad = report.rejected[0]
    assert (bad.line, bad.column, bad.value) == (2, "batch", "ROSE3")
    assert Sticking.rows.get(batch="ROSE3").entry_id in bad.rule


def test_ids_are_unique_in_their_table_only(database: Database, tmp_path: Path) -> None:
    tables = SMALL | {
        "looks": HEAD + "ROSE1,2026-11-08,1,,same\n",
        "pottings": "batch,on,n_potted,id\nROSE1,2026-12-08,1,same\n",
    }
    loaded(tmp_path, tables)
    assert loaded(tmp_path, tables).accepted == 0


def test_a_row_equal_to_one_with_the_id_made_from_it_needs_its_own(
    database: Database, tmp_path: Path
) -> None:
    loaded(tmp_path, SMALL | {"looks": HEAD + "ROSE1,2026-11-08,1,,\n"})
    made = Look.rows.get().entry_id
    rows = f"ROSE1,2026-11-08,1,,{made}\nROSE1,2026-11-08,1,,\n"
    report = load(written(tmp_path, SMALL | {"looks": HEAD + rows}), now=NOW)
    assert [(bad.line, bad.column, bad.value) for bad in report.rejected] == [(3, "id", made)]
    assert "line 2 has it" in report.rejected[0].rule


def test_a_moment_keeps_its_offset(database: Database, tmp_path: Path) -> None:
    rows = "place,at,air_c\nBench 1,2026-10-24T23:30:00-04:00,17.5\nBench 1,2026-10-25T09:00:00+05:45,18\n"
    loaded(tmp_path, SMALL | {"readings": rows})
    found = Reading.rows.order_by("at").values_list("at__day", "at__hour", "at__minute", "at_offset_min")
    assert list(found) == [(25, 3, 15, 345), (25, 3, 30, -240)]
    assert list(damaged(the_garden())) == []
    other = rows.replace("2026-10-24T23:30:00-04:00", "2026-10-25T03:30:00Z")
    report = loaded(tmp_path, SMALL | {"readings": other})
    assert (report.tables["readings"].accepted, report.tables["readings"].unchanged) == (1, 1)


@pytest.mark.parametrize("year", [1, 202, 999, 1899, 2201])
def test_a_year_with_a_slip_in_it_never_reaches_the_database(
    database: Database, tmp_path: Path, year: int
) -> None:
    loaded(tmp_path, SMALL)
    before = n_rows()
    readings = f"place,at,air_c\nBench 1,{year:04}-04-01T12:00:00Z,17.5\n"
    looks = f"batch,on\nROSE1,{year:04}-04-01\n"
    report = load(written(tmp_path, {"readings": readings, "looks": looks}), now=NOW)
    assert [(bad.file, bad.rule) for bad in report.rejected] == [
        ("looks.csv", "must lie between 1900 and 2200"),
        ("readings.csv", "must lie between 1900 and 2200"),
    ]
    assert n_rows() == before


def test_the_first_moment_there_can_be_reads_back(database: Database, tmp_path: Path) -> None:
    loaded(tmp_path, SMALL | {"readings": "place,at,air_c\nBench 1,1900-01-01T00:00:00+14:00,17.5\n"})
    reading = Reading.rows.get()
    assert (reading.at.isoformat(), reading.at_offset_min) == ("1899-12-31T10:00:00+00:00", 840)
    assert list(damaged(the_garden())) == []


def test_a_moment_is_written_with_four_digits_of_its_year() -> None:
    assert entries._utc("0202-04-01T12:00:00+01:30") == ("0202-04-01 10:30:00", 90)


def test_a_look_may_follow_one_of_the_same_day_and_none_of_a_later(
    database: Database, tmp_path: Path
) -> None:
    loaded(tmp_path, SMALL | {"looks": "batch,on,id\nROSE1,2026-11-08,a\n"})
    loaded(tmp_path, {"looks": "batch,on,after,id\nROSE1,2026-11-08,a,b\n"})
    report = load(written(tmp_path, {"looks": "batch,on,after\nROSE1,2026-11-07,a\n"}), now=NOW)
    assert [(bad.column, bad.value) for bad in report.rejected] == [("after", "a")]
    assert report.rejected[0].rule.endswith("it is of 2026-11-08")


def test_a_look_may_follow_one_of_the_garden(database: Database, tmp_path: Path) -> None:
    loaded(tmp_path, SMALL | {"looks": "batch,on,id\nROSE1,2026-11-08,a\nROSE2,2026-11-08,b\n"})
    loaded(tmp_path, {"looks": "batch,on,after\nROSE1,2026-11-15,a\n"})
    assert Look.rows.exclude(after="").get().after == "a"
    report = load(written(tmp_path, {"looks": "batch,on,after\nROSE1,2026-11-15,b\n"}), now=NOW)
    assert [(bad.column, bad.value) for bad in report.rejected] == [("after", "b")]


def test_the_first_look_may_follow_the_batch_itself(database: Database, tmp_path: Path) -> None:
    batch = (
        "batch,taxon,stuck_on,n_stuck,wood,id\nROSE8,Rosa 'Lantern Keeper',2026-10-20,16,hardwood,stuck-8\n"
    )
    looks = "batch,on,after,n_rooted,id\nROSE8,2026-11-08,stuck-8,1,a\n"
    loaded(tmp_path, SMALL | {"batches": batch, "looks": looks})
    later = "batch,on,after,n_rooted,id\nROSE8,2026-11-09,stuck-8,4,b\n"
    loaded(tmp_path, {"looks": later})
    state = BatchState.rows.get(batch__batch="ROSE8")
    assert (state.n_rooted, state.flags) == (4, "two-looks-from-one")


def test_a_look_may_follow_one_further_down(database: Database, tmp_path: Path) -> None:
    looks = "batch,on,after,id\nROSE1,2026-11-15,a,\nROSE1,2026-11-08,,a\n"
    loaded(tmp_path, SMALL | {"looks": looks})
    assert Look.rows.count() == 2


@pytest.mark.parametrize(
    "about",
    [
        "ROSE1",
        "stick-1",
        "Gate rose",
        "Bench 1",
        "wren",
        "Rosa 'Lantern Keeper'",
        "7d2b61f4-6f0e-4c1b-8e57-2a9c41d7f0b3",
    ],
)
@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
def test_a_note_may_be_about_any_row_or_entry(database: Database, tmp_path: Path, about: str) -> None:
    notes = {"notes": f"about,at,text\n{about},2026-11-10T10:00:00Z,seen\n"}
    loaded(tmp_path, SMALL | notes)
    loaded(tmp_path / "later", {"notes": notes["notes"].replace("seen", "seen again")})


def test_an_act_and_a_stage_name_what_is_there(database: Database, tmp_path: Path) -> None:
    tables = SMALL | {
        "acts": "on,batch,place,plant,act,to_place\n2026-11-01,ROSE1,Bench 1,Gate rose,move,Cold frame\n",
        "stages": "plant,on,bbch\nGate rose,2026-06-01,65\n",
        "firmness": "plant,on,firmness_tip\nGate rose,2026-06-01,2\n",
        "beds": "place,at,seen\nBench 1,2026-06-01T10:00:00Z,leaves-dry\n",
        "outcomes": "batch,on,ready_as,fate,to\nROSE1,2027-06-01,established,given,a neighbour\n",
    }
    loaded(tmp_path, tables)
    assert list(damaged(the_garden())) == []
    assert loaded(tmp_path, tables).accepted == 0
