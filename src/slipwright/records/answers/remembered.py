"""What a process remembers of a garden, as long as nothing was written to it."""

from __future__ import annotations

import os
from collections.abc import Hashable
from datetime import date
from threading import Lock
from typing import Any, Generic, TypeVar
from uuid import UUID

from django.db import connection

T = TypeVar("T")

#: gardens of which something is remembered
_GARDENS = 8


class Remembered(Generic[T]):
    """One answer for each of a few gardens, kept with what it rests on. Threads may share it."""

    def __init__(self) -> None:
        self._kept: dict[UUID, tuple[Hashable, T]] = {}
        self._lock = Lock()

    def get(self, garden: UUID, rests_on: Hashable) -> T | None:
        """Return what was kept of a garden, unless it rests on something else."""
        with self._lock:
            known = self._kept.get(garden)
        return known[1] if known is not None and known[0] == rests_on else None

    def keep(self, garden: UUID, rests_on: Hashable, answer: T) -> None:
        """Keep an answer in place of the one before; where there are many, the oldest goes."""
        with self._lock:
            self._kept.pop(garden, None)
            while len(self._kept) >= _GARDENS:
                self._kept.pop(next(iter(self._kept)))
            self._kept[garden] = (rests_on, answer)


def as_of(last_number: int, last_edit: int, on: date | None = None) -> Hashable:
    """Return what all that can be told of a garden on a day rests on: its counters, and which database.

    Entries move the first counter, changes of what a garden has the second, days of weather among them.

    A garden restored from a backup has its id and may come to the same counters again, but its file is
    another one, or was written at another time.
    """
    return (last_number, last_edit, on, *which_database())


def which_database() -> tuple[Hashable, ...]:
    """Return what tells the database that is open from any other, and from itself before a restore."""
    known: dict[str, Any] = connection.settings_dict
    name = str(known["NAME"])
    if connection.vendor != "sqlite":
        return (known.get("HOST"), known.get("PORT"), name)
    try:
        file = os.stat(name)
    except OSError:
        # a database in memory has no file
        return (name,)
    return (name, file.st_dev, file.st_ino, file.st_mtime_ns)
