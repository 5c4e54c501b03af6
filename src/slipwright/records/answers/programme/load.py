"""The programme by week: what is stuck, what that takes, and the room and hours there are."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from slipwright.records.answers.programme.lines import LineFacts
from slipwright.records.answers.programme.planning import GardenProgramme
from slipwright.records.answers.programme.room import hours_row
from slipwright.records.answers.programme.shoots import shoots_of_lines, tightest_year
from slipwright.records.answers.programme.use import use_of_standing
from slipwright.season.programme import Load

#: room of which less than this share is left counts as full
FULL = 0.05
#: hours below this are none
_NO_TIME = 0.005
_SUMS = ("n_to_stick", "n_containers", "litres", "dip_ml", "labels", "cost")


def cover_of(load: Load) -> str:
    """Return the cover of a bench's row, nothing of any other."""
    return load.row.split(" ")[1] if load.kind == "bench" else ""


def is_full(load: Load) -> bool:
    """Return whether next to nothing more fits in."""
    return load.used > 0 and load.room - load.used < FULL * load.room


def told_room(found: GardenProgramme) -> list[dict[str, Any]]:
    """Return room and hours by place and week; shoots are told with the plants."""
    groups: dict[tuple[str, str], list[Load]] = {}
    for load in found.programme.loads:
        if load.week is not None:
            groups.setdefault((load.kind, cover_of(load)), []).append(load)
    return [
        {
            "kind": kind,
            "place": place,
            "name": loads[0].place,
            "weeks": [
                {
                    "week": load.week.isoformat(),
                    "used": round(load.used, 4),
                    "room": round(load.room, 4),
                    "is_full": is_full(load),
                }
                for load in loads
                if load.week is not None
            ],
        }
        for (kind, place), loads in groups.items()
    ]


def told_shoots(found: GardenProgramme) -> list[dict[str, Any]]:
    """Return of each plant, in the year with least left, the shoots there are and those that are cut."""
    problem = found.problem
    taken: dict[str, list[tuple[date, int]]] = {}
    of_lines = shoots_of_lines(found.programme.lines, problem.stuckable, problem.wood)
    for line, of_line in zip(found.programme.lines, of_lines, strict=True):
        day = problem.stuckable[line.want, line.option].timing.stuck_on
        for one in of_line:
            taken.setdefault(one.plant, []).append((day, one.n or 0))
    told = []
    for of_taxon in problem.given.plants.values():
        for plant in of_taxon:
            if plant.n_may_go is not None:
                used, room = tightest_year(plant, taken.get(plant.plant, ()))
                told.append({"plant": plant.plant, "used": float(used), "room": float(room)})
    return told


def hours_by_week(found: GardenProgramme, facts: Sequence[LineFacts]) -> dict[date, float]:
    """Return the hours that batches of the programme and those that stand are expected to take."""
    weeks = list(found.problem.given.weeks())
    standing = _of_standing(found, weeks)
    return {
        week: standing.get(hours_row(week), 0.0) + sum(one.hours_in(week) for one in facts) for week in weeks
    }


def _of_standing(found: GardenProgramme, weeks: Sequence[date]) -> Mapping[str, float]:
    problem = found.problem
    rows = frozenset(hours_row(week) for week in weeks)
    known = {row.row for row in problem.season.rows}
    total: dict[str, float] = {}
    for batch, one in zip(problem.season.standing, problem.standing, strict=True):
        use = batch.use
        if not rows <= known:
            # hours of weeks nobody wrote any down for
            kind = problem.maker.course(one.record.cuttings, one.record.kind, one.timing.patience_days)
            use = use_of_standing(problem.given, one, kind, rows)
        for row in rows & use.keys():
            total[row] = total.get(row, 0.0) + use[row]
    return total


def told_weeks(
    found: GardenProgramme, facts: Sequence[LineFacts], lines: Sequence[Mapping[str, Any]]
) -> list[dict[str, Any]]:
    """Return the weeks in which something is to do, with the sums of their lines."""
    hours = hours_by_week(found, facts)
    rooms = {load.week: load.room for load in found.programme.loads if load.kind == "hours"}
    full: dict[date | None, list[str]] = {}
    for load in found.programme.loads:
        if load.week is not None and is_full(load):
            full.setdefault(load.week, []).append(load.kind)
    told = []
    for week, taken in hours.items():
        mine = [line for line in lines if line["week"] == week.isoformat()]
        if not mine and taken < _NO_TIME:
            continue
        told.append(
            {
                "week": week.isoformat(),
                "lines": [line["n"] for line in mine],
                **{name: round(sum(line[name] or 0 for line in mine), 4) for name in _SUMS},
                "hours": round(taken, 4),
                "hours_sticking": round(sum(line["hours"] for line in mine), 4),
                "hours_room": round(rooms[week], 4) if week in rooms else None,
                "is_full": list(dict.fromkeys(full.get(week, ()))),
            }
        )
    return told
