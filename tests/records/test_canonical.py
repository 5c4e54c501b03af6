"""The canonical content of an entry, against shared vectors and an RFC 8785 library."""

from __future__ import annotations

import hashlib
import json
import unicodedata
from datetime import date, datetime, timedelta, timezone
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from slipwright.records.canonical import (
    LARGEST_WHOLE,
    Value,
    canonical,
    content,
    decimal_text,
    instant_text,
    plain,
    sha256,
)
from slipwright.records.columns import ENTRY_TABLES, Column, Table, table_named
from slipwright.records.contents import received

CONTRACT = Path(__file__).parents[2] / "docs" / "contract" / "entry-hash.json"
SHARED = json.loads(CONTRACT.read_text(encoding="utf-8"))
GARDEN = SHARED["garden"]
TEXT = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=40)


def typed(column: Column, text: str) -> Value:
    """Return the value of a cell as people write it."""
    if text == "":
        return None
    if column.kind == "integer":
        return int(text)
    if column.kind == "decimal":
        return Decimal(text)
    if column.kind == "date":
        return date.fromisoformat(text)
    if column.kind == "instant":
        return datetime.fromisoformat(text)
    return text


@pytest.mark.parametrize("vector", SHARED["vectors"], ids=lambda vector: vector["says"])
def test_the_shared_vectors_hold(vector: dict[str, Any]) -> None:
    table = table_named(vector["table"])
    row = {name: typed(table.column(name), text) for name, text in vector["row"].items()}
    whole = content(table, GARDEN, row)
    assert whole == vector["content"]
    assert canonical(whole).decode("utf-8") == vector["canonical"]
    assert rfc8785.dumps(whole).decode("utf-8") == vector["canonical"]
    assert sha256(whole) == vector["sha256"]
    assert hashlib.sha256(vector["canonical"].encode("utf-8")).hexdigest() == vector["sha256"]


@pytest.mark.parametrize("vector", SHARED["vectors"], ids=lambda vector: vector["says"])
def test_what_is_received_is_the_row_that_was_sent(vector: dict[str, Any]) -> None:
    table, row = received(vector["content"])
    assert table.name == vector["table"]
    assert content(table, GARDEN, row) == vector["content"]


def test_the_vectors_show_every_kind() -> None:
    assert {vector["table"] for vector in SHARED["vectors"]} == {table.name for table in ENTRY_TABLES}
    assert len({vector["sha256"] for vector in SHARED["vectors"]}) == len(SHARED["vectors"])


def test_the_file_is_plain_ascii() -> None:
    assert CONTRACT.read_text(encoding="utf-8").isascii(), "no editor may put its letters into another form"


def values(column: Column) -> st.SearchStrategy[Value]:
    """Return a strategy for values that a column may hold."""
    if column.kind == "integer":
        return st.integers(int(column.low or 0), int(column.high or 0))
    if column.kind == "decimal":
        low = Decimal(str(column.low)) if column.low is not None else None
        high = Decimal(str(column.high)) if column.high is not None else None
        return st.decimals(low, high, places=6, allow_nan=False)
    if column.kind == "date":
        return st.dates()
    if column.kind == "instant":
        return instants()
    if column.kind in ("choice", "signs"):
        return st.sampled_from(column.choices)
    return TEXT


def instants() -> st.SearchStrategy[datetime]:
    offsets = st.integers(-14 * 60, 14 * 60).map(lambda minutes: timezone(timedelta(minutes=minutes)))
    years = st.datetimes(datetime(2, 1, 1), datetime(9998, 1, 1))  # noqa: DTZ001 (the zone is added)
    return st.builds(lambda at, zone: at.replace(microsecond=0, tzinfo=zone), years, offsets)


@st.composite
def rows(draw: st.DrawFn) -> tuple[Table, dict[str, Value]]:
    table = draw(st.sampled_from(ENTRY_TABLES))
    row = {
        column.name: draw(values(column))
        for column in table.columns
        if column.required or draw(st.booleans())
    }
    return table, {**row, "id": draw(TEXT)}


@given(rows())
def test_our_bytes_are_those_of_rfc_8785(made: tuple[Table, dict[str, Value]]) -> None:
    table, row = made
    whole = content(table, GARDEN, row)
    assert canonical(whole) == rfc8785.dumps(whole)
    assert json.loads(canonical(whole)) == whole


@given(rows())
def test_the_form_of_letters_and_numbers_changes_no_hash(made: tuple[Table, dict[str, Value]]) -> None:
    table, row = made
    other: dict[str, Value] = {}
    for name, value in row.items():
        if isinstance(value, str):
            other[name] = unicodedata.normalize("NFD", value)
        elif isinstance(value, Decimal):
            other[name] = Decimal(f"{value:.9f}")
        else:
            other[name] = value
    backwards = dict(reversed(other.items()))
    assert sha256(content(table, GARDEN, backwards)) == sha256(content(table, GARDEN, row))


@given(st.decimals(allow_nan=False, allow_infinity=False, min_value=-(10**20), max_value=10**20))
def test_a_decimal_has_one_text(value: Decimal) -> None:
    text = decimal_text(value)
    assert Decimal(text) == value
    assert decimal_text(Decimal(text)) == text
    assert "e" not in text.lower()
    assert not text.startswith("+")
    assert text == "0" or text.strip("-") != "0"
    if "." in text:
        assert text[-1] not in "0."


@given(instants())
def test_an_instant_has_one_text(at: datetime) -> None:
    text = instant_text(at)
    assert datetime.fromisoformat(text) == at
    assert len(text) == len("2026-10-20T09:30:00+01:00")


NO_OFFSET = datetime(2026, 1, 1)  # noqa: DTZ001 (what is refused)


@pytest.mark.parametrize("value", [NO_OFFSET, NO_OFFSET.replace(tzinfo=timezone(timedelta(seconds=1)))])
def test_an_instant_without_a_whole_offset_is_refused(value: datetime) -> None:
    with pytest.raises(ValueError, match="offset"):
        instant_text(value)


def test_a_whole_number_too_large_to_be_exact_is_refused() -> None:
    assert plain(LARGEST_WHOLE) == LARGEST_WHOLE
    with pytest.raises(ValueError, match="reach to"):
        plain(LARGEST_WHOLE + 1)
