"""A cell of a table, checked by the kind of its column and turned into the text or number it means.

What a check returns is how the value stands in canonical content: text in NFC, whole numbers,
decimals and dates as their one spelling, ``None`` for an empty cell.
"""

from __future__ import annotations

import re
import unicodedata
import uuid
from collections.abc import Callable
from datetime import date, datetime, timedelta
from decimal import Decimal
from difflib import get_close_matches
from functools import lru_cache
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from slipwright.craft.names import NotAPlantName, plant_name
from slipwright.outputs.tables import plain_cell
from slipwright.records.canonical import decimal_text, instant_text
from slipwright.records.columns import Column, Table
from slipwright.records.models import fields
from slipwright.records.rows import MODELS
from slipwright.records.rules import IN_YEARS, in_years

Plain = str | int
Check = Callable[[str], Plain | None]

REQUIRED = "must be given"
#: Distinct cells of one column whose meaning is remembered.
REMEMBERED = 4096

_WHOLE = re.compile(r"-?[0-9]{1,15}", re.ASCII)
_DECIMAL = re.compile(r"-?[0-9]{1,8}(\.[0-9]{1,6})?", re.ASCII)
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", re.ASCII)
_INSTANT = re.compile(
    r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}(Z|[+-][0-9]{2}:[0-9]{2})", re.ASCII
)
_CONTROL = re.compile(r"[\x00-\x1f\x7f]")
_CONTROL_BUT_LINES = re.compile(r"[\x00-\x08\x0b-\x1f\x7f]")
_PART = re.compile(r"[^:;]+:[0-9]{1,8}(\.[0-9]{1,6})?", re.ASCII)
_FURTHEST = timedelta(hours=14)


class BadCell(ValueError):
    """A cell breaks the rule of its column."""

    def __init__(self, rule: str) -> None:
        super().__init__(rule)
        self.rule = rule


def check_of(table: Table, column: Column) -> Check:
    """Return the check for the cells of a column; it raises ``BadCell`` with the rule."""
    made = _MAKERS[column.kind](table, column)
    # Ids are all different and notes nearly so; of the rest a file holds few distinct values.
    return made if column.kind == "note" or column.name in ("id", "after") else lru_cache(REMEMBERED)(made)


def longest(table: Table, column: Column) -> int:
    """Return the most characters a text column holds; a reference holds what an id does."""
    if column.name == "id":
        return fields.SHORT
    length = getattr(MODELS[table.name]._meta.get_field(column.name), "max_length", None)
    return length or fields.SHORT


def _text(table: Table, column: Column) -> Check:
    most = longest(table, column)
    is_note = column.kind == "note"
    is_id = most == fields.SHORT
    control = _CONTROL_BUT_LINES if is_note else _CONTROL

    def check(cell: str) -> str | None:
        text = plain_cell(cell)
        if is_note and "\r" in text:
            text = text.replace("\r\n", "\n").replace("\r", "\n")
        if not text.isascii():
            text = unicodedata.normalize("NFC", text)
        if found := control.search(text):
            raise BadCell(_control_rule(found.group()))
        if len(text) > most:
            raise BadCell(f"must be no longer than {most} characters; this has {len(text)}")
        if is_id and text and (text[0].isspace() or text[-1].isspace()):
            raise BadCell("must have no blanks at either end")
        if not text and column.required:
            raise BadCell(REQUIRED)
        return text or None

    return check


def _control_rule(found: str) -> str:
    if found in "\r\n":
        return "must stand on one line: is a quotation mark left open?"
    return f"must hold no control characters; this has U+{ord(found):04X}"


def _taxon(table: Table, column: Column) -> Check:
    text_of = _text(table, column)

    def check(cell: str) -> Plain | None:
        if text := text_of(cell):
            try:
                plant_name(str(text))
            except NotAPlantName as error:
                raise BadCell(error.rule) from None
        return text

    return check


def _choice(table: Table, column: Column) -> Check:
    known = {word: word for word in column.choices}

    def check(cell: str) -> str:
        word = known.get(cell)
        if word is None:
            raise BadCell(f"must be one of {', '.join(column.choices)}{_nearest(cell, column.choices)}")
        return word

    return check


@lru_cache(REMEMBERED)
def _nearest(cell: str, words: tuple[str, ...]) -> str:
    near = get_close_matches(cell.strip().lower().replace("_", "-").replace(" ", "-"), words, 1)
    return f"; is it {near[0]}?" if near else ""


