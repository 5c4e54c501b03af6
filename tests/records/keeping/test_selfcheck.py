"""The check finds what is damaged, by table and id, and nothing where nothing is."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.db import connection

from slipwright.records import services
from slipwright.records.canonical import sha256
from slipwright.records.keeping import daily, pictures
from slipwright.records.keeping import selfcheck as module
from slipwright.records.keeping.backup import backup
from slipwright.records.keeping.disk import Room
from slipwright.records.keeping.selfcheck import Finding, selfcheck
from slipwright.records.keeping.sqlite_build import sqlite
from slipwright.records.models import ENTRY_MODELS, BatchState, Garden, Look, Member, Photo
from tests.databases import Database
from tests.records.making import every_kind_of_entry, stick
from tests.records.pictures import drawn

ON = date(2025, 10, 15)


@pytest.fixture
def full(garden: Garden, grower: Member, now: datetime) -> str:
    """Fill the garden and return the code of the batch most entries are about."""
    return every_kind_of_entry(garden, grower, now, picture=drawn()).batch


@contextmanager
def tampering(table: str) -> Iterator[Any]:
    """Give a cursor that may change a table of entries, as somebody with the file in hand could."""
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute(f"SELECT sql FROM sqlite_master WHERE name = '{table}_no_update'")
            (sql,) = cursor.fetchone()
            cursor.execute("PRAGMA foreign_keys=OFF")
            cursor.execute(f"DROP TRIGGER {table}_no_update")
            yield cursor
            cursor.execute(sql)
        else:
            cursor.execute(f"ALTER TABLE {table} DISABLE TRIGGER ALL")
            yield cursor
            cursor.execute(f"ALTER TABLE {table} ENABLE TRIGGER ALL")


@contextmanager
def deleting(database: Database, table: str) -> Iterator[None]:
    """Let entries be deleted meanwhile; on PostgreSQL one trigger stands for both."""
    if database.vendor == "postgresql":
        yield
        return
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT sql FROM sqlite_master WHERE name = '{table}_no_delete'")
        (sql,) = cursor.fetchone()
        cursor.execute(f"DROP TRIGGER {table}_no_delete")
        yield
        cursor.execute(sql)


def damage(checked: module.Checked) -> set[tuple[str, str | None]]:
    return {(finding.where, finding.id) for finding in checked.findings if finding.level == "damage"}


def test_a_whole_garden_is_whole(full: str, database: Database) -> None:
    steps: list[tuple[str, int, int]] = []
    checked = selfcheck(told=lambda *step: steps.append(step))
    assert checked.ok, checked.findings
    assert checked.n_entries == sum(model.rows.count() for model in ENTRY_MODELS)
    assert checked.n_batches == 1
    assert checked.database.startswith({"sqlite": "SQLite 3.", "postgresql": "PostgreSQL "}[database.vendor])
    assert ("reading every entry", checked.n_entries, checked.n_entries) in steps
    assert steps[-2:] == [("summing every batch anew", 1, 1), ("reading every picture", 0, 0)]


@pytest.mark.parametrize(
    ("table", "change", "where"),
    [
        ("records_look", "n_rooted = n_rooted + 1", "looks"),
        ("records_look", "\"on\" = '2025-10-14'", "looks"),
        ("records_sticking", "note = 'another note'", "batches"),
        ("records_sticking", "ripeness = 0.36", "batches"),
        ("records_reading", "at_offset_min = 60", "readings"),
        ("records_note", "text = text || '!'", "notes"),
        ("records_withdrawal", "sha256 = substr(sha256, 2) || 'x'", "withdrawals"),
        ("records_act", "entry_id = entry_id || 'x'", "acts"),
    ],
)
def test_a_changed_entry_is_named(full: str, table: str, change: str, where: str) -> None:
    with tampering(table) as cursor:
        cursor.execute(f"UPDATE {table} SET {change} WHERE id = (SELECT max(id) FROM {table})")
    checked = selfcheck()
    assert not checked.ok
    ids = {model._meta.db_table: model for model in ENTRY_MODELS}
    changed = ids[table].rows.order_by("pk").last()
    assert changed is not None
    assert (where, changed.entry_id) in damage(checked)
    (found,) = (finding for finding in checked.findings if finding.where == where)
    assert found.what == "says something else than when it was recorded"


def test_a_wrong_total_is_named_and_not_mended(full: str) -> None:
    BatchState.rows.update(n_lost=9, flags="more-than-stuck")
    checked = selfcheck()
    assert [str(finding) for finding in checked.findings if finding.level == "damage"] == [
        f"batch states {full}: n_lost is kept as 9, and the entries sum to 1",
        f"batch states {full}: flags is kept as more-than-stuck, and the entries sum to ",
    ]
    assert BatchState.rows.get().n_lost == 9


def test_a_missing_total_is_named(full: str) -> None:
    BatchState.rows.all().delete()
    assert damage(selfcheck()) == {("batch states", full)}


@pytest.mark.parametrize("model", ENTRY_MODELS)
def test_a_trigger_that_is_gone_is_named(database: Database, model: Any) -> None:
    table = model._meta.db_table
    names = module.expected_triggers(table, database.vendor)
    with connection.cursor() as cursor:
        for name in names:
            end = f" ON {table}" if database.vendor == "postgresql" else ""
            cursor.execute(f"DROP TRIGGER {name}{end}")
    assert damage(selfcheck()) == {(table, name) for name in names}


def test_a_trigger_that_was_switched_off_is_named(database: Database) -> None:
    with connection.cursor() as cursor:
        if database.vendor == "postgresql":
            cursor.execute("ALTER TABLE records_look DISABLE TRIGGER records_look_stands")
            assert damage(selfcheck()) == {("records_look", "records_look_stands")}
            return
        cursor.execute("DROP TRIGGER records_look_no_update")
        cursor.execute(
            "CREATE TRIGGER records_look_no_update BEFORE UPDATE ON records_look BEGIN SELECT 1; END"
        )
    assert damage(selfcheck()) == {("records_look", "records_look_no_update")}


def test_a_number_beyond_the_last_is_named(full: str, garden: Garden) -> None:
    Garden.objects.filter(pk=garden.pk).update(last_number=12)
    assert damage(selfcheck()) == {("records_withdrawal", "13")}


def test_entries_that_were_lost_are_told_by_their_numbers(full: str, database: Database) -> None:
    with tampering("records_note") as cursor, deleting(database, "records_note"):
        cursor.execute("DELETE FROM records_note")
    with tampering("records_firmness") as cursor, deleting(database, "records_firmness"):
        cursor.execute("DELETE FROM records_firmness")
    found = [str(finding) for finding in selfcheck().findings if finding.where == "numbers"]
    assert found == [
        "numbers 8: given out, and nothing has it now: an entry was lost",
        "numbers 11: given out, and nothing has it now: an entry was lost",
    ]


def test_the_newest_entries_are_missed_too(full: str, garden: Garden) -> None:
    Garden.objects.filter(pk=garden.pk).update(last_number=16)
    found = [str(finding) for finding in selfcheck().findings if finding.level == "damage"]
    assert found == ["numbers 14 to 16: given out, and nothing has it now: 3 entries were lost"]


def test_a_garden_that_lost_everything_is_not_well(garden: Garden) -> None:
    Garden.objects.filter(pk=garden.pk).update(last_number=1)
    assert damage(selfcheck()) == {("numbers", "1")}


def test_a_number_on_two_entries_is_named(full: str, garden: Garden) -> None:
    with tampering("records_reading") as cursor:
        cursor.execute("UPDATE records_reading SET number = 2")
    assert damage(selfcheck()) == {("numbers", "2"), ("numbers", "10")}


def test_many_gaps_are_counted_not_listed(full: str, garden: Garden, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "SHOWN", 1)
    with tampering("records_reading") as cursor:
        cursor.execute("UPDATE records_reading SET number = 1")
    assert damage(selfcheck()) == {("numbers", "1"), ("numbers", None)}


def test_what_is_kept_aside_and_edits_of_rows_take_no_number(
    full: str, garden: Garden, owner: Member, now: datetime
) -> None:
    say: dict[str, Any] = {"garden": garden, "by": owner, "now": now}
    services.receive_entry(**say, content={"kind": "look", "id": "x"}, sha256="")
    services.add_reference(**say, table="places", row={"place": "shelf-9", "kind": "shelf"})
    with pytest.raises(ValueError, match="batch"):
        services.record_look(**say, batch="NONE", on=ON)
    services.record_note(**say, about="shelf-9", at=now, text="by the sink")
    assert selfcheck().ok


def test_a_withdrawal_of_nothing_is_named(full: str) -> None:
    with tampering("records_note") as cursor:
        cursor.execute("UPDATE records_note SET entry_id = 'gone'")
    found = damage(selfcheck())
    assert ("notes", "gone") in found
    assert any(where == "withdrawals" for where, _ in found)


@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
def test_a_row_that_refers_to_nothing_is_named(full: str) -> None:
    with tampering("records_look") as cursor:
        cursor.execute("UPDATE records_look SET batch_id = 999")
    found = damage(selfcheck())
    assert any(where == "records_look" for where, _ in found)
    assert ("looks", Look.rows.get().entry_id) in found


@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
def test_one_flipped_bit_in_the_file_is_seen(
    garden: Garden, grower: Member, now: datetime, database: Database
) -> None:
    batch = stick(garden, grower, now).batch
    look = services.record_look(
        garden=garden, by=grower, now=now, batch=batch, on=ON, note="the third pot leans to the left"
    )
    flip(database, b"the third pot leans")
    checked = selfcheck()
    assert not checked.ok
    assert ("looks", look.entry_id) in damage(checked)


@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
def test_a_file_that_lost_a_page_is_not_called_whole(full: str, database: Database) -> None:
    file = at_rest(database)
    size = file.stat().st_size
    with file.open("r+b") as handle:
        handle.seek(size // 2 // 4096 * 4096)
        handle.write(b"\0" * 4096)
    assert not selfcheck().ok


def at_rest(database: Database) -> Path:
    """Return the database's file with nothing left in its journal and nobody connected."""
    connection.cursor().execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    assert database.file is not None
    return database.file


