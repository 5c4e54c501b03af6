"""The helper copies the garden each day, says why where it cannot, and lets older copies make room."""

from __future__ import annotations

import os
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings

from slipwright.records.keeping import daily, diary, disk, standing
from slipwright.records.keeping.backup import BackedUp, backup
from slipwright.records.keeping.helper import Helper
from slipwright.records.models import BatchState, Garden, Member
from tests.databases import Database
from tests.records.making import every_kind_of_entry, stick
from tests.records.pictures import drawn

DAY = timedelta(days=1)
SQLITE_ONLY = pytest.mark.parametrize("database", ["sqlite"], indirect=True)


def one_pass(now: datetime) -> bool:
    return daily.one_pass(now=now, told=lambda words: None)


def there() -> list[str]:
    return sorted(file.name for file in diary.default_folder().glob("*-2*.*"))


def test_a_copy_a_day_is_made_checked_and_written_down(
    garden: Garden, grower: Member, now: datetime, database: Database
) -> None:
    every_kind_of_entry(garden, grower, now, picture=drawn())
    assert one_pass(now)
    assert not one_pass(now + timedelta(hours=23))
    assert one_pass(now + DAY)
    newest, before = diary.read().copies
    assert (newest.at, before.at) == (now + DAY, now)
    assert (newest.n_entries, newest.n_pictures, newest.n_bad_pictures) == (13, 1, 0)
    assert Path(newest.file).stat().st_size == newest.bytes
    assert len(there()) == 2
    assert list(diary.default_folder().glob("photos/*/*.jpg"))


def test_an_empty_database_and_a_demonstration_are_not_copied(
    database: Database, now: datetime, garden: Garden
) -> None:
    Garden.objects.update(stands_on=date(2015, 10, 20))
    assert not one_pass(now)
    standing.ask_for_copy()
    assert one_pass(now), "but where somebody asks it is"
    assert not one_pass(now)


def test_one_that_is_asked_for_is_made_at_once_and_once(garden: Garden, now: datetime) -> None:
    assert one_pass(now)
    standing.ask_for_copy()
    assert standing.standing().is_asked
    assert one_pass(now + timedelta(minutes=5))
    assert not one_pass(now + timedelta(minutes=6))
    assert not standing.standing().is_asked


