"""The checked rows of a load written into the garden: one transaction, the garden held."""

from __future__ import annotations

import time
from datetime import datetime
from typing import Any

from django.db import IntegrityError, connection, models, transaction

from slipwright.records.columns import ENTRY_TABLES, REFERENCE_TABLES, Column, Table, table_named
from slipwright.records.models import BatchState, Garden, ReferenceEdit
from slipwright.records.numbering import hold
from slipwright.records.rows import MODELS, is_link
from slipwright.records.tables.gardens import Chosen
from slipwright.records.tables.progress import Progress
from slipwright.records.tables.scratch import Scratch
from slipwright.records.tables.sealing import VERSION
from slipwright.records.tables.staged import staged
from slipwright.records.tables.standings import STATE

#: Rows copied by one statement.
SLICE = 50_000


class Moved(Exception):
    """The garden was changed by somebody else while the tables were checked."""


def copy(
    scratch: Scratch, chosen: Chosen, counts: dict[str, int], *, now: datetime, progress: Progress
) -> float:
    """Write the rows of the scratch into the garden and return for how many seconds it was held.

    ``counts`` are the new entries, table by table in the order they are numbered. Raises ``Moved``,
    with nothing written, if the garden is no longer as it was chosen.
    """
    names = [name for name in scratch.tables if scratch.has(name)]
    last = {name: int(scratch.one(f'SELECT max(n) FROM "{name}"')) for name in names}
    with staged(scratch, names, progress) as prefix:
        began = time.perf_counter()
        try:
            with transaction.atomic(durable=True):
                garden = _held(chosen)
                _Writing(prefix, last, garden, now, progress).write(counts)
        except IntegrityError as error:
            raise Moved(str(error)) from error
        held_s = time.perf_counter() - began
    count_anew()
    return held_s


