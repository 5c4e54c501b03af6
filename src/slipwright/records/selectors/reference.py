"""Reference rows as plain values: what a garden has and wants, and where a row is used."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Literal

from django.db import models

from slipwright.records.canonical import Value
from slipwright.records.columns import ENTRY_TABLES, TABLES, Table, table_named
from slipwright.records.errors import NotFound
from slipwright.records.models import Garden
from slipwright.records.rows import MODELS, Row, checked, is_link, row_of

#: a reference row: its columns by name, empty ones left out
Reference = dict[str, Value]


def reference_rows(garden: Garden, table: str) -> list[Reference]:
    """Return the rows of a reference table, by their key; places in the order of the walk. One query."""
    what = table_named(table)
    order = ("walk_order", *what.key) if table == "places" else what.key
    found = _of(garden, what).order_by(*order)
    if links := [column.name for column in what.columns if is_link(what, column)]:
        found = found.select_related(*links)
    rows = [row_of(record, what) for record in found]
    if table == "places":  # a place without a number in the walk comes last, on every database
        rows.sort(key=lambda row: "walk_order" not in row)
    return rows


def reference_row(garden: Garden, table: str, key: Sequence[str]) -> Reference:
    """Return one row by the values of its key; the garden itself needs none."""
    what = table_named(table)
    if table == "garden":
        return row_of(garden, what)
    record = None
    if len(key) == len(what.key):
        record = _of(garden, what).filter(**dict(zip(what.key, key, strict=True))).first()
    if record is None:
        raise NotFound(f"there is no row {' '.join(key) or 'without a name'} in {table} of this garden")
    return row_of(record, what)


def keys_of(garden: Garden, table: str) -> list[str]:
    """Return the names rows of a table are referred to by. One query."""
    (key,) = table_named(table).key
    return list(_of(garden, table_named(table)).order_by(key).values_list(key, flat=True))


def taxon_names(garden: Garden) -> dict[str, str]:
    """Return the common name of every taxon of a garden, empty where there is none. One query."""
    rows = _of(garden, table_named("taxa")).order_by("taxon").values_list("taxon", "common_name")
    return {str(taxon): str(common_name) for taxon, common_name in rows}


def row_there(garden: Garden, table: str, row: Row) -> Literal["none", "same", "other"]:
    """Return whether a row of this name is there already, and whether it says the same."""
    what = table_named(table)
    full = checked(what, row)
    try:
        before = reference_row(garden, table, [str(full[name]) for name in what.key])
    except NotFound:
        return "none"
    return "same" if before == full else "other"


def uses_of(garden: Garden, table: str, key: str) -> dict[str, int]:
    """Return how many rows of each other table name this row, tables without any left out."""
    what = table_named(table)
    if len(what.key) != 1:
        return {}
    counts: dict[str, int] = {}
    for other in TABLES:
        if other.name not in MODELS:
            continue
        links = [c.name for c in other.columns if c.ref == table and is_link(other, c)]
        if not links:
            continue
        named = models.Q()
        for link in links:
            named |= models.Q(**{f"{link}__{what.key[0]}": key})
        if n := _of(garden, other).filter(named).count():
            counts[other.name] = n
    return counts


def _of(garden: Garden, table: Table) -> Any:
    model: Any = MODELS[table.name]
    if table in ENTRY_TABLES:
        return model.rows.of(garden).standing()
    return model._default_manager.filter(garden=garden)
