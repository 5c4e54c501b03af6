"""Bad tables of every kind: each names the file, line, column, value and rule, and writes nothing."""

# ruff: noqa: E501 (a case a line)

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from slipwright.records.tables.loading import load
from slipwright.records.tables.report import FIRST
from tests.databases import Templates
from tests.records.tables.folders import NOW, SMALL, UUID, n_rows, written


@pytest.fixture(scope="module", autouse=True)
def _one_empty_database(templates: Templates) -> Iterator[None]:
    # Nothing here is ever written, so one will do; what depends on the database is tested elsewhere.
    with templates.copy("sqlite"):
        yield


def _looks(
    cells: str, header: str = "batch,on,n_rooted,n_lost,cause,signs,after,by,note,id"
) -> dict[str, Any]:
    return {"looks": f"{header}\n{cells}\n"}


def _batch(column: str, cell: str) -> dict[str, Any]:
    header = f"batch,taxon,stuck_on,n_stuck,wood,{column}\n"
    return {"batches": f"{header}ROSE1,Rosa 'Lantern Keeper',2026-10-20,16,semi-hardwood,{cell}\n"}


_SAME = "Rosa 'Lantern Keeper',2026-10-20,16,hardwood"
STUCK_8 = {"batches": f"batch,taxon,stuck_on,n_stuck,wood,id\nROSE1,{_SAME},stuck-1\nROSE8,{_SAME},stuck-8\n"}


def _reading(at: str) -> dict[str, Any]:
    return {"readings": f"place,at,air_c\nBench 1,{at},17.5\n"}


