"""The canonical content of entries, read from what was received and from what is kept."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import models

from slipwright.records.canonical import Value, content, decimal_text, plain, sha256
from slipwright.records.columns import ENTRY_TABLES, Column, Table, table_named
from slipwright.records.errors import BadValue
from slipwright.records.models import Entry, Garden
from slipwright.records.rows import MODELS, Row, checked, is_link, moment, row_of

#: The newest version of an entry's content this build understands.
VERSION = 1

_OUTSIDE = {"kind", "v", "garden", "id", "by", "fields"}
_DECIMAL = re.compile(r"-?[0-9]{1,20}(\.[0-9]{1,20})?")
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_INSTANT = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}[+-][0-9]{2}:[0-9]{2}")
_KINDS = {table.kind: table for table in ENTRY_TABLES}


def received(whole: Mapping[str, Any]) -> tuple[Table, dict[str, Value]]:
    """Return the table and the checked row that received content tells of.

    Raises ``BadValue`` naming what is unknown, missing, of the wrong type or out of its limits.
    """
    table = _table(whole)
    inner = whole.get("fields")
    if not isinstance(inner, Mapping):
        raise BadValue("fields", "must be an object", inner)
    when = "at" if table.when == "at" else "on"
    for name in whole:
        if name not in _OUTSIDE and name != when:
            raise BadValue(str(name), f"is not part of a {table.kind}", whole[name])
    names = {column.name for column in table.field_columns}
    for name in inner:
        if name not in names:
            raise BadValue(str(name), f"is not a column of {table.name}", inner[name])
    told = dict(inner) | {table.when: whole.get(when), "id": whole.get("id")}
    if "by" in whole:
        told["by"] = whole["by"]
    if not told["id"]:
        raise BadValue("id", "must be given: it is made where the entry is recorded")
    row = {name: _typed(table.column(name), value) for name, value in told.items() if name in table.names}
    if "by" in told and "by" not in table.names:
        raise BadValue("by", f"is not part of a {table.kind}", told["by"])
    return table, checked(table, row)


def _table(whole: Mapping[str, Any]) -> Table:
    v = whole.get("v")
    if isinstance(v, bool) or not isinstance(v, int) or v < 1:
        raise BadValue("v", "must be the version of the content, from 1", v)
    if v > VERSION:
        raise BadValue("v", f"must be at most {VERSION}: this entry comes from a newer Slipwright", v)
    kind = whole.get("kind")
    if not isinstance(kind, str) or kind not in _KINDS:
        raise BadValue("kind", f"must be one of {', '.join(_KINDS)}", kind)
    return _KINDS[kind]


def _typed(column: Column, value: Any) -> Value:
    """Return a JSON value in the type of its column; ``checked`` sees to its limits."""
    if value is None or column.kind not in _FROM_TEXT:
        return value  # type: ignore[no-any-return]
    pattern, make, rule = _FROM_TEXT[column.kind]
    if not isinstance(value, str) or not pattern.fullmatch(value):
        raise BadValue(column.name, rule, value)
    try:
        return make(value)
    except ValueError:
        raise BadValue(column.name, rule, value) from None


_FROM_TEXT: dict[str, tuple[re.Pattern[str], Callable[[str], Value], str]] = {
    "decimal": (_DECIMAL, Decimal, "must be a decimal number in text, without exponent"),
    "date": (_DATE, date.fromisoformat, "must be a date such as 2026-10-20"),
    "instant": (_INSTANT, datetime.fromisoformat, "must be a moment such as 2026-10-20T09:30:00+01:00"),
}


def content_of(record: Entry) -> dict[str, Any]:
    """Return the canonical content of one kept entry."""
    table = _KINDS[record.kind]
    return content(table, str(record.garden.garden), row_of(record, table), record.v)


def same_content(record: Entry, table: Table, garden: Garden, row: Row) -> bool:
    """Return whether a kept entry says the same as ``row``."""
    return record.sha256 == sha256(content(table, str(garden.garden), row, record.v))


@dataclass(frozen=True, slots=True)
class Damaged:
    """An entry whose hash is not that of what it says."""

    table: str
    entry_id: str
    why: str


class Reader:
    """Reads the content of many kept entries of one table from plain tuples, without models.

    ``names`` are the columns to ask the database for, in order.
    """

    def __init__(self, table: Table, garden: Garden, keys: Mapping[str, Mapping[int, str]]) -> None:
        self.table = table
        self.garden = str(garden.garden)
        self.names: list[str] = ["pk", "sha256", "v", "entry_id"]
        self._inner: list[tuple[str, int, Callable[[Any], Any] | None]] = []
        self._when = "at" if table.when == "at" else "on"
        for column in table.columns:
            if column.name not in ("id", "by", table.when):
                self._inner.append((column.name, self._ask(column), self._turn(column, keys)))
        self._when_at = self._ask(table.column(table.when))
        if self._when == "at":
            self.names.append("at_offset_min")
        self._by_at = self._ask(table.column("by")) if "by" in table.names else None
        self._members = keys["members"]

    def _ask(self, column: Column) -> int:
        self.names.append(f"{column.name}_id" if is_link(self.table, column) else column.name)
        return len(self.names) - 1

    def _turn(self, column: Column, keys: Mapping[str, Mapping[int, str]]) -> Callable[[Any], Any] | None:
        if is_link(self.table, column):
            return keys[column.ref].__getitem__
        return {"decimal": decimal_text, "date": date.isoformat, "integer": None}.get(column.kind, plain)

    def content(self, values: Sequence[Any]) -> dict[str, Any]:
        """Return the canonical content of the entry with these values."""
        inner = {}
        for name, place, turn in self._inner:
            value = values[place]
            if value is not None and value != "":
                inner[name] = value if turn is None else turn(value)
        at = values[self._when_at]
        when = at.isoformat() if self._when == "on" else plain(moment(at, values[self._when_at + 1]))
        whole = {
            "kind": self.table.kind,
            "v": values[2],
            "garden": self.garden,
            "id": plain(values[3]),
            self._when: when,
            "fields": inner,
        }
        if self._by_at is not None and (by := values[self._by_at]) is not None:
            whole["by"] = self._members[by]
        return whole


def text_keys(garden: Garden, *, using: str = "default") -> dict[str, dict[int, str]]:
    """Return, for each table that entries refer to, the text keys of its rows by primary key."""
    found: dict[str, dict[int, str]] = {"members": {}}
    for column in {column for table in ENTRY_TABLES for column in table.columns if column.ref}:
        table = table_named(column.ref)
        model = MODELS[table.name]
        rows = model._default_manager.using(using).filter(garden=garden)
        found[table.name] = dict(rows.values_list("pk", table.key[0]))
    return found


def damaged(
    garden: Garden,
    *,
    using: str = "default",
    told: Callable[[int], None] | None = None,
    chunk: int = 5000,
) -> Iterator[Damaged]:
    """Yield every entry of ``garden`` whose kept hash is not that of its content.

    ``told`` is called with the number of entries read so far.
    """
    keys = text_keys(garden, using=using)
    n = 0
    for table in ENTRY_TABLES:
        reader = Reader(table, garden, keys)
        model: type[models.Model] = MODELS[table.name]
        rows = model._default_manager.using(using).filter(garden=garden).order_by("pk")
        for values in rows.values_list(*reader.names).iterator(chunk_size=chunk):
            if why := _fault(reader, values):
                yield Damaged(table.name, str(values[3]), why)
            n += 1
            if told is not None and n % chunk == 0:
                told(n)
    if told is not None and n % chunk:
        told(n)


def _fault(reader: Reader, values: Sequence[Any]) -> str:
    try:
        found = sha256(reader.content(values))
    except (KeyError, ValueError, TypeError, AttributeError, OverflowError) as error:
        return f"cannot be read: {error!r}"
    return "" if found == values[1] else "says something else than when it was recorded"
