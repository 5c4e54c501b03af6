"""The copies the helper makes by itself: one a day, one after much was written at once, one when asked.

It also lets older copies make room, checks the whole garden once a week, and once a month puts the newest
copy back into a place of its own to see that it can be.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

from django.db import DatabaseError

from slipwright.records.errors import Refused
from slipwright.records.keeping import diary, schema
from slipwright.records.keeping.backup import BackedUp, backup
from slipwright.records.keeping.diary import MOST_FINDINGS, Diary, Drill, KeptCopy, LastCheck, Miss
from slipwright.records.keeping.disk import room_at
from slipwright.records.keeping.restore import drill
from slipwright.records.keeping.rotation import to_keep
from slipwright.records.keeping.selfcheck import Checked, selfcheck
from slipwright.records.selectors import all_gardens

Told = Callable[[str], None]

COPY_EVERY = timedelta(days=1)
CHECK_EVERY = timedelta(days=7)
DRILL_EVERY = timedelta(days=30)
#: so many copies of a garden of which something is damaged are kept
MOST_DAMAGED = 3
#: what could not be done is tried again after this
TRY_AGAIN = timedelta(hours=1)


def one_pass(*, now: datetime, told: Told) -> bool:
    """Do what is due and return whether a copy was made; what goes wrong is told and noted.

    A demonstration is copied only when somebody asks.
    """
    asked = diary.stands("copy-asked") is not None
    kept = diary.read()
    if not asked and not _may_be_due(kept, now):
        return False
    is_real = any(not garden.stands_on for garden in all_gardens())
    made = False
    if asked or (is_real and _is_due(_last_made(kept, now), COPY_EVERY, now) and not _just_missed(kept, now)):
        made = _copied(now, told)
    if is_real:
        _looked_after(now)
    return made


def note_copy(made: BackedUp, *, at: datetime, by_hand: bool) -> KeptCopy:
    """Write a copy into the diary. One made by hand is never taken away again."""
    copy = KeptCopy(
        file=str(made.file),
        at=at,
        bytes=made.bytes,
        n_entries=made.n_entries,
        sha256=made.sha256,
        n_pictures=made.n_pictures,
        n_bad_pictures=len(made.bad_pictures),
        is_elsewhere=diary.lies_elsewhere(made.file),
        by_hand=by_hand,
        is_damaged=bool(made.damage),
    )
    diary.write(diary.read().with_copy(copy))
    return copy


def note_check(found: Checked, *, at: datetime) -> None:
    """Write into the diary what a check of the garden found; one of another version read no entry."""
    if any(finding.where == "schema" for finding in found.findings):
        return
    shown = tuple(f"{finding.level}: {finding}" for finding in found.findings[:MOST_FINDINGS])
    diary.write(replace(diary.read(), check=LastCheck(at, found.ok, found.n_entries, shown)))


def rotated(kept: Diary, *, now: datetime) -> Diary:
    """Take away the copies that make room, and return the diary of those that stay.

    The one made last and the newest stay whatever the calendar says, and so does what was made by hand, is
    dated after ``now``, or lies in a folder that is not there just now.
    """
    ours = [copy for copy in kept.copies if copy.is_there and not copy.by_hand]
    whole = [copy for copy in ours if not copy.is_damaged and copy.at <= now]
    days = to_keep(copy.at for copy in whole)
    damaged = [copy for copy in ours if copy.is_damaged][MOST_DAMAGED:]
    going = {copy.file for copy in [*(one for one in whole if one.at not in days), *damaged]}
    going -= {copy.file for copy in (*kept.copies[:1], kept.newest(now)) if copy is not None}
    copies = []
    for copy in kept.copies:
        file = Path(copy.file)
        if copy.file in going:
            file.unlink(missing_ok=True)
        elif copy.is_there or not file.parent.is_dir():
            copies.append(copy)
    return replace(kept, copies=tuple(copies))


def _may_be_due(kept: Diary, now: datetime) -> bool:
    """Return whether anything can be due, without asking the database."""
    if _just_missed(kept, now):
        return False
    return (
        _is_due(_last_made(kept, now), COPY_EVERY, now)
        or _is_due(kept.check, CHECK_EVERY, now)
        or (kept.newest(now) is not None and _is_due(kept.drill, DRILL_EVERY, now))
    )


def _is_due(last: KeptCopy | LastCheck | Drill | None, every: timedelta, now: datetime) -> bool:
    # a clock that was put back must not put copies off for years
    return last is None or abs(now - last.at) >= every


def _last_made(kept: Diary, now: datetime) -> KeptCopy | None:
    """Return the copy made last that is there and not dated after ``now``, of a damaged garden too."""
    return next((copy for copy in kept.copies if copy.is_there and copy.at <= now), None)


def _just_missed(kept: Diary, now: datetime) -> bool:
    """Return whether a try failed a moment ago; one that gave a copy of a damaged garden did not."""
    missed = kept.missed
    return missed is not None and missed.reason != "damage" and abs(now - missed.at) < TRY_AGAIN


def _copied(now: datetime, told: Told) -> bool:
    asked_at = diary.stands("copy-asked")
    try:
        made = _with_room(now)
        note_copy(made, at=now, by_hand=False)
        diary.write(rotated(diary.read(), now=now))
        if made.damage:
            missed = Miss(now, "damage", "; ".join(made.damage[:MOST_FINDINGS]))
            told(f"the garden is damaged, and its copy {made.file} is marked so: {missed.words}")
            diary.write(replace(diary.read(), missed=missed))
    except (OSError, ValueError, DatabaseError) as error:
        free = error.free if isinstance(error, NoRoom) else 0
        missed = Miss(now, "room" if isinstance(error, NoRoom) else "fault", _one_line(error), free)
        told(f"no copy was made: {missed.words}")
        diary.write(replace(diary.read(), missed=missed))
        return False
    finally:
        if diary.stands("copy-asked") == asked_at:  # what is asked meanwhile is done after
            diary.clear("copy-asked")
    return True


class NoRoom(Refused):
    """There is too little room for one more copy; ``free`` bytes are left."""

    def __init__(self, folder: Path, free: int, total: int) -> None:
        self.free = free
        super().__init__(
            f"{free / 1e6:,.0f} MB ({100 * free / max(total, 1):.0f} per cent) are free where {folder} lies; "
            "copies are made again once 500 MB and a tenth of the disk are"
        )


def _with_room(now: datetime) -> BackedUp:
    folder = diary.default_folder()
    room = room_at(folder)
    if room.is_short:
        raise NoRoom(folder, room.free, room.total)
    return backup(now=now, even_damaged=True)


def _looked_after(now: datetime) -> None:
    """Check the garden each week, and each month the newest copy in a place of its own."""
    if schema.state() != "current":
        return
    if _is_due(diary.read().check, CHECK_EVERY, now):
        note_check(selfcheck(), at=now)
    kept = diary.read()
    newest = kept.newest(now)
    if newest is None or not _is_due(kept.drill, DRILL_EVERY, now):
        return
    n_entries, fault = 0, ""
    try:
        n_entries = drill(Path(newest.file))
        if n_entries != newest.n_entries:
            fault = f"{n_entries:,} entries came back, and {newest.n_entries:,} were copied"
    except (OSError, ValueError, DatabaseError) as error:
        fault = _one_line(error)
    diary.write(replace(diary.read(), drill=Drill(now, newest.file, n_entries, fault)))


def _one_line(error: Exception) -> str:
    return " ".join(str(error).split())
