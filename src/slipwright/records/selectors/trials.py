"""Trials as they are written down: their rows, their plans, and the pots that were stuck for them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from slipwright.records.models import BatchState, Garden, Note, Trial
from slipwright.records.selectors.batches import containers_for
from slipwright.records.selectors.looks import look_counts
from slipwright.rooting.counts import LookCounts

#: how the note begins that holds what was fixed of a trial before it began
PLAN_BEGINS = "Trial plan, fixed beforehand."
#: trials whose pots are read at once
MOST_TRIALS = 200


@dataclass(frozen=True, slots=True)
class TrialRow:
    """A trial's row, and the note that fixed its plan: its words, when it was written, and by whom."""

    trial: str
    question: str
    arms: str
    units_per_arm: int
    n_per_unit: int
    stop_rule: str
    plan: str = ""
    planned_at: datetime | None = None
    planned_by: str = ""


@dataclass(frozen=True, slots=True)
class TrialPot:
    """A pot of a trial, which is a batch of its own, with what the looks at it found."""

    trial: str
    pk: int
    batch: str
    arm: str
    block: str
    taxon: str
    plant: str
    place: str
    stuck_on: date
    n_stuck: int
    n_waiting: int
    is_ended: bool
    n_containers: int | None
    looks: tuple[LookCounts, ...]


def trial_rows(garden: Garden, *, trial: str | None = None) -> list[TrialRow]:
    """Return the trials of a garden by name, or the one that is named. Two queries."""
    rows = Trial.rows.of(garden).order_by("trial")
    if trial is not None:
        rows = rows.filter(trial=trial)
    found = list(rows[:MOST_TRIALS])
    names = [row.trial for row in found]
    notes = Note.rows.of(garden).standing().filter(about__in=names, text__startswith=PLAN_BEGINS)
    plans: dict[str, Note] = {}
    for note in notes.select_related("by").order_by("number"):
        plans.setdefault(note.about, note)
    return [_row(row, plans.get(row.trial)) for row in found]


def _row(row: Trial, note: Note | None) -> TrialRow:
    told = (row.trial, row.question, row.arms, row.units_per_arm, row.n_per_unit, row.stop_rule)
    if note is None:
        return TrialRow(*told)
    return TrialRow(*told, note.text, note.at, str(note.by) if note.by else "")


def trial_pots(garden: Garden, *, trial: str | None = None) -> dict[str, list[TrialPot]]:
    """Return the pots of each trial, or of one, in the order they were stuck. Two queries.

    Pots whose sticking was taken back are left out.
    """
    states = BatchState.rows.of(garden).filter(withdrawn=False, batch__trial__isnull=False)
    if trial is not None:
        states = states.filter(batch__trial__trial=trial)
    rows = states.select_related(
        "batch__trial", "batch__taxon", "batch__plant", "batch__container", "place"
    ).order_by("batch__number")
    found = list(rows)
    looks = look_counts(garden, [state.batch_id for state in found]) if found else {}
    pots: dict[str, list[TrialPot]] = {}
    for state in found:
        stuck = state.batch
        pots.setdefault(stuck.trial.trial, []).append(
            TrialPot(
                stuck.trial.trial,
                stuck.pk,
                stuck.batch,
                stuck.arm,
                stuck.block,
                stuck.taxon.taxon,
                stuck.plant.plant if stuck.plant else "",
                state.place.place if state.place else "",
                stuck.stuck_on,
                stuck.n_stuck,
                state.n_waiting,
                state.ended_on is not None,
                containers_for(
                    stuck.n_stuck, stuck.n_per_container, stuck.container.cells if stuck.container else None
                ),
                looks.get(stuck.pk, ()),
            )
        )
    return pots