#: name: tables over those of SMALL, then file, line, column, value and words of the rule
CELLS: dict[str, tuple[dict[str, Any], str, int, str, str, str]] = {
    "no date of the calendar": (
        _looks("ROSE1,2026-02-30,,,,,,,,"), "looks", 2, "on", "2026-02-30", "not a day of the calendar"),
    "a date in another order": (
        _looks("ROSE1,10/11/2026,,,,,,,,"), "looks", 2, "on", "10/11/2026", "must be a date such as"),
    "a date without hyphens": (
        _looks("ROSE1,20261110,,,,,,,,"), "looks", 2, "on", "20261110", "must be a date such as"),
    "a week for a date": (
        _looks("ROSE1,2026-W45-1,,,,,,,,"), "looks", 2, "on", "2026-W45-1", "must be a date such as"),
    "a date with a blank": (
        _looks("ROSE1, 2026-11-10,,,,,,,,"), "looks", 2, "on", " 2026-11-10", "take away the blanks"),
    "digits of another script": (
        _looks("ROSE1,२०२६-11-10,,,,,,,,"), "looks", 2, "on", "२०२६-11-10", "must be a date such as"),
    "a moment without offset": (
        _reading("2026-10-24T14:00:00"), "readings", 2, "at", "2026-10-24T14:00:00", "offset from UTC"),
    "a moment with parts of a second": (
        _reading("2026-10-24T14:00:00.5Z"), "readings", 2, "at", "2026-10-24T14:00:00.5Z", "whole seconds"),
    "a moment with a blank for T": (
        _reading("2026-10-24 14:00:00Z"), "readings", 2, "at", "2026-10-24 14:00:00Z", "must be a moment"),
    "no moment of the clock": (
        _reading("2026-10-24T25:00:00Z"), "readings", 2, "at", "2026-10-24T25:00:00Z", "calendar and clock"),
    "an offset beyond the earth": (
        _reading("2026-10-24T14:00:00+15:00"), "readings", 2, "at", "2026-10-24T14:00:00+15:00", "14 hours"),
    "a moment before the first": (
        _reading("0001-01-01T00:00:00+01:00"), "readings", 2, "at", "0001-01-01T00:00:00+01:00", "between 1900 and 2200"),
    "a year with a digit lost": (
        _looks("ROSE1,0202-11-10,,,,,,,,"), "looks", 2, "on", "0202-11-10", "between 1900 and 2200"),
    "a year of no garden's plans": (
        {"hours": "from_on,to_on,hours_per_week\n2026-09-01,2201-01-01,6\n"}, "hours", 2, "to_on", "2201-01-01", "between 1900 and 2200"),
    "a day to come": (_looks("ROSE1,2036-01-04,,,,,,,,"), "looks", 2, "on", "2036-01-04", "in the future"),
    "a moment to come": (
        _reading("2036-01-03T14:00:01+02:00"), "readings", 2, "at", "2036-01-03T14:00:01+02:00", "in the future"),
    "a day to come for a batch": (
        {"batches": SMALL["batches"].replace("2026-10-21", "2036-01-04")}, "batches", 3, "stuck_on", "2036-01-04", "in the future"),
    "an act on nothing": (
        {"acts": "on,act\n2026-11-10,water\n"}, "acts", 2, "act", "water", "to which batch, place or plant"),
    "a move to nowhere": (
        {"acts": "on,batch,act\n2026-11-10,ROSE1,move\n"}, "acts", 2, "to_place", "", "must be given for a move"),
    "a look after one of a later day": (
        _looks("ROSE1,2026-11-09,,,,,look-2,,,look-1\nROSE1,2026-11-10,,,,,,,,look-2"), "looks", 2, "after", "look-2", "it is of 2026-11-10"),
    "a fraction for a count": (
        _looks("ROSE1,2026-11-10,1.5,,,,,,,"), "looks", 2, "n_rooted", "1.5", "must be a whole number"),
    "a count below nothing": (
        _looks("ROSE1,2026-11-10,-1,,,,,,,"), "looks", 2, "n_rooted", "-1", "must be at least 0"),
    "a count beyond all": (
        _looks("ROSE1,2026-11-10,10000001,,,,,,,"), "looks", 2, "n_rooted", "10000001", "at most 10000000"),
    "a count with an exponent": (
        _looks("ROSE1,2026-11-10,1e2,,,,,,,"), "looks", 2, "n_rooted", "1e2", "without an exponent"),
    "a count in words": (
        _looks("ROSE1,2026-11-10,two,,,,,,,"), "looks", 2, "n_rooted", "two", "must be a whole number"),
    "a decimal comma": (_batch("length_mm", '"110,5"'), "batches", 2, "length_mm", "110,5", "as a point: 110.5"),
    "a number with an exponent": (_batch("length_mm", "1E2"), "batches", 2, "length_mm", "1E2", "exponent"),
    "a number without end": (_batch("length_mm", "inf"), "batches", 2, "length_mm", "inf", "must be a number"),
    "no number": (_batch("length_mm", "NaN"), "batches", 2, "length_mm", "NaN", "must be a number"),
    "too many digits before the point": (
        _batch("length_mm", "123456789"), "batches", 2, "length_mm", "123456789", "at most 8 digits before"),
    "too many digits after the point": (
        _batch("length_mm", "0.1234567"), "batches", 2, "length_mm", "0.1234567", "6 after the point"),
    "a number with a plus": (_batch("length_mm", "+5"), "batches", 2, "length_mm", "+5", "leave the plus out"),
    "a number with a printer's minus": (
        _batch("medium_temp_c", "−5"), "batches", 2, "medium_temp_c", "−5", "write the minus as -"),
    "a number that begins with its point": (
        _batch("length_mm", ".5"), "batches", 2, "length_mm", ".5", "must be a number"),
    "a share above one": (_batch("ripeness", "1.01"), "batches", 2, "ripeness", "1.01", "must be at most 1"),
    "a word of no list": (
        _looks("ROSE1,2026-11-10,,,eaten,,,,,"), "looks", 2, "cause", "eaten", "must be one of rot-from-base"),
    "a word nearly of the list": (
        _looks("ROSE1,2026-11-10,,,Rot from base,,,,,"), "looks", 2, "cause", "Rot from base", "is it rot-from-base?"),
    "a sign of no list": (
        _looks("ROSE1,2026-11-10,,,,new-leaf;fruit,,,,"), "looks", 2, "signs", "new-leaf;fruit", "must be some of"),
    "signs in another order": (
        _looks("ROSE1,2026-11-10,,,,callus;new-leaf,,,,"), "looks", 2, "signs", "callus;new-leaf", "in the order"),
    "a sign twice": (
        _looks("ROSE1,2026-11-10,,,,callus;callus,,,,"), "looks", 2, "signs", "callus;callus", "each sign once"),
    "a required cell empty": (_looks("ROSE1,,,,,,,,,"), "looks", 2, "on", "", "must be given"),
    "a required cell with a mark alone": (
        {"members": "member,role\n',owner\n"}, "members", 2, "member", "'", "must be given"),
    "too few cells": (_looks("ROSE1,2026-11-10"), "looks", 2, "", "2 cells", "must have 10 cells"),
    "too many cells": (_looks("ROSE1,2026-11-10,,,,,,,,,,"), "looks", 2, "", "12 cells", "must have 10 cells"),
    "an id too long": (
        _looks(f"ROSE1,2026-11-10,,,,,,,,{'x' * 101}"), "looks", 2, "id", "x" * 101, "no longer than 100"),
    "an id with a blank at its end": (
        _looks("ROSE1,2026-11-10,,,,,,,,look 1 "), "looks", 2, "id", "look 1 ", "no blanks at either end"),
    "an id with a control character": (
        _looks("ROSE1,2026-11-10,,,,,,,,look\x1b1"), "looks", 2, "id", "look\x1b1", "this has U+001B"),
    "a key with a blank at its front": (
        {"places": "place,kind\n\u00a0Bench 1,bench\n"}, "places", 2, "place", "\u00a0Bench 1", "no blanks"),
    "text too long": (
        {"members": f"member,role,shown_as\nwren,owner,{'é' * 201}\n"}, "members", 2, "shown_as", "é" * 201,
        "no longer than 200 characters; this has 201"),
    "a note too long": (
        _looks(f"ROSE1,2026-11-10,,,,,,,{'y' * 4001},"), "looks", 2, "note", "y" * 199 + "…", "no longer than 4000"),
    "a bell in a note": (
        _looks("ROSE1,2026-11-10,,,,,,,ring\x07,"), "looks", 2, "note", "ring\x07", "this has U+0007"),
    "a line break outside a note": (
        {"members": 'member,role,shown_as\nwren,owner,"Wr\nen"\n'}, "members", 2, "shown_as", "Wr\nen",
        "is a quotation mark left open?"),
    "a line break in a date": (
        _looks('ROSE1,"2026-11-10\n2026-11-11",,,,,,,,'), "looks", 2, "on", "2026-11-10\n2026-11-11",
        "is a quotation mark left open?"),
    "an unknown member": (
        _looks("ROSE1,2026-11-10,,,,,,gull,,"), "looks", 2, "by", "gull", "must be in members"),
    "an unknown batch": (
        _looks("ROSE9,2026-11-10,,,,,,,,"), "looks", 2, "batch", "ROSE9", "must be in batches"),
    "an unknown place": (_batch("place", "Bench 9"), "batches", 2, "place", "Bench 9", "must be in places"),
    "an unknown method": (_batch("method", "usual"), "batches", 2, "method", "usual", "must be in methods"),
    "an unknown batch before": (
        _batch("from_batch", "OLD"), "batches", 2, "from_batch", "OLD", "must be in batches"),
    "a plant from an unknown batch": (
        {"plants": "plant,taxon,from_batch\nGate rose,Rosa,OLD\n"}, "plants", 2, "from_batch", "OLD", "batches"),
    "a taxon that is no name": (
        {"plants": "plant,taxon\nGate rose,the old rose\n"}, "plants", 2, "taxon", "the old rose",
        "cannot be added by its name"),
    "a taxon in other quotation marks": (
        {"plants": "plant,taxon\nGate rose,Rosa ‘Lantern Keeper’\n"}, "plants", 2, "taxon", "Rosa ‘Lantern Keeper’",
        "by the ICNCP it is written Rosa 'Lantern Keeper'"),
    "a taxon in its own table that is no name": (
        {"taxa": "taxon\nrosa\n"}, "taxa", 2, "taxon", "rosa", "a genus begins with a capital"),
    "a look after no look": (
        _looks("ROSE1,2026-11-10,,,,,look-9,,,"), "looks", 2, "after", "look-9", "must be the id of a look"),
    "a look after itself": (
        _looks("ROSE1,2026-11-10,,,,,look-1,,,look-1"), "looks", 2, "after", "look-1", "another look than this"),
    "a look after one of another batch": (
        _looks("ROSE2,2026-11-09,,,,,,,,look-1\nROSE1,2026-11-10,,,,,look-1,,,"), "looks", 3, "after", "look-1",
        "this one is of ROSE2"),
    "a look after another batch": (
        STUCK_8 | _looks("ROSE1,2026-11-10,,,,,stuck-8,,,"), "looks", 2, "after", "stuck-8", "must be the id of a look or of"),
    "a look after its batch, before it was stuck": (
        STUCK_8 | _looks("ROSE8,2026-10-10,,,,,stuck-8,,,"), "looks", 2, "after", "stuck-8", "was stuck on 2026-10-20"),
    "a note about nothing": (
        {"notes": "about,at,text\nROSE9,2026-11-10T10:00:00Z,soft\n"}, "notes", 2, "about", "ROSE9",
        "must be the id of a row or an entry"),
    "an id twice": (
        _looks("ROSE1,2026-11-10,,,,,,,,a\nROSE1,2026-11-11,,,,,,,,a"), "looks", 3, "id", "a", "first on line 2"),
    "a batch twice": (
        {"batches": SMALL["batches"].replace("ROSE2", "ROSE1")}, "batches", 3, "batch", "ROSE1", "first on line 2"),
    "a row twice": (
        {"places": "place,kind\nBench 1,bench\nBench 1,frame\n"}, "places", 3, "place", "Bench 1", "first on line 2"),
    "a day's weather twice": (
        {"weather": "on,tmin_c,tmax_c\n2026-10-24,7,16\n2026-10-24,7,16\n"}, "weather", 3, "on", "2026-10-24",
        "first on line 2"),
    "a new row without what it needs": (
        {"places": "place,walk_order\nBench 1,1\n"}, "places", 2, "kind", "", "not in the garden yet"),
    "hours that end before they begin": (
        {"hours": "from_on,to_on,hours_per_week\n2026-11-30,2026-09-01,6\n"}, "hours", 2, "to_on", "2026-09-01",
        "must not lie before from_on"),
    "a day colder at its warmest": (
        {"weather": "on,tmin_c,tmax_c\n2026-10-24,-2,-10.5\n"}, "weather", 2, "tmax_c", "-10.5", "below tmin_c"),
    "parts without a number": (
        {"media": "medium,parts\nmix,perlite;vermiculite:1\n"}, "media", 2, "parts", "perlite;vermiculite:1",
        "such as perlite:1;vermiculite:1"),
    "an arm twice": (
        {"trials": "trial,question,arms,units_per_arm,n_per_unit,stop_rule\nt,q,a;a,1,1,s\n"}, "trials", 2, "arms",
        "a;a", "different names"),
    "no time zone": (
        {"garden": "name,latitude_deg,longitude_deg,time_zone\nSaltmarsh Lane,41,-72.4,Somewhere/Else\n"}, "garden", 2, "time_zone",
        "Somewhere/Else", "must be an IANA time zone"),
    "a path for a time zone": (
        {"garden": "name,latitude_deg,longitude_deg,time_zone\nSaltmarsh Lane,41,-72.4,../../etc/passwd\n"}, "garden", 2, "time_zone",
        "../../etc/passwd", "must be an IANA time zone"),
    "no UUID": (
        {"garden": SMALL["garden"].replace(UUID, "7d2b61f4")}, "garden", 2, "garden", "7d2b61f4", "must be a UUID"),
    "a UUID in braces": (
        {"garden": SMALL["garden"].replace(UUID, f"{{{UUID}}}")}, "garden", 2, "garden", f"{{{UUID}}}", "a UUID"),
    "two gardens": (
        {"garden": SMALL["garden"] + "name,41,-72,UTC\n".replace("name", ",name")}, "garden", 3, "", "", "must have one row"),
    "a new garden without a place": (
        {"garden": "name\nSaltmarsh Lane\n"}, "garden", 2, "latitude_deg", "", "for a new garden"),
}  # fmt: skip