def test_what_is_asked_while_a_copy_is_made_is_done_after_it(
    garden: Garden, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    def and_asked_meanwhile(**said: Any) -> BackedUp:
        made = backup(**said)
        monkeypatch.setattr(daily, "backup", backup)
        standing.ask_for_copy()
        return made

    standing.ask_for_copy()
    os.utime(diary.beside("copy-asked"), (1, 1))
    monkeypatch.setattr(daily, "backup", and_asked_meanwhile)
    assert one_pass(now)
    assert one_pass(now + timedelta(minutes=1)), "what came in meanwhile is not in the first"
    assert not one_pass(now + timedelta(minutes=2))


@pytest.mark.parametrize("off", [3000 * DAY, 2 * DAY, -15_000 * DAY], ids=["ahead", "a little", "1984"])
def test_a_copy_made_while_the_clock_was_wrong_counts_as_no_newest(
    garden: Garden, now: datetime, off: timedelta
) -> None:
    assert one_pass(now - DAY)
    assert one_pass(now + off)
    wrong = diary.read().copies[0]
    assert one_pass(now + timedelta(minutes=1)), "one as soon as the clock is right"
    newest = diary.read().newest(now + timedelta(minutes=2))
    assert newest is not None
    assert newest.at == now + timedelta(minutes=1)
    for hours in range(1, 24):
        assert not one_pass(now + timedelta(hours=hours)), "and then one a day"
    assert one_pass(now + DAY + timedelta(minutes=1))
    assert wrong.is_there
    standing.forget()
    assert standing.reminder(now + 5 * DAY) == "old"


@pytest.mark.parametrize("off", [3000 * DAY, -15_000 * DAY], ids=["ahead", "1984"])
def test_while_the_clock_is_wrong_no_copy_made_before_is_taken_away(
    garden: Garden, now: datetime, off: timedelta
) -> None:
    for day in range(7):
        assert one_pass(now + day * DAY)
    for day in range(3):
        assert one_pass(now + off + day * DAY)
    newest = diary.read().newest(now + off + 3 * DAY)
    assert newest is not None
    assert newest.at == now + off + 2 * DAY
    right = [copy for copy in diary.read().copies if copy.at < now + 7 * DAY and copy.at >= now]
    assert len(right) >= 4
    if off < timedelta():
        assert len(right) == 7


def test_the_one_made_last_is_never_taken_away(garden: Garden, now: datetime) -> None:
    for day in range(14):
        one_pass(now + day * DAY)
    assert one_pass(now + 20 * DAY)
    last = daily.note_copy(backup(now=now), at=now - 5 * DAY, by_hand=False)
    kept = daily.rotated(diary.read(), now=now + 20 * DAY)
    assert kept.copies[0] == last
    assert last.is_there


def test_a_copy_dated_ahead_does_not_keep_the_reminder_of_one_disk_silent(
    garden: Garden, now: datetime, monkeypatch: pytest.MonkeyPatch, database: Database
) -> None:
    with monkeypatch.context() as stick_in:
        stick_in.setattr(diary, "lies_elsewhere", lambda file: True)
        one_pass(now + 300 * DAY)
    one_pass(now)
    standing.forget()
    assert standing.reminder(now) == ("here" if database.vendor == "sqlite" else "")


def test_without_room_it_is_said_and_tried_again_in_an_hour(
    garden: Garden, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[str] = []
    with monkeypatch.context() as short:
        short.setattr(daily, "room_at", lambda path: disk.Room(400_000_000, 10_000_000_000))
        assert not daily.one_pass(now=now, told=told.append)
        assert not daily.one_pass(now=now + timedelta(minutes=59), told=told.append)
    missed = diary.read().missed
    assert missed is not None
    assert (missed.reason, missed.free) == ("room", 400_000_000)
    assert "400 MB (4 per cent) are free" in missed.words
    assert len(told) == 1
    assert one_pass(now + timedelta(minutes=60))
    assert diary.read().missed is None


def test_copies_of_a_damaged_garden_are_marked_and_older_whole_ones_stay(
    garden: Garden, grower: Member, now: datetime
) -> None:
    stick(garden, grower, now)
    assert one_pass(now)
    BatchState.rows.update(n_rooted=19)
    told: list[str] = []
    for day in range(1, 20):
        assert daily.one_pass(now=now + day * DAY, told=told.append)
        assert not daily.one_pass(now=now + day * DAY + timedelta(hours=2), told=told.append)
    assert len(told) == 19
    assert "the garden is damaged" in told[0]
    kept = diary.read()
    assert kept.missed is not None
    assert kept.missed.reason == "damage"
    damaged = [copy for copy in kept.copies if copy.is_damaged]
    assert [copy.at for copy in damaged] == [now + day * DAY for day in (19, 18, 17)]
    assert all(copy.is_there and "-damaged-" in copy.file for copy in damaged)
    assert len(there()) == 4
    standing.forget()
    assert standing.reminder(now + 19 * DAY) == "damaged"
    assert "n_rooted is kept as 19" in kept.missed.words
    newest = kept.newest(now + 20 * DAY)
    assert newest is not None
    assert newest.at == now
    assert kept.check is not None
    assert not kept.check.ok
    BatchState.rows.update(n_rooted=0)
    assert one_pass(now + 20 * DAY)
    assert diary.read().missed is None
    assert len([copy for copy in diary.read().copies if copy.is_damaged]) == 3


@SQLITE_ONLY
def test_older_ones_make_room_and_what_was_made_by_hand_stays(
    garden: Garden, now: datetime, tmp_path: Path
) -> None:
    own = daily.note_copy(backup(to=tmp_path, now=now - 300 * DAY), at=now - 300 * DAY, by_hand=True)
    for day in range(12):
        assert one_pass(now + day * DAY)
    kept = diary.read()
    assert own in kept.copies
    assert [name.removeprefix("garden-")[:8] for name in there()] == [f"202510{day}" for day in range(25, 32)]
    assert {copy.file for copy in kept.copies if not copy.by_hand} == {
        str(diary.default_folder() / name) for name in there()
    }


@SQLITE_ONLY
def test_a_folder_that_is_not_plugged_in_keeps_its_place_in_the_diary(
    garden: Garden, now: datetime, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    disk_at = tmp_path / "stick"
    monkeypatch.setattr(settings, "BACKUPS", str(disk_at))
    assert not one_pass(now)
    missed = diary.read().missed
    assert missed is not None
    assert "make it first, or plug in the disk" in missed.words
    disk_at.mkdir()
    assert one_pass(now + timedelta(hours=1))
    disk_at.rename(tmp_path / "gone")
    kept = daily.rotated(diary.read(), now=now + timedelta(hours=1))
    assert len(kept.copies) == 1
    assert kept.newest(now + timedelta(hours=1)) is None


def test_each_week_the_garden_is_checked_and_each_month_a_copy_is_put_back(
    garden: Garden, grower: Member, now: datetime
) -> None:
    stick(garden, grower, now)
    one_pass(now)
    first = diary.read()
    assert first.check is not None
    assert first.drill is not None
    assert (first.check.ok, first.check.n_entries) == (True, 1)
    assert (first.drill.n_entries, first.drill.fault) == (1, "")
    one_pass(now + 6 * DAY)
    assert diary.read().check == first.check
    one_pass(now + 7 * DAY)
    again = diary.read()
    assert again.check is not None
    assert again.check.at == now + 7 * DAY
    assert again.drill == first.drill


def test_a_copy_that_cannot_be_put_back_is_told_of(garden: Garden, grower: Member, now: datetime) -> None:
    stick(garden, grower, now)
    daily._copied(now, lambda words: None)
    newest = diary.read().newest(now)
    assert newest is not None
    Path(newest.file).write_bytes(b"worn out")
    one_pass(now + timedelta(minutes=1))
    drilled = diary.read().drill
    assert drilled is not None
    assert drilled.fault


def test_a_diary_that_cannot_be_read_is_begun_anew(garden: Garden, now: datetime) -> None:
    assert one_pass(now)
    for spoilt in ("", "{", "[]", '{"v": 2}', '{"v": 1, "copies": [{}]}'):
        diary.beside("keeping.json").write_text(spoilt)
        assert diary.read() == diary.Diary()
    assert one_pass(now)


def test_only_a_helper_that_is_to_makes_copies(
    garden: Garden, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Helper, "_refresh", lambda *args: 0)
    Helper(told=pytest.fail).one_pass(now=now)
    assert diary.read().newest(now) is None
    Helper(told=pytest.fail, makes_copies=True).one_pass(now=now)
    assert diary.read().newest(now) is not None


class TestWhoeverIsInChargeIsReminded:
    @pytest.fixture(autouse=True)
    def _fresh(self, garden: Garden) -> None:
        standing.forget()

    def told(self, now: datetime) -> str:
        standing.forget()
        return standing.reminder(now)

    def test_where_there_is_no_copy_or_an_old_one(self, now: datetime) -> None:
        assert self.told(now) == "none"
        one_pass(now)
        assert self.told(now + 2 * DAY) != "old"
        assert self.told(now + 2 * DAY + timedelta(minutes=1)) == "old"

    @SQLITE_ONLY
    def test_where_all_lie_on_the_gardens_own_disk(
        self, now: datetime, monkeypatch: pytest.MonkeyPatch, database: Database
    ) -> None:
        one_pass(now)
        assert self.told(now) == "here"
        monkeypatch.setattr(diary, "lies_elsewhere", lambda file: True)
        one_pass(now + DAY)
        assert self.told(now + DAY) == ""

    @SQLITE_ONLY
    def test_not_for_two_weeks_after_a_copy_was_taken_away(self, database: Database) -> None:
        from datetime import UTC

        now = datetime.now(UTC)
        one_pass(now)
        standing.copy_taken()
        assert self.told(now) == ""
        one_pass(now + 14 * DAY)
        assert self.told(now + 14 * DAY + timedelta(minutes=1)) == "here"

    def test_it_is_read_twice_a_minute_at_most(self, now: datetime, monkeypatch: pytest.MonkeyPatch) -> None:
        reads: list[diary.Diary] = []
        read = diary.read
        monkeypatch.setattr(diary, "read", lambda: reads.append(read()) or reads[-1])
        assert self.told(now) == standing.reminder(now) == "none"
        assert len(reads) == 1
        later = standing.time.monotonic() + 31
        monkeypatch.setattr(standing.time, "monotonic", lambda: later)
        assert standing.reminder(now) == "none"
        assert len(reads) == 2


def test_pages_see_a_copy_that_another_process_has_just_made(
    garden: Garden, now: datetime, database: Database
) -> None:
    assert standing.reminder(now) == "none"
    assert one_pass(now)
    assert standing.reminder(now) == ("here" if database.vendor == "sqlite" else "")
