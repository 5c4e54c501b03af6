"""A row of a table, between the words people write and the models that keep it.

A row is a mapping of column names to values, references as their text keys; an absent column and an
empty value mean the same.
"""

from __future__ import annotations

import re
import unicodedata
import uuid
from collections.abc import Callable, Mapping
from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal
from functools import cache
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from django.db import models

from slipwright.craft.names import NotAPlantName, plant_name
from slipwright.records.canonical import LARGEST_WHOLE, Value, decimal_text
from slipwright.records.columns import ENTRY_TABLES, Column, Table, table_named
from slipwright.records.errors import BadValue, UnknownRow
from slipwright.records.models import (
    ENTRY_MODELS,
    Container,
    Cost,
    Garden,
    Hours,
    Medium,
    Member,
    Method,
    Place,
    Plant,
    Taxon,
    Trial,
    Want,
    WeatherDay,
    fields,
)
from slipwright.records.rules import IN_YEARS, in_years, row_fault

Row = Mapping[str, Value]

#: The model that keeps the rows of each table.
MODELS: dict[str, type[models.Model]] = {
    "garden": Garden,
    "members": Member,
    "taxa": Taxon,
    "places": Place,
    "containers": Container,
    "media": Medium,
    "wants": Want,
    "trials": Trial,
    "plants": Plant,
    "methods": Method,
    "hours": Hours,
    "costs": Cost,
    "weather": WeatherDay,
} | {table.name: model for table in ENTRY_TABLES for model in ENTRY_MODELS if model.kind == table.kind}

_CONTROL = re.compile(r"[\x00-\x1f\x7f\ud800-\udfff]")
_CONTROL_BUT_LINES = re.compile(r"[\x00-\x08\x0b-\x1f\x7f\ud800-\udfff]")
_PART = re.compile(r"[^:;]+:[0-9]{1,8}(\.[0-9]{1,6})?", re.ASCII)
FURTHEST_OFFSET = timedelta(hours=14)


def checked(table: Table, row: Row, *, whole: bool = True) -> dict[str, Value]:
    """Return ``row`` with its values in their own types and text in NFC, empty ones left out.

    Raises ``BadValue`` for a column the table does not have and for a value that breaks the rule of
    its column; with ``whole``, also for a required column that is empty and for values that do not go
    together.
    """
    for name in row:
        if name not in table.names:
            raise BadValue(name, f"there is no such column in {table.name}")
    found: dict[str, Value] = {}
    for column in table.columns:
        value = row.get(column.name)
        if value is None or value == "":
            if whole and column.required:
                raise BadValue(column.name, "must be given")
            continue
        found[column.name] = _CHECKS[column.kind](table, column, value)
    if whole and (fault := row_fault(table.name, found)):
        raise BadValue(*fault, found.get(fault[0]))
    return found


def _text(table: Table, column: Column, value: Value) -> str:
    if not isinstance(value, str):
        raise BadValue(column.name, "must be text", value)
    text = unicodedata.normalize("NFC", value)
    control = _CONTROL
    if column.kind == "note":
        text, control = text.replace("\r\n", "\n").replace("\r", "\n"), _CONTROL_BUT_LINES
    if control.search(text):
        raise BadValue(column.name, "must hold no control characters", value)
    if len(text) > (longest := _longest(table.name, column.name)):
        raise BadValue(column.name, f"must be no longer than {longest} characters", len(text))
    if longest == fields.SHORT and text != text.strip():
        raise BadValue(column.name, "must have no blanks at either end", value)
    if table.name == "taxa" and column.name == "taxon":
        _plant_name(text)
    return text


def _plant_name(text: str) -> None:
    try:
        plant_name(text)
    except NotAPlantName as error:
        raise BadValue("taxon", error.rule, text) from error


@cache
def _longest(table: str, column: str) -> int:
    """Return the most characters a text column holds; a reference holds what an id does."""
    if column == "id":
        return fields.SHORT
    length = getattr(MODELS[table]._meta.get_field(column), "max_length", None)
    return length or fields.SHORT


def _choice(table: Table, column: Column, value: Value) -> str:
    if value not in column.choices:
        raise BadValue(column.name, f"must be one of {', '.join(column.choices)}", value)
    return str(value)


def _signs(table: Table, column: Column, value: Value) -> str:
    seen = _text(table, column, value).split(";")
    for sign in seen:
        if sign not in column.choices:
            raise BadValue(column.name, f"must be some of {', '.join(column.choices)}", sign)
    if seen != [sign for sign in column.choices if sign in seen]:
        raise BadValue(
            column.name, f"must name each sign once, in the order {';'.join(column.choices)}", value
        )
    return ";".join(seen)


def _integer(table: Table, column: Column, value: Value) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or abs(value) > LARGEST_WHOLE:
        raise BadValue(column.name, "must be a whole number", value)
    _limit(column, value)
    return value