@pytest.mark.parametrize("case", CELLS)
def test_a_bad_cell_is_named_and_nothing_written(case: str, tmp_path: Path) -> None:
    tables, name, line, column, value, rule = CELLS[case]
    report = load(written(tmp_path, SMALL | tables), now=NOW)
    bad = report.rejected[0]
    shown = value if len(value) <= 200 else value[:199] + "…"
    assert (bad.file, bad.line, bad.column) == (f"{name}.csv", line, column)
    assert bad.value == shown
    assert rule in bad.rule
    assert report.n_rejected == 1
    assert report.accepted == report.unchanged == 0
    assert set(n_rows().values()) == {0}


HEADERS: dict[str, tuple[str, str, str, str]] = {
    "an unknown column": ("batch,on,hue\n", "hue", "", "there is no such column in looks"),
    "a column in capitals": ("Batch,on\n", "Batch", "", "is it batch?"),
    "a column with a blank": ("batch, on\n", " on", "", "is it on?"),
    "a column twice": ("batch,on,on\n", "on", "", "stands twice in the header"),
    "a required column missing": ("batch,note\n", "on", "", "the column must be there"),
    "a column without a name": ("batch,on,\n", "", "", "column 3 has no name"),
    "semicolons": ("batch;on\n", "", "batch;on", "parted by semicolons"),
    "tabs": ("batch\ton\n", "", "batch\ton", "parted by tabs"),
    "nothing at all": ("", "", "", "is empty: the first line must name the columns"),
    "a quotation mark left open": ('"batch,on\n', "", "", "opened and never closed"),
}


