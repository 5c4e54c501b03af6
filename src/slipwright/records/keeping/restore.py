"""Putting a copy in the place of the garden.

The copy is checked first, written beside the garden and then swapped in; what was there is kept
under a dated name.  A garden that is open anywhere is left alone.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from django.db import DatabaseError, connections

from slipwright.records.errors import InUse, NewerSchema, NotFound, NotWhole
from slipwright.records.keeping import pictures, schema
from slipwright.records.keeping.backup import DRILL, copy_file, verified, whole_pages
from slipwright.records.keeping.disk import refuse_network, settle_on_disk
from slipwright.records.keeping.opening import garden_file, opened_file, vendor
from slipwright.records.keeping.restore_postgres import drill_postgres, restore_postgres
from slipwright.records.keeping.selfcheck import Told
from slipwright.records.keeping.sqlite_build import sqlite
from slipwright.records.keeping.which_garden import gardens_in, refuse_another

#: What lies beside a SQLite file and belongs to it.
_BESIDE = ("-wal", "-shm", "-journal")
_MAGIC = b"SQLite format 3\x00"
#: Where SQLite locks a file, beyond any content (SQLite, os.h, PENDING_BYTE and what follows).
_LOCK_BYTE, _LOCK_LENGTH = 0x40000000, 512


@dataclass(frozen=True, slots=True)
class Restored:
    """What was put in place; ``kept_as`` is what was there before, under its new name."""

    garden_file: str
    kept_as: str | None
    n_entries: int
    n_pictures: int = 0
    bad_pictures: tuple[str, ...] = ()


def restore(file: Path, *, now: datetime, told: Told | None = None, replace_other: bool = False) -> Restored:
    """Put the copy ``file`` in the place of the garden, and keep what was there.

    Pictures that lie beside the copy are put back too; none is ever taken away. A copy in which no
    garden is one of those that are there is refused, unless ``replace_other`` says it is meant so.
    """
    if not file.is_file():
        raise NotFound(f"there is no file {file}")
    if vendor() != "sqlite":
        done = restore_postgres(file, now=now, told=told, replace_other=replace_other)
        return Restored(*done, *_pictures_of(file))
    garden = garden_file()
    if file.resolve() == garden:
        raise ValueError(f"{file} is the garden itself, not a copy of it")
    refuse_network(garden)
    garden.parent.mkdir(parents=True, exist_ok=True)
    beside = garden.with_name(f".{garden.name}.{os.getpid()}.restoring")
    _refuse_other_files(file)
    try:
        try:
            copy_file(file, beside, is_live=False)
        except sqlite.DatabaseError as error:
            raise NotWhole(str(file), [str(error)]) from error
        n_entries = _checked(beside, told)
        if not replace_other:
            here = "For a garden in another file give that file: --garden FILE."
            refuse_another(str(garden), there=_gardens_of(garden), new=_gardens_of(beside), doors=[here])
        settle_on_disk(beside)
        connections["default"].close()
        kept_as = _swap(beside, garden, f"{now:%Y%m%d-%H%M%S}")
    finally:
        for end in ("", *_BESIDE):
            beside.with_name(beside.name + end).unlink(missing_ok=True)
    return Restored(str(garden), str(kept_as) if kept_as else None, n_entries, *_pictures_of(file))


def _gardens_of(file: Path) -> dict[str, str]:
    if not file.exists():
        return {}
    try:
        with opened_file(file) as alias:
            return gardens_in(alias)
    except DatabaseError:
        return {}


def _pictures_of(file: Path) -> tuple[int, tuple[str, ...]]:
    """Put the pictures beside a copy back, and return how many are there and which are damaged."""
    source, target = pictures.pictures_at(file.resolve()), pictures.pictures_at()
    if not source.is_dir() or source == target:
        return 0, ()
    copied = pictures.copy_pictures(source, target)
    return copied.n_copied + copied.n_there, copied.bad


def drill(file: Path, *, told: Told | None = None) -> int:
    """Put a copy back into a place of its own, check it whole there, and return how many entries it has.

    The garden is not touched, and the place is gone afterwards.
    """
    if vendor() != "sqlite":
        return drill_postgres(file, told=told)
    _refuse_other_files(file)
    with tempfile.TemporaryDirectory(prefix=DRILL, dir=file.parent) as folder:
        again = Path(folder) / "garden.sqlite3"
        try:
            copy_file(file, again, is_live=False)
        except sqlite.DatabaseError as error:
            raise NotWhole(str(file), [str(error)]) from error
        return _checked(again, told)


def _refuse_other_files(file: Path) -> None:
    with file.open("rb") as content:
        if content.read(len(_MAGIC)) != _MAGIC:
            raise NotWhole(str(file), ["it is not a SQLite file"])


def _checked(copy: Path, told: Told | None) -> int:
    """Check our own copy of the copy, bring an older one to this version, and count its entries."""
    try:
        with opened_file(copy) as alias:
            found = schema.state(alias)
            unknown = schema.applied_changes(alias) - schema.known_changes()
    except DatabaseError as error:
        raise NotWhole(str(copy), [str(error)]) from error
    if found == "absent":
        raise NotWhole(str(copy), ["it holds no garden"])
    if found == "newer":
        raise NewerSchema(sorted(unknown))
    if found == "older":
        whole_pages(copy)
        with opened_file(copy, writable=True) as alias:
            schema.bring_up(alias)
    return verified(copy, told)


def _swap(made: Path, garden: Path, stamp: str) -> Path | None:
    if not garden.exists():
        for end in _BESIDE:  # left without its file, SQLite would take it for the new one's
            _moved(garden, _free(garden, stamp), end)
        _own_as(made, garden.parent)
        os.replace(made, garden)
        settle_on_disk(garden.parent)
        return None
    with _alone(garden):
        aside = _free(garden, stamp)
        # A second name first, then one step that replaces: at no moment is there no garden.
        try:
            os.link(garden, aside)
        except OSError:  # a file system without links
            shutil.copy2(garden, aside)
            _own_as(aside, garden)
        moved = [end for end in _BESIDE if _moved(garden, aside, end)]
        try:
            _own_as(made, garden)
            shutil.copymode(garden, made)
            os.replace(made, garden)
        except BaseException:
            for end in moved:
                _moved(aside, garden, end)
            aside.unlink()
            raise
    settle_on_disk(garden.parent)
    return aside


def _own_as(made: Path, other: Path) -> None:
    """Give a file the owner of another, so that who opened the garden before still can."""
    if os.name == "nt":
        return
    there = other.stat()
    with suppress(PermissionError):  # only root gives files away
        os.chown(made, there.st_uid, there.st_gid)


def _free(garden: Path, stamp: str) -> Path:
    aside = garden.with_name(f"{garden.stem}-before-restore-{stamp}{garden.suffix}")
    n = 2
    while aside.exists():
        aside = garden.with_name(f"{garden.stem}-before-restore-{stamp}-{n}{garden.suffix}")
        n += 1
    return aside


def _moved(of: Path, to: Path, end: str) -> bool:
    """Move what lies beside one file to beside another, and return whether there was anything."""
    if not (left := of.with_name(of.name + end)).exists():
        return False
    os.rename(left, to.with_name(to.name + end))
    return True


@contextmanager
def _alone(garden: Path) -> Iterator[None]:
    """Hold the garden's file so that nobody else has it open, its journal folded into it.

    SQLite leaves WAL mode only when no other connection is open, which is just what is asked.  A file
    too damaged for that is asked for its locks instead.
    """
    connection: Any = sqlite.connect(str(garden), timeout=0, isolation_level=None)
    try:
        try:
            connection.execute("PRAGMA journal_mode=DELETE").fetchone()
            connection.execute("PRAGMA locking_mode=EXCLUSIVE").fetchone()
            connection.execute("BEGIN EXCLUSIVE")
        except sqlite.OperationalError as error:
            if "locked" in str(error):
                raise InUse(_OPEN_ELSEWHERE.format(garden)) from error
            _refuse_if_locked(garden)
        except sqlite.DatabaseError:
            _refuse_if_locked(garden)
        yield
    finally:
        connection.close()


_OPEN_ELSEWHERE = "{} is open in another program; stop slipwright serve and what else uses it first"


def _refuse_if_locked(garden: Path) -> None:
    try:
        import fcntl
    except ImportError:  # Windows itself refuses to replace a file that is open
        return
    with garden.open("r+b") as handle:
        try:
            fcntl.lockf(handle, fcntl.LOCK_EX | fcntl.LOCK_NB, _LOCK_LENGTH, _LOCK_BYTE)
        except OSError as error:
            raise InUse(_OPEN_ELSEWHERE.format(garden)) from error
