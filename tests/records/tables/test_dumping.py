"""Dumping: what is written, in which order, and never half of it."""

from __future__ import annotations

import zipfile
from pathlib import Path
from typing import Any

import pytest
from django.db import transaction

from slipwright.outputs.tables import write_csv
from slipwright.records.columns import TABLES
from slipwright.records.models import Place
from slipwright.records.tables import dumping
from slipwright.records.tables.dumping import NotOurs, dump
from slipwright.records.tables.kept import PlainRows
from tests.databases import Database
from tests.records.tables.folders import SMALL, UUID, dumped, loaded, the_garden

ALL = {f"{table.name}.csv" for table in TABLES}


def _names(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir()}


def test_every_table_is_written_with_every_column(database: Database, tmp_path: Path) -> None:
    loaded(tmp_path / "in", SMALL)
    counts = dump(the_garden(), tmp_path / "out")
    assert _names(tmp_path / "out") == ALL
    assert counts == {table.name: 0 for table in TABLES} | {
        "garden": 1, "members": 2, "taxa": 1, "places": 2, "plants": 1, "batches": 2
    }  # fmt: skip
    for table in TABLES:
        header = (tmp_path / "out" / f"{table.name}.csv").read_text("utf-8").splitlines()[0]
        assert header == ",".join(table.names)
    text = (tmp_path / "out" / "batches.csv").read_text("utf-8")
    assert text.splitlines()[1].startswith("ROSE1,Rosa 'Lantern Keeper',,2026-10-20,16,semi-hardwood,")
    assert text.splitlines()[1].endswith(",stick-1")


def test_a_zip_is_flat_and_holds_the_same(database: Database, tmp_path: Path) -> None:
    loaded(tmp_path / "in", SMALL)
    dump(the_garden(), tmp_path / "garden.zip")
    with zipfile.ZipFile(tmp_path / "garden.zip") as archive:
        assert {name: archive.read(name) for name in archive.namelist()} == dumped(the_garden())
    assert _names(tmp_path) == {"in", "garden.zip"}


def test_rows_stand_by_their_keys_and_entries_as_they_were_received(
    database: Database, tmp_path: Path
) -> None:
    places = "place,kind\nß,shelf\nb,shelf\nB,shelf\né,shelf\na 1,shelf\na,shelf\nÅ,shelf\n"
    weather = "on,tmin_c,tmax_c,made_on\n2026-10-25,1,2,2026-10-24\n2026-10-25,1,2,\n2026-10-24,1,2,\n"
    looks = "batch,on,id\nROSE2,2026-11-09,z\nROSE1,2026-11-01,a\n"
    loaded(tmp_path, SMALL | {"places": places, "weather": weather, "looks": looks})
    out = {name: data.decode().splitlines()[1:] for name, data in dumped(the_garden()).items()}
    assert [line.split(",")[0] for line in out["places.csv"]] == ["B", "a", "a 1", "b", "Å", "ß", "é"]
    assert [line.split(",")[0] + line.split(",")[-1] for line in out["weather.csv"]] == [
        "2026-10-24", "2026-10-25", "2026-10-252026-10-24"
    ]  # fmt: skip
    assert [line.split(",")[-1] for line in out["looks.csv"]] == ["z", "a"]


def test_only_the_garden_asked_for_is_written(database: Database, tmp_path: Path) -> None:
    loaded(tmp_path, SMALL)
    loaded(tmp_path, {"garden": SMALL["garden"].replace(UUID, UUID.replace("7", "8"))})
    from slipwright.records.models import Garden

    out = dumped(Garden.objects.exclude(garden=UUID).get())
    assert [len(data.splitlines()) for name, data in out.items() if name != "garden.csv"] == [1] * (
        len(TABLES) - 1
    )


def test_cells_are_safe_and_numbers_plain(database: Database, tmp_path: Path) -> None:
    tables = SMALL | {
        "members": "member,role,shown_as\nwren,owner,=2+3\n",
        "weather": "on,tmin_c,tmax_c,rain_mm\n2026-10-25,-3.50,-0.0,2345.678900\n",
        "readings": "place,at,air_c\nBench 1,2026-10-25T10:00:00+05:45,-1\n",
    }
    loaded(tmp_path, tables)
    out = {name: data.decode() for name, data in dumped(the_garden()).items()}
    assert "wren,owner,'=2+3" in out["members.csv"]
    assert "2026-10-25,-3.5,0,,,,,2345.6789,," in out["weather.csv"]
    assert "Bench 1,2026-10-25T10:00:00+05:45,-1," in out["readings.csv"]


