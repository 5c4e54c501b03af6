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
from slipwright.records.keeping.selfcheck import selfcheck
from slipwright.records.models import ENTRY_MODELS, Garden, Member
from tests.campaign.conftest import Parts
from tests.campaign.sums import digest
from tests.databases import Database, at
from tests.records.making import every_kind_of_entry, stick
from tests.records.pictures import drawn

SQLITE_ONLY = pytest.mark.parametrize("database", ["sqlite"], indirect=True)
ENTRIES = frozenset(model._meta.db_table for model in ENTRY_MODELS) | {"records_batchstate"}


@pytest.fixture
def at_rest(database: Database, garden: Garden, grower: Member, now: datetime) -> bytes:
    """Give the file of a garden most of which is entries with notes."""
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
    connection.cursor().execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    assert database.file is not None
    return database.file.read_bytes()


def seen_of(content: bytes, file: Path, whole: str) -> str:
    """Return what becomes of a worn file: seen when opened, seen by the check, harmless, or silent."""
    file.write_bytes(content)
    with at(f"sqlite:///{file}"):
        try:
            if not selfcheck().ok:
                return "seen by the check"
            now = digest(without=_not_entries())
        except (DatabaseError, ValueError, UnicodeDecodeError, OverflowError):
            return "seen when opened"
    return "harmless" if now == whole else "silent"


def _not_entries() -> set[str]:
    return set(connection.introspection.table_names()) - ENTRIES


def worn(content: bytes, seed: int) -> bytes:
    """Return the file with one bit flipped."""
    chance = random.Random(seed)
    spoilt = bytearray(content)
    spoilt[chance.randrange(len(spoilt))] ^= 1 << chance.randrange(8)
    return bytes(spoilt)


@SQLITE_ONLY
def test_no_flip_that_changes_an_entry_or_a_total_is_silent(
    at_rest: bytes, database: Database, tmp_path: Path, parts: Callable[[str], Parts]
) -> None:
    assert database.file is not None
    whole = digest(without=_not_entries())
    connection.close()
    results = parts("bit-flips")
    found: Counter[str] = Counter()
    for part in results.of(200, 1000):
        became = seen_of(worn(at_rest, part), database.file, whole)
        assert became != "silent", f"part {part}"
        found[became] += 1
        results.done(part, became=became)
    assert not found or found["seen by the check"] + found["seen when opened"] > 0


@SQLITE_ONLY
def test_planted_a_check_that_does_not_read_the_entries_is_caught(
    at_rest: bytes, database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert database.file is not None
    whole = digest(without=_not_entries())
    connection.close()
    monkeypatch.setattr(module, "damaged", lambda *args, **more: iter(()))
    assert any(seen_of(worn(at_rest, part), database.file, whole) == "silent" for part in range(60))
