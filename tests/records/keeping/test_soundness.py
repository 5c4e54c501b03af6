"""A damaged garden is not served: what is wrong is said, what to do, and nothing is mended."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import pytest
from django.db import connection

from slipwright.records.keeping import daily
from slipwright.records.keeping.backup import backup
from slipwright.records.keeping.opening import told_garden
from slipwright.records.keeping.soundness import Damaged, require_sound
from slipwright.records.models import Garden, Member
from tests.databases import Database, at
from tests.records.making import every_kind_of_entry

SQLITE_ONLY = pytest.mark.parametrize("database", ["sqlite"], indirect=True)


def test_a_sound_garden_and_one_that_is_not_there_yet_may_be_served(
    garden: Garden, grower: Member, now: datetime, tmp_path: Path
) -> None:
    every_kind_of_entry(garden, grower, now)
    require_sound(now=now)
    with at(f"sqlite:///{tmp_path}/none.sqlite3"):
        require_sound(now=now)
    assert not (tmp_path / "none.sqlite3").exists()


def head_gone(content: bytearray) -> None:
    content[100:300] = bytes(200)


def half_gone(content: bytearray) -> None:
    del content[len(content) // 2 :]


def zeroed(content: bytearray) -> None:
    content[len(content) // 2 :] = bytes(len(content) - len(content) // 2)


def no_database(content: bytearray) -> None:
    content[:] = b"gone" * 1000


@SQLITE_ONLY
@pytest.mark.parametrize("spoil", [head_gone, half_gone, zeroed, no_database])
def test_a_damaged_one_is_named_with_what_to_do_and_left_as_it_is(
    garden: Garden,
    grower: Member,
    now: datetime,
    database: Database,
    tmp_path: Path,
    spoil: Callable[[bytearray], None],
) -> None:
    every_kind_of_entry(garden, grower, now)
    copy = daily.note_copy(backup(to=tmp_path, now=now), at=now, by_hand=True)
    connection.cursor().execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    assert database.file is not None
    content = bytearray(database.file.read_bytes())
    spoil(content)
    database.file.write_bytes(content)
    with pytest.raises(Damaged, match="is not served, and nothing was mended") as caught:
        require_sound(now=now)
    assert f"slipwright restore {copy.file}{told_garden()} (made 2025-10-20)" in str(caught.value)
    connection.close()
    assert database.file.read_bytes() == content


def test_a_guard_that_is_gone_is_damage(garden: Garden, now: datetime, database: Database) -> None:
    with connection.cursor() as cursor:
        cursor.execute(
            "DROP TRIGGER records_look_no_update"
            if database.vendor == "sqlite"
            else "DROP TRIGGER records_look_stands ON records_look"
        )
    with pytest.raises(Damaged, match="trigger records_look_"):
        require_sound(now=now)
