"""The JSON Schema of an entry's canonical content, made from ``records.columns``.

``docs/contract/entry.schema.json`` holds it for whoever writes a recorder of their own; a test keeps
the two equal.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from slipwright.records.columns import ENTRY_TABLES, Column, Table
from slipwright.records.models import fields

_DATE = {"type": "string", "format": "date", "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}$"}
_INSTANT = {
    "type": "string",
    "format": "date-time",
    "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}[+-][0-9]{2}:[0-9]{2}$",
    "description": "whole seconds and the offset from UTC; UTC itself is +00:00",
}
_DECIMAL = {
    "type": "string",
    "pattern": "^(0|-?(0\\.[0-9]*[1-9]|[1-9][0-9]*(\\.[0-9]*[1-9])?))$",
}
_ID = {"type": "string", "minLength": 1, "maxLength": fields.SHORT}


def entry_schema() -> dict[str, Any]:
    """Return the JSON Schema of the canonical content of an entry of any kind."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "The canonical content of an entry",
        "description": (
            "Written as RFC 8785 JSON in UTF-8 and hashed with SHA-256. Strings are in Unicode NFC; "
            "decimals are strings without exponent, plus sign or trailing noughts, and -0 is 0; what "
            "is empty is left out; by is the short id of a member. The vectors in entry-hash.json "
            "show it. An empty count was not counted; 0 was counted and is none."
        ),
        "oneOf": [_schema(table) for table in ENTRY_TABLES],
    }


def _schema(table: Table) -> dict[str, Any]:
    when = "at" if table.when == "at" else "on"
    outer: dict[str, Any] = {
        "kind": {"const": table.kind},
        "v": {"const": 1},
        "garden": {"type": "string", "format": "uuid", "description": "the garden's own id"},
        "id": _ID | {"description": "made where the entry was recorded"},
        when: (_INSTANT if when == "at" else _DATE) | _meaning(table.column(table.when)),
    }
    if "by" in table.names:
        outer["by"] = _ID | _meaning(table.column("by"))
    inner = table.field_columns
    outer["fields"] = {
        "type": "object",
        "properties": {column.name: _of_column(column) for column in inner},
        "required": [column.name for column in inner if column.required],
        "additionalProperties": False,
    }
    return {
        "title": table.kind,
        "type": "object",
        "properties": outer,
        "required": ["kind", "v", "garden", "id", when, "fields"],
        "additionalProperties": False,
    }


def _of_column(column: Column) -> dict[str, Any]:
    return _KINDS[column.kind](column) | _meaning(column)


def _meaning(column: Column) -> dict[str, str]:
    return {"description": column.meaning} if column.meaning else {}


def _integer(column: Column) -> dict[str, Any]:
    assert column.low is not None
    assert column.high is not None
    return {"type": "integer", "minimum": int(column.low), "maximum": int(column.high)}


def _decimal(column: Column) -> dict[str, Any]:
    limits = {"x-minimum": column.low, "x-maximum": column.high}
    return _DECIMAL | {name: f"{value:.10g}" for name, value in limits.items() if value is not None}


def _signs(column: Column) -> dict[str, Any]:
    one = f"({'|'.join(column.choices)})"
    return {"type": "string", "pattern": f"^{one}(;{one})*$"}


_KINDS: dict[str, Callable[[Column], dict[str, Any]]] = {
    "text": lambda column: {"type": "string", "minLength": 1},
    "note": lambda column: {"type": "string", "minLength": 1, "maxLength": fields.NOTE},
    "ref": lambda column: _ID,
    "choice": lambda column: {"enum": list(column.choices)},
    "signs": _signs,
    "integer": _integer,
    "decimal": _decimal,
    "date": lambda column: _DATE,
}
