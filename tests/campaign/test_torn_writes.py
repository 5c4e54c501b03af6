"""A log of writes that is cut or garbled anywhere gives the garden as of some commit, whole.

Stands in for a loss of power: what was on the disk by then is some beginning of the log.
"""

from __future__ import annotations

import random
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from django.db import connection, transaction

from slipwright.records import services
from slipwright.records.models import BatchState, Garden, Member
from tests.campaign.conftest import Parts
from tests.campaign.sums import faults, look, rows_of
from tests.databases import Database, at
from tests.records.making import stick

SQLITE_ONLY = pytest.mark.parametrize("database", ["sqlite"], indirect=True)
COMMITS = 40


@dataclass
class Run:
    """A garden's file as it was, its log at the end, and how long the log was after each commit."""

    file: bytes
    log: bytes
    ends: list[int] = field(default_factory=list)
    ids: list[str] = field(default_factory=list)

    def whole_at(self, length: int) -> list[str]:
        """Return the ids whose commits lie wholly within the first ``length`` bytes of the log."""
        return [one for one, end in zip(self.ids, self.ends, strict=True) if end <= length]


def recorded(database: Database, write: Callable[[int], str]) -> Run:
    """Let ``write`` make commits, and return what lay on the disk."""
    assert database.file is not None
    log = database.file.with_name(f"{database.file.name}-wal")
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        cursor.execute("PRAGMA wal_autocheckpoint=0")
    run = Run(database.file.read_bytes(), b"")
    for n in range(COMMITS):
        run.ids.append(write(n))
        run.ends.append(log.stat().st_size)
    run.log = log.read_bytes()
    return run


@pytest.fixture
def sends(garden: Garden, grower: Member, now: datetime) -> Callable[[int], str]:
    """Give what takes in one look of a phone and returns its id."""
    batch = stick(garden, grower, now, n_stuck=10_000).batch

    def send(n: int) -> str:
        sent = look(garden, batch, n_rooted=n % 3 + 1, note=f"pot {n} by the door " * 5)
        answer = services.receive_entry(garden=garden, by=grower, now=now, **sent)
        assert answer.status == "received", answer
        return answer.entry_id

    return send


@contextmanager
def reopened(run: Run, log: bytes, folder: Path) -> Iterator[None]:
    """Open a garden as it would be found with this log."""
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir()
    (folder / "garden.sqlite3").write_bytes(run.file)
    (folder / "garden.sqlite3-wal").write_bytes(log)
    with at(f"sqlite:///{folder}/garden.sqlite3"):
        yield


def torn(run: Run, part: int, folder: Path) -> list[str]:
    """Tear the log in one way and return what does not hold of the garden found."""
    chance = random.Random(part)
    edges = len(run.log) // 512
    cut = min(chance.randrange(edges) * 512 + chance.choice((0, 0, chance.randrange(512))), len(run.log))
    rest = len(run.log) - cut
    tail = (b"", bytes(rest), chance.randbytes(rest))[part % 3]
    with reopened(run, run.log[:cut] + tail, folder):
        wanted = run.whole_at(cut)
        found = faults(wanted, run.ids)
        if [one for one, _, _ in rows_of()] != wanted:
            found.append(f"{len(rows_of())} looks are there, and {len(wanted)} commits lie before the cut")
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA quick_check")
            found += [line for (line,) in cursor.fetchall() if line != "ok"]
    return found


@SQLITE_ONLY
def test_what_is_found_is_every_commit_before_the_tear_and_nothing_else(
    database: Database, sends: Callable[[int], str], tmp_path: Path, parts: Callable[[str], Parts]
) -> None:
    run = recorded(database, sends)
    results = parts("torn-writes")
    for part in results.of(100, 2000):
        assert torn(run, part, tmp_path / "found") == [], f"part {part}"
        results.done(part)


@SQLITE_ONLY
def test_planted_a_total_committed_after_its_look_is_caught(
    database: Database, sends: Callable[[int], str], tmp_path: Path
) -> None:
    def apart(n: int) -> str:
        with transaction.atomic():
            kept = sends(n)
            total = BatchState.rows.get().n_rooted
            BatchState.rows.update(n_rooted=total - 1)
        BatchState.rows.update(n_rooted=total)
        return kept

    run = recorded(database, apart)
    assert any(torn(run, part, tmp_path / "found") for part in range(200))


@SQLITE_ONLY
def test_planted_an_answer_given_before_the_commit_is_caught(
    database: Database, sends: Callable[[int], str], tmp_path: Path
) -> None:
    run = recorded(database, sends)
    early: Any = Run(run.file, run.log, [0, *run.ends[:-1]], run.ids)
    assert any(torn(early, part, tmp_path / "found") for part in range(20))