def _signs(table: Table, column: Column) -> Check:
    order = {sign: at for at, sign in enumerate(column.choices)}

    def check(cell: str) -> str:
        seen = cell.split(";")
        for sign in seen:
            if sign not in order:
                near = _nearest(sign, column.choices)
                raise BadCell(f"must be some of {', '.join(column.choices)} with ; between{near}")
        if sorted(set(seen), key=order.__getitem__) != seen:
            raise BadCell(f"must name each sign once, in the order {';'.join(column.choices)}")
        return cell

    return check


def _integer(table: Table, column: Column) -> Check:
    def check(cell: str) -> int:
        if not _WHOLE.fullmatch(cell):
            raise BadCell(f"must be a whole number, such as 12{_number_hint(cell)}")
        number = int(cell)
        _within(column, number)
        return number

    return check


def _decimal(table: Table, column: Column) -> Check:
    def check(cell: str) -> str:
        if not _DECIMAL.fullmatch(cell):
            rule = "must be a number such as 12.5, with at most 8 digits before and 6 after the point"
            raise BadCell(rule + _number_hint(cell))
        number = Decimal(cell)
        _within(column, number)
        return decimal_text(number)

    return check


def _within(column: Column, number: int | Decimal) -> None:
    if column.low is not None and number < column.low:
        raise BadCell(f"must be at least {_limit(column.low)}")
    if column.high is not None and number > column.high:
        raise BadCell(f"must be at most {_limit(column.high)}")


def _limit(value: float) -> str:
    return f"{value:f}".rstrip("0").rstrip(".")


def _number_hint(cell: str) -> str:
    if cell != cell.strip():
        return "; take away the blanks around it"
    if re.fullmatch(r"[+-]?[0-9]*,[0-9]+", cell):
        return f"; write the decimal mark as a point: {cell.replace(',', '.')}"
    if re.fullmatch(r"[+-]?[0-9.]+[eE][+-]?[0-9]+", cell):
        return "; write it out without an exponent"
    if cell.startswith("+"):
        return "; leave the plus out"
    if cell.startswith("\N{MINUS SIGN}"):
        return "; write the minus as -"
    return ""


def _date(table: Table, column: Column) -> Check:
    def check(cell: str) -> str:
        if not _DATE.fullmatch(cell):
            raise BadCell(f"must be a date such as 2026-10-20 (year, month, day){_blanks(cell)}")
        try:
            day = date.fromisoformat(cell)
        except ValueError:
            raise BadCell("is not a day of the calendar") from None
        if not in_years(day):
            raise BadCell(IN_YEARS)
        return cell

    return check


def _blanks(cell: str) -> str:
    return "; take away the blanks around it" if cell != cell.strip() else ""


def _instant(table: Table, column: Column) -> Check:
    def check(cell: str) -> str:
        if not _INSTANT.fullmatch(cell):
            raise BadCell(
                "must be a moment in whole seconds with its offset from UTC, "
                f"such as 2026-10-20T09:30:00+01:00{_blanks(cell)}"
            )
        try:
            at = datetime.fromisoformat(cell)
        except ValueError:
            raise BadCell("is not a moment of the calendar and clock") from None
        if not in_years(at):
            raise BadCell(IN_YEARS)
        if abs(at.utcoffset() or timedelta()) > _FURTHEST:
            raise BadCell("must have an offset of at most 14 hours")
        return instant_text(at)

    return check


def _uuid(table: Table, column: Column) -> Check:
    def check(cell: str) -> str:
        try:
            found = str(uuid.UUID(cell))
        except ValueError:
            found = ""
        if found != cell.lower():
            raise BadCell("must be a UUID such as 6f1e0d8a-3f0b-5c51-9a44-0d2a5b1c7e10")
        return found

    return check


def _zone(table: Table, column: Column) -> Check:
    def check(cell: str) -> str:
        try:
            ZoneInfo(cell)
        except (ZoneInfoNotFoundError, ValueError, OSError):
            raise BadCell("must be an IANA time zone, such as Europe/Lisbon") from None
        return cell

    return check


def _parts(table: Table, column: Column) -> Check:
    text_of = _text(table, column)

    def check(cell: str) -> Plain | None:
        text = str(text_of(cell))
        if not all(_PART.fullmatch(part) for part in text.split(";")):
            raise BadCell("must be parts by volume, such as perlite:1;vermiculite:1")
        return text

    return check


def _arms(table: Table, column: Column) -> Check:
    text_of = _text(table, column)

    def check(cell: str) -> Plain | None:
        text = str(text_of(cell))
        arms = text.split(";")
        if not all(arms) or len(set(arms)) < len(arms):
            raise BadCell("must be different names with ; between, such as talc;quick dip")
        return text

    return check


_MAKERS: dict[str, Callable[[Table, Column], Check]] = {
    "text": lambda table, column: (_taxon if (table.name, column.name) == ("taxa", "taxon") else _text)(
        table, column
    ),
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
