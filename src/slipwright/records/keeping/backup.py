"""A verified copy of the garden, made while people go on recording."""

from __future__ import annotations

import itertools
import os
import shutil
import uuid
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import DatabaseError, connections

from slipwright.records.errors import NotFound, NotWhole
from slipwright.records.keeping import pictures, postgres, schema
from slipwright.records.keeping.diary import default_folder
from slipwright.records.keeping.disk import room_at, settle_on_disk
from slipwright.records.keeping.opening import garden_file, opened_file, snapshot, vendor
from slipwright.records.keeping.selfcheck import Told, checked_records
from slipwright.records.keeping.signed_in import LETS_IN
from slipwright.records.keeping.sqlite_build import sqlite
from slipwright.records.models import ENTRY_MODELS

#: A copy is written under a name that begins so, and gets its own when it is whole.
_UNFINISHED = ".unfinished-"
#: the folder a copy is put back into to try it begins so
DRILL = "slipwright-drill-"
_STALE = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class BackedUp:
    """A copy that was made and read again to its end.

    ``damage`` is what was wrong with the garden by then, in words. ``bad_pictures`` are those the garden
    itself has no longer whole; the others lie beside the copy.
    """

    file: Path
    bytes: int
    n_entries: int
    sha256: str
    n_pictures: int = 0
    bad_pictures: tuple[str, ...] = ()
    damage: tuple[str, ...] = ()


def backup(
    *, to: Path | None = None, now: datetime, told: Told | None = None, even_damaged: bool = False
) -> BackedUp:
    """Copy the garden into the folder ``to``, read the copy again to its end, and say what it is.

    A garden of which something is damaged gives no copy, or, ``even_damaged``, one with that in its name.

    The copy is of one moment.  It has its name only once it is whole; nothing half-written stays.
    Its pictures lie in the folder ``photos`` beside it, which copies share.  ``to`` must be there: where
    it is not, a disk may not be plugged in.
    """
    schema_state = schema.state()
    if schema_state == "absent":
        schema.require_current()
    folder = default_folder() if to is None else to
    if to is None and not settings.BACKUPS:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    elif not folder.is_dir():
        raise NotFound(f"there is no folder {folder}; make it first, or plug in the disk it lies on")
    _clear_left(folder, now)
    suffix = ".sqlite3" if vendor() == "sqlite" else ".dump"
    unfinished = folder / f"{_UNFINISHED}{uuid.uuid4().hex}{suffix}"
    make = _copy_sqlite if vendor() == "sqlite" else _copy_postgres
    try:
        n_entries, damage = make(unfinished, told, schema_state == "current")
        if damage and not even_damaged:
            raise NotWhole(str(unfinished if vendor() == "sqlite" else _stem()), damage)
        settle_on_disk(unfinished)
        digest = pictures.sha256_of(unfinished)
        # after the records: each picture that these name is there by now
        copied = pictures.copy_pictures(pictures.pictures_at(), folder / pictures.FOLDER)
        stem = f"{_stem()}-damaged" if damage else _stem()
        file = _named(unfinished, folder / f"{stem}-{now:%Y%m%d-%H%M%S}{suffix}")
    finally:
        _remove(unfinished)
    settle_on_disk(folder)
    n_pictures = copied.n_copied + copied.n_there
    return BackedUp(file, file.stat().st_size, n_entries, digest, n_pictures, copied.bad, damage)


