"""The copy into the garden: held only then, in one transaction, and again if somebody was quicker."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from django.db import connection

from slipwright.records.models import Garden, Look, Member, Place
from slipwright.records.services.reference import add_reference
from slipwright.records.states import differences
from slipwright.records.tables import copying, loading
from slipwright.records.tables.loading import LoadFailed, load
from slipwright.records.tables.scratch import Scratch, new_scratch
from tests.databases import Database
from tests.records.tables.folders import NOW, SMALL, UUID, loaded, n_rows, the_garden, written

LOOKS = "batch,on,n_rooted,id\n" + "".join(f"ROSE1,2026-11-{n:02d},1,look-{n}\n" for n in range(1, 11))


def test_rows_are_copied_in_slices_and_keep_their_order(
    database: Database, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(copying, "SLICE", 3)
    loaded(tmp_path, SMALL | {"looks": LOOKS})
    assert list(Look.rows.order_by("pk").values_list("number", flat=True)) == list(range(3, 13))
    assert list(Look.rows.order_by("number").values_list("on__day", flat=True)) == list(range(1, 11))


@contextmanager
def quicker(monkeypatch: pytest.MonkeyPatch, times: int, change: Any) -> Iterator[list[int]]:
    """Let somebody change the garden between the checks and the copy, so many times."""
    usual = copying.copy
    done: list[int] = []

    def copy(*arguments: Any, **options: Any) -> float:
        if len(done) < times:
            done.append(len(done))
            change(len(done))
        return usual(*arguments, **options)

    monkeypatch.setattr(loading, "copy", copy)
    yield done


def _add_place(n: int) -> None:
    garden = the_garden()
    owner = Member.objects.get(garden=garden, role="owner")
    add_reference(
        garden=garden, by=owner, now=NOW, table="places", row={"place": f"Quick {n}", "kind": "shelf"}
    )


@pytest.mark.parametrize("times", [1, 2])
def test_tables_are_checked_again_if_the_garden_was_changed_meanwhile(
    database: Database, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, times: int
) -> None:
    loaded(tmp_path, SMALL)
    with quicker(monkeypatch, times, _add_place):
        loaded(tmp_path, {"looks": LOOKS})
    assert Look.rows.count() == 10
    assert Place.rows.filter(place__startswith="Quick").count() == times


def test_a_row_that_somebody_else_added_meanwhile_is_then_a_known_one(
    database: Database, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    loaded(tmp_path, SMALL)
    with quicker(monkeypatch, 1, _add_place):
        loaded(tmp_path, {"places": "place,kind,cover\nQuick 1,frame,open\n"})
    place = Place.rows.get(place="Quick 1")
    assert (place.kind, place.cover) == ("frame", "open")


def test_three_times_is_enough(database: Database, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    loaded(tmp_path, SMALL)
    with (
        quicker(monkeypatch, 9, _add_place) as done,
        pytest.raises(LoadFailed, match=r"each of the 3 times.*nothing was written"),
    ):
        load(written(tmp_path, {"looks": LOOKS}), now=NOW)
    assert len(done) == 3
    assert Look.rows.count() == 0


@pytest.mark.parametrize("uuid", [UUID, ""])
def test_a_garden_that_was_made_meanwhile_is_not_made_twice(
    database: Database, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, uuid: str
) -> None:
    def make(n: int) -> None:
        Garden.objects.create(
            name="Saltmarsh Lane",
            latitude_deg=41,
            longitude_deg=-72,
            time_zone="UTC",
            **({"garden": uuid} if uuid else {}),
        )

    tables = SMALL | {"garden": SMALL["garden"].replace(UUID, uuid)}
    with quicker(monkeypatch, 1, make):
        loaded(tmp_path, tables)
    assert Garden.objects.count() == 1
    assert the_garden().time_zone == "America/New_York"


def test_what_breaks_a_constraint_writes_nothing_and_is_tried_again(
    database: Database, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    loaded(tmp_path, SMALL)
    before = n_rows()

    def unnoticed(n: int) -> None:
        Place.rows.create(garden=the_garden(), place="Shelf", kind="shelf")

    with quicker(monkeypatch, 1, unnoticed):
        report = loaded(tmp_path, {"places": "place,kind\nShelf,shelf\n", "looks": LOOKS})
    assert (report.tables["places"].unchanged, report.tables["looks"].accepted) == (1, 10)
    assert n_rows() == before | {"places": 3, "looks": 10}


@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
def test_a_full_disk_writes_nothing_and_says_so(database: Database, tmp_path: Path) -> None:
    loaded(tmp_path, SMALL)
    before = n_rows()
    many = "batch,on,note\n" + "".join(f"ROSE1,2026-11-01,{n} {'x' * 3000}\n" for n in range(200))
    with connection.cursor() as cursor:
        pages = cursor.execute("PRAGMA page_count").fetchone()[0]
        cursor.execute(f"PRAGMA max_page_count = {pages + 5}")
    with pytest.raises(LoadFailed, match=r"disk is full.*nothing was written"):
        load(written(tmp_path, {"looks": many}), now=NOW)
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA max_page_count = 1000000")
    assert n_rows() == before
    assert loaded(tmp_path, {"looks": many}).accepted == 200
    assert list(differences(the_garden())) == []


def test_a_full_disk_for_temporary_files_writes_nothing_and_says_so(
    database: Database, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    usual = Scratch.__init__

    def small(self: Scratch, file: Path) -> None:
        usual(self, file)
        self.db.execute("PRAGMA max_page_count = 60")

    monkeypatch.setattr(Scratch, "__init__", small)
    many = "batch,on,note\n" + "".join(f"ROSE1,2026-11-01,{n} {'x' * 3000}\n" for n in range(200))
    with pytest.raises(LoadFailed, match=r"temporary files \(TMPDIR\); nothing was written"):
        load(written(tmp_path, SMALL | {"looks": many}), now=NOW)
    assert set(n_rows().values()) == {0}


@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
def test_a_garden_held_by_somebody_else_is_left_alone(database: Database, tmp_path: Path) -> None:
    loaded(tmp_path, SMALL)
    assert database.file is not None
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA busy_timeout = 10")
    other = sqlite3.connect(database.file, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(LoadFailed, match=r"held by another program.*nothing was written"):
        load(written(tmp_path, {"looks": LOOKS}), now=NOW)
    other.close()
    assert loaded(tmp_path, {"looks": LOOKS}).accepted == 10


KILLED = """
import os, signal, sys
from datetime import UTC, datetime
from pathlib import Path
import django
django.setup()
from slipwright.records.tables import copying
from slipwright.records.tables.loading import load
copying.SLICE = 400
def progress(done, total, label):
    if label == sys.argv[2] and done >= total // 2:
        os.kill(os.getpid(), signal.SIGKILL)
