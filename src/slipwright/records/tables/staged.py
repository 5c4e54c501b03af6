"""The checked rows of a load, put where the garden's database can read them.

SQLite attaches the scratch file itself, read only. PostgreSQL gets temporary tables, filled by COPY.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any
from urllib.parse import quote

from django.db import connection, models

from slipwright.records.columns import TABLES, table_named
from slipwright.records.models import BatchState, ReferenceEdit
from slipwright.records.rows import MODELS, is_link
from slipwright.records.tables.progress import Progress
from slipwright.records.tables.scratch import Scratch

#: Page cache while rows are copied (SQLite: negative is KiB). The index of a million ids fits in it;
#: with the usual 20 MB its pages are written and read again, which held the garden a third longer.
CACHE = -128_000

_NAMES = frozenset(table.name for table in TABLES)
_EXTRAS = {
    "n": "bigint",
    "line": "bigint",
    "k": "bigint",
    "pk": "bigint",
    "made": "bigint",
    "entry_id": "text",
    "at_utc": "timestamptz",
    "of_batch": "text",
}


@contextmanager
def staged(scratch: Scratch, names: Sequence[str], progress: Progress) -> Iterator[str]:
    """Give the prefix under which the named scratch tables can be read on Django's connection."""
    scratch.settle()
    if connection.vendor == "sqlite":
        with _attached(scratch) as prefix:
            yield prefix
    else:
        with _copied(scratch, names, progress) as prefix:
            yield prefix


@contextmanager
def _attached(scratch: Scratch) -> Iterator[str]:
    with connection.cursor() as cursor:
        cursor.execute(
            "ATTACH DATABASE %s AS staged", [f"file:{quote(str(scratch.file))}?mode=ro&immutable=1"]
        )
        usual = cursor.execute("PRAGMA main.cache_size").fetchone()[0]
        cursor.execute(f"PRAGMA main.cache_size = {CACHE}")
    try:
        yield "staged."
    finally:
        with connection.cursor() as cursor:
            cursor.execute(f"PRAGMA main.cache_size = {usual}")
            cursor.execute("DETACH DATABASE staged")


@contextmanager
def _copied(scratch: Scratch, names: Sequence[str], progress: Progress) -> Iterator[str]:
    prefix = "staged_"
    try:
        with connection.cursor() as cursor:
            for name in names:
                _copy(cursor, scratch, name, prefix, progress)
        yield prefix
    finally:
        with connection.cursor() as cursor:
            for name in names:
                cursor.execute(f'DROP TABLE IF EXISTS pg_temp."{prefix}{name}"')


def _copy(cursor: Any, scratch: Scratch, name: str, prefix: str, progress: Progress) -> None:
    columns = [row[1] for row in scratch.rows(f'PRAGMA table_info("{name}")')]
    typed = ", ".join(f'"{column}" {_type(name, column)}' for column in columns)
    cursor.execute(f'CREATE TEMPORARY TABLE "{prefix}{name}" ({typed}, PRIMARY KEY ("{columns[0]}"))')
    asked = ", ".join("at_utc || '+00'" if column == "at_utc" else f'"{column}"' for column in columns)
    total = int(scratch.one(f'SELECT count(*) FROM "{name}"'))
    with cursor.copy(f'COPY "{prefix}{name}" FROM STDIN') as copy:
        for done, row in enumerate(scratch.rows(f'SELECT {asked} FROM "{name}"')):
            copy.write_row(row)
            if done % 20_000 == 0:
                progress(done, total, f"sending {name}")


def _type(name: str, column: str) -> str:
    """Return the type PostgreSQL keeps a staged column as: that of the model, text for a reference."""
    if column in _EXTRAS:
        return _EXTRAS[column]
    if name in _NAMES:
        table, model = table_named(name), MODELS[name]
        if column in table.names and is_link(table, table.column(column)):
            return "text"
    else:
        model = {"states": BatchState, "edits": ReferenceEdit}[name]
    field: models.Field[Any, Any] = model._meta.get_field(column)  # type: ignore[assignment]
    return "text" if field.is_relation else str(field.db_type(connection))
