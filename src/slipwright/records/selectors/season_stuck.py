"""What was stuck and looked at since a programme was begun, and the programme in use as Today asks for it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from typing import Any, NamedTuple

from django.db.models import Max

from slipwright.records.answers.remembered import Remembered
from slipwright.records.models import Garden, Look, SeasonPlan, Sticking, Withdrawal
from slipwright.records.packed_plan import content_now
from slipwright.records.scope import EntryQuerySet
from slipwright.records.selectors.plans import plan_in_use


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
    """The programme in use, as far as pages tell of it day by day."""

    plan: int
    #: the garden's last record when it was begun
    number: int
    lines: tuple[dict[str, Any], ...]
    #: what it promises of each want, curves left out
    wants: tuple[dict[str, Any], ...]
    #: the one thing that was changed in it; empty where it is of the garden as it was
    change: Mapping[str, Any]


#: the columns of text of what was stuck, as ``StuckForWant`` has them
STUCK_TEXTS = ("batch", "want__want", "taxon__taxon", "wood", "plant__plant", "method__method")


def stuck_since(garden: Garden, number: int) -> list[StuckForWant]:
    """Return what was stuck for wants in records after ``number`` and stands, the first first. One query."""
    rows = stuck_rows(garden, number).order_by("stuck_on", "number")
    found = rows.values_list(*STUCK_TEXTS, "n_stuck", "stuck_on")
    return [stuck_as(texts, n, on) for *texts, n, on in found]


def stuck_as(texts: Iterable[str | None], n_stuck: int, stuck_on: date) -> StuckForWant:
    """Return a batch as its columns tell of it; plant and method may be none."""
    batch, want, taxon, wood, plant, method = (text or "" for text in texts)
    return StuckForWant(batch, want, taxon, wood, plant, method, n_stuck, stuck_on)


def stuck_changed_at(garden: Garden, number: int) -> datetime | None:
    """Return when a batch stuck for a want after ``number`` was last received, or taken back. Two queries."""
    stuck = Sticking.rows.of(garden).filter(number__gt=number, want__isnull=False)
    back = Withdrawal.rows.of(garden).filter(
        withdraws_kind=Sticking.kind, withdraws__in=stuck.values("entry_id")
    )
    newest = (rows.aggregate(at=Max("received_at"))["at"] for rows in (stuck, back))
    return max((at for at in newest if at is not None), default=None)


def stuck_rows(garden: Garden, number: int) -> EntryQuerySet[Sticking]:
    """Return what was stuck for wants in records after ``number`` and stands."""
    return Sticking.rows.of(garden).standing().filter(number__gt=number, want__isnull=False)


def n_written_since(garden: Garden, number: int) -> tuple[int, int]:
    """Return how many looks and how many stickings that stand were received after a record. Two queries."""
    looks = Look.rows.of(garden).standing().filter(number__gt=number).count()
    return looks, Sticking.rows.of(garden).standing().filter(number__gt=number).count()


def number_of(plan: SeasonPlan) -> int:
    """Return the garden's last record when a programme was begun; 0 where that is not known."""
    first = plan.mark.partition(" ")[0]
    return int(first) if first.isdigit() else 0


def programme_in_use(garden: Garden) -> InUse | None:
    """Return the programme in use with its lines and wants; none of them is to be changed.

    None also where another version of the program made it, so that what it says can no longer be read.
    ``garden`` must have just been read, with its programme. Then one query, or none where a process knows
    the lines already: those of a programme that was made never change.
    """
    plan = plan_in_use(garden)
    if plan is None:
        return None
    # its key alone does not tell it from one of a restored garden
    rests_on = (plan.pk, plan.made_at, plan.mark)
    known = _IN_USE.get(garden.garden, rests_on)
    if known is None:
        known = _told(plan)
        _IN_USE.keep(garden.garden, rests_on, known)
    return next(iter(known), None)


#: nothing in it where the programme in use cannot be read
_IN_USE: Remembered[Sequence[InUse]] = Remembered()


def _told(plan: SeasonPlan) -> Sequence[InUse]:
    content = content_now(SeasonPlan.rows.filter(pk=plan.pk).values_list("content", flat=True).first())
    wants = (
        {name: said for name, said in one.items() if name != "curve"} for one in content.get("wants", ())
    )
    change = content.get("change") or {}
    if not content:
        return ()
    return (InUse(plan.pk, number_of(plan), tuple(content.get("lines", ())), tuple(wants), change),)
