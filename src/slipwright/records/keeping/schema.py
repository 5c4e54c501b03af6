"""Whether the database is of this version, and making it so."""

from __future__ import annotations

import os
import pkgutil
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from importlib import import_module
from pathlib import Path
from typing import Literal

from django.core.management import call_command
from django.db import connections

from slipwright.records.errors import MAKES_ONE, NewerSchema, NotFound, OlderSchema
from slipwright.records.keeping.diary import leave
from slipwright.records.keeping.disk import refuse_network, settle_on_disk
from slipwright.records.keeping.opening import garden_file, opened_file, vendor

State = Literal["absent", "older", "current", "newer"]

#: The applications with tables in the database, and where their migrations lie.
_MIGRATIONS = {
    "contenttypes": "django.contrib.contenttypes.migrations",
    "auth": "django.contrib.auth.migrations",
    "records": "slipwright.records.migrations",
    "sessions": "django.contrib.sessions.migrations",
}


@dataclass(frozen=True, slots=True)
class Migrated:
    """What ``migrate`` did: the changes it made, and the backup it made first."""

    applied: tuple[str, ...]
    backup: Path | None


def known_changes() -> set[str]:
    """Return the changes of the schema this version knows, without importing them."""
    return {
        f"{app}.{module.name}"
        for app, package in _MIGRATIONS.items()
        for module in pkgutil.iter_modules(import_module(package).__path__)
    }


def applied_changes(using: str = "default") -> set[str]:
    """Return the changes that were made to a database; none if it is empty or not there."""
    connection = connections[using]
    if connection.vendor == "sqlite" and not _has_content(garden_file(using)):
        return set()
    with connection.cursor() as cursor:
        if "django_migrations" not in connection.introspection.table_names(cursor):
            return set()
        cursor.execute("SELECT app, name FROM django_migrations")
        return {f"{app}.{name}" for app, name in cursor.fetchall() if app in _MIGRATIONS}


def _has_content(file: Path) -> bool:
    return file.exists() and file.stat().st_size > 0


def state(using: str = "default") -> State:
    """Return how a database stands to this version."""
    applied, known = applied_changes(using), known_changes()
    if not applied:
        return "absent"
    if applied - known:
        return "newer"
    return "older" if known - applied else "current"


def require_current(using: str = "default") -> None:
    """Raise unless there is a garden's database and it is of this version."""
    _refuse_network(using)
    found = state(using)
    if found == "absent":
        where = garden_file(using) if vendor(using) == "sqlite" else connections[using].settings_dict["NAME"]
        raise NotFound(f"there is no garden in {where} yet; {MAKES_ONE}")
    _refuse_other(found, using)


def create_if_absent() -> bool:
    """Make the tables where there are none yet, and return whether they were made.

    A SQLite file appears whole or not at all.  An older or newer database is left as it is and
    refused.
    """
    _refuse_network("default")
    found = state()
    if found != "absent":
        _refuse_other(found, "default")
        return False
    if vendor() == "sqlite":
        _create_file(garden_file())
    else:
        bring_up("default")
    return True


def migrate(
    *, now: datetime, backup_to: Path | None = None, told: Callable[[str], None] | None = None
) -> Migrated:
    """Bring the database to this version, after a verified backup; make it if it is not there."""
    from slipwright.records.keeping.backup import backup

    _refuse_network("default")
    found = state()
    if found == "newer":
        raise NewerSchema(sorted(applied_changes() - known_changes()))
    before = applied_changes()
    copy = None
    if found == "older":
        if told is not None:
            told("making a backup first")
        copy = backup(to=backup_to, now=now).file
    if found == "absent":
        create_if_absent()
    elif found == "older":
        bring_up("default")
        leave("copy-asked")
    return Migrated(tuple(sorted(applied_changes() - before)), copy)


def _refuse_network(using: str) -> None:
    if vendor(using) == "sqlite":
        refuse_network(garden_file(using))


def _refuse_other(found: State, using: str) -> None:
    if found == "older":
        raise OlderSchema(sorted(known_changes() - applied_changes(using)))
    if found == "newer":
        raise NewerSchema(sorted(applied_changes(using) - known_changes()))


def bring_up(using: str) -> None:
    """Make every change of the schema that a database still lacks."""
    call_command("migrate", database=using, verbosity=0, interactive=False, skip_checks=True)


def _create_file(file: Path) -> None:
    file.parent.mkdir(parents=True, exist_ok=True)
    made = file.with_name(f".{file.name}.{os.getpid()}.new")
    made.unlink(missing_ok=True)
    try:
        made.touch(mode=0o600)
        with opened_file(made, writable=True) as alias:
            bring_up(alias)
        settle_on_disk(made)
        connections["default"].close()
        if not _has_content(file):
            os.replace(made, file)
        settle_on_disk(file.parent)
    finally:
        made.unlink(missing_ok=True)
        made.with_name(made.name + "-journal").unlink(missing_ok=True)
