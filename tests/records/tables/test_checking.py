"""Cells: what each kind of column makes of them, the same as the records themselves demand."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from slipwright.outputs.tables import safe_cell
from slipwright.records.canonical import plain
from slipwright.records.columns import TABLES, Column, Table, table_named
from slipwright.records.errors import BadValue
from slipwright.records.models import Garden
from slipwright.records.rows import MODELS, checked
from slipwright.records.tables.checking import BadCell, check_of, longest

COLUMNS = [(table, column) for table in TABLES for column in table.columns]


def meaning(table: str, column: str, cell: str) -> Any:
    found = table_named(table)
    return check_of(found, found.column(column))(cell)


@pytest.mark.parametrize(
    ("table", "column", "cell", "value"),
    [
        ("looks", "n_rooted", "007", 7),
        ("taxa", "gap_before_bloom_days", "-30", -30),
        ("batches", "length_mm", "110.50", "110.5"),
        ("batches", "length_mm", "0.0", "0"),
        ("garden", "latitude_deg", "-0.0", "0"),
        ("garden", "latitude_deg", "-33.900", "-33.9"),
        ("batches", "dip_s", "00012.000001", "12.000001"),
        ("looks", "on", "2024-02-29", "2024-02-29"),
        ("readings", "at", "2026-10-24T14:00:00Z", "2026-10-24T14:00:00+00:00"),
        ("readings", "at", "2026-10-24T14:00:00-00:00", "2026-10-24T14:00:00+00:00"),
        ("readings", "at", "2026-10-24T14:00:00-09:30", "2026-10-24T14:00:00-09:30"),
        ("looks", "signs", "new-leaf;roots-at-holes", "new-leaf;roots-at-holes"),
        ("media", "parts", "perlite:1;peat-free compost:0.5", "perlite:1;peat-free compost:0.5"),
        ("trials", "arms", "dip;none", "dip;none"),
        ("looks", "note", "a\r\nb\rc\td", "a\nb\nc\td"),
        ("looks", "note", "'-x", "-x"),
        ("looks", "note", "'", None),
        ("members", "shown_as", " kept as it is ", " kept as it is "),
        ("members", "shown_as", "ا\u202eب 🌹", "ا\u202eب 🌹"),
        ("garden", "garden", "7D2B61F4-6F0E-4C1B-8E57-2A9C41D7F0B3", "7d2b61f4-6f0e-4c1b-8e57-2a9c41d7f0b3"),
        ("garden", "time_zone", "America/Argentina/Buenos_Aires", "America/Argentina/Buenos_Aires"),
    ],
)
def test_a_good_cell_means_one_thing(table: str, column: str, cell: str, value: Any) -> None:
    assert meaning(table, column, cell) == value


def test_an_id_holds_a_hundred_characters_and_a_reference_as_many() -> None:
    looks = table_named("looks")
    assert longest(looks, looks.column("id")) == longest(looks, looks.column("by")) == 100
    assert meaning("looks", "by", "é" * 100) == "é" * 100


def test_a_wrong_cell_stays_wrong_when_met_again() -> None:
    check = check_of(table_named("looks"), table_named("looks").column("on"))
    for _ in range(3):
        with pytest.raises(BadCell, match="must be a date"):
            check("soon")


def _typed(column: Column, value: Any) -> Any:
    if column.kind == "decimal":
        return Decimal(value)
    if column.kind == "date":
        return date.fromisoformat(value)
    return datetime.fromisoformat(value) if column.kind == "instant" else value


CELLS = st.one_of(
    st.text(min_size=1, max_size=12),
    st.from_regex(r"\A[-+]?[0-9]{1,9}([.,][0-9]{1,7})?\Z"),
    st.from_regex(r"\A[0-9]{4}-[01][0-9]-[0-3][0-9]\Z"),
    st.from_regex(
        r"\A20[0-9]{2}-0[0-9]-[0-2][0-9]T[0-2][0-9]:[0-5][0-9]:[0-6][0-9](Z|[+-][01][0-9]:[0-5][0-9])\Z"
    ),
    st.sampled_from([word for _, column in COLUMNS for word in column.choices]),
    st.sampled_from(
        ["a:1", "a:1;b:2.5", "a:0.5;", "a;b", "UTC", "Europe/Lisbon", "Rosa", "Rosa 'Pale Ferry'"]
    ),
)


@given(st.sampled_from(COLUMNS), CELLS)
@example((table_named("weather"), table_named("weather").column("on")), "0001-01-01")
def test_what_a_load_takes_in_the_records_take_too(where: tuple[Table, Column], cell: str) -> None:
    table, column = where
    try:
        value = check_of(table, column)(cell)
    except BadCell:
        return
    if value is None:
        assert not column.required
        return
    row = checked(table, {column.name: _typed(column, value)}, whole=False)
    assert plain(row[column.name]) == value


@given(
    st.sampled_from([pair for pair in COLUMNS if pair[1].kind in ("text", "note", "ref")]),
    st.text(max_size=40),
)
def test_what_the_records_take_comes_back_through_a_table(where: tuple[Table, Column], text: str) -> None:
    table, column = where
    try:
        kept = checked(table, {column.name: text}, whole=False).get(column.name)
    except (BadValue, ValueError):
        return
    if kept is None or (longest(table, column) == 100 and str(kept) != str(kept).strip()):
        return
    assert check_of(table, column)(safe_cell(str(kept))) == kept


@given(st.decimals(-99_999_999, 99_999_999, places=6))
def test_fourteen_digits_survive_the_column(number: Decimal) -> None:
    text = plain(number)
    column = Column("x", "decimal")
    assert check_of(Table("looks", (column,), ()), column)(str(text)) == text


def test_every_column_has_its_field() -> None:
    for table, column in COLUMNS:
        if column.name != "id":
            assert MODELS[table.name]._meta.get_field(column.name)
    assert MODELS["garden"] is Garden
