"""A restore swaps a checked copy in, keeps what was there, and never touches a garden in use."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from datetime import datetime
from pathlib import Path
from typing import Any

import psycopg
import pytest
from django.contrib.sessions.backends.db import SessionStore
from django.contrib.sessions.models import Session
from django.core.management import call_command
from django.db import connection, connections
from django.test import override_settings

from slipwright.records import services
from slipwright.records.errors import InUse, NewerSchema, NotFound, NotWhole, Refused
from slipwright.records.keeping import disk, pictures, schema
from slipwright.records.keeping.backup import backup
from slipwright.records.keeping.opening import opened, opened_file, told_garden
from slipwright.records.keeping.restore import drill, restore
from slipwright.records.keeping.selfcheck import selfcheck
from slipwright.records.keeping.sqlite_build import sqlite
from slipwright.records.models import Garden, Look, Member, Sticking
from tests.databases import POSTGRES_URL, Database, administer, at
from tests.records.conftest import small_garden
from tests.records.making import every_kind_of_entry, stick
from tests.records.pictures import drawn

SQLITE_ONLY = pytest.mark.parametrize("database", ["sqlite"], indirect=True)


@pytest.fixture
def copy(garden: Garden, grower: Member, now: datetime, tmp_path: Path) -> Path:
    """Give a backup of a garden with one entry of each kind."""
    every_kind_of_entry(garden, grower, now, picture=drawn())
    (tmp_path / "copies").mkdir()
    return backup(to=tmp_path / "copies", now=now).file


def test_the_copy_takes_the_place_and_what_was_there_is_kept(
    copy: Path, garden: Garden, grower: Member, now: datetime, database: Database
) -> None:
    later = stick(garden, grower, now)
    assert Sticking.rows.count() == 2
    done = restore(copy, now=now)
    assert done.n_entries == 13
    assert Sticking.rows.count() == 1
    assert selfcheck().ok
    assert done.kept_as is not None
    if database.vendor == "sqlite":
        assert database.file is not None
        assert done.garden_file == str(database.file)
        assert Path(done.kept_as).name == "garden-before-restore-20251020-153000.sqlite3"
        kept = opened_file(Path(done.kept_as))
    else:
        kept = opened(dict(connections["default"].settings_dict) | {"NAME": done.kept_as})
    with kept as alias:
        assert Sticking.rows.using(alias).filter(batch=later.batch).exists()
        assert Sticking.rows.using(alias).count() == 2
    if database.vendor == "postgresql":
        drop(done.kept_as)


def test_one_garden_is_put_over_another_only_where_it_is_meant_so(
    copy: Path, garden: Garden, now: datetime, database: Database, templates: Any
) -> None:
    with templates.copy(database.vendor):
        small_garden("Tern Point")
        with pytest.raises(Refused, match=r"(?s)holds Tern Point, and the copy holds .*--replace-other"):
            restore(copy, now=now)
        assert Garden.objects.get().name == "Tern Point"
        kept_as = restore(copy, now=now, replace_other=True).kept_as
        assert Garden.objects.get().name != "Tern Point"
    assert kept_as is not None
    if database.vendor == "postgresql":
        drop(kept_as)


@SQLITE_ONLY
def test_what_is_printed_names_a_garden_that_is_not_the_usual_one(garden: Garden, database: Database) -> None:
    assert told_garden() == f" --garden {database.file}"
    with override_settings(USUAL_GARDEN=str(database.file)):
        assert told_garden() == ""


def drop(name: str) -> None:
    administer(f'DROP DATABASE "{name}" WITH (FORCE)')


def test_recording_goes_on_after_a_restore(
    copy: Path, garden: Garden, grower: Member, now: datetime, database: Database
) -> None:
    done = restore(copy, now=now)
    stick(Garden.objects.get(), Member.objects.get(member="grower"), now)
    assert Sticking.rows.count() == 2
    assert Garden.objects.get().last_number == 14
    if database.vendor == "postgresql":
        assert done.kept_as is not None
        drop(done.kept_as)


def test_a_restore_signs_everybody_out(copy: Path, now: datetime, database: Database) -> None:
    """One of a copy that was made before copies left that out, too."""
    SessionStore().save()
    if database.vendor == "sqlite":
        with closing(sqlite.connect(str(copy))) as older, older:
            older.execute("INSERT INTO django_session VALUES ('key', 'data', '2099-01-01')")
    done = restore(copy, now=now)
    assert Session.objects.count() == 0
    if database.vendor == "postgresql":
        assert done.kept_as is not None
        drop(done.kept_as)


@SQLITE_ONLY
def test_on_a_fresh_machine_there_is_nothing_to_keep(copy: Path, now: datetime, tmp_path: Path) -> None:
    fresh = tmp_path / "fresh" / "garden.sqlite3"
    with at(f"sqlite:///{fresh}"):
        done = restore(copy, now=now)
        assert (done.kept_as, done.n_entries) == (None, 13)
        assert Look.rows.count() == 1
        assert selfcheck().ok
    assert names(fresh.parent) == ["garden.sqlite3"]


def test_pictures_come_back_with_the_copy_and_none_is_taken_away(
    copy: Path, garden: Garden, grower: Member, now: datetime, database: Database
) -> None:
    folder = pictures.folder_of(garden.garden)
    (lost,) = folder.glob("*.jpg")
    lost.unlink()
    later = services.receive_photo(
        garden=garden, by=grower, now=now, about="rose-gate", at=now, sent=drawn(size=(20, 20))
    )
    done = restore(copy, now=now)
    assert (done.n_pictures, done.bad_pictures) == (1, ())
    assert pictures.fault_of(lost) is None
    assert (folder / later.file).exists()
    assert selfcheck().ok
    if database.vendor == "postgresql":
        assert done.kept_as is not None
        drop(done.kept_as)


def test_a_drill_puts_a_copy_back_elsewhere_and_leaves_no_trace(
    copy: Path, garden: Garden, grower: Member, now: datetime, database: Database
) -> None:
    later = stick(garden, grower, now)
    before = names(copy.parent)
    assert drill(copy) == 13
    assert names(copy.parent) == before
    assert Sticking.rows.filter(batch=later.batch).exists(), "the garden was not touched"
    if database.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT count(*) FROM pg_database WHERE datname LIKE '%_drill_%'")
            assert cursor.fetchone() == (0,)


def test_a_drill_finds_a_copy_that_cannot_be_put_back(copy: Path, garden: Garden) -> None:
    copy.write_bytes(copy.read_bytes()[: copy.stat().st_size // 2])
    with pytest.raises(NotWhole):
        drill(copy)


def names(folder: Path) -> list[str]:
    return sorted(name for name in os.listdir(folder) if not name.endswith(("-wal", "-shm", "photos")))


AS_ROOT = pytest.mark.skipif(os.name == "nt" or os.geteuid() != 0, reason="only root gives files away")
#: An owner and a group that need not exist.
NOBODY, NOGROUP = 65534, 65533


@SQLITE_ONLY
@AS_ROOT
def test_who_owned_the_garden_still_does(copy: Path, now: datetime, database: Database) -> None:
    assert database.file is not None
    connection.close()
    os.chown(database.file, NOBODY, NOGROUP)
    database.file.chmod(0o640)
    done = restore(copy, now=now)
    for file in (database.file, Path(str(done.kept_as))):
        found = file.stat()
        assert (found.st_uid, found.st_gid, stat.S_IMODE(found.st_mode)) == (NOBODY, NOGROUP, 0o640)


@SQLITE_ONLY
@AS_ROOT
def test_a_first_garden_belongs_to_who_owns_the_folder(copy: Path, now: datetime, tmp_path: Path) -> None:
    fresh = tmp_path / "fresh" / "garden.sqlite3"
    fresh.parent.mkdir()
    os.chown(fresh.parent, NOBODY, NOGROUP)
    with at(f"sqlite:///{fresh}"):
        restore(copy, now=now)
    found = fresh.stat()
    assert (found.st_uid, found.st_gid, stat.S_IMODE(found.st_mode)) == (NOBODY, NOGROUP, 0o600)


@SQLITE_ONLY
def test_who_may_not_give_files_away_restores_all_the_same(
    copy: Path, now: datetime, database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(file: Path, owner: int, group: int) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "chown", refused)
    assert restore(copy, now=now).n_entries == 13


@SQLITE_ONLY
def test_a_link_to_the_garden_stays_a_link(
    copy: Path, garden: Garden, grower: Member, now: datetime, database: Database, tmp_path: Path
) -> None:
    assert database.file is not None
    stick(garden, grower, now)
    connection.close()
    linked = tmp_path / "elsewhere" / "linked.sqlite3"
    linked.parent.mkdir()
    linked.symlink_to(database.file)
    with at(f"sqlite:///{linked}"):
        done = restore(copy, now=now)
    assert linked.is_symlink()
    assert done.garden_file == str(database.file)
    assert Path(str(done.kept_as)).parent == database.file.parent
    assert os.listdir(linked.parent) == [linked.name]
    assert Sticking.rows.count() == 1


@SQLITE_ONLY
def test_nothing_is_put_on_a_network_drive(
    copy: Path, now: datetime, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(disk, "file_system_of", lambda path, mounts=None: "nfs4")
    fresh = tmp_path / "fresh" / "garden.sqlite3"
    with at(f"sqlite:///{fresh}"), pytest.raises(ValueError, match=r"network drive \(nfs4\)"):
        restore(copy, now=now)
    assert not fresh.parent.exists()


@SQLITE_ONLY
def test_a_copy_made_by_hand_is_read_without_leaving_a_trace(
    copy: Path, garden: Garden, now: datetime, database: Database, tmp_path: Path
) -> None:
    assert database.file is not None
    connection.cursor().execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    by_hand = tmp_path / "stick" / "my garden.sqlite3"
    by_hand.parent.mkdir()
    by_hand.write_bytes(database.file.read_bytes())
    by_hand.parent.chmod(0o555)
    try:
        assert restore(by_hand, now=now).n_entries == 13
        assert os.listdir(by_hand.parent) == [by_hand.name]
    finally:
        by_hand.parent.chmod(0o755)


@SQLITE_ONLY
def test_a_journal_left_without_its_file_is_moved_out_of_the_way(
    copy: Path, now: datetime, tmp_path: Path
) -> None:
    fresh = tmp_path / "fresh" / "garden.sqlite3"
    fresh.parent.mkdir()
    fresh.with_name("garden.sqlite3-wal").write_bytes(b"from another garden")
    with at(f"sqlite:///{fresh}"):
        restore(copy, now=now)
        assert selfcheck().ok
    left = fresh.with_name("garden-before-restore-20251020-153000.sqlite3-wal")
    assert left.read_bytes() == b"from another garden"


IN_ANOTHER_PROCESS = """
import sys
try:
    import pysqlite3 as sqlite3
