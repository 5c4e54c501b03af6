"""Fixing a trial beforehand, sticking its pots, and counting them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import TypedDict

from django.db import transaction
from django.utils.translation import gettext as _

from slipwright.records.errors import BadValue, Clash, Refused
from slipwright.records.models import Garden, Look, Member, Note, Sticking, Trial
from slipwright.records.numbering import hold
from slipwright.records.services.looks import record_look
from slipwright.records.services.observations import record_note
from slipwright.records.services.reference import add_reference
from slipwright.records.services.stickings import Lot, record_sticking

#: names that are addresses of pages, and their ends
_TAKEN = ("new",)
_ENDS = ("/stick", "/count", "/table.csv")
#: what an address leaves out, or takes as the way up
_STEPS = {"", ".", ".."}


@transaction.atomic
def fix_trial(
    *,
    garden: Garden,
    by: Member,
    now: datetime,
    trial: str,
    question: str,
    arms: str,
    units_per_arm: int,
    n_per_unit: int,
    stop_rule: str,
    plan: str,
    entry_id: str,
) -> Note:
    """Write a trial down with its plan, both or neither; return the note that fixes the plan.

    The same form sent twice is kept once.
    """
    held = hold(garden)
    if not trial or trial in _TAKEN or trial.endswith(_ENDS) or not _STEPS.isdisjoint(trial.split("/")):
        raise BadValue("trial", _("must be a name of its own"), trial)
    kept = Note.rows.of(held).filter(entry_id=entry_id, about=trial).first()
    if kept is not None and kept.text != plan:
        raise Clash(kept.kind, entry_id)
    if kept is None:
        if Trial.rows.of(held).filter(trial=trial).exists():
            raise BadValue("trial", _("is the name of another trial"), trial)
        add_reference(
            garden=garden,
            by=by,
            now=now,
            table="trials",
            row={
                "trial": trial,
                "question": question,
                "arms": arms,
                "units_per_arm": units_per_arm,
                "n_per_unit": n_per_unit,
                "stop_rule": stop_rule,
            },
        )
        at = now.replace(microsecond=0)
        return record_note(garden=garden, by=by, now=now, about=trial, at=at, text=plan, entry_id=entry_id)
    return kept


@transaction.atomic
def stick_trial(
    *, garden: Garden, by: Member, now: datetime, trial: str, lots: Sequence[Lot], already_done: bool = False
) -> list[Sticking]:
    """Stick all pots of a trial, all or none; refused where other pots were stuck for it before."""
    held = hold(garden)
    ids = [lot["id"] for lot in lots]
    if Sticking.rows.of(held).standing().filter(trial__trial=trial).exclude(entry_id__in=ids).exists():
        raise Refused(
            _("The pots of this trial were stuck already."),
            [_("Look at them on the trial’s page."), _("For more pots, plan another trial.")],
        )
    return record_sticking(garden=garden, by=by, now=now, lots=lots, already_done=already_done)


class PotCount(TypedDict):
    """What was counted new in one pot, and the entry it was counted after."""

    batch: str
    n_rooted: int
    n_lost: int
    after: str
    id: str


@transaction.atomic
def count_trial(
    *, garden: Garden, by: Member, now: datetime, on: date, counts: Sequence[PotCount]
) -> list[Look]:
    """Record a look at each pot that was counted, all or none; each is a look as any other."""
    return [
        record_look(
            garden=garden,
            by=by,
            now=now,
            batch=count["batch"],
            on=on,
            n_rooted=count["n_rooted"],
            n_lost=count["n_lost"],
            after=count["after"],
            entry_id=count["id"],
        )
        for count in counts
    ]