def test_an_earlier_dump_of_the_same_garden_is_replaced(database: Database, tmp_path: Path) -> None:
    loaded(tmp_path / "in", SMALL)
    for name in ("out", "out.zip"):
        dump(the_garden(), tmp_path / name)
    loaded(tmp_path / "in", {"places": "place,kind\nNew,shelf\n"})
    for name in ("out", "out.zip"):
        dump(the_garden(), tmp_path / name)
    assert "New,shelf" in (tmp_path / "out" / "places.csv").read_text("utf-8")
    with zipfile.ZipFile(tmp_path / "out.zip") as archive:
        assert b"New,shelf" in archive.read("places.csv")
    assert _names(tmp_path) == {"in", "out", "out.zip"}


def test_an_empty_folder_is_filled(database: Database, tmp_path: Path) -> None:
    loaded(tmp_path / "in", SMALL)
    (tmp_path / "out").mkdir()
    dump(the_garden(), tmp_path / "out")
    assert _names(tmp_path / "out") == ALL


def _other(tmp_path: Path, what: str) -> Path:
    """Make something at a target that is not a dump of this garden."""
    folder, file = tmp_path / "out", tmp_path / "out.zip"
    if what == "a folder with other things":
        folder.mkdir()
        (folder / "letter.txt").write_text("dear")
    elif what == "tables beside other things":
        dump(the_garden(), folder)
        (folder / ".keep").write_text("")
    elif what == "the dump of another garden":
        dump(the_garden(), folder)
        text = (folder / "garden.csv").read_text("utf-8")
        (folder / "garden.csv").write_text(text.replace("7d2b", "8d2b"), "utf-8")
    elif what == "tables without their garden":
        folder.mkdir()
        (folder / "looks.csv").write_text("batch,on\n")
    elif what == "another zip":
        with zipfile.ZipFile(file, "w") as archive:
            archive.writestr("letter.txt", "dear")
        return file
    else:
        file.write_text("no zip")
        return file
    return folder


@pytest.mark.parametrize(
    "what",
    [
        "a folder with other things",
        "tables beside other things",
        "the dump of another garden",
        "tables without their garden",
        "another zip",
        "a file that is no zip",
    ],
)
@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
def test_what_is_not_ours_is_left_alone(database: Database, tmp_path: Path, what: str) -> None:
    loaded(tmp_path / "in", SMALL)
    target = _other(tmp_path, what)
    before = {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()}
    with pytest.raises(NotOurs, match="nothing was written"):
        dump(the_garden(), target)
    assert {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()} == before


@pytest.mark.parametrize("name", ["out", "out.zip"])
def test_a_dump_that_fails_half_way_leaves_what_was_there(
    database: Database, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    loaded(tmp_path / "in", SMALL)
    dump(the_garden(), tmp_path / name)
    usual = write_csv

    def failing(columns: Any, rows: Any, text: Any) -> Any:
        if "batch" in columns:
            raise OSError(28, "No space left on device")
        return usual(columns, rows, text)

    before = {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()}
    monkeypatch.setattr(dumping, "write_csv", failing)
    with pytest.raises(OSError, match="No space left"):
        dump(the_garden(), tmp_path / name)
    assert {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()} == before
    assert _names(tmp_path) == {"in", name}


def test_a_dump_shows_one_moment(database: Database, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from threading import Thread

    from django.db import connections

    loaded(tmp_path / "in", SMALL)
    usual = PlainRows.read
    pending = [True]

    def quicker() -> None:
        Place.rows.create(garden=the_garden(), place="Quick", kind="shelf")
        connections["default"].close()

    def read(self: Any, rows: Any, chunk: int = 2000) -> Any:
        if self.table.name == "members" and pending.pop():
            thread = Thread(target=quicker)
            thread.start()
            thread.join()
            pending.append(False)
        yield from usual(self, rows, chunk)

    monkeypatch.setattr(PlainRows, "read", read)
    counts = dump(the_garden(), tmp_path / "out")
    assert Place.rows.filter(place="Quick").exists()
    assert counts["places"] == 2
    assert "Quick" not in (tmp_path / "out" / "places.csv").read_text("utf-8")


def test_a_dump_is_not_part_of_another_transaction(database: Database, tmp_path: Path) -> None:
    loaded(tmp_path / "in", SMALL)
    with transaction.atomic(), pytest.raises(RuntimeError, match="outside"):
        dump(the_garden(), tmp_path / "out")
