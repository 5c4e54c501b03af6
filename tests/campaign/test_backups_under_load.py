"""A copy taken while people record is of one moment, and comes back whole."""

from __future__ import annotations

import shutil
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path

import pytest
from django.db import connection, connections

from slipwright.records import services
from slipwright.records.keeping.backup import backup
from slipwright.records.keeping.opening import opened, opened_file
from slipwright.records.keeping.restore import drill, restore
from slipwright.records.models import Garden, Member
from tests.campaign.conftest import Parts
from tests.campaign.sums import faults, look
from tests.databases import Database, administer, at
from tests.records.making import stick


@contextmanager
def walking(garden: Garden, by: Member, batch: str, now: datetime, n: int = 2) -> Iterator[list[str]]:
    """Let people record as fast as they can; give the ids that were acknowledged so far."""
    stop, acknowledged, broken = threading.Event(), [], []

    def walk() -> None:
        try:
            while not stop.is_set():
                sent = look(garden, batch)
                if services.receive_entry(garden=garden, by=by, now=now, **sent).status == "received":
                    acknowledged.append(sent["content"]["id"])
        except BaseException as error:
            broken.append(error)
        finally:
            connection.close()

    walkers = [threading.Thread(target=walk) for _ in range(n)]
    for walker in walkers:
        walker.start()
    try:
        while len(acknowledged) < 20 and not broken:
            stop.wait(0.01)
        yield acknowledged
    finally:
        stop.set()
        for walker in walkers:
            walker.join(timeout=60)
    assert not broken, broken


@pytest.fixture
def batch(garden: Garden, grower: Member, now: datetime) -> str:
    return stick(garden, grower, now, n_stuck=1_000_000).batch


def test_each_holds_all_acknowledged_before_it_and_is_of_one_moment(
    garden: Garden,
    grower: Member,
    batch: str,
    now: datetime,
    tmp_path: Path,
    database: Database,
    parts: Callable[[str], Parts],
) -> None:
    results = parts("backups-under-load")
    todo = list(results.of(3, 100))
    if not todo:
        return
    with walking(garden, grower, batch, now) as acknowledged:
        for part in todo:
            before = list(acknowledged)
            made = backup(to=tmp_path, now=now)
            assert found_in(made.file, before, database) == [], f"part {part}"
            made.file.unlink()
            results.done(part, n_entries=made.n_entries)
    assert faults(acknowledged) == []


def found_in(file: Path, before: list[str], database: Database) -> list[str]:
    """Put a copy back in a place of its own and return what does not hold there."""
    if database.vendor == "sqlite":
        assert drill(file) > len(before)
        with opened_file(file) as alias:
            return faults(before, using=alias)
    return _found_in_dump(file, before)


def _found_in_dump(file: Path, before: list[str]) -> list[str]:
    from slipwright.records.keeping import postgres

    name = f"{connections['default'].settings_dict['NAME']}_again"
    administer(f"CREATE DATABASE {name} TEMPLATE template0")
    try:
        postgres.restore_into(file, name)
        with opened(dict(connections["default"].settings_dict) | {"NAME": name}) as alias:
            return faults(before, using=alias)
    finally:
        administer(f"DROP DATABASE {name} WITH (FORCE)")


@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
def test_restored_on_a_machine_without_a_garden_it_is_all_there(
    garden: Garden, grower: Member, batch: str, now: datetime, tmp_path: Path, database: Database
) -> None:
    with walking(garden, grower, batch, now) as acknowledged:
        before = list(acknowledged)
        made = backup(to=tmp_path, now=now)
    with at(f"sqlite:///{tmp_path}/fresh/garden.sqlite3"):
        assert restore(made.file, now=now).n_entries == made.n_entries
        assert faults(before) == []


@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
def test_planted_a_plain_copy_of_the_file_is_caught(
    garden: Garden, grower: Member, batch: str, now: datetime, tmp_path: Path, database: Database
) -> None:
    assert database.file is not None
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        cursor.execute("PRAGMA wal_autocheckpoint=0")
    copy = tmp_path / "copy.sqlite3"
    for _ in range(20):
        sent = look(garden, batch)
        services.receive_entry(garden=garden, by=grower, now=now, **sent)
    shutil.copyfile(database.file, copy)
    with opened_file(copy) as alias:
        assert faults([sent["content"]["id"]], using=alias)
