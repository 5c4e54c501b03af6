"""What binds a programme, as runs of weeks, with what more of it would bring as found by solving again."""

from __future__ import annotations

from typing import Any

from slipwright.craft.said import Said, joined
from slipwright.records.answers.garden_words import first_of
from slipwright.records.answers.programme.load import cover_of
from slipwright.records.answers.programme.planning import GardenProgramme
from slipwright.records.answers.programme.stops import gains_in_words, more_in_words
from slipwright.records.answers.programme.weeks import run_in_words, runs_of
from slipwright.records.answers.sayings import put_away
from slipwright.records.models import Garden
from slipwright.season.asked import Row
from slipwright.season.programme import Loosened

#: room by cover, young pots, hours
_WHAT = {
    "mist": Said("Room under mist"),
    "tent": Said("Room under tents"),
    "open": Said("Room in the open"),
    "nursery": Said("Room for young pots"),
    "hours": Said("Hours"),
}


def told_binds(found: GardenProgramme) -> list[dict[str, Any]]:
    """Return what binds, what helps most first."""
    garden = found.problem.garden
    rows = {row.row: row for row in found.problem.season.rows}
    covers = {load.row: cover_of(load) for load in found.programme.loads}
    return [_told(garden, one, rows, covers) for one in found.programme.loosened]


def _told(garden: Garden, one: Loosened, rows: dict[str, Row], covers: dict[str, str]) -> dict[str, Any]:
    row = rows[one.row]
    weeks = [week for name in one.rows or (one.row,) if (week := rows[name].week) is not None]
    runs = runs_of(weeks)
    return {
        "text": put_away(in_words(garden, one, rows, covers[one.row])),
        "kind": row.kind,
        "place": covers[one.row] or row.place,
        "name": row.place,
        "by": round(one.by, 4),
        "gain": round(one.gain, 2),
        "saves": round(one.saves, 2),
        "more_plants": round(one.more_plants, 2),
        "week_first": runs[0][0].isoformat() if runs else None,
        "week_last": runs[-1][1].isoformat() if runs else None,
    }


def in_words(garden: Garden, one: Loosened, rows: dict[str, Row], cover: str) -> str:
    """Return what binds and what more of it brings: "Room under tents, 14 Sep to 11 Oct: ..."."""
    row = rows[one.row]
    what: str = _WHAT.get(cover or row.kind, row.kind)
    if row.kind == "shoots":
        what = Said("Shoots of {plant}", plant=row.place)
    weeks = [week for name in one.rows or (one.row,) if (week := rows[name].week) is not None]
    if weeks:
        runs = joined([run_in_words(first, last) for first, last in runs_of(weeks)], "; ")
        what = Said("{what}, {when}", what=what, when=runs)
    return Said(
        "{what}: {more} {gains}.",
        what=what,
        more=more_in_words(row.kind, one.by, first_of(garden)),
        gains=gains_in_words(one, garden.currency),
    )