def test_looks_that_follow_each_other_in_a_ring_are_all_named(tmp_path: Path) -> None:
    rows = [("a", "c"), ("b", "a"), ("c", "b"), ("d", "a"), ("e", "d"), ("f", "g"), ("g", "f"), ("h", "")]
    cells = "\n".join(f"ROSE1,2026-11-10,,,,,{after},,,{look}" for look, after in rows)
    report = load(written(tmp_path, SMALL | _looks(cells)), now=NOW)
    assert [(bad.line, bad.value) for bad in report.rejected] == [
        (2, "c"), (3, "a"), (4, "b"), (7, "g"), (8, "f")
    ]  # fmt: skip
    assert {bad.rule for bad in report.rejected} == {"must not follow this look, through others, in turn"}


@pytest.mark.parametrize("case", HEADERS)
def test_a_bad_header_is_named(case: str, tmp_path: Path) -> None:
    header, column, value, rule = HEADERS[case]
    report = load(written(tmp_path, SMALL | {"looks": header}), now=NOW)
    bad = next(bad for bad in report.rejected if rule in bad.rule)
    assert (bad.file, bad.line, bad.column, bad.value) == ("looks.csv", 1, column, value)
    assert report.n_rejected == 1


def test_a_key_column_is_needed_but_no_other_of_a_reference_table(tmp_path: Path) -> None:
    report = load(written(tmp_path, SMALL | {"places": "kind\nbench\n"}), now=NOW)
    assert [(bad.column, bad.rule) for bad in report.rejected] == [("place", "the column must be there")]