def flip(database: Database, near: bytes) -> None:
    file = at_rest(database)
    content = bytearray(file.read_bytes())
    assert content.count(near) == 1
    content[content.index(near) + 4] ^= 1
    file.write_bytes(content)


@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
def test_the_machine_is_looked_at_too(database: Database, monkeypatch: pytest.MonkeyPatch) -> None:
    assert selfcheck().ok
    monkeypatch.setattr(module, "linked_version", lambda: (3, 40, 1))
    monkeypatch.setattr(module, "is_on_network", lambda file: True)
    monkeypatch.setattr(module, "file_system_of", lambda file: "nfs4")
    monkeypatch.setattr(module, "room_at", lambda file: Room(400_000_000, 1_000_000_000))
    checked = selfcheck()
    assert checked.ok, "warnings are no damage"
    assert [(f.level, f.where, f.id) for f in checked.findings] == [
        ("warning", "SQLite", "3.40.1"),
        ("warning", "disk", "nfs4"),
        ("warning", "disk", None),
    ]
    assert "400 MB are free (40 per cent)" in checked.findings[2].what


def test_a_picture_that_is_missing_or_damaged_is_named(
    full: str, garden: Garden, grower: Member, now: datetime
) -> None:
    folder = pictures.folder_of(garden.garden)
    (first,) = folder.glob("*.jpg")
    other = services.receive_photo(
        garden=garden, by=grower, now=now, about=full, at=now, sent=drawn(size=(20, 20))
    )
    first.unlink()
    (folder / other.file).write_bytes(b"another picture")
    entry = Photo.rows.exclude(pk=other.pk).get()
    told = {(f.id, f.what) for f in selfcheck().findings if f.where == "photos"}
    assert told == {
        (entry.entry_id, f"its picture {entry.file} is missing"),
        (other.entry_id, f"its picture {other.file} is damaged"),
    }
    assert not selfcheck().ok


