"""The canonical content of an entry, and its SHA-256.

The content is RFC 8785 JSON of ``{kind, v, garden, id, by, on/at, fields}`` holding only text,
whole numbers and one inner object with ASCII keys. For that content the C encoder of the standard
library writes the very bytes RFC 8785 asks for, and quicker than a general library; a
property test compares the two.
"""

from __future__ import annotations

import hashlib
import json
import re
import unicodedata
from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from slipwright.records.columns import Table

Value = str | int | Decimal | date | datetime | None
#: RFC 8785 numbers are eight-byte floats; beyond this a whole number is not kept exactly.
LARGEST_WHOLE = 2**53 - 1

_encode = json.JSONEncoder(ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False).encode
_INSTANT = re.compile(r"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}[+-]\d{2}:\d{2}")


def decimal_text(value: Decimal) -> str:
    """Return ``value`` without exponent, plus sign or trailing noughts; ``-0`` is ``0``."""
    text = format(value, "f")
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def instant_text(value: datetime) -> str:
    """Return ``value`` as ``YYYY-MM-DDTHH:MM:SS±HH:MM``."""
    text = value.isoformat(timespec="seconds")
    if not _INSTANT.fullmatch(text):
        raise ValueError(f"at: an instant carries whole seconds and its offset from UTC, not {text}")
    return text


def plain(value: Value) -> str | int | None:
    """Return ``value`` as it stands in canonical content; ``None`` for an empty one."""
    if value is None or value == "":
        return None
    if isinstance(value, str):
        return value if value.isascii() else unicodedata.normalize("NFC", value)
    if isinstance(value, int):
        if abs(value) > LARGEST_WHOLE:
            raise ValueError(f"whole numbers reach to {LARGEST_WHOLE}, not {value}")
        return value
    if isinstance(value, Decimal):
        return decimal_text(value)
    if isinstance(value, datetime):
        return instant_text(value)
    return value.isoformat()


def content(table: Table, garden: str, row: Mapping[str, Value], v: int = 1) -> dict[str, Any]:
    """Return the canonical content of ``row`` of an entry table; absent values are left out.

    ``row`` holds the columns of the table, references as their text keys.
    """
    inner = {
        column.name: value
        for column in table.field_columns
        if (value := plain(row.get(column.name))) is not None
    }
    whole: dict[str, Any] = {"kind": table.kind, "v": v, "garden": garden, "fields": inner}
    whole["at" if table.when == "at" else "on"] = plain(row[table.when])
    for name in ("id", "by"):
        if (value := plain(row.get(name))) is not None:
            whole[name] = value
    return whole


def canonical(whole: Mapping[str, Any]) -> bytes:
    """Return the RFC 8785 bytes of ``whole``."""
    return _encode(whole).encode("utf-8")


def sha256(whole: Mapping[str, Any]) -> str:
    """Return the SHA-256 of the canonical bytes of ``whole``, in hexadecimal."""
    return hashlib.sha256(canonical(whole)).hexdigest()
