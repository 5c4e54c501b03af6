"""Rules that hold for a row however it comes in: recorded, received or loaded."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, date, datetime, timedelta

#: The years a day or a moment may lie in: beyond them it is a slip of the pen, in any garden's book.
FIRST_YEAR, LAST_YEAR = 1900, 2200
IN_YEARS = f"must lie between {FIRST_YEAR} and {LAST_YEAR}"

#: How far ahead of the server's clock something may have been seen: a phone's clock, a time zone.
AHEAD = timedelta(days=1)
NOT_AHEAD = "must not lie in the future"

NOT_LATER = "must not be a look of a later day than this one"


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
    if table != "acts":
        return None
    if not (row.get("batch") or row.get("place") or row.get("plant")):
        return "act", "must say to which batch, place or plant it was done"
    if row.get("act") == "move" and not row.get("to_place"):
        return "to_place", "must be given for a move"
    return None