def count_anew() -> None:
    """Let PostgreSQL count what its tables hold: until it has, it asks for new rows in slow ways."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")


def _held(chosen: Chosen) -> Garden:
    """Return the garden, held and with its own row as it is to be."""
    if chosen.record is None:
        others = Garden.objects.all() if chosen.is_first else Garden.objects.filter(garden=chosen.garden)
        if others.exists():
            raise Moved("a garden was made meanwhile")
        return Garden.objects.create(**_fields(chosen.values))
    held = hold(chosen.record)
    if (held.last_number, held.last_edit) != chosen.since:
        raise Moved("the garden was changed meanwhile")
    if chosen.is_changed:
        Garden.objects.filter(pk=held.pk).update(**_fields(chosen.values))
    return held


def _fields(values: dict[str, Any]) -> dict[str, Any]:
    """Return what the model of the garden takes, an empty value as the model keeps it."""
    found = {}
    for name, value in values.items():
        field: Any = Garden._meta.get_field(name)
        found[name] = field.to_python(value) if value is not None else None if field.null else ""
    return found


class _Writing:
    """Writes the staged rows of one load, by statements that look primary keys up by text keys.

    ``last`` holds the last row of each staged table.
    """

    def __init__(
        self, prefix: str, last: dict[str, int], garden: Garden, now: datetime, progress: Progress
    ) -> None:
        self._prefix = prefix
        self._last = last
        self._garden = garden
        self._now = connection.ops.adapt_datetimefield_value(now)
        self._progress = progress

    def write(self, counts: dict[str, int]) -> None:
        """Write reference rows, entries, states and edits, and count the garden on."""
        total = sum(counts.values())
        n_edits = 0
        with connection.cursor() as cursor:
            for table in REFERENCE_TABLES:
                if table.name in self._last and table.name != "garden":
                    cursor.execute(self._new_rows(table))
                    cursor.execute(self._changed_rows(table))
            self._write_entries(cursor, counts, total)
            if "states" in self._last:
                cursor.execute(self._states())
            if "edits" in self._last:
                cursor.execute(self._edits(), [self._now])
                n_edits = cursor.rowcount
        Garden.objects.filter(pk=self._garden.pk).update(
            last_number=self._garden.last_number + total, last_edit=self._garden.last_edit + n_edits
        )
        self._progress(total, total, "writing")

    def _write_entries(self, cursor: Any, counts: dict[str, int], total: int) -> None:
        done = 0
        for table in ENTRY_TABLES:
            if not counts.get(table.name):
                continue
            sql = self._entries(table, self._garden.last_number + done)
            for low in range(0, self._last[table.name], SLICE):
                cursor.execute(sql, [self._now, low, low + SLICE])
                self._progress(done + min(low + SLICE, counts[table.name]), total, "writing")
            done += counts[table.name]

    def _new_rows(self, table: Table) -> str:
        wanted = {"garden": str(self._garden.pk)} | self._values(table)
        return self._insert(MODELS[table.name], wanted, table.name, "s.pk IS NULL")

    def _changed_rows(self, table: Table) -> str:
        model = MODELS[table.name]
        settings = ", ".join(
            f"{_column(model, name)} = {value}"
            for name, value in self._values(table).items()
            if name not in table.key
        )
        home = _quoted(model._meta.db_table)
        return f"UPDATE {home} SET {settings} FROM {self._from(table.name)} WHERE {home}.id = s.pk"

    def _entries(self, table: Table, before: int) -> str:
        """Return the statement for a slice of a table, its new entries numbered after ``before``."""
        wanted = {
            "garden": str(self._garden.pk),
            "entry_id": "s.entry_id",
            "v": str(VERSION),
            "number": f"{before} + s.k",
            "received_at": "%s",
            "sha256": "s.sha256",
        } | self._values(table)
        if table.when == "at":
            wanted |= {"at": "s.at_utc", "at_offset_min": "s.at_offset_min"}
        if table.kind == "withdrawal":
            wanted["withdraws_kind"] = "s.withdraws_kind"
        if table.kind == "photo":
            wanted["sent_sha256"] = "''"
        return self._insert(MODELS[table.name], wanted, table.name, "s.n > %s AND s.n <= %s")

    def _states(self) -> str:
        rest = STATE[3:]
        wanted = {
            "batch": self._key_of("batches", "batch"),
            "garden": str(self._garden.pk),
            "place": self._key_of("places", "place"),
        } | {name: f"s.{name}" for name in rest}
        anew = ", ".join(f"{name} = excluded.{name}" for name in ("place_id", *rest))
        insert = self._insert(BatchState, wanted, "states", "s.n > 0")
        return f"{insert} ON CONFLICT (batch_id) DO UPDATE SET {anew}"

    def _edits(self) -> str:
        wanted = {
            "garden": str(self._garden.pk),
            "number": f"{self._garden.last_edit} + s.n",
            "table": 's."table"',
            "key": 's."key"',
            "before": "s.before",
            "after": "s.after",
            "at": "%s",
        }
        return self._insert(ReferenceEdit, wanted, "edits", "s.n > 0")

    def _insert(self, model: type[models.Model], wanted: dict[str, str], name: str, which: str) -> str:
        columns = ", ".join(_column(model, field) for field in wanted)
        return (
            f"INSERT INTO {_quoted(model._meta.db_table)} ({columns}) SELECT {', '.join(wanted.values())} "
            f"FROM {self._from(name)} WHERE {which} ORDER BY s.n"
        )

    def _from(self, name: str) -> str:
        return f"{self._prefix}{name} AS s"

    def _values(self, table: Table) -> dict[str, str]:
        """Return, for each column of a table but the id, the expression for what its model keeps."""
        return {column.name: self._value(table, column) for column in table.columns if column.name != "id"}

    def _value(self, table: Table, column: Column) -> str:
        if is_link(table, column):
            return self._key_of(column.ref, column.name)
        field = MODELS[table.name]._meta.get_field(column.name)
        own = f"s.{_quoted(column.name)}"
        return f"COALESCE({own}, '')" if isinstance(field, models.CharField) else own

    def _key_of(self, ref: str, column: str) -> str:
        """Return the expression for the primary key of the row that a staged column names."""
        model = MODELS[ref]
        key = _column(model, table_named(ref).key[0])
        return (
            f"(SELECT r.id FROM {_quoted(model._meta.db_table)} AS r "
            f"WHERE r.garden_id = {self._garden.pk} AND r.{key} = s.{_quoted(column)})"
        )


def _quoted(name: str) -> str:
    return str(connection.ops.quote_name(name))


def _column(model: type[models.Model], field: str) -> str:
    return _quoted(str(model._meta.get_field(field).column))  # type: ignore[union-attr]
