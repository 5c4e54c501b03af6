"""How well the garden is kept just now, as pages show it: read from the disk, never from the database."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Generic, Literal, TypeVar

from slipwright.records.keeping import diary
from slipwright.records.keeping.diary import Diary
from slipwright.records.keeping.disk import Room, room_at
from slipwright.records.keeping.opening import garden_file, vendor
from slipwright.records.keeping.pictures import pictures_at
from slipwright.records.keeping.selfcheck import COPY_TOO_OLD

#: a copy taken away so long ago is to be taken away again
TAKE_AGAIN = timedelta(days=14)
#: seconds for which what was seen of the disk is remembered
SEEN_S = 30.0

#: what somebody in charge is reminded of
Reminder = Literal["", "damaged", "none", "old", "here"]
T = TypeVar("T")


class Briefly(Generic[T]):
    """Remembers for each garden what was seen of it, for half a minute or until its mark is another."""

    def __init__(self, see: Callable[[], T], mark: Callable[[], object] = lambda: None) -> None:
        self._see, self._mark = see, mark
        self._seen: dict[Path, tuple[float, object, T]] = {}

    def __call__(self) -> T:
        """Return what is seen, or was a moment ago."""
        key, mark = diary.beside(""), self._mark()
        known = self._seen.get(key)
        if known is not None and known[1] == mark and time.monotonic() - known[0] < SEEN_S:
            return known[2]
        seen = self._see()
        self._seen[key] = (time.monotonic(), mark, seen)
        return seen

    def forget(self) -> None:
        """See anew the next time."""
        self._seen.clear()


@dataclass(frozen=True, slots=True)
class Standing:
    """The diary, the folder copies go to, what is asked, and when a copy was last taken elsewhere."""

    diary: Diary
    folder: Path
    is_asked: bool
    taken_at: datetime | None


def standing() -> Standing:
    """Return how the garden is kept."""
    taken = diary.stands("copy-taken")
    return Standing(
        diary.read(),
        diary.default_folder(),
        diary.stands("copy-asked") is not None,
        None if taken is None else datetime.fromtimestamp(taken, UTC),
    )


def reminder(now: datetime) -> Reminder:
    """Return what to remind somebody in charge of.

    That the garden is damaged, that there is no copy or only an old one, or that all lie on its own disk.
    """
    seen = _STANDING()
    if seen.diary.missed is not None and seen.diary.missed.reason == "damage":
        return "damaged"
    newest = seen.diary.newest(now)
    if newest is None:
        return "none"
    if now - newest.at > COPY_TOO_OLD:
        return "old"
    away = [copy.at for copy in seen.diary.whole(now) if copy.is_elsewhere]
    away += [seen.taken_at] if seen.taken_at else []
    if vendor() == "sqlite" and not any(abs(now - at) <= TAKE_AGAIN for at in away):
        return "here"
    return ""


def ask_for_copy() -> None:
    """Ask the helper for a copy."""
    diary.leave("copy-asked")
    forget()


def copy_taken() -> None:
    """Note that the newest copy was taken away from this disk, and its pictures with it."""
    diary.leave("copy-taken")
    forget()


def room() -> Room:
    """Return the room where the garden lies, as of half a minute ago at most."""
    return _ROOM()


def forget() -> None:
    """See everything anew the next time."""
    _ROOM.forget()
    _STANDING.forget()


def _room() -> Room:
    # of PostgreSQL's own disk nobody tells; pictures lie on this machine
    return room_at(garden_file() if vendor() == "sqlite" else pictures_at())


_ROOM: Briefly[Room] = Briefly(_room)
# the helper and the other processes of the pages write the diary and leave signs meanwhile
_STANDING: Briefly[Standing] = Briefly(standing, diary.mark)