def test_the_age_of_the_newest_copy_is_told_where_it_is_asked(
    garden: Garden, now: datetime, tmp_path: Path
) -> None:
    def told() -> list[str]:
        return [finding.what for finding in selfcheck(now=now).findings if finding.where == "backup"]

    assert told() == ["no checked copy of this garden is known here: slipwright backup makes one"]
    made = backup(to=tmp_path, now=now)
    daily.note_copy(made, at=now - timedelta(days=2), by_hand=True)
    assert told() == []
    daily.note_copy(made, at=now - timedelta(days=3), by_hand=True)
    assert told() == ["the newest checked copy is 3 days old"]
    assert not [finding for finding in selfcheck().findings if finding.where == "backup"]


def test_another_version_is_said_not_judged(database: Database) -> None:
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM django_migrations WHERE name = '0002_entries_stand'")
    checked = selfcheck()
    assert Finding("warning", "schema", None, module._SCHEMA["older"]) in checked.findings
    assert checked.n_entries == 0


@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
def test_recording_goes_on_while_it_checks(
    garden: Garden, grower: Member, now: datetime, database: Database
) -> None:
    batch = stick(garden, grower, now).batch
    assert database.file is not None
    written = []

    def told(step: str, done: int, total: int) -> None:
        with closing(sqlite.connect(str(database.file), timeout=0)) as other, other:
            other.execute("UPDATE records_garden SET name = name || '!'")
            written.append(step)

    assert selfcheck(told=told).ok
    assert {"reading every page of the file", "reading every entry"} <= set(written)
    assert batch