except ImportError:
    import sqlite3
connection = sqlite3.connect(sys.argv[1])
connection.execute("SELECT count(*) FROM records_garden").fetchone()
print("open", flush=True)
sys.stdin.readline()
"""


@SQLITE_ONLY
def test_a_garden_that_is_open_elsewhere_is_left_alone(copy: Path, now: datetime, database: Database) -> None:
    assert database.file is not None
    command = [sys.executable, "-c", IN_ANOTHER_PROCESS, str(database.file)]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as other:
        assert other.stdout is not None
        assert other.stdout.readline() == "open\n"
        with pytest.raises(InUse, match="open in another program"):
            restore(copy, now=now)
        other.communicate("\n")
    assert Sticking.rows.count() == 1
    assert names(database.file.parent) == ["garden.sqlite3"]
    assert restore(copy, now=now).kept_as


@SQLITE_ONLY
def test_one_that_is_open_in_this_process_is_left_alone(
    copy: Path, now: datetime, database: Database
) -> None:
    with closing(sqlite.connect(str(database.file))) as other:
        other.execute("SELECT count(*) FROM records_garden").fetchone()
        with pytest.raises(InUse):
            restore(copy, now=now)


@SQLITE_ONLY
def test_when_the_swap_fails_the_garden_stays(
    copy: Path,
    garden: Garden,
    grower: Member,
    now: datetime,
    database: Database,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    assert database.file is not None
    later = stick(garden, grower, now)

    def full(made: Path, place: Path) -> None:
        raise OSError("no room left on the device")

    monkeypatch.setattr(os, "replace", full)
    with pytest.raises(OSError, match="no room"):
        restore(copy, now=now)
    assert Sticking.rows.filter(batch=later.batch).exists()
    assert selfcheck().ok
    assert names(database.file.parent) == ["garden.sqlite3"]


@SQLITE_ONLY
@pytest.mark.parametrize("damage", ["head", "middle", "no database"])
def test_a_damaged_garden_is_put_aside_with_its_journal(
    copy: Path, garden: Garden, grower: Member, now: datetime, database: Database, damage: str
) -> None:
    assert database.file is not None
    connection.close()
    content = bytearray(database.file.read_bytes())
    if damage == "head":
        content[100:200] = bytes(100)
    elif damage == "middle":
        content[len(content) // 2 :] = bytes(len(content) - len(content) // 2)
    else:
        content = bytearray(b"gone")
    database.file.write_bytes(content)
    wal = database.file.with_name("garden.sqlite3-wal")
    wal.write_bytes(b"what was not yet in the file")
    done = restore(copy, now=now)
    assert done.kept_as is not None
    assert selfcheck().ok
    assert Sticking.rows.count() == 1
    assert len(Path(done.kept_as).read_bytes()) == len(content)


@SQLITE_ONLY
def test_a_damaged_copy_changes_nothing(copy: Path, now: datetime, database: Database) -> None:
    assert database.file is not None
    content = bytearray(copy.read_bytes())
    content[content.index(b"wrong batch")] ^= 4
    spoilt = copy.with_name("spoilt.sqlite3")
    spoilt.write_bytes(content)
    with pytest.raises(NotWhole, match="withdrawals"):
        restore(spoilt, now=now)
    assert names(database.file.parent) == ["garden.sqlite3"]


def test_what_is_no_copy_changes_nothing(
    copy: Path, now: datetime, tmp_path: Path, database: Database
) -> None:
    text, empty = tmp_path / "notes.txt", tmp_path / "empty"
    text.write_text("my garden " * 400)
    empty.touch()
    for wrong in (text, empty):
        with pytest.raises(NotWhole):
            restore(wrong, now=now)
    with pytest.raises(NotFound):
        restore(tmp_path / "nothing here", now=now)
    assert Sticking.rows.count() == 1


@SQLITE_ONLY
def test_a_sqlite_file_without_a_garden_is_refused(copy: Path, now: datetime, tmp_path: Path) -> None:
    with closing(sqlite.connect(str(tmp_path / "other.sqlite3"))) as other, other:
        other.execute("CREATE TABLE songs (name)")
    with pytest.raises(NotWhole, match="no garden"):
        restore(tmp_path / "other.sqlite3", now=now)


@SQLITE_ONLY
def test_the_garden_itself_is_no_copy_of_itself(garden: Garden, now: datetime, database: Database) -> None:
    assert database.file is not None
    with pytest.raises(ValueError, match="itself"):
        restore(database.file, now=now)


def test_a_newer_copy_is_refused(garden: Garden, now: datetime, tmp_path: Path, database: Database) -> None:
    with connection.cursor() as cursor:
        cursor.execute(
            "INSERT INTO django_migrations (app, name, applied) "
            "VALUES ('records', '0900_from_the_future', CURRENT_TIMESTAMP)"
        )
    newer = backup(to=tmp_path, now=now).file
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM django_migrations WHERE name = '0900_from_the_future'")
    with pytest.raises(NewerSchema):
        restore(newer, now=now)
    assert schema.state() == "current"


def test_an_older_copy_is_brought_up_on_the_way(
    garden: Garden, grower: Member, now: datetime, tmp_path: Path, database: Database
) -> None:
    stick(garden, grower, now)
    call_command("migrate", "records", "0001", verbosity=0)
    older = backup(to=tmp_path, now=now).file
    schema.bring_up("default")
    before = older.read_bytes()
    done = restore(older, now=now)
    assert schema.state() == "current"
    assert (done.n_entries, selfcheck().ok) == (1, True)
    assert older.read_bytes() == before, "the copy itself is not touched"
    if database.vendor == "postgresql":
        assert done.kept_as is not None
        drop(done.kept_as)


@pytest.mark.parametrize("database", ["postgresql"], indirect=True)
def test_on_postgresql_a_garden_with_somebody_connected_is_left_alone(
    copy: Path, now: datetime, database: Any
) -> None:
    with psycopg.connect(database.url.replace("postgres://", "postgresql://")) as other:
        other.execute("SELECT 1")
        with pytest.raises(InUse, match="connected"):
            restore(copy, now=now)
    assert Sticking.rows.count() == 1
    with connection.cursor() as cursor:
        cursor.execute("SELECT datname FROM pg_database WHERE datname LIKE %s", ["%_restor%"])
        assert cursor.fetchall() == [], "what was made for it is gone"


OF_A_DATABASE = (
    "SELECT pg_get_userbyid(datdba), pg_encoding_to_char(encoding), datcollate, datctype "
    "FROM pg_database WHERE datname = %s"
)


@pytest.fixture
def gardeners(database: Any) -> Iterator[str]:
    """Give a role, not the one that is connected, that owns a garden in Latin letters."""
    role = f"gardeners_{os.getpid()}"
    name = f"latin_{os.getpid()}"
    administer(
        f"CREATE ROLE {role}",
        f"CREATE DATABASE {name} TEMPLATE template0 OWNER {role} ENCODING 'LATIN1' "
        "LC_COLLATE 'C' LC_CTYPE 'C'",
    )
    try:
        with at(f"{database.url.rsplit('/', 1)[0]}/{name}"):
            connection.settings_dict["OPTIONS"] = {"assume_role": role}
            schema.create_if_absent()
            yield role
    finally:
        with psycopg.connect(POSTGRES_URL) as server:
            found = server.execute(
                "SELECT datname FROM pg_database WHERE datname LIKE %s", [f"{name}%"]
            ).fetchall()
        for (left,) in found:
            drop(left)
        administer(f"DROP ROLE {role}")


@pytest.mark.parametrize("database", ["postgresql"], indirect=True)
@pytest.mark.parametrize("is_older", [False, True])
def test_on_postgresql_the_owner_and_the_letters_stay(
    gardeners: str, now: datetime, tmp_path: Path, is_older: bool
) -> None:
    name = connection.settings_dict["NAME"]
    if is_older:
        call_command("migrate", "records", "0001", verbosity=0)
    dumped = backup(to=tmp_path, now=now).file
    connection.close()
    connection.settings_dict["OPTIONS"] = {}
    done = restore(dumped, now=now)
    assert str(done.kept_as).startswith(f"{name}_before_restore_20251020_153000_")
    with connection.cursor() as cursor:
        for each in (name, done.kept_as):
            cursor.execute(OF_A_DATABASE, [each])
            assert cursor.fetchone() == (gardeners, "LATIN1", "C", "C")
        cursor.execute("SELECT DISTINCT tableowner FROM pg_tables WHERE schemaname = 'public'")
        assert cursor.fetchall() == [(gardeners,)]
        cursor.execute(
            "SELECT pg_get_userbyid(proowner) FROM pg_proc WHERE proname = 'records_entries_stand'"
        )
        assert cursor.fetchall() == [(gardeners,)]


@pytest.mark.parametrize("database", ["postgresql"], indirect=True)
def test_on_postgresql_there_must_be_a_database_to_replace(copy: Path, now: datetime, database: Any) -> None:
    with at(f"{database.url}_not_made"), pytest.raises(NotFound, match="no database"):
        restore(copy, now=now)


@pytest.mark.parametrize("database", ["postgresql"], indirect=True)
def test_on_postgresql_two_in_one_second_are_two(copy: Path, now: datetime, database: Any) -> None:
    kept = [str(restore(copy, now=now).kept_as) for _ in range(2)]
    assert len(set(kept)) == 2
    for each in kept:
        drop(each)
