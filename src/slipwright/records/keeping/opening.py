"""Opening a database beside the usual one, and reading one that others write to."""

from __future__ import annotations

import itertools
import shlex
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import connections, transaction

#: A copy is opened as it is: not turned to WAL, which would leave files beside it.
_BESIDE_OPTIONS = {"timeout": 20, "transaction_mode": "IMMEDIATE"}
#: Without recursive triggers, INSERT OR REPLACE would get past those that keep entries.
_WRITABLE = "PRAGMA foreign_keys=ON;PRAGMA recursive_triggers=ON"
_READ_ONLY = f"{_WRITABLE};PRAGMA query_only=ON"

_serial = itertools.count(1)


def vendor(using: str = "default") -> str:
    """Return ``sqlite`` or ``postgresql``."""
    return connections[using].vendor


def garden_file(using: str = "default") -> Path:
    """Return the file of a SQLite database itself, where its name is a link to it."""
    return Path(str(connections[using].settings_dict["NAME"])).resolve()


def told_garden() -> str:
    """Return what a command is told to act on this database: nothing where it is the usual one."""
    if vendor() != "sqlite" or garden_file() == Path(settings.USUAL_GARDEN).resolve():
        return ""
    return f" --garden {shlex.quote(str(garden_file()))}"


@contextmanager
def opened_file(file: Path, *, writable: bool = False) -> Iterator[str]:
    """Open another SQLite file and give the alias that ``using`` takes."""
    options = _BESIDE_OPTIONS | {"init_command": _WRITABLE if writable else _READ_ONLY}
    with opened({"ENGINE": "django.db.backends.sqlite3", "NAME": str(file), "OPTIONS": options}) as alias:
        yield alias


@contextmanager
def opened(config: dict[str, Any]) -> Iterator[str]:
    """Open another database by its settings and give the alias that ``using`` takes."""
    alias = f"beside-{next(_serial)}"
    known: dict[str, Any] = connections.settings
    known[alias] = config
    connections.configure_settings(known)
    try:
        yield alias
    finally:
        connections[alias].close()
        del connections[alias]
        del known[alias]


@contextmanager
def snapshot(using: str = "default") -> Iterator[None]:
    """Read a database as it stood at one moment, without keeping anybody from writing.

    Inside another snapshot of the same database it is the same moment.
    """
    connection: Any = connections[using]
    if connection.in_atomic_block and _is_of_one_moment(connection):
        yield
        return
    if connection.vendor != "sqlite":
        with transaction.atomic(using=using):
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
            yield
        return
    connection.ensure_connection()
    usual = connection.transaction_mode
    connection.transaction_mode = "DEFERRED"
    try:
        with transaction.atomic(using=using):
            yield
    finally:
        connection.transaction_mode = usual


def _is_of_one_moment(connection: Any) -> bool:
    """Return whether the transaction that is open reads everything as of one moment."""
    if connection.vendor == "sqlite":
        return True
    with connection.cursor() as cursor:
        cursor.execute("SHOW transaction_isolation")
        (level,) = cursor.fetchone()
    return level in {"repeatable read", "serializable"}
