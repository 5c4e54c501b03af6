"""What a garden keeps, read as plain values: the way they stand in tables and canonical content."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import date
from typing import Any

from django.db import models

from slipwright.records.canonical import decimal_text, instant_text
from slipwright.records.columns import Column, Table, table_named
from slipwright.records.models import Garden
from slipwright.records.rows import MODELS, is_link, moment
from slipwright.records.tables.checking import Plain

Turn = Callable[[Any], Plain | None]


def rows_of(table: Table, garden: Garden) -> models.QuerySet[Any]:
    """Return the rows of ``table`` in ``garden``."""
    if table.name == "garden":
        return Garden.objects.filter(pk=garden.pk)
    return MODELS[table.name]._default_manager.filter(garden=garden)


class PlainRows:
    """Asks for the rows of a table as tuples and turns them into plain values, column by column."""

    def __init__(self, table: Table) -> None:
        self.table = table
        self.names = ["pk", *(_asked(table, column) for column in table.columns)]
        if table.when == "at":
            self.names.append("at_offset_min")
        self._turns = [_turn(column) for column in table.columns]
        self._at = table.names.index("at") if table.when == "at" else None

    def read(self, rows: models.QuerySet[Any], chunk: int = 2000) -> Iterator[tuple[int, list[Plain | None]]]:
        """Yield the primary key and the values of each row; ``None`` is an empty value."""
        for pk, *values in rows.values_list(*self.names).iterator(chunk_size=chunk):
            yield pk, self.plain(values)

    def plain(self, values: Sequence[Any]) -> list[Plain | None]:
        """Return the plain values of one row."""
        if self._at is not None:
            *values, offset = values
            values[self._at] = moment(values[self._at], offset)
        return [
            None if value is None or value == "" else turn(value)
            for turn, value in zip(self._turns, values, strict=True)
        ]


def _asked(table: Table, column: Column) -> str:
    if column.name == "id":
        return "entry_id"
    if is_link(table, column):
        return f"{column.name}__{table_named(column.ref).key[0]}"
    return column.name


def _turn(column: Column) -> Turn:
    return _TURNS.get(column.kind, str)


_TURNS: dict[str, Turn] = {
    "integer": int,
    "decimal": decimal_text,
    "date": date.isoformat,
    "instant": instant_text,
}
