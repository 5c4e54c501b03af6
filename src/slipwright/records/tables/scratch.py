"""A scratch database that holds what is to be loaded while it is checked."""

from __future__ import annotations

import shutil
import sqlite3
import tempfile
import time
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from itertools import islice
from pathlib import Path
from typing import Any

from slipwright.records.columns import Table

#: Rows written, or looked up, in one go.
CHUNK = 5000
_PREFIX = "slipwright-load-"
#: A load that was killed leaves its folder behind; a later one clears it away after a day.
_STALE_S = 86_400

#: What the scratch keeps of an entry beside its columns. ``k`` counts the rows that are new.
ENTRY_EXTRAS = ("n", "line", "k", "made", "entry_id", "sha256")
#: What it keeps of a reference row: ``pk`` is that of the row it changes.
REFERENCE_EXTRAS = ("n", "line", "pk")


class Scratch:
    """Tables of text and numbers in a file of its own, with the rows that are new or changed."""

    def __init__(self, file: Path) -> None:
        self.file = file
        self.db = sqlite3.connect(file, isolation_level=None)
        for pragma in ("journal_mode=OFF", "synchronous=OFF", "cache_size=-64000", "temp_store=FILE"):
            self.db.execute(f"PRAGMA {pragma}")
        self.db.execute("BEGIN")
        self.tables: list[str] = []

    def make(self, name: str, columns: Sequence[str]) -> None:
        """Make a table whose first column is its whole-number key."""
        key, *rest = (f'"{column}"' for column in columns)
        self.db.execute(f'CREATE TABLE "{name}" ({key} INTEGER PRIMARY KEY, {", ".join(rest)})')
        self.tables.append(name)

    def make_for(self, table: Table) -> None:
        """Make the table that keeps the rows of ``table``."""
        self.make(table.name, columns_for(table))

    def index(self, name: str, *columns: str) -> None:
        """Make the rows of a table quick to find by some columns."""
        listed = ", ".join(f'"{column}"' for column in columns)
        self.db.execute(f'CREATE INDEX "{name}_{"_".join(columns)}" ON "{name}" ({listed})')

    def write(self, name: str, columns: Sequence[str], rows: Iterable[Sequence[Any]]) -> None:
        """Add rows with values for some columns of a table."""
        listed = ", ".join(f'"{column}"' for column in columns)
        sql = f'INSERT INTO "{name}" ({listed}) VALUES ({", ".join("?" * len(columns))})'
        left = iter(rows)
        while chunk := list(islice(left, CHUNK)):
            self.db.executemany(sql, chunk)

    def rows(self, sql: str, *values: Any) -> Iterator[tuple[Any, ...]]:
        """Yield the rows of a query, a chunk in memory at a time."""
        cursor = self.db.execute(sql, values)
        while chunk := cursor.fetchmany(CHUNK):
            yield from chunk

    def has(self, name: str) -> bool:
        """Return whether there are rows in the table called ``name``."""
        return name in self.tables and bool(self.one(f'SELECT EXISTS (SELECT 1 FROM "{name}")'))

    def one(self, sql: str, *values: Any) -> Any:
        """Return the one value a query gives."""
        return self.db.execute(sql, values).fetchone()[0]

    def settle(self) -> None:
        """Put everything into the file, so that another connection can read it."""
        self.db.execute("COMMIT")

    def close(self) -> None:
        """Let the file go."""
        self.db.close()


def columns_for(table: Table) -> tuple[str, ...]:
    """Return the columns the scratch keeps of ``table``, in order."""
    if not table.is_entry:
        return (*REFERENCE_EXTRAS, *table.names)
    names = tuple(name for name in table.names if name != "id")
    return (*ENTRY_EXTRAS, *names, *found_out(table))


def found_out(table: Table) -> tuple[str, ...]:
    """Return the columns of an entry table that hold what was found out about a row."""
    moment = ("at_utc", "at_offset_min") if table.when == "at" else ()
    taken_back = ("withdraws_kind", "of_batch") if table.kind == "withdrawal" else ()
    return moment + taken_back


@contextmanager
def new_scratch() -> Iterator[Scratch]:
    """Give an empty scratch database in a folder that is removed afterwards."""
    _clear_stale()
    with tempfile.TemporaryDirectory(prefix=_PREFIX) as folder:
        scratch = Scratch(Path(folder) / "scratch.sqlite3")
        try:
            yield scratch
        finally:
            scratch.close()


def _clear_stale() -> None:
    for left in Path(tempfile.gettempdir()).glob(f"{_PREFIX}*"):
        try:
            is_stale = time.time() - left.stat().st_mtime > _STALE_S
        except OSError:
            continue
        if is_stale:
            shutil.rmtree(left, ignore_errors=True)


def in_chunks(values: Iterable[Any], size: int = 500) -> Iterator[list[Any]]:
    """Yield ``values`` in lists short enough to ask a database about."""
    left = iter(values)
    while chunk := list(islice(left, size)):
        yield chunk
