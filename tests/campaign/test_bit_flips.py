"""Every worn bit that changes what was written down is seen, when the file is opened or by the check."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path

import pytest
from django.db import DatabaseError, connection

from slipwright.records import services
from slipwright.records.keeping import selfcheck as module
from slipwright.records.keeping.schema import create_if_absent
from slipwright.records.keeping.selfcheck import selfcheck
from slipwright.records.models import ENTRY_MODELS, Garden, Member
from slipwright.records.rows import MODELS
from slipwright.records.tables.dumping import dump
from slipwright.records.tables.loading import load
from tests.campaign.conftest import Parts
from tests.campaign.sums import digest
from tests.databases import Database, at
from tests.records.making import every_kind_of_entry, stick
from tests.records.pictures import drawn

SQLITE_ONLY = pytest.mark.parametrize("database", ["sqlite"], indirect=True)
#: the tables a garden's records stand in
RECORDS = (
    frozenset(model._meta.db_table for model in MODELS.values())
    | frozenset(model._meta.db_table for model in ENTRY_MODELS)
    | {"records_batchstate", "records_referenceedit"}
)
#: what no hash and no edit tells again: when a record arrived, who made an edit and when, who signs in as
#: which member
UNTOLD = frozenset(
    {"received_at", "sent_sha256", "user_id", "records_referenceedit.at", "records_referenceedit.by_id"}
)


@pytest.fixture
def worn_file(garden: Garden, grower: Member, now: datetime, tmp_path: Path, database: Database) -> Path:
    """Give the file of a garden most of which is entries with notes, each row with its edit."""
    every_kind_of_entry(garden, grower, now, picture=drawn())
    batch = stick(garden, grower, now, n_stuck=10_000).batch
    for n in range(400):
        note = f"row {n}: " + "leaves firm, callus pale, by the door " * 5
        services.record_look(
            garden=garden,
            by=grower,
            now=now,
            batch=batch,
            on=date(2025, 10, 15),
            n_rooted=1,
            note=note[:200],
        )
    dump(garden, tmp_path / "tables.zip")
    file = tmp_path / "loaded" / "garden.sqlite3"
    with at(f"sqlite:///{file}"):
        create_if_absent()
        load(tmp_path / "tables.zip", now=now)
        assert selfcheck().ok
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return file


def seen_of(content: bytes, file: Path, whole: str) -> str:
    """Return what becomes of a worn file: seen when opened, seen by the check, harmless, or silent."""
    file.write_bytes(content)
    with at(f"sqlite:///{file}"):
        try:
            if not selfcheck().ok:
                return "seen by the check"
            now = told()
        except (DatabaseError, ValueError, UnicodeDecodeError, OverflowError):
            return "seen when opened"
    return "harmless" if now == whole else "silent"


def of_file(file: Path) -> str:
    with at(f"sqlite:///{file}"):
        return told()


def told() -> str:
    """Return a digest of what was written down."""
    without = set(connection.introspection.table_names()) - RECORDS
    return digest(without=without, but=UNTOLD)


def worn(content: bytes, seed: int) -> bytes:
    """Return the file with one bit flipped."""
    chance = random.Random(seed)
    spoilt = bytearray(content)
    spoilt[chance.randrange(len(spoilt))] ^= 1 << chance.randrange(8)
    return bytes(spoilt)


@SQLITE_ONLY
def test_no_flip_that_changes_what_was_written_down_is_silent(
    worn_file: Path, parts: Callable[[str], Parts]
) -> None:
    content, whole = worn_file.read_bytes(), of_file(worn_file)
    results = parts("bit-flips")
    found: Counter[str] = Counter()
    for part in results.of(200, 1000):
        became = seen_of(worn(content, part), worn_file, whole)
        assert became != "silent", f"part {part}"
        found[became] += 1
        results.done(part, became=became)
    assert not found or found["seen by the check"] + found["seen when opened"] > 0


@SQLITE_ONLY
def test_planted_a_check_that_does_not_read_the_entries_is_caught(
    worn_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    content, whole = worn_file.read_bytes(), of_file(worn_file)
    monkeypatch.setattr(module, "damaged", lambda *args, **more: iter(()))
    assert any(seen_of(worn(content, part), worn_file, whole) == "silent" for part in range(60))