def test_a_hash_that_was_mended_too_still_betrays_the_total(full: str, garden: Garden) -> None:
    """Whoever changes a row and its hash leaves a total that does not fit."""
    from slipwright.records.contents import content_of

    look = Look.rows.get()
    with tampering("records_look") as cursor:
        cursor.execute("UPDATE records_look SET n_rooted = 6")
        changed = sha256(content_of(Look.rows.get()))
        cursor.execute("UPDATE records_look SET sha256 = %s", [changed])
    assert look.sha256 != changed
    assert damage(selfcheck()) == {("batch states", full)}


@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
def test_a_day_that_is_none_any_more_is_named_and_the_check_goes_on(full: str) -> None:
    with tampering("records_look") as cursor:
        cursor.execute("UPDATE records_look SET \"on\" = 'x025-10-15'")
    found = damage(selfcheck())
    assert ("looks", Look.rows.get().entry_id) in found
    assert ("batch states", None) in found


class TestWhatTheGardenHas:
    """A reference row must be what its last edit made it."""

    @pytest.fixture(autouse=True)
    def _edited(self, garden: Garden, owner: Member, now: datetime) -> None:
        who: dict[str, Any] = {"garden": garden, "by": owner, "now": now}
        services.add_reference(**who, table="places", row={"place": "shelf-9", "kind": "shelf"})
        for cover in ("mist", "tent"):
            services.edit_reference(**who, table="places", key=("shelf-9",), changes={"cover": cover})

    def test_rows_as_edited_are_well(self) -> None:
        assert selfcheck().ok

    @pytest.mark.parametrize(
        ("change", "found"),
        [
            ("UPDATE records_place SET cover = 'open' WHERE place = 'shelf-9'", {("places", "shelf-9")}),
            ("DELETE FROM records_place WHERE place = 'shelf-9'", {("places", "shelf-9")}),
            ("DELETE FROM records_referenceedit WHERE number = 2", {("edits", "2"), ("edits", "3")}),
            ("DELETE FROM records_referenceedit WHERE number = 3", {("edits", "3"), ("places", "shelf-9")}),
        ],
    )
    def test_what_no_edit_says_is_named(self, change: str, found: set[tuple[str, str]]) -> None:
        with connection.cursor() as cursor:
            cursor.execute(change)
        assert damage(selfcheck()) == found
