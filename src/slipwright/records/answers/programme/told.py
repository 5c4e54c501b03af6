"""A garden's programme in words and as plain data."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from slipwright.craft.said import Said, joined
from slipwright.records.answers.garden_words import first_of
from slipwright.records.answers.programme.planning import GardenProgramme
from slipwright.records.answers.programme.shoots import shoots_of_lines
from slipwright.records.answers.programme.stops import (
    BY_KIND,
    TOGETHER,
    LoosenedTold,
    Stopped,
    iso,
    stopped_by,
)
from slipwright.records.answers.programme.use import DEFAULTS, items_said
from slipwright.records.selectors import WantNow, rights_of
from slipwright.season.asked import UNSTATED, Row
from slipwright.season.programme import Line, Load, WantPlan


@dataclass(frozen=True, slots=True)
class WantTold:
    """What a want gets; ``is_met`` where what stands already gives it with its assurance."""

    want: WantNow
    planned: int
    promised: float
    promised_planned: float
    short_by: int
    stopped_by: tuple[Stopped, ...]
    is_met: bool
    value_each: float | None
    is_value_stated: bool
    #: plants ready by the day, 8 times in 10 between the first and the last
    ready: tuple[int, int, int] = (0, 0, 0)

    def as_json(self) -> dict[str, Any]:
        """Plain data."""
        want = self.want
        return {
            "want": want.want,
            "taxon": want.taxon,
            "n_wanted": want.n_wanted,
            "ready_by": want.ready_by.isoformat(),
            "ready_as": want.ready_as,
            "assurance": float(want.assurance),
            "planned": self.planned,
            "promised": round(self.promised, 4),
            "promised_planned": round(self.promised_planned, 4),
            "ready": dict(zip(("p10", "p50", "p90"), self.ready, strict=True)),
            "short_by": self.short_by,
            "is_met": self.is_met,
            "value_each": self.value_each,
            "is_value_stated": self.is_value_stated,
            "stopped_by": [one.as_json() for one in self.stopped_by],
        }


@dataclass(frozen=True, slots=True)
class LineTold:
    """One batch of the programme, and the shoots it takes of each plant."""

    line: Line
    shoots: tuple[tuple[str, int | None], ...]

    def as_json(self) -> dict[str, Any]:
        """Plain data."""
        line = self.line
        return {
            "week": line.week.isoformat(),
            "want": line.want,
            "taxon": line.taxon,
            "wood": line.wood,
            "method": line.method,
            "plant": line.plant,
            "n_to_stick": line.n_to_stick,
            "n_containers": line.n_containers,
            "cost": round(line.cost, 2),
            "shoots": [{"plant": plant, "n_shoots": n} for plant, n in self.shoots],
        }


@dataclass(frozen=True, slots=True)
class ProgrammeTold:
    """All that is told of a programme."""

    on: date
    found: GardenProgramme
    wants: tuple[WantTold, ...]
    lines: tuple[LineTold, ...]
    loosened: tuple[LoosenedTold, ...]
    notes: tuple[str, ...]

    def as_json(self) -> dict[str, Any]:
        """Plain data, as ``docs/contract/plan.json`` has it."""
        programme = self.found.programme
        return {
            "on": self.on.isoformat(),
            "seed": programme.seed,
            "wants": [want.as_json() for want in self.wants],
            "programme": [line.as_json() for line in self.lines],
            "load": [_load(load) for load in _loads(programme.loads)],
            "loosened": [one.as_json() for one in self.loosened],
            "cost": round(programme.cost, 2),
            "penalty": round(programme.penalty, 2),
            "bound": round(programme.bound, 2),
            "gap": round(programme.gap, 6),
            "not_costed": list(self.found.problem.not_costed),
            "notes": [str(note) for note in self.notes],
            "seconds": round(self.found.seconds, 2),
        }


def told_of_programme(found: GardenProgramme) -> ProgrammeTold:
    """Return a programme with what it rests on and what stops the rest, in words."""
    problem, programme = found.problem, found.programme
    plans = {plan.want: plan for plan in programme.wants}
    rows = {row.row: row for row in problem.season.rows}
    made = {line.want for line in programme.lines}
    wants = tuple(_want(found, want, plans.get(want.want), rows, made) for want in problem.given.wants)
    shoots = shoots_of_lines(programme.lines, problem.stuckable, problem.wood)
    lines = tuple(
        LineTold(line, tuple((one.plant, one.n) for one in of_line))
        for line, of_line in zip(programme.lines, shoots, strict=True)
    )
    currency, first = problem.garden.currency, first_of(problem.garden)
    loosened = tuple(
        LoosenedTold(one, rows[one.row], tuple(rows[name] for name in one.rows), currency, first)
        for one in programme.loosened
    )
    return ProgrammeTold(problem.given.on, found, wants, lines, loosened, tuple(_notes(found)))


def _want(
    found: GardenProgramme, want: WantNow, plan: WantPlan | None, rows: Mapping[str, Row], made: set[str]
) -> WantTold:
    why = found.problem.ways[want.want].why_none
    if plan is None:
        past = Stopped("past", (), True, why)
        return WantTold(want, 0, 0.0, 0.0, want.n_wanted, (past,), False, None, False)
    stopped = tuple(stopped_by(stop, why, rows) for stop in plan.stopped_by)
    if plan.short_by and not stopped:
        stopped = (Stopped("no_option" if why else "together", (), bool(why), why or TOGETHER),)
    if not rights_of(found.problem.given.taxa[want.taxon], on=found.problem.given.on).allowed:
        stopped = tuple(replace(one, limit="rights") if one.limit == "no_option" else one for one in stopped)
    return WantTold(
        want,
        plan.planned,
        plan.promised,
        plan.promised_planned,
        plan.short_by,
        stopped,
        not plan.short_by and want.want not in made,
        round(plan.value_each, 4),
        plan.is_value_stated,
        plan.ready,
    )


def _loads(loads: Sequence[Load]) -> list[Load]:
    """Return loads by kind, week and place; of a plant's shoots the tightest count."""
    tightest: dict[tuple[str, str, date | None], Load] = {}
    for load in loads:
        key = (load.kind, load.place, load.week)
        if key not in tightest or load.room - load.used < tightest[key].room - tightest[key].used:
            tightest[key] = load
    return list(tightest.values())


