"""Rules that hold for a row however it comes in: recorded, received or loaded."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import UTC, date, datetime, timedelta

#: The years a day or a moment may lie in: beyond them it is a slip of the pen, in any garden's book.
FIRST_YEAR, LAST_YEAR = 1900, 2200
IN_YEARS = f"must lie between {FIRST_YEAR} and {LAST_YEAR}"

#: How far ahead of the server's clock something may have been seen: a phone's clock, a time zone.
AHEAD = timedelta(days=1)
NOT_AHEAD = "must not lie in the future"

NOT_LATER = "must not be of a later day than this look"

_SHA256 = re.compile(r"[0-9a-f]{64}", re.ASCII)


def in_years(day: date) -> bool:
    """Return whether a day, or a moment as it was written down, lies in a plausible year."""
    return FIRST_YEAR <= day.year <= LAST_YEAR


def latest(now: datetime) -> datetime:
    """Return the last moment that may have been seen at ``now``."""
    return now.astimezone(UTC) + AHEAD


def is_ahead(when: date, now: datetime) -> bool:
    """Return whether a day or a moment lies too far ahead of ``now`` to have been seen."""
    end = latest(now)
    return when > end if isinstance(when, datetime) else when > end.date()


def row_fault(table: str, row: Mapping[str, object]) -> tuple[str, str] | None:
    """Return the column and the rule that a whole row breaks, though each of its values is good."""
    if table == "photos":
        return _photo_fault(row)
    if table != "acts":
        return None
    if not (row.get("batch") or row.get("place") or row.get("plant")):
        return "act", "must say to which batch, place or plant it was done"
    if row.get("act") == "move" and not row.get("to_place"):
        return "to_place", "must be given for a move"
    return None


def is_sha256(text: str) -> bool:
    """Return whether a text is a SHA-256 as we write it: 64 hexadecimal digits, small letters."""
    return _SHA256.fullmatch(text) is not None


def picture_name(file_sha256: str) -> str:
    """Return the name of the picture with this SHA-256."""
    return f"{file_sha256}.jpg"


def is_picture_name(name: str) -> bool:
    """Return whether a file is called as a picture is."""
    return name == picture_name(name[:64]) and is_sha256(name[:64])


def _photo_fault(row: Mapping[str, object]) -> tuple[str, str] | None:
    file_sha256 = str(row.get("file_sha256"))
    if not is_sha256(file_sha256):
        return "file_sha256", "must be a SHA-256: 64 hexadecimal digits, in small letters"
    if row.get("file") != picture_name(file_sha256):
        return "file", "must be the picture's SHA-256 with .jpg behind it"
    return None
