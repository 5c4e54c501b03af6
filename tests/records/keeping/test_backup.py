"""A backup is of one moment, is read again to its end, and appears whole or not at all."""

from __future__ import annotations

import errno
import hashlib
import os
import shutil
import stat
import threading
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.contrib.sessions.backends.db import SessionStore
from django.contrib.sessions.models import Session
from django.db import connection

from slipwright.records import services, states
from slipwright.records.errors import NotFound, NotWhole, Refused
from slipwright.records.keeping import backup as module
from slipwright.records.keeping import disk, postgres
from slipwright.records.keeping.backup import backup, verified
from slipwright.records.keeping.opening import opened_file
from slipwright.records.keeping.pictures import sha256_of
from slipwright.records.models import BatchState, Garden, Look, Member, OneTimeCode
from tests.databases import Database, at
from tests.records.making import every_kind_of_entry, stick

ON = date(2025, 10, 15)
SQLITE_ONLY = pytest.mark.parametrize("database", ["sqlite"], indirect=True)


def test_it_is_named_for_its_moment_and_says_what_it_is(
    garden: Garden, grower: Member, now: datetime, tmp_path: Path, database: Database
) -> None:
    every_kind_of_entry(garden, grower, now)
    (tmp_path / "copies").mkdir()
    made = backup(to=tmp_path / "copies", now=now)
    name = {"sqlite": "garden-{}.sqlite3", "postgresql": f"{database.url.rsplit('/', 1)[1]}-{{}}.dump"}
    assert made.file == tmp_path / "copies" / name[database.vendor].format("20251020-153000")
    assert made.n_entries == 13
    assert made.bytes == made.file.stat().st_size > 0
    assert made.sha256 == hashlib.sha256(made.file.read_bytes()).hexdigest()
    assert stat.S_IMODE(made.file.stat().st_mode) == 0o600
    assert os.listdir(made.file.parent) == [made.file.name]


