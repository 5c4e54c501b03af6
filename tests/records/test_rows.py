"""Rows are held to the same rules whether they are recorded or loaded."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slipwright.outputs.tables import safe_cell
from slipwright.records.canonical import Value, plain
from slipwright.records.columns import TABLES, Column, Table, table_named
from slipwright.records.errors import BadValue
from slipwright.records.models import Garden, Member, Place, Taxon, WeatherDay
from slipwright.records.rows import checked, kept_as, row_of
from slipwright.records.tables.checking import BadCell, check_of
from slipwright.records.tables.dumping import TEXT_KINDS

LOOKS = table_named("looks")
COLUMNS = [(table, column) for table in TABLES for column in table.columns]
TAXA = ("Rosa 'Pale Ferry'", "Salvia rosmarinus", "Rosa × alba", "a rose", "Rosa  canina")


def values(table: Table, column: Column) -> st.SearchStrategy[Any]:
    """Return a strategy for values near what a column may hold, some of them beyond."""
    texts = st.text(st.characters(), max_size=12) | st.text("ab \t\n\r'=;:1.-\u0301é", max_size=8)
    kinds: dict[str, st.SearchStrategy[Any]] = {
        "integer": st.integers(-400, 400) | st.integers(-(2**60), 2**60),
        "decimal": st.decimals(-2000, 2000, places=7) | st.decimals(allow_nan=True),
        "date": st.dates(),
        "instant": st.datetimes(timezones=st.none() | st.timezones()) | moments(),
        "choice": st.sampled_from((*column.choices, "other", "")) if column.choices else texts,
        "signs": st.lists(st.sampled_from((*column.choices, "x")), max_size=4).map(";".join),
        "parts": st.sampled_from(("perlite:1;vermiculite:1", "sand:0.5", "sand", "a:1;", ":1", "a:-1")),
        "arms": st.lists(st.sampled_from("abc"), max_size=3).map(";".join),
        "zone": st.sampled_from(("Europe/Lisbon", "UTC", "Mars/Olympus", "../x")),
        "uuid": st.uuids().map(str) | st.just("no"),
    }
    if column.name == "taxon" and table.name == "taxa":
        return st.sampled_from(TAXA)
    return kinds.get(column.kind, texts)


def moments() -> st.SearchStrategy[datetime]:
    zones = st.integers(-15 * 60, 15 * 60).map(lambda minutes: timezone(timedelta(minutes=minutes)))
    return st.datetimes(timezones=zones).map(lambda at: at.replace(microsecond=0))


@st.composite
def cells(draw: st.DrawFn) -> tuple[Table, Column, Any]:
    table, column = draw(st.sampled_from(COLUMNS))
    return table, column, draw(values(table, column))


@given(cells())
def test_what_is_recorded_can_be_dumped_and_loaded_as_the_same(made: tuple[Table, Column, Any]) -> None:
    table, column, value = made
    try:
        kept = checked(table, {column.name: value}, whole=False).get(column.name)
    except BadValue:
        return
    if (text := plain(kept)) is None:
        return
    cell = safe_cell(str(text)) if column.kind in TEXT_KINDS else str(text)
    assert check_of(table, column)(cell) == text


@given(cells())
def test_what_will_not_load_is_not_recorded(made: tuple[Table, Column, Any]) -> None:
    table, column, value = made
    if value in (None, "") or not isinstance(value, str) or any("\ud800" <= c <= "\udfff" for c in value):
        return
    try:
        check_of(table, column)(safe_cell(value) if column.kind in TEXT_KINDS else value)
    except BadCell:
        with pytest.raises(BadValue):
            checked(table, {column.name: value}, whole=False)


@pytest.mark.parametrize("value", [True, 1.0, "5", Decimal(5), 2**53])
def test_a_count_is_a_whole_number(value: Any) -> None:
    with pytest.raises(BadValue, match="whole number"):
        checked(LOOKS, {"n_rooted": value}, whole=False)


def test_a_day_is_no_moment_and_a_moment_no_day() -> None:
    at = datetime(2026, 10, 20, tzinfo=UTC)
    with pytest.raises(BadValue, match="date"):
        checked(LOOKS, {"on": at}, whole=False)
    with pytest.raises(BadValue, match="moment"):
        checked(table_named("notes"), {"at": date(2026, 10, 20)}, whole=False)  # type: ignore[dict-item]


def test_lines_of_a_note_end_the_same_everywhere() -> None:
    found = checked(LOOKS, {"note": "one\r\ntwo\rthree"}, whole=False)
    assert found == {"note": "one\ntwo\nthree"}


def test_what_is_required_is_asked_for() -> None:
    with pytest.raises(BadValue, match="batch: must be given"):
        checked(LOOKS, {"on": date(2026, 10, 20)})


def test_the_error_carries_column_rule_and_value() -> None:
    with pytest.raises(BadValue) as caught:
        checked(LOOKS, {"n_lost": -3}, whole=False)
    assert (caught.value.column, caught.value.rule, caught.value.value) == (
        "n_lost",
        "must be at least 0",
        -3,
    )
    assert str(caught.value) == "n_lost: must be at least 0, not -3"


def test_a_row_kept_reads_back_as_it_was(garden: Garden, owner: Member) -> None:
    rows: dict[str, dict[str, Value]] = {
        "places": {"place": "shelf-1", "kind": "shelf", "room_m2": Decimal("1.25"), "walk_order": 0},
        "taxa": {"taxon": "Ribes nigrum", "rights_until": date(2030, 1, 1), "gap_before_bloom_days": -3},
        "weather": {"on": date(2026, 1, 1), "tmin_c": Decimal("-4.5"), "tmax_c": Decimal(0)},
    }
    models: dict[str, Any] = {"places": Place, "taxa": Taxon, "weather": WeatherDay}
    for name, row in rows.items():
        table = table_named(name)
        made = models[name].rows.create(garden=garden, **kept_as(garden, table, checked(table, row)))
        assert row_of(models[name].rows.get(pk=made.pk), table) == row