def test_every_fault_of_a_line_is_told_and_the_line_counted_once(tmp_path: Path) -> None:
    report = load(written(tmp_path, SMALL | _looks("ROSE1,tomorrow,-1,,,,,gull,,")), now=NOW)
    assert report.n_rejected == report.tables["looks"].rejected == 1
    assert [bad.column for bad in report.rejected] == ["on", "n_rooted"]


def test_two_unknown_references_on_a_line_count_once(tmp_path: Path) -> None:
    report = load(written(tmp_path, SMALL | _looks("ROSE9,2026-11-10,,,,,,gull,,")), now=NOW)
    assert report.n_rejected == 1
    assert [bad.column for bad in report.rejected] == ["batch", "by"]


def test_a_bad_batch_is_not_told_again_by_its_looks(tmp_path: Path) -> None:
    batches = SMALL["batches"].replace(",16,", ",none,")
    report = load(
        written(tmp_path, SMALL | {"batches": batches} | _looks("ROSE1,2026-11-10,,,,,,,,")), now=NOW
    )
    assert [(bad.file, bad.line, bad.column) for bad in report.rejected] == [("batches.csv", 2, "n_stuck")]


def test_the_line_is_the_one_a_row_begins_on(tmp_path: Path) -> None:
    cells = (
        'ROSE1,2026-11-10,,,,,,,"one\ntwo\nthree",\n\nROSE1,2026-11-11,,,,,,,"one\ntwo",\nROSE1,no,,,,,,,,'
    )
    report = load(written(tmp_path, SMALL | _looks(cells)), now=NOW)
    assert [(bad.line, bad.value) for bad in report.rejected] == [(8, "no")]