load(Path(sys.argv[1]), now=datetime(2036, 1, 2, tzinfo=UTC), progress=progress)
"""


@pytest.mark.parametrize("step", ["checking looks.csv", "summing batches", "writing"])
def test_a_load_that_is_killed_half_way_writes_nothing(database: Database, tmp_path: Path, step: str) -> None:
    loaded(tmp_path / "small", SMALL)
    before, last = n_rows(), the_garden().last_number
    rows = "".join(f"ROSE1,2026-11-{n % 28 + 1:02d},0,\n" for n in range(6000))
    folder = written(tmp_path / "more", {"looks": "batch,on,n_rooted,note\n" + rows})
    (tmp_path / "tmp").mkdir()
    environment = {
        "DJANGO_SETTINGS_MODULE": "slipwright.config.settings",
        "SLIPWRIGHT_DATABASE_URL": database.url,
        "TMPDIR": str(tmp_path / "tmp"),
    }
    done = subprocess.run([sys.executable, "-c", KILLED, str(folder), step], env=environment, check=False)
    assert done.returncode == -9
    assert n_rows() == before
    assert the_garden().last_number == last
    assert loaded(tmp_path / "more", {"looks": "batch,on,n_rooted,note\n" + rows}).accepted == 6000
    assert list(differences(the_garden())) == []


def test_the_scratch_is_removed(database: Database, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "tmp"))
    (tmp_path / "tmp").mkdir()
    loaded(tmp_path / "small", SMALL)
    load(written(tmp_path / "small", {"looks": "batch,on\nROSE9,2026-11-01\n"}), now=NOW)
    assert list((tmp_path / "tmp").iterdir()) == []


def test_what_a_killed_load_left_is_cleared_away_after_a_day(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    for name, age in (("slipwright-load-old", 90_000), ("slipwright-load-new", 10), ("other", 90_000)):
        (tmp_path / name).mkdir()
        (tmp_path / name / "scratch.sqlite3").write_text("x")
        then = (tmp_path / name).stat().st_mtime - age
        os.utime(tmp_path / name, (then, then))
    with new_scratch():
        pass
    assert sorted(path.name for path in tmp_path.iterdir()) == ["other", "slipwright-load-new"]
