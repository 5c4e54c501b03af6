"""The programme in use as papers and the calendar ask for it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from slipwright.craft.said import Said
from slipwright.handbook import Handbook
from slipwright.outputs.calendar import Event
from slipwright.records.answers.programme.paper_lines import PaperLine, paper_lines
from slipwright.records.answers.programme.table import events_of_programme
from slipwright.records.errors import Refused
from slipwright.records.models import Garden
from slipwright.records.selectors.plans import plan_content, plan_in_use
from slipwright.records.selectors.season_stuck import (
    StuckForWant,
    number_of,
    stuck_changed_at,
    stuck_since,
)


@dataclass(frozen=True, slots=True)
class ProgrammeInUse:
    """What is told of the programme in use, and what was stuck since it was made."""

    content: Mapping[str, Any]
    stuck: Sequence[StuckForWant]
    used_at: datetime | None
    #: the garden's last record when it was begun
    number: int


def programme_in_use_now(garden: Garden) -> ProgrammeInUse | None:
    """Return the programme in use; None where none is. Three queries."""
    plan = plan_in_use(garden)
    content = plan_content(plan) if plan is not None else {}
    if plan is None or not content:
        return None
    number = number_of(plan)
    return ProgrammeInUse(content, stuck_since(garden, number), plan.used_at, number)


def programme_for_papers(garden: Garden) -> ProgrammeInUse:
    """Return the programme in use; refuse where none is, for papers go by what was settled."""
    found = programme_in_use_now(garden)
    if found is None:
        raise Refused(Said("No programme is in use yet: look at one on the season's page, and use it."))
    return found


def lines_in_use(
    garden: Garden,
    handbook: Handbook,
    in_use: ProgrammeInUse,
    *,
    on: date,
    week: date | None = None,
    tongue: str = "en",
) -> tuple[PaperLine, ...]:
    """Return what is still to be stuck of the programme in use. One query."""
    return paper_lines(garden, handbook, in_use.content, on=on, week=week, stuck=in_use.stuck, tongue=tongue)


def events_in_use(garden: Garden, handbook: Handbook, *, on: date, domain: str) -> tuple[Event, ...]:
    """Return the weeks of the programme in use in which something is to be cut and stuck. Six queries.

    What is left of a week changes with what is stuck for it, so an entry changed when one of these came in.
    """
    in_use = programme_in_use_now(garden)
    if in_use is None:
        return ()
    changes = (in_use.used_at, stuck_changed_at(garden, in_use.number))
    return events_of_programme(
        lines_in_use(garden, handbook, in_use, on=on),
        domain=domain,
        changed_at=max((at for at in changes if at is not None), default=None),
    )