def _decimal(table: Table, column: Column, value: Value) -> Decimal:
    if isinstance(value, bool) or not isinstance(value, int | Decimal):
        raise BadValue(column.name, "must be a decimal number", value)
    number = Decimal(value)
    if not number.is_finite():
        raise BadValue(column.name, "must be a number", value)
    _limit(column, number)
    if number != (rounded := round(number, fields.DECIMALS)):
        raise BadValue(column.name, f"must have no more than {fields.DECIMALS} decimals", value)
    return Decimal(decimal_text(rounded))


def _limit(column: Column, value: int | Decimal) -> None:
    if column.low is not None and value < column.low:
        raise BadValue(column.name, f"must be at least {column.low:g}", value)
    if column.high is not None and value > column.high:
        raise BadValue(column.name, f"must be at most {column.high:g}", value)


def _date(table: Table, column: Column, value: Value) -> date:
    if isinstance(value, datetime) or not isinstance(value, date):
        raise BadValue(column.name, "must be a date", value)
    if not in_years(value):
        raise BadValue(column.name, IN_YEARS, str(value))
    return value


def _instant(table: Table, column: Column, value: Value) -> datetime:
    if not isinstance(value, datetime) or value.tzinfo is None:
        raise BadValue(column.name, "must be a moment with its offset from UTC", value)
    offset = value.utcoffset() or timedelta()
    if value.microsecond or offset.seconds % 60 or abs(offset) > FURTHEST_OFFSET:
        raise BadValue(column.name, "must be in whole seconds, its offset in minutes up to 14 hours", value)
    if not in_years(value):
        raise BadValue(column.name, IN_YEARS, str(value))
    return value


def _uuid(table: Table, column: Column, value: Value) -> str:
    try:
        return str(uuid.UUID(str(value)))
    except ValueError:
        raise BadValue(column.name, "must be a UUID", value) from None


def _zone(table: Table, column: Column, value: Value) -> str:
    text = _text(table, column, value)
    try:
        ZoneInfo(text)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise BadValue(column.name, "must be an IANA time zone such as Europe/Lisbon", value) from None
    return text


def _parts(table: Table, column: Column, value: Value) -> str:
    text = _text(table, column, value)
    if not all(_PART.fullmatch(part) for part in text.split(";")):
        raise BadValue(column.name, "must be parts by volume such as perlite:1;vermiculite:1", value)
    return text


def _arms(table: Table, column: Column, value: Value) -> str:
    text = _text(table, column, value)
    arms = text.split(";")
    if not all(arms) or len(set(arms)) < len(arms):
        raise BadValue(column.name, "must be different names separated by ;", value)
    return text


_CHECKS: dict[str, Callable[[Table, Column, Value], Value]] = {
    "text": _text,
    "note": _text,
    "ref": _text,
    "choice": _choice,
    "signs": _signs,
    "integer": _integer,
    "decimal": _decimal,
    "date": _date,
    "instant": _instant,
    "uuid": _uuid,
    "zone": _zone,
    "parts": _parts,
    "arms": _arms,
}


def kept_as(
    garden: Garden, table: Table, row: Row, known: Mapping[str, models.Model] | None = None
) -> dict[str, Any]:
    """Return the model fields that keep a checked ``row``: references looked up in ``garden``.

    ``known`` holds what columns refer to, where that was looked up already.
    """
    found: dict[str, Any] = {}
    for name, value in row.items():
        column = table.column(name)
        if name == "id":
            found["entry_id"] = value
        elif isinstance(value, datetime):
            found["at"] = value.astimezone(UTC)
            found["at_offset_min"] = (value.utcoffset() or timedelta()) // timedelta(minutes=1)
        elif is_link(table, column):
            there = known.get(name) if known else None
            found[name] = there or referred(garden, column, str(value))
        else:
            if column.ref:
                referred(garden, column, str(value))
            found[name] = value
    return found


def is_link(table: Table, column: Column) -> bool:
    """Return whether the model holds the reference as a foreign key, not as text."""
    return bool(column.ref) and MODELS[table.name]._meta.get_field(column.name).is_relation


def referred(garden: Garden, column: Column, key: str) -> Any:
    """Return the row of ``garden`` that a reference names by its text key."""
    table = table_named(column.ref)
    rows = MODELS[table.name]._default_manager.filter(garden=garden)
    found = rows.filter(**{table.key[0]: key}).first()
    if found is None:
        raise UnknownRow(column.name, key, table.name)
    return found


def row_of(record: models.Model, table: Table) -> dict[str, Value]:
    """Return the row that ``record`` keeps, empty values left out."""
    found: dict[str, Value] = {}
    for column in table.columns:
        value: Any
        if column.name == "id":
            value = getattr(record, "entry_id")  # noqa: B009 (only entries have it)
        elif column.kind == "instant":
            value = moment(getattr(record, column.name), getattr(record, "at_offset_min"))  # noqa: B009
        else:
            value = getattr(record, column.name)
        if isinstance(value, models.Model):
            value = getattr(value, table_named(column.ref).key[0])
        if isinstance(value, uuid.UUID):
            value = str(value)
        if value is not None and value != "":
            found[column.name] = value
    return found


def moment(at: datetime, offset_min: int) -> datetime:
    """Return a stored moment with the offset it was written down with."""
    return at.astimezone(timezone(timedelta(minutes=offset_min)))
