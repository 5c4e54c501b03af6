"""Whether the database is of this version, and making it so."""

from __future__ import annotations

import stat
from datetime import datetime
from pathlib import Path

import pytest
from django.core.management import call_command
from django.db import connection

from slipwright.records.errors import NewerSchema, NotFound, OlderSchema
from slipwright.records.keeping import disk, schema
from slipwright.records.keeping.opening import opened_file
from slipwright.records.models import Garden, Look
from tests.databases import Database, at


def test_a_fresh_copy_of_the_template_is_current(database: Database) -> None:
    assert schema.state() == "current"
    schema.require_current()
    assert not schema.create_if_absent()


def test_what_is_known_is_what_migrate_applies(database: Database) -> None:
    assert schema.applied_changes() == schema.known_changes()


def make_newer() -> None:
    with connection.cursor() as cursor:
        cursor.execute(
            "INSERT INTO django_migrations (app, name, applied) "
            "VALUES ('records', '0900_from_the_future', CURRENT_TIMESTAMP)"
        )


def test_a_newer_one_is_refused_in_a_clear_sentence(database: Database, now: datetime) -> None:
    make_newer()
    for refusing in (schema.require_current, schema.create_if_absent, lambda: schema.migrate(now=now)):
        with pytest.raises(NewerSchema, match=r"newer Slipwright.*records\.0900_from_the_future"):
            refusing()


def make_older() -> None:
    call_command("migrate", "records", "0001", verbosity=0)


def test_an_older_one_says_what_to_run(database: Database) -> None:
    make_older()
    assert schema.state() == "older"
    with pytest.raises(OlderSchema, match="slipwright migrate"):
        schema.require_current()
    with pytest.raises(OlderSchema):
        schema.create_if_absent()


def test_migrate_backs_up_first(garden: Garden, database: Database, now: datetime, tmp_path: Path) -> None:
    make_older()
    (tmp_path / "copies").mkdir()
    done = schema.migrate(now=now, backup_to=tmp_path / "copies")
    assert done.applied == (
        "records.0002_entries_stand",
        "records.0003_the_door_and_the_helper",
        "records.0004_the_shed",
        "records.0005_plant_seasons",
        "records.0006_what_was_learned",
        "records.0007_the_season_and_findings",
    )
    assert done.backup is not None
    assert done.backup.parent == tmp_path / "copies"
    assert schema.state() == "current"
    if database.vendor == "sqlite":
        with opened_file(done.backup) as alias:
            assert schema.state(alias) == "older"
            # the older file has not every column of today's model
            assert Garden.objects.using(alias).values_list("name", flat=True).get() == garden.name


def test_migrate_leaves_a_current_one_alone(database: Database, now: datetime, tmp_path: Path) -> None:
    assert schema.migrate(now=now, backup_to=tmp_path) == schema.Migrated((), None)
    assert not list(tmp_path.iterdir())


@pytest.fixture
def nowhere(tmp_path: Path, templates: object) -> Path:
    return tmp_path / "not" / "there" / "garden.sqlite3"


def test_an_absent_file_is_made_whole(nowhere: Path) -> None:
    with at(f"sqlite:///{nowhere}"):
        assert schema.state() == "absent"
        assert not nowhere.exists(), "asking makes nothing"
        assert schema.create_if_absent()
        assert schema.state() == "current"
        assert not Look.rows.exists()
        connection.cursor().execute("PRAGMA journal_mode")
    assert [path.name for path in nowhere.parent.iterdir() if not path.name.endswith(("-wal", "-shm"))] == [
        "garden.sqlite3"
    ]
    assert stat.S_IMODE(nowhere.stat().st_mode) == 0o600


def test_an_empty_file_counts_as_absent(nowhere: Path) -> None:
    nowhere.parent.mkdir(parents=True)
    nowhere.touch()
    with at(f"sqlite:///{nowhere}"):
        assert schema.create_if_absent()
        assert schema.state() == "current"


def test_migrate_makes_an_absent_one(nowhere: Path, now: datetime) -> None:
    with at(f"sqlite:///{nowhere}"):
        done = schema.migrate(now=now)
        assert done.backup is None
        assert set(done.applied) == schema.known_changes()


def test_an_absent_garden_is_named(nowhere: Path) -> None:
    with at(f"sqlite:///{nowhere}"), pytest.raises(NotFound, match=r"garden\.sqlite3 yet"):
        schema.require_current()
    assert not nowhere.exists()


def test_half_way_through_nothing_is_left(nowhere: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def killed(using: str) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(schema, "bring_up", killed)
    with at(f"sqlite:///{nowhere}"), pytest.raises(KeyboardInterrupt):
        schema.create_if_absent()
    assert list(nowhere.parent.iterdir()) == []


def test_a_network_drive_is_refused(nowhere: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(disk, "file_system_of", lambda path, mounts=None: "nfs4")
    with at(f"sqlite:///{nowhere}"), pytest.raises(ValueError, match=r"network drive \(nfs4\)"):
        schema.create_if_absent()
    assert not nowhere.parent.exists()


@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
def test_a_garden_that_was_moved_to_a_network_drive_is_refused(
    database: Database, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(disk, "file_system_of", lambda path, mounts=None: "cifs")
    for refusing in (schema.require_current, schema.create_if_absent, lambda: schema.migrate(now=now)):
        with pytest.raises(ValueError, match=r"network drive \(cifs\)"):
            refusing()


@pytest.mark.parametrize("database", ["postgresql"], indirect=True)
def test_where_this_machine_keeps_its_files_is_nothing_to_postgresql(
    database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(disk, "file_system_of", lambda path, mounts=None: "nfs4")
    schema.require_current()


def test_the_models_and_the_migrations_agree(database: Database) -> None:
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)
