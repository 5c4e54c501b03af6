"""A want as the programme in use has it, for pages that tell of one want."""

from __future__ import annotations

from typing import Any

from django.urls import reverse

from slipwright.records.answers.programme.of_wants import WANTS, PlannedWant, planned_wants
from slipwright.records.answers.sticking import Number
from slipwright.web import season_words
from slipwright.web.membership import GardenRequest
from slipwright.web.season_line import plants_of, stick_at

#: batches that are told one by one
LINES = 4


def planned_shown(planned: PlannedWant, but: int | None = None) -> dict[str, Any]:
    """Return what is promised of a want, its batches still to be stuck, and where the season tells of it.

    ``but`` is a line that is told already.
    """
    lines = [line for line in planned.to_do if line.n != but]
    first = next(iter(planned.to_do), None)
    return {
        **planned.told,
        "is_good": planned.is_good,
        "stops": planned.stops,
        "at": season_at(planned),
        "tried": season_words.change(planned.change),
        "first": first,
        "is_due": first is not None and first.standing in ("late", "now"),
        "n_left": sum(line.n_left for line in planned.to_do),
        "n_batches": len(planned.to_do),
        "n_done": planned.n_done,
        "n_missed": planned.n_missed,
        "lines": [
            {
                "line": line,
                "wood": line.told["wood"],
                "from": plants_of(line.rest),
                "at": stick_at(planned.plan, line.n),
            }
            for line in lines[:LINES]
        ],
        "n_more": max(len(lines) - LINES, 0),
    }


def planned_of_want(
    request: GardenRequest, number: Number | None, but: int | None = None
) -> dict[str, Any] | None:
    """Return the want of a number as the programme in use has it; None where that does not know it."""
    if number is None:
        return None
    want = number.need.want
    found = (planned_wants(request.garden, [want], on=request.today) or {}).get(want.want)
    return planned_shown(found, but) if found else None


def season_at(planned: PlannedWant) -> str:
    """Return where the season's page tells of a want."""
    page = planned.place // WANTS + 1
    asked = f"?wants={page}" if page > 1 else ""
    return f"{reverse('season')}{asked}#want-{planned.place}"
