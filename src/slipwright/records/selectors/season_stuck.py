"""What was stuck and looked at since a programme was begun, and the programme in use as Today asks for it."""

from __future__ import annotations

from datetime import date
from functools import lru_cache
from typing import Any, NamedTuple

from slipwright.records.models import Garden, Look, SeasonPlan, Sticking
from slipwright.records.packed_plan import unpacked_content


class StuckForWant(NamedTuple):
    """A batch that was stuck for a want."""

    batch: str
    want: str
    taxon: str
    wood: str
    plant: str
    method: str
    n_stuck: int
    stuck_on: date


class InUse(NamedTuple):
    """The programme in use, as far as Today tells of it."""

    plan: int
    #: the garden's last record when it was begun
    number: int
    lines: tuple[dict[str, Any], ...]


def stuck_since(garden: Garden, number: int) -> list[StuckForWant]:
    """Return what was stuck for wants in records after ``number`` and stands, the first first. One query."""
    rows = Sticking.rows.of(garden).standing().filter(number__gt=number, want__isnull=False)
    columns = ("batch", "want__want", "taxon__taxon", "wood", "plant__plant", "method__method", "n_stuck")
    found = rows.order_by("stuck_on", "number").values_list(*columns, "stuck_on")
    return [
        StuckForWant(batch, want, taxon, wood, plant or "", method or "", n, on)
        for batch, want, taxon, wood, plant, method, n, on in found
    ]


def n_written_since(garden: Garden, number: int) -> tuple[int, int]:
    """Return how many looks and how many stickings were received after a record. Two queries."""
    looks = Look.rows.of(garden).filter(number__gt=number).count()
    return looks, Sticking.rows.of(garden).filter(number__gt=number).count()


def number_of(plan: SeasonPlan) -> int:
    """Return the garden's last record when a programme was begun; 0 where that is not known."""
    first = plan.mark.partition(" ")[0]
    return int(first) if first.isdigit() else 0


def programme_in_use(garden: Garden) -> InUse | None:
    """Return the programme in use with its lines; none of them is to be changed. One query."""
    rows = SeasonPlan.rows.of(garden).filter(used_at__isnull=False, content__isnull=False)
    plan = rows.only("mark", "content").order_by("-used_at", "-pk").first()
    if plan is None or plan.content is None:
        return None
    return InUse(plan.pk, number_of(plan), _lines(bytes(plan.content)))


@lru_cache(maxsize=4)
def _lines(kept: bytes) -> tuple[dict[str, Any], ...]:
    """Return the lines of a content; most of it was read before, for a page before."""
    return tuple(unpacked_content(kept).get("lines", ()))
