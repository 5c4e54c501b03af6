"""A garden of every earlier state comes up to this one with each entry and total as it was."""

from __future__ import annotations

import gzip
import json
import os
import random
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any

import psycopg
import pytest
from django.db import connection

from slipwright.records.keeping import schema
from slipwright.records.keeping.selfcheck import selfcheck
from tests.campaign.conftest import Parts
from tests.campaign.fixture_making import FIXTURES, STATES, told
from tests.databases import POSTGRES_URL, VENDORS, administer, at


def dump_of(state: str, kind: str) -> tuple[str, dict[str, Any]]:
    """Return the dump of a garden in an earlier state, and what it holds."""
    file = FIXTURES / f"{state}.{kind}.sql.gz"
    holds = json.loads((FIXTURES / f"{state}.{kind}.json").read_text(encoding="utf-8"))
    return gzip.decompress(file.read_bytes()).decode(), holds


@contextmanager
def found_as(state: str, kind: str, folder: Path) -> Iterator[dict[str, Any]]:
    """Point at a garden as an earlier state left it, and give what it holds."""
    text, holds = dump_of(state, kind)
    if kind == "sqlite":
        file = folder / "garden.sqlite3"
        with closing(sqlite3.connect(file)) as made:
            made.executescript(text)
        with at(f"sqlite:///{file}"):
            yield holds
        return
    name = f"found_{state}_{os.getpid()}"
    url = f"{POSTGRES_URL.rsplit('/', 1)[0]}/{name}"
    administer(f"DROP DATABASE IF EXISTS {name}", f"CREATE DATABASE {name}")
    try:
        with psycopg.connect(url, autocommit=True) as made:
            made.execute(text)  # type: ignore[call-overload]
        with at(url):
            yield holds
    finally:
        administer(f"DROP DATABASE IF EXISTS {name} WITH (FORCE)")


@pytest.mark.parametrize("kind", VENDORS)
@pytest.mark.parametrize("state", STATES)
def test_it_comes_up_whole_after_a_copy(state: str, kind: str, now: datetime, tmp_path: Path) -> None:
    with found_as(state, kind, tmp_path) as holds:
        was = schema.state()
        (tmp_path / "copies").mkdir()
        done = schema.migrate(now=now, backup_to=tmp_path / "copies")
        assert schema.state() == "current"
        assert (done.backup is not None) == (was == "older")
        assert told() == holds
        checked = selfcheck()
        assert [str(finding) for finding in checked.findings if finding.level == "damage"] == []
        assert checked.n_entries == len(holds["entries"])


def test_every_state_of_the_schema_has_its_garden() -> None:
    migrations = {name.split(".")[1][:4] for name in schema.known_changes() if name.startswith("records.")}
    missing = {
        state
        for state in migrations
        for kind in VENDORS
        if not (FIXTURES / f"{state}.{kind}.sql.gz").exists()
    }
    assert missing == set(), "python -m tests.campaign.fixture_making writes what is missing"


def test_killed_on_the_way_and_run_again_it_is_done(
    now: datetime, tmp_path: Path, parts: Callable[[str], Parts]
) -> None:
    results = parts("migrations-killed")
    for part in results.of(1, 20):
        folder = tmp_path / str(part)
        folder.mkdir()
        with found_as("0001", "sqlite", folder) as holds:
            connection.close()
            lived = _killed_after(random.Random(part).uniform(0.6, 2.5), folder / "garden.sqlite3")
            schema.migrate(now=now)
            assert told() == holds
            assert selfcheck().ok
        results.done(part, lived=lived)


def _killed_after(seconds: float, file: Path) -> bool:
    """Start bringing a garden up, kill it, and return whether it had ended before."""
    command = [sys.executable, "-m", "slipwright.cli", "migrate", "--garden", str(file)]
    env = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
    with subprocess.Popen(command, env=env, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as child:
        time.sleep(seconds)
        ended = child.poll() is not None
        child.kill()
    return ended


def test_planted_a_change_that_loses_an_entry_is_caught(now: datetime, tmp_path: Path) -> None:
    with found_as("0001", "sqlite", tmp_path) as holds:
        schema.migrate(now=now)
        with connection.cursor() as cursor:
            cursor.execute("DROP TRIGGER records_look_no_delete")
            cursor.execute("DELETE FROM records_look WHERE id = (SELECT max(id) FROM records_look)")
        assert told() != holds
        assert not selfcheck().ok
