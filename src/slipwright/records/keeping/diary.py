"""What was kept of the garden and when: a small file of JSON beside it, and what is asked of the helper.

The helper and the commands write the diary; the pages only read it. A page asks for a copy, or says that
one was taken away, by leaving an empty file beside it; a load asks so for learning anew.
"""

from __future__ import annotations

import json
import os
import uuid
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any, Literal

import platformdirs
from django.conf import settings
from django.db import connections

from slipwright.records.keeping.disk import settle_on_disk
from slipwright.records.keeping.opening import garden_file, vendor

_VERSION = 1
#: so many findings of a check are kept to be shown
MOST_FINDINGS = 20

Sign = Literal["copy-asked", "copy-taken", "learn-asked"]


@dataclass(frozen=True, slots=True)
class KeptCopy:
    """A copy that was read again to its end; ``is_elsewhere`` where it lies on another disk.

    One that ``is_damaged`` is of a garden of which something was damaged by then; it is never the newest.
    """

    file: str
    at: datetime
    bytes: int
    n_entries: int
    sha256: str
    n_pictures: int = 0
    n_bad_pictures: int = 0
    is_elsewhere: bool = False
    by_hand: bool = False
    is_damaged: bool = False

    @property
    def is_there(self) -> bool:
        """Whether the file still lies where it was put."""
        return Path(self.file).is_file()


@dataclass(frozen=True, slots=True)
class LastCheck:
    """What the last check found."""

    at: datetime
    ok: bool
    n_entries: int
    findings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Drill:
    """What became of the last copy put back into a place of its own; no ``fault`` if all was well."""

    at: datetime
    file: str
    n_entries: int
    fault: str = ""


@dataclass(frozen=True, slots=True)
class Miss:
    """A copy that was not made, and why: no room, damage in the garden, or another fault in words."""

    at: datetime
    reason: Literal["room", "damage", "fault"]
    words: str
    free: int = 0


@dataclass(frozen=True, slots=True)
class Diary:
    """Copies, the one made last first whatever the clock said, and the last of each other thing."""

    copies: tuple[KeptCopy, ...] = ()
    missed: Miss | None = None
    check: LastCheck | None = None
    drill: Drill | None = None

    def newest(self, now: datetime) -> KeptCopy | None:
        """Return the whole copy made last that is there.

        One dated after ``now`` was made while the clock was ahead: nobody knows how old it is.
        """
        return next((copy for copy in self.whole(now) if copy.is_there), None)

    def whole(self, now: datetime) -> Iterator[KeptCopy]:
        """Yield the copies of a whole garden that are not dated after ``now``, the one made last first."""
        return (copy for copy in self.copies if not copy.is_damaged and copy.at <= now)

    def with_copy(self, copy: KeptCopy) -> Diary:
        """Return the diary with one more copy, after which nothing is missed."""
        others = [one for one in self.copies if one.file != copy.file]
        return replace(self, copies=(copy, *others), missed=None)


def default_folder() -> Path:
    """Return where copies go when nothing is said: as set, beside the garden's file, or the user's data."""
    if settings.BACKUPS:
        return Path(settings.BACKUPS)
    if vendor() == "sqlite":
        return garden_file().parent / "backups"
    return Path(platformdirs.user_data_path("slipwright")) / "backups"


def beside(ending: str) -> Path:
    """Return a file that belongs to the garden: beside its own, or in the user's data."""
    if vendor() == "sqlite":
        file = garden_file()
        return file.with_name(f"{file.stem}-{ending}")
    name = str(connections["default"].settings_dict["NAME"]).replace("/", "_")
    return Path(platformdirs.user_data_path("slipwright")) / f"{name}-{ending}"


def lies_elsewhere(file: Path) -> bool:
    """Return whether a copy lies on another disk than the garden; of PostgreSQL nobody knows."""
    if vendor() != "sqlite" or not garden_file().exists():
        return False
    return file.stat().st_dev != garden_file().stat().st_dev


def read() -> Diary:
    """Return the diary; one that is not there or cannot be read is empty."""
    try:
        told = json.loads(beside("keeping.json").read_text(encoding="utf-8"))
        if told["v"] != _VERSION:
            return Diary()
        return Diary(
            tuple(KeptCopy(**_timed(copy)) for copy in told["copies"]),
            Miss(**_timed(told["missed"])) if told["missed"] else None,
            LastCheck(**_listed(_timed(told["check"]))) if told["check"] else None,
            Drill(**_timed(told["drill"])) if told["drill"] else None,
        )
    except (OSError, ValueError, KeyError, TypeError):
        return Diary()


def write(diary: Diary) -> None:
    """Write the diary whole, or leave what was there."""
    file = beside("keeping.json")
    file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    unfinished = file.with_name(f".{file.name}.{uuid.uuid4().hex}")
    text = json.dumps({"v": _VERSION, **asdict(diary)}, default=datetime.isoformat, ensure_ascii=False)
    try:
        unfinished.touch(mode=0o600)
        unfinished.write_text(text, encoding="utf-8")
        settle_on_disk(unfinished)
        os.replace(unfinished, file)
    finally:
        unfinished.unlink(missing_ok=True)


def _timed(told: Mapping[str, Any]) -> dict[str, Any]:
    return {**told, "at": datetime.fromisoformat(told["at"])}


def _listed(told: dict[str, Any]) -> dict[str, Any]:
    return {**told, "findings": tuple(told["findings"])}


def mark() -> tuple[float | None, ...]:
    """Return when the diary and each sign were last written: another mark, another diary."""
    return (_written_at(beside("keeping.json")), stands("copy-asked"), stands("copy-taken"))


def leave(sign: Sign) -> None:
    """Leave a sign for the helper."""
    file = beside(sign)
    file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    file.touch(mode=0o600)
    os.utime(file)


def stands(sign: Sign) -> float | None:
    """Return when a sign was left, in seconds of the epoch, or None where none stands."""
    return _written_at(beside(sign))


def _written_at(file: Path) -> float | None:
    try:
        return file.stat().st_mtime
    except OSError:
        return None


def clear(sign: Sign) -> None:
    """Take a sign away."""
    beside(sign).unlink(missing_ok=True)
