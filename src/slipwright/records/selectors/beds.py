"""Mist beds, and what was seen of them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from slipwright.records.models import Bed, Garden, Place
from slipwright.records.rows import moment


@dataclass(frozen=True, slots=True)
class BedSeen:
    """A thing seen at a mist bed: when by the clock there, what, and who saw it."""

    at: datetime
    seen: str
    who: str


def mist_places(garden: Garden) -> list[Place]:
    """Return the places under mist, in the order of the walk."""
    return list(Place.rows.of(garden).filter(cover="mist").order_by("walk_order", "place"))


def seen_of_bed(garden: Garden, place: Place) -> list[BedSeen]:
    """Return what was seen of a bed and stands, oldest first."""
    rows = Bed.rows.of(garden).standing().filter(place=place).select_related("by").order_by("at", "number")
    return [BedSeen(moment(row.at, row.at_offset_min), row.seen, str(row.by or "")) for row in rows]
