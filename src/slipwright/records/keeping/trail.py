"""Whether what a garden has and wants is what its last edit made it.

Each edit of a reference row keeps the row as it was and as it became, so a row that was changed by
anything else betrays itself, and so does an edit.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.db import models

from slipwright.records.canonical import plain
from slipwright.records.columns import REFERENCE_TABLES, Table
from slipwright.records.models import Garden, ReferenceEdit
from slipwright.records.rows import MODELS, row_of


@dataclass(frozen=True, slots=True)
class OffTrail:
    """A row that is not what its last edit says, or an edit that does not follow the one before."""

    table: str
    key: str
    what: str


def off_trail(garden: Garden, *, using: str = "default") -> Iterator[OffTrail]:
    """Yield what does not agree. Rows that no edit tells of cannot be judged and are passed over."""
    last: dict[tuple[str, str], Mapping[str, Any]] = {}
    expected = 0
    edits = ReferenceEdit.rows.using(using).of(garden).order_by("number")
    for number, table, key, before, after in edits.values_list(
        "number", "table", "key", "before", "after"
    ).iterator(chunk_size=5000):
        expected += 1
        if number != expected:
            yield OffTrail("edits", str(expected), "is not there: an edit was lost")
            expected = number
        known = last.get((table, key))
        if known is not None and _filled(before or {}) != _filled(known):
            yield OffTrail("edits", str(number), f"of {table} {key} does not follow the one before it")
        last[table, key] = after
    if expected != garden.last_edit:
        yield OffTrail("edits", str(garden.last_edit), "is the number of the last edit, and it is not there")
    for what in REFERENCE_TABLES:
        there = set()
        for record in _records(what, garden, using):
            now = {name: plain(value) for name, value in row_of(record, what).items()}
            key = "" if what.name == "garden" else _key(what, now)
            there.add(key)
            made = last.get((what.name, key))
            if made is not None and _filled(made) != now:
                yield OffTrail(what.name, key, "says something else than its last edit made it")
        for table, key in last:
            if table == what.name and key not in there:
                yield OffTrail(table, key, "is gone, and no edit says so")


def _records(table: Table, garden: Garden, using: str) -> Iterator[models.Model]:
    if table.name == "garden":
        yield garden
        return
    model = MODELS[table.name]
    links = [column.name for column in table.columns if column.ref and _is_link(model, column.name)]
    rows = model._default_manager.using(using).filter(garden=garden).select_related(*links)
    yield from rows.order_by("pk").iterator(chunk_size=2000)


def _is_link(model: type[models.Model], name: str) -> bool:
    return isinstance(model._meta.get_field(name), models.ForeignKey)


def _key(table: Table, row: Mapping[str, Any]) -> str:
    return " ".join("" if row.get(name) is None else str(row[name]) for name in table.key).strip()


def _filled(row: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in row.items() if value is not None and value != ""}
