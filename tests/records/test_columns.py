"""The list of columns and the models are the same list."""

from __future__ import annotations

import pytest
from django.db import models

from slipwright.records.columns import ENTRY_TABLES, TABLES, Table, table_named, table_of_kind
from slipwright.records.keeping.selfcheck import expected_triggers
from slipwright.records.models import ENTRY_MODELS, fields
from slipwright.records.rows import MODELS

#: What the models hold beside the columns of their table.
SERVER = {"id", "garden", "entry_id", "v", "number", "received_at", "sha256"}
BESIDE = {
    "garden": {"last_number", "last_edit", "stands_on", "fit", "plan"},
    "members": {"user"},
    "photos": {"sent_sha256"},
    "withdrawals": {"withdraws_kind"},
}

FIELDS: dict[str, type[models.Field]] = {  # type: ignore[type-arg]
    "integer": models.IntegerField,
    "decimal": models.DecimalField,
    "date": models.DateField,
    "instant": models.DateTimeField,
    "uuid": models.UUIDField,
}


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_the_model_holds_the_columns_and_nothing_else(table: Table) -> None:
    model = MODELS[table.name]
    held = {field.name for field in model._meta.concrete_fields}
    columns = {"entry_id" if name == "id" else name for name in table.names}
    if any(column.kind == "instant" for column in table.columns):
        columns.add("at_offset_min")
    extra = (SERVER if table.is_entry else {"id", "garden"}) | BESIDE.get(table.name, set())
    assert columns - extra == held - extra
    assert not columns & (extra - {"entry_id", "garden"})


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.name)
def test_each_column_fits_its_field(table: Table) -> None:
    for column in table.columns:
        field = MODELS[table.name]._meta.get_field("entry_id" if column.name == "id" else column.name)
        if column.ref and field.is_relation:
            assert field.related_model is MODELS[column.ref], column
            continue
        assert isinstance(field, FIELDS.get(column.kind, models.CharField)), column
        if column.choices and column.kind == "choice":
            assert [choice for choice, _ in field.choices or ()] == list(column.choices), column
        if column.kind == "integer" and isinstance(field, models.PositiveIntegerField):
            assert (column.low or 0) >= 0, column
        if column.kind == "decimal":
            assert abs(column.low or 0) < 10 ** (fields.DIGITS - fields.DECIMALS), column
            assert (column.high or 0) < 10 ** (fields.DIGITS - fields.DECIMALS), column
        required = not (field.blank or getattr(field, "null", False) or field.has_default())
        if column.name not in ("id", "garden"):
            assert required == column.required, column


def test_every_entry_table_has_its_model() -> None:
    assert {model.kind for model in ENTRY_MODELS} == {table.kind for table in ENTRY_TABLES}
    for model in ENTRY_MODELS:
        assert MODELS[table_of_kind(model.kind).name] is model


def test_references_go_to_tables_with_one_key_column() -> None:
    for table in TABLES:
        for column in table.columns:
            if column.ref:
                assert len(table_named(column.ref).key) == 1, column


def test_each_entry_table_is_guarded_by_a_migration() -> None:
    import importlib

    first = importlib.import_module("slipwright.records.migrations.0002_entries_stand")
    later = importlib.import_module("slipwright.records.migrations.0004_the_shed")
    assert {*first.ENTRY_TABLES, later.TABLE} == {model._meta.db_table for model in ENTRY_MODELS}
    assert expected_triggers("records_look", "sqlite") == ("records_look_no_update", "records_look_no_delete")