def copy_file(source: Path, target: Path, *, is_live: bool) -> None:
    """Copy a SQLite database, with what still lies in its journal, into a file of its own.

    One step: a copy in several steps starts anew whenever somebody writes, and may never end.
    """
    if (room := room_at(target.parent).free) < (size := source.stat().st_size):
        raise OSError(f"{target.parent} has room for {room:,} bytes, and the copy needs {size:,}")
    target.touch(mode=0o600)
    # Nobody writes to a copy: read so, it is left without files beside it.
    still_written = is_live or source.with_name(source.name + "-wal").exists()
    address = f"{source.resolve().as_uri()}?{'mode=ro' if still_written else 'immutable=1'}"
    with (
        closing(sqlite.connect(address, uri=True, timeout=20)) as there,
        closing(sqlite.connect(str(target))) as here,
    ):
        there.backup(here, pages=-1)
        here.execute("PRAGMA journal_mode=DELETE")
        here.execute("PRAGMA secure_delete=ON")
        tables = {name for (name,) in here.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
        for table in sorted(tables.intersection(LETS_IN)):
            here.execute(f"DELETE FROM {table}")  # noqa: S608  (a name of ours)
        here.commit()


def verified(file: Path, told: Told | None = None) -> int:
    """Return how many entries a copy in SQLite holds; raise ``NotWhole`` if anything is amiss."""
    with opened_file(file) as alias:
        n_entries, damage = _read(alias, told)
    if damage:
        raise NotWhole(str(file), damage)
    return n_entries


#: how many entries a database holds, and what is damaged, in words
_Seen = tuple[int, tuple[str, ...]]


def _read(using: str, told: Told | None) -> _Seen:
    try:
        findings, n_entries, _ = checked_records(using=using, told=told)
    except DatabaseError as error:
        return 0, (str(error),)
    return n_entries, tuple(str(finding) for finding in findings)


def _copy_sqlite(target: Path, told: Told | None, is_current: bool) -> _Seen:
    try:
        copy_file(garden_file(), target, is_live=True)
    except sqlite.DatabaseError as error:
        raise NotWhole(str(garden_file()), [str(error)]) from error
    if not is_current:
        return whole_pages(target), ()
    with opened_file(target) as alias:
        return _read(alias, told)


def whole_pages(file: Path) -> int:
    """Check a copy of another version, whose entries this version cannot read, page by page."""
    with opened_file(file) as alias:
        with connections[alias].cursor() as cursor:
            cursor.execute("PRAGMA integrity_check")
            if faults := [line for (line,) in cursor.fetchall() if line != "ok"]:
                raise NotWhole(str(file), faults)
        return _n_entries(alias)


def _n_entries(using: str = "default") -> int:
    """Return how many entries a database holds, whatever its version."""
    with connections[using].cursor() as cursor:
        there = set(connections[using].introspection.table_names(cursor))
    return sum(model.rows.using(using).count() for model in ENTRY_MODELS if model._meta.db_table in there)


def _copy_postgres(target: Path, told: Told | None, is_current: bool) -> _Seen:
    with snapshot():
        connection: Any = connections["default"]
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_export_snapshot()")
            (name,) = cursor.fetchone()
        # the garden itself is read, at the moment that is copied
        seen = _read("default", told) if is_current else (_n_entries(), ())
        if told is not None:
            told("copying with pg_dump", 0, 0)
        postgres.dump(target, snapshot_name=name)
    postgres.verify(target)
    return seen


def _stem() -> str:
    """Return what copies of this garden are called, so that those of two tell apart in one folder."""
    if vendor() == "sqlite":
        return garden_file().stem
    return str(connections["default"].settings_dict["NAME"]).replace("/", "_")


def _named(unfinished: Path, wanted: Path) -> Path:
    """Give a copy its name, or the next that is free, and never that of another."""
    for file in _names(wanted):
        try:
            os.link(unfinished, file)
        except FileExistsError:
            continue
        except OSError:  # a file system without links
            try:
                file.touch(mode=0o600, exist_ok=False)
            except FileExistsError:
                continue
            os.replace(unfinished, file)
        return file
    raise AssertionError("there is always one more name")


def _names(wanted: Path) -> Iterator[Path]:
    yield wanted
    for n in itertools.count(2):
        yield wanted.with_stem(f"{wanted.stem}-{n}")


def _remove(unfinished: Path) -> None:
    for end in ("", "-journal", "-wal", "-shm"):
        unfinished.with_name(unfinished.name + end).unlink(missing_ok=True)


def _clear_left(folder: Path, now: datetime) -> None:
    """Remove what a copy or a drill left that was killed on the way, a day ago or longer."""
    for left in (*folder.glob(f"{_UNFINISHED}*"), *folder.glob(f"{DRILL}*")):
        if left.lstat().st_mtime >= (now - _STALE).timestamp():
            continue
        if left.is_dir():
            shutil.rmtree(left, ignore_errors=True)
        else:
            left.unlink(missing_ok=True)
