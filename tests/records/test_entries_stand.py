"""The database itself refuses to change or delete an entry."""

from __future__ import annotations

from datetime import date, datetime

import pytest
from django.db import DatabaseError, connection, connections, transaction

from slipwright.records.keeping.opening import opened_file
from slipwright.records.models import ENTRY_MODELS, Garden, Look, Member, Sticking
from slipwright.records.services import record_look
from tests.databases import Database
from tests.records.making import every_kind_of_entry, stick


@pytest.fixture
def look(garden: Garden, grower: Member, now: datetime) -> Look:
    batch = stick(garden, grower, now).batch
    return record_look(garden=garden, by=grower, now=now, batch=batch, on=date(2025, 10, 19), n_rooted=3)


def test_no_entry_of_any_kind_is_changed_or_deleted(garden: Garden, grower: Member, now: datetime) -> None:
    every_kind_of_entry(garden, grower, now)
    for model in ENTRY_MODELS:
        table = model._meta.db_table
        assert model.rows.count() > 0, table
        for statement in (f"UPDATE {table} SET sha256 = ''", f"DELETE FROM {table}"):
            with pytest.raises(DatabaseError, match="never changed or deleted"), transaction.atomic():
                connection.cursor().execute(statement)


def test_the_model_layer_is_refused_too(look: Look) -> None:
    look.n_rooted = 4
    with pytest.raises(DatabaseError, match="never changed or deleted"), transaction.atomic():
        look.save()
    with pytest.raises(DatabaseError, match="never changed or deleted"), transaction.atomic():
        look.delete()
    with pytest.raises(DatabaseError, match="never changed or deleted"), transaction.atomic():
        Look.rows.filter(pk=look.pk).update(n_rooted=9)
    assert Look.rows.get(pk=look.pk).n_rooted == 3


@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
def test_insert_or_replace_is_refused_on_sqlite(look: Look, database: Database) -> None:
    assert database.file is not None
    replace(look, "default")
    with opened_file(database.file, writable=True) as alias:
        replace(look, alias)


def replace(look: Look, using: str) -> None:
    columns = [f'"{field.column}"' for field in Look._meta.concrete_fields]
    chosen = ["n_rooted + 1" if column == '"n_rooted"' else column for column in columns]
    with pytest.raises(DatabaseError, match="never changed or deleted"), transaction.atomic(using):
        connections[using].cursor().execute(
            f"INSERT OR REPLACE INTO records_look ({', '.join(columns)}) "
            f"SELECT {', '.join(chosen)} FROM records_look"
        )
    assert Look.rows.using(using).get(pk=look.pk).n_rooted == 3


def test_upsert_is_refused(look: Look) -> None:
    with pytest.raises(DatabaseError, match="never changed or deleted"), transaction.atomic():
        Look.rows.bulk_create(
            [look],
            update_conflicts=True,
            unique_fields=["id"],
            update_fields=["n_rooted"],
        )


def test_truncate_is_refused_on_postgresql(look: Look, database: Database) -> None:
    if database.vendor != "postgresql":
        with pytest.raises(DatabaseError, match="syntax"), transaction.atomic():
            connection.cursor().execute("TRUNCATE records_look")
        return
    with pytest.raises(DatabaseError, match="never changed or deleted"), transaction.atomic():
        connection.cursor().execute("TRUNCATE records_look")


def test_a_sticking_that_is_referred_to_cannot_go(look: Look) -> None:
    with pytest.raises(DatabaseError), transaction.atomic():
        connection.cursor().execute("DELETE FROM records_sticking")
    assert Sticking.rows.count() == 1
