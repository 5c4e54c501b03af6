"""Trials as they are written down: their rows, their plans, and the pots that were stuck for them."""

from __future__ import annotations

from collections.abc import Collection, Container
from dataclasses import dataclass, fields
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db.models import Count, Max, Q

from slipwright.records.models import BatchState, Garden, Note, Sticking, Trial
from slipwright.records.selectors.looks import look_counts
from slipwright.rooting.counts import LookCounts

#: how the note begins that holds what was fixed of a trial before it began
PLAN_BEGINS = "Trial plan, fixed beforehand."


@dataclass(frozen=True, slots=True)
class TrialRow:
    """A trial's row, and the note that fixed its plan: its words, when it was written, and by whom.

    ``plan_taken_back`` is whether that note was taken back since.
    """

    trial: str
    question: str
    arms: str
    units_per_arm: int
    n_per_unit: int
    stop_rule: str
    plan: str = ""
    planned_at: datetime | None = None
    planned_by: str = ""
    planned_on: date | None = None
    plan_taken_back: bool = False


@dataclass(frozen=True, slots=True)
class TrialPot:
    """A pot of a trial, which is a batch of its own, with what the looks at it found."""

    trial: str
    pk: int
    batch: str
    arm: str
    block: str
    stuck_on: date
    n_stuck: int
    n_waiting: int
    ended_on: date | None
    looks: tuple[LookCounts, ...]


_NAMES = [field.name for field in fields(TrialPot)][:-1]
#: in the order of ``TrialPot``, but for its looks
_OF_POT = (
    "batch__trial__trial",
    "batch",
    "batch__batch",
    "batch__arm",
    "batch__block",
    "batch__stuck_on",
    "batch__n_stuck",
    "n_waiting",
    "ended_on",
)


def trials_in_order(garden: Garden) -> list[str]:
    """Return the names of all trials: those in which something waits or nothing is stuck first. Two queries.

    Within both what was stuck last stands first.
    """
    pots = BatchState.rows.of(garden).filter(withdrawn=False, batch__trial__isnull=False)
    told = pots.values("batch__trial__trial").annotate(
        last=Max("batch__stuck_on"), n_open=Count("pk", filter=Q(ended_on=None))
    )
    stuck = {
        name: (last, bool(n)) for name, last, n in told.values_list("batch__trial__trial", "last", "n_open")
    }
    names = Trial.rows.of(garden).order_by("trial").values_list("trial", flat=True)
    never = (date.max, True)
    return sorted(names, key=lambda name: _of_order(*stuck.get(name, never)))


def _of_order(last: date, is_open: bool) -> tuple[bool, int]:
    return not is_open, -last.toordinal()


def trial_of_batches(garden: Garden) -> dict[str, str]:
    """Return the trial of each batch that is a pot of one, by its code. One query."""
    rows = Sticking.rows.of(garden).filter(trial__isnull=False)
    return dict(rows.values_list("batch", "trial__trial"))


def trial_rows(garden: Garden, *, trials: Collection[str]) -> list[TrialRow]:
    """Return some trials of a garden by name. Three queries.

    The plan is the first that was ever written of a trial: one that was taken back is told as such, so that
    nothing written later can stand in its place.
    """
    found = list(Trial.rows.of(garden).filter(trial__in=trials).order_by("trial"))
    notes = Note.rows.of(garden).filter(about__in=trials, text__startswith=PLAN_BEGINS)
    plans: dict[str, Note] = {}
    for note in notes.select_related("by").order_by("number"):
        plans.setdefault(note.about, note)
    standing = set(notes.standing().values_list("pk", flat=True))
    zone = ZoneInfo(garden.time_zone)
    return [_row(row, plans.get(row.trial), standing, zone) for row in found]


def _row(row: Trial, note: Note | None, standing: Container[int], zone: ZoneInfo) -> TrialRow:
    told = (row.trial, row.question, row.arms, row.units_per_arm, row.n_per_unit, row.stop_rule)
    if note is None:
        return TrialRow(*told)
    by = str(note.by) if note.by else ""
    return TrialRow(*told, note.text, note.at, by, note.at.astimezone(zone).date(), note.pk not in standing)


def trial_pots(garden: Garden, *, trials: Collection[str]) -> dict[str, list[TrialPot]]:
    """Return the pots of some trials in the order they were stuck. Two queries.

    Pots whose sticking was taken back are left out.
    """
    states = BatchState.rows.of(garden).filter(withdrawn=False, batch__trial__trial__in=trials)
    found = list(states.order_by("batch__number").values_list(*_OF_POT))
    looks = look_counts(garden, [row[1] for row in found]) if found else {}
    pots: dict[str, list[TrialPot]] = {}
    for row in found:
        facts = dict(zip(_NAMES, row, strict=True))
        pot = TrialPot(**facts, looks=looks.get(facts["pk"], ()))
        pots.setdefault(pot.trial, []).append(pot)
    return pots