@pytest.mark.parametrize("linked", [True, False])
def test_several_in_one_second_are_several_and_none_takes_anothers_name(
    garden: Garden,
    now: datetime,
    tmp_path: Path,
    database: Database,
    linked: bool,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def no_links(*_: object) -> None:
        raise OSError(errno.EPERM, "Operation not permitted")

    # another copy, of this garden or of its namesake, takes the name while it is thought to be free
    stem = "garden" if database.vendor == "sqlite" else database.url.rsplit("/", 1)[1]
    exists = Path.exists
    monkeypatch.setattr(Path, "exists", lambda path: not path.name.startswith(f"{stem}-2") and exists(path))
    if not linked:
        monkeypatch.setattr(os, "link", no_links)
    made = [backup(to=tmp_path, now=now) for _ in range(3)]
    assert [one.file.stem for one in made] == [f"{stem}-20251020-153000{end}" for end in ("", "-2", "-3")]
    assert [sha256_of(one.file) for one in made] == [one.sha256 for one in made]
    assert len(os.listdir(tmp_path)) == 3


@SQLITE_ONLY
def test_copies_of_two_gardens_tell_apart_in_one_folder(
    garden: Garden, now: datetime, tmp_path: Path, database: Database
) -> None:
    assert database.file is not None
    connection.close()
    shutil.copyfile(database.file, tmp_path / "allotment.sqlite3")
    (tmp_path / "copies").mkdir()
    with at(f"sqlite:///{tmp_path}/allotment.sqlite3"):
        assert backup(to=tmp_path / "copies", now=now).file.name == "allotment-20251020-153000.sqlite3"
    assert backup(to=tmp_path / "copies", now=now).file.name == "garden-20251020-153000.sqlite3"


@SQLITE_ONLY
def test_nobody_who_is_signed_in_is_in_a_copy(
    garden: Garden, now: datetime, tmp_path: Path, database: Database
) -> None:
    session = SessionStore()
    session["whose"] = "grower"
    session.save()
    code = services.make_code(purpose="set-up", now=now, minutes=60)
    assert code
    made = backup(to=tmp_path, now=now).file
    with opened_file(made) as alias:
        assert Session.objects.using(alias).count() == OneTimeCode.objects.using(alias).count() == 0
    assert str(session.session_key).encode() not in made.read_bytes()
    assert Session.objects.count() == OneTimeCode.objects.count() == 1


@SQLITE_ONLY
def test_it_lies_beside_the_garden_unless_told(garden: Garden, now: datetime, database: Database) -> None:
    assert database.file is not None
    made = backup(now=now)
    assert made.file.parent == database.file.parent / "backups"
    assert stat.S_IMODE(made.file.parent.stat().st_mode) == 0o700


def test_a_folder_that_is_not_there_is_not_made(garden: Garden, now: datetime, tmp_path: Path) -> None:
    """It may be a disk that is not plugged in."""
    with pytest.raises(NotFound, match=r"no folder .*/stick; make it first, or plug in"):
        backup(to=tmp_path / "stick", now=now)
    assert os.listdir(tmp_path) == []


@SQLITE_ONLY
def test_by_way_of_a_link_it_lies_beside_the_file_itself(
    garden: Garden, now: datetime, database: Database, tmp_path: Path
) -> None:
    assert database.file is not None
    (tmp_path / "linked.sqlite3").symlink_to(database.file)
    with at(f"sqlite:///{tmp_path}/linked.sqlite3"):
        assert backup(now=now).file.parent == database.file.parent / "backups"


@SQLITE_ONLY
def test_it_holds_what_still_lies_in_the_journal(
    garden: Garden, grower: Member, now: datetime, tmp_path: Path, database: Database
) -> None:
    assert database.file is not None
    connection.cursor().execute("PRAGMA wal_autocheckpoint=0")
    batch = stick(garden, grower, now)
    services.record_look(garden=garden, by=grower, now=now, batch=batch.batch, on=ON, n_rooted=3)
    assert database.file.with_name("garden.sqlite3-wal").stat().st_size > 0
    made = backup(to=tmp_path, now=now)
    with opened_file(made.file) as alias:
        assert Look.rows.using(alias).get().n_rooted == 3
        assert BatchState.rows.using(alias).get().n_rooted == 3
    assert os.listdir(tmp_path) == [made.file.name], "reading it leaves nothing beside it"


def test_a_damaged_garden_gives_no_backup(
    garden: Garden, grower: Member, now: datetime, tmp_path: Path
) -> None:
    every_kind_of_entry(garden, grower, now)
    BatchState.rows.update(n_rooted=19)
    with pytest.raises(NotWhole, match="n_rooted is kept as 19"):
        backup(to=tmp_path, now=now)
    assert os.listdir(tmp_path) == []


@SQLITE_ONLY
def test_without_room_nothing_is_begun(
    garden: Garden, now: datetime, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "room_at", lambda path: disk.Room(1000, 10_000))
    with pytest.raises(OSError, match="room for 1,000 bytes"):
        backup(to=tmp_path, now=now)
    assert os.listdir(tmp_path) == []


def test_killed_on_the_way_it_leaves_nothing_that_looks_whole(
    garden: Garden, now: datetime, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def killed(file: Path) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(module, "settle_on_disk", killed)
    with pytest.raises(KeyboardInterrupt):
        backup(to=tmp_path, now=now)
    assert os.listdir(tmp_path) == []


def test_a_damaged_garden_gives_a_copy_that_says_so_where_that_is_asked(
    garden: Garden, grower: Member, now: datetime, tmp_path: Path
) -> None:
    every_kind_of_entry(garden, grower, now)
    BatchState.rows.update(n_rooted=19)
    made = backup(to=tmp_path, now=now, even_damaged=True)
    assert "-damaged-20251020-153000" in made.file.name
    assert made.n_entries == 13
    assert "n_rooted is kept as 19" in made.damage[0]


def test_what_a_killed_drill_left_is_cleared_after_a_day(
    garden: Garden, now: datetime, tmp_path: Path
) -> None:
    old, young = tmp_path / "slipwright-drill-old", tmp_path / "slipwright-drill-young"
    for left, age in ((old, timedelta(days=2)), (young, timedelta(hours=1))):
        left.mkdir()
        (left / "garden.sqlite3").write_bytes(b"half")
        os.utime(left, (0, (now - age).timestamp()))
    made = backup(to=tmp_path, now=now)
    assert sorted(os.listdir(tmp_path)) == sorted([young.name, made.file.name])


@SQLITE_ONLY
def test_what_a_killed_one_left_is_cleared_after_a_day(garden: Garden, now: datetime, tmp_path: Path) -> None:
    old, young = tmp_path / ".unfinished-1.sqlite3", tmp_path / ".unfinished-2.sqlite3"
    for left, age in ((old, timedelta(days=2)), (young, timedelta(hours=1))):
        left.write_bytes(b"half")
        os.utime(left, (0, (now - age).timestamp()))
    made = backup(to=tmp_path, now=now)
    assert sorted(os.listdir(tmp_path)) == [young.name, made.file.name]


@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
def test_where_there_is_no_garden_there_is_no_backup(
    database: Database, now: datetime, tmp_path: Path
) -> None:
    with at(f"sqlite:///{tmp_path}/none.sqlite3"), pytest.raises(NotFound):
        backup(to=tmp_path, now=now)
    assert os.listdir(tmp_path) == []


def test_under_load_it_is_of_one_moment(
    garden: Garden, grower: Member, now: datetime, tmp_path: Path, database: Database
) -> None:
    batch = stick(garden, grower, now, n_stuck=10_000).batch
    stop, written = threading.Event(), []

    def walk() -> None:
        try:
            while not stop.is_set():
                look = services.record_look(garden=garden, by=grower, now=now, batch=batch, on=ON, n_rooted=1)
                written.append(look.number)
        finally:
            connection.close()

    walker = threading.Thread(target=walk)
    walker.start()
    try:
        while len(written) < 5:
            pass
        made = [backup(to=tmp_path, now=now) for _ in range(2)]
    finally:
        stop.set()
        walker.join()
    assert made[1].n_entries >= made[0].n_entries >= 6
    assert len(written) >= made[1].n_entries - 1
    if database.vendor == "sqlite":
        for copy in made:
            with opened_file(copy.file) as alias:
                other = Garden.objects.using(alias).get()
                numbers = sorted(Look.rows.using(alias).values_list("number", flat=True))
                assert numbers == list(range(2, other.last_number + 1)), "no look missing in between"
                assert not list(states.differences(other, using=alias))


@pytest.mark.parametrize("spoil", ["cut", "byte", "empty"])
@SQLITE_ONLY
def test_a_spoilt_copy_is_not_called_whole(
    garden: Garden, grower: Member, now: datetime, tmp_path: Path, spoil: str
) -> None:
    every_kind_of_entry(garden, grower, now)
    copy = backup(to=tmp_path, now=now).file
    content = bytearray(copy.read_bytes())
    if spoil == "cut":
        content = content[: len(content) // 2]
    elif spoil == "byte":
        content[content.index(b"wrong batch")] ^= 4
    else:
        content = bytearray()
    copy.write_bytes(content)
    with pytest.raises(NotWhole):
        verified(copy)


@pytest.mark.parametrize("database", ["postgresql"], indirect=True)
class TestOnPostgreSQL:
    """pg_dump and pg_restore do the copying."""

    def test_an_entry_that_was_changed_is_found_before_it_is_copied(
        self, garden: Garden, grower: Member, now: datetime, tmp_path: Path
    ) -> None:
        every_kind_of_entry(garden, grower, now)
        with connection.cursor() as cursor:
            cursor.execute("ALTER TABLE records_look DISABLE TRIGGER USER")
            cursor.execute("UPDATE records_look SET note = note || '!'")
            cursor.execute("ALTER TABLE records_look ENABLE TRIGGER USER")
        with pytest.raises(NotWhole, match="look"):
            backup(to=tmp_path, now=now)
        assert os.listdir(tmp_path) == []

    def test_nobody_else_reads_it_while_it_is_written(
        self, garden: Garden, now: datetime, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        modes: list[int] = []
        run = postgres._run

        def watched(command: list[str], env: dict[str, str]) -> str:
            modes.extend(stat.S_IMODE(file.stat().st_mode) for file in tmp_path.iterdir())
            return run(command, env)

        monkeypatch.setattr(postgres, "_run", watched)
        backup(to=tmp_path, now=now)
        assert set(modes) == {0o600}

    def test_a_garden_in_another_schema_is_one_too(
        self, garden: Garden, grower: Member, now: datetime, tmp_path: Path
    ) -> None:
        every_kind_of_entry(garden, grower, now)
        with connection.cursor() as cursor:
            cursor.execute("ALTER SCHEMA public RENAME TO growing")
            cursor.execute(f"ALTER DATABASE {connection.settings_dict['NAME']} SET search_path TO growing")
        connection.close()
        assert backup(to=tmp_path, now=now).n_entries == 13

    def test_a_missing_program_is_named(
        self, garden: Garden, now: datetime, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(shutil, "which", lambda name: None)
        with pytest.raises(Refused, match="pg_dump is not installed") as caught:
            backup(to=tmp_path, now=now)
        assert "postgresql-client" in caught.value.doors[0]
        assert os.listdir(tmp_path) == []

    def test_a_spoilt_dump_is_not_called_whole(self, garden: Garden, now: datetime, tmp_path: Path) -> None:
        copy = backup(to=tmp_path, now=now).file
        whole = copy.read_bytes()
        for spoilt in (whole[: len(whole) // 2], b"", b"no dump at all"):
            copy.write_bytes(spoilt)
            with pytest.raises(NotWhole):
                postgres.verify(copy)
        copy.write_bytes(whole)
        postgres.verify(copy)

    def test_another_database_is_no_garden(self, database: Any, tmp_path: Path, now: datetime) -> None:
        with connection.cursor() as cursor:
            cursor.execute("DROP TABLE records_look CASCADE")
            cursor.execute("SELECT pg_export_snapshot()")
        args, env, name = postgres._reach("default")
        postgres._run([postgres.program("pg_dump"), *args, "-Fc", f"--file={tmp_path}/x.dump", name], env)
        with pytest.raises(NotWhole, match="no rows of records_look"):
            postgres.verify(tmp_path / "x.dump")