def _load(load: Load) -> dict[str, Any]:
    return {
        "resource": load.kind,
        "place": load.place,
        "week": iso(load.week),
        "used": round(load.used, 4),
        "room": round(load.room, 4),
    }


def _notes(found: GardenProgramme) -> Iterator[str]:
    problem, given = found.problem, found.problem.given
    if not problem.is_learned:
        yield Said("Nothing is learned from this garden's looks yet: chances are the handbook's.")
    yield DEFAULTS
    if problem.not_costed:
        yield Said(
            "No cost is written down for {items}: they count as nought.",
            items=items_said(problem.not_costed),
        )
    if any(plan.short_by and not plan.is_value_stated for plan in found.programme.wants):
        yield Said(
            "Where nobody wrote down what a plant is worth, one that is not made counts as {n:g} times what "
            "the cheapest of its want costs.",
            n=UNSTATED,
        )
    without = sorted(
        {
            want.taxon
            for want in given.wants
            if (plants := given.plants.get(want.taxon)) and not any(one.plant for one in plants)
        }
    )
    if without:
        yield Said(
            "No stock plant is written down of {taxa}: wood is taken to be at hand.",
            taxa=joined(without, ", "),
        )
    kinds = {row.kind for row in problem.season.rows}
    unsaid = [BY_KIND[kind] for kind in ("bench", "nursery", "hours") if kind not in kinds]
    if unsaid and problem.season.wants:
        yield Said("Nobody wrote down {what}: no limit is kept.", what=joined(unsaid, ", "))
