"""Databases for tests: one migrated template a session, a copy of it for each test.

A copy is never flushed or rolled back, because the triggers on entries refuse deletes; it is
thrown away whole.  On SQLite the copy is a file, on PostgreSQL ``CREATE DATABASE … TEMPLATE``.
"""

from __future__ import annotations

import itertools
import os
import shutil
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import psycopg
from django.core.management import call_command
from django.db import connections

from slipwright.config import settings

POSTGRES_URL = os.environ.get("SLIPWRIGHT_TEST_POSTGRES_URL", "")
VENDORS = ("sqlite", "postgresql") if POSTGRES_URL else ("sqlite",)

_serial = itertools.count(1)


@dataclass(frozen=True)
class Database:
    """A database that Django's default connection now points at."""

    vendor: str
    url: str
    file: Path | None = None


@contextmanager
def connected(config: dict[str, Any]) -> Iterator[None]:
    """Point Django's default connection, in every thread, at ``config``."""
    known = connections.settings
    before = known["default"]
    connections["default"].close()
    del connections["default"]
    known["default"] = before | {"OPTIONS": {}} | config
    connections.configure_settings(known)
    try:
        yield
    finally:
        connections["default"].close()
        del connections["default"]
        known["default"] = before


@contextmanager
def at(url: str) -> Iterator[None]:
    """Point Django's default connection at ``url``."""
    with connected(settings.database(url)):
        yield


def _named(name: str) -> str:
    """Return the server's URL with ``name`` as its database."""
    return f"{POSTGRES_URL.rsplit('/', 1)[0]}/{name}"


def administer(*statements: str) -> None:
    """Run statements on the PostgreSQL server itself."""
    with psycopg.connect(POSTGRES_URL, autocommit=True) as server:
        for statement in statements:
            server.execute(statement)  # type: ignore[call-overload]


class Templates:
    """The migrated template of each kind, made when first asked for."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._names = f"slip_{os.getpid()}_{next(_serial)}"
        self._file: Path | None = None
        self._lock = threading.Lock()
        self._postgres_made = False

    @contextmanager
    def copy(self, vendor: str) -> Iterator[Database]:
        """Give a copy of the template of ``vendor``, and drop it afterwards."""
        copies = self._sqlite_copy() if vendor == "sqlite" else self._postgres_copy()
        with copies as database, at(database.url):
            yield database

    @contextmanager
    def _sqlite_copy(self) -> Iterator[Database]:
        file = self.folder / f"copy-{next(_serial)}" / "garden.sqlite3"
        file.parent.mkdir()
        shutil.copyfile(self._sqlite_template(), file)
        try:
            yield Database("sqlite", f"sqlite:///{file}", file)
        finally:
            shutil.rmtree(file.parent, ignore_errors=True)

    def _sqlite_template(self) -> Path:
        with self._lock:
            if self._file is None:
                file = self.folder / "template.sqlite3"
                with at(f"sqlite:///{file}"):
                    call_command("migrate", verbosity=0)
                    connections["default"].cursor().execute("PRAGMA wal_checkpoint(TRUNCATE)")
                self._file = file
            return self._file

    @contextmanager
    def _postgres_copy(self) -> Iterator[Database]:
        self._postgres_template()
        name = f"{self._names}_{next(_serial)}"
        administer(f"CREATE DATABASE {name} TEMPLATE {self._names}")
        try:
            yield Database("postgresql", _named(name))
        finally:
            administer(f"DROP DATABASE {name} WITH (FORCE)")

    def _postgres_template(self) -> None:
        with self._lock:
            if not self._postgres_made:
                administer(f"CREATE DATABASE {self._names}")
                self._postgres_made = True
                with at(_named(self._names)):
                    call_command("migrate", verbosity=0)

    def drop(self) -> None:
        """Drop what was made on the PostgreSQL server."""
        if self._postgres_made:
            administer(f"DROP DATABASE {self._names} WITH (FORCE)")