def test_the_first_thousand_are_told_and_all_counted(tmp_path: Path) -> None:
    cells = "\n".join("ROSE1,2026-13-01,,,,,,,," for _ in range(FIRST + 500))
    report = load(written(tmp_path, SMALL | _looks(cells)), now=NOW)
    assert (len(report.rejected), report.n_rejected) == (FIRST, FIRST + 500)
    assert report.tables["looks"].rows == FIRST + 500


def test_a_stray_quotation_mark_does_not_swallow_rows_in_silence(tmp_path: Path) -> None:
    rows = "\n".join(
        f"ROSE1,2026-11-{day:02d},,,,,,,{chr(34) if day == 3 else ''}soft," for day in range(1, 29)
    )
    report = load(written(tmp_path, SMALL | _looks(rows)), now=NOW)
    assert report.n_rejected == 1
    assert (report.rejected[0].line, report.rejected[0].column) == (4, "")
    assert "opened and never closed" in report.rejected[0].rule


def test_a_note_that_takes_in_a_row_is_remarked_and_one_of_two_lines_is_not(tmp_path: Path) -> None:
    two_lines = 'ROSE1,2026-11-01,,,,,,,"soft, and wet\nbelow",'
    takes_in = 'ROSE1,2026-11-02,,,,,,,"soft\nROSE1,2026-11-03,,,,,,,firm",'
    report = load(written(tmp_path, SMALL | _looks(f"{two_lines}\n{takes_in}\nbad,x,,,,,,,,")), now=NOW)
    told = [(one.file, one.line, one.column) for one in report.warnings if "reads like a row" in one.rule]
    assert told == [("looks.csv", 4, "note")]


def test_a_quotation_mark_within_a_cell_is_named_and_the_rest_read_on(tmp_path: Path) -> None:
    rows = 'ROSE1,2026-11-01,,,,,,,"2" pots",\nROSE1,2026-11-02,,,,,,,,\nROSE1,x,,,,,,,,'
    report = load(written(tmp_path, SMALL | _looks(rows)), now=NOW)
    assert [(bad.line, bad.column) for bad in report.rejected] == [(2, ""), (4, "on")]
    assert "write it twice" in report.rejected[0].rule


def test_the_report_is_plain_data_by_its_contract(tmp_path: Path) -> None:
    report = load(written(tmp_path, SMALL | _looks("ROSE1,2026-02-30,,,,,,,,")), now=NOW).as_json()
    assert report["rejected"] == [
        {
            "file": "looks.csv",
            "line": 2,
            "column": "on",
            "value": "2026-02-30",
            "rule": "is not a day of the calendar",
        }
    ]
    assert (report["accepted"], report["unchanged"], report["n_rejected"], report["n_warnings"]) == (
        0,
        0,
        1,
        0,
    )
    assert report["warnings"] == []
    assert report["tables"]["looks"] == {"rows": 1, "accepted": 0, "unchanged": 0, "rejected": 1, "added": 0}
