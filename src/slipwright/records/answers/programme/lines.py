"""What each batch of a programme takes, how it is made, and why it is the one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import numpy as np

from slipwright.craft.cane import BUNDLE
from slipwright.craft.container import LABELS_A_CONTAINER, dip_ml
from slipwright.craft.hormone import powder_g
from slipwright.craft.medium import medium_litres
from slipwright.records.answers.programme.planning import GardenProgramme
from slipwright.records.answers.programme.room import hours_row
from slipwright.records.answers.programme.shoots import Shoots, shoots_of_lines
from slipwright.records.answers.programme.use import SETUP_MINUTES, Use
from slipwright.records.answers.programme.ways import Stuckable
from slipwright.records.selectors import WantNow
from slipwright.records.selectors.programme import Way
from slipwright.rooting.ranges import Array
from slipwright.season.asked import Want
from slipwright.season.programme import Line

#: draws that the chance of a batch to root rests on
_DRAWS = 4_000
#: the first that root are potted when so much of what roots has
_FIRST = 0.1


@dataclass(frozen=True, slots=True, eq=False)
class LineFacts:
    """A batch of the programme with the way it is made by; ``n`` is its place among the lines."""

    n: int
    line: Line
    want: WantNow
    asked: Want
    way: Stuckable
    method: Way | None
    #: of all rows of hours there could be, by week
    use: Use
    shoots: Sequence[Shoots]

    @property
    def place(self) -> int:
        """Its place among the options of its want."""
        return next(k for k, one in enumerate(self.asked.options) if one.option == self.line.option)

    @property
    def n_cells(self) -> int:
        """Pots, or cells of all its trays."""
        return self.line.n_containers * (self.way.made.pot.cells or 1)

    def hours_in(self, week: date) -> float:
        """Return the hours it is expected to take in a week, by its Monday."""
        row = hours_row(week)
        return self.line.n_to_stick * self.use.each.get(row, 0.0) + self.use.once.get(row, 0.0)


def line_facts(found: GardenProgramme) -> list[LineFacts]:
    """Return the batches of a programme, in its order."""
    problem = found.problem
    wants = {one.want: one for one in problem.given.wants}
    asked = {one.want: one for one in problem.season.wants}
    methods = {one.method: one for one in problem.given.ways}
    rows = frozenset(hours_row(week) for week in problem.given.weeks())
    shoots = shoots_of_lines(found.programme.lines, problem.stuckable, problem.wood)
    facts = []
    for n, line in enumerate(found.programme.lines):
        way, want = problem.stuckable[line.want, line.option], wants[line.want]
        facts.append(
            LineFacts(
                n,
                line,
                want,
                asked[line.want],
                way,
                methods.get(line.method),
                problem.maker.use(want, way, rows),
                shoots[n],
            )
        )
    return facts


def told_line(found: GardenProgramme, one: LineFacts) -> dict[str, Any]:
    """Return all numbers of a batch as plain data, but for why it is there."""
    line, way, made = one.line, one.way, one.way.made
    leaf = found.problem.given.leaf(line.taxon, line.wood)
    setup = SETUP_MINUTES if made.setup_minutes is None else made.setup_minutes
    need = medium_litres(one.n_cells, made.pot.volume_ml, made.parts) if made.parts else None
    return {
        "n": one.n,
        "id": f"{line.want}/{line.option}",
        "week": line.week.isoformat(),
        "stick_on": way.timing.stuck_on.isoformat(),
        "want": line.want,
        "taxon": line.taxon,
        "wood": line.wood,
        "cutting": made.cuttings.form,
        "method": line.method,
        "cover": made.cover,
        "plant": line.plant,
        "n_to_stick": line.n_to_stick,
        "n_containers": line.n_containers,
        "container": made.pot.container,
        "n_per_container": made.n_per_container,
        "cells": made.pot.cells,
        "medium": one.method.medium if one.method else "",
        "litres": _round(need.blend_l) if need else None,
        "parts": [{"name": name, "litres": _round(n)} for name, n in need.parts_l.items()] if need else [],
        "water_l": _round(need.water_l) if need else None,
        **_hormone(one),
        "labels": LABELS_A_CONTAINER * line.n_containers,
        "hours": _round(one.hours_in(line.week)),
        "setup_h": _round(setup / 60),
        "hours_in_all": _round(line.n_to_stick * one.use.hours_each + one.use.hours_once),
        "cost": round(line.cost, 2),
        "shoots": [_bundled(shoots) for shoots in one.shoots],
        "length_mm": [leaf.length_mm.low, leaf.length_mm.high] if leaf else None,
        "n_nodes": [leaf.n_nodes.low, leaf.n_nodes.high] if leaf else None,
        "leaves": made.cuttings.leaves,
        "wound": made.cuttings.wounded,
        "p_rooted": _p_rooted(found, one),
        "look_on": (way.timing.stuck_on + timedelta(days=way.timing.round_days)).isoformat(),
        "pot_from": _pot_from(found, one),
        "window": _window(way),
    }


def _hormone(one: LineFacts) -> dict[str, Any]:
    """Return the hormone as its method has it, else as the handbook does; the label goes before both."""
    made, way, n = one.way.made, one.method, one.line.n_to_stick
    told: dict[str, Any] = {"auxin": made.auxin} | dict.fromkeys(_HORMONE)
    told |= {"auxin_form": "", "auxin2": ""}
    if made.auxin in ("", "none"):
        return told
    dose = made.dose
    if way is not None and way.auxin:
        told["auxin_form"], told["auxin2"] = way.auxin_form, way.auxin2
        for name in ("auxin_mg_per_l", "auxin_mg_per_kg", "auxin2_mg_per_l", "dip_s"):
            told[name] = _number(getattr(way, name))
    elif dose is not None:
        told["auxin_form"] = dose.form
        strength = "auxin_mg_per_kg" if dose.unit == "mg/kg" else "auxin_mg_per_l"
        told[strength] = _span(dose.low, dose.high)
        told["dip_s"] = _span(dose.seconds.low, dose.seconds.high) if dose.seconds else None
    form = told["auxin_form"]
    told["dip_ml"] = _round(dip_ml(n).mid_ml) if form in ("quick-dip", "gel") else None
    told["powder_g"] = [_round(g) for g in powder_g(n)] if form == "talc" else None
    return told


#: what is told of a hormone; the handbook's strengths and times may be a range of two
_HORMONE = (
    "auxin_form",
    "auxin_mg_per_l",
    "auxin_mg_per_kg",
    "auxin2",
    "auxin2_mg_per_l",
    "dip_s",
    "dip_ml",
    "powder_g",
)


def _span(low: float, high: float) -> float | list[float]:
    return low if low == high else [low, high]


def _bundled(one: Shoots) -> dict[str, Any]:
    bundles, over = divmod(one.n, BUNDLE) if one.n is not None else (None, None)
    return {
        "plant": one.plant,
        "place": one.place,
        "n_shoots": one.n,
        "n_bundles": bundles,
        "n_over": over,
    }


def _p_rooted(found: GardenProgramme, one: LineFacts) -> dict[str, float]:
    rooted = found.problem.draws.rooted(one.asked, one.place, _DRAWS, found.programme.seed)
    return quantiles(rooted)


def quantiles(draws: Array) -> dict[str, float]:
    """Return the range of draws that holds 8 times in 10, and its middle."""
    low, middle, high = np.quantile(draws, (0.1, 0.5, 0.9)).tolist()
    return {"p10": _round(low), "p50": _round(middle), "p90": _round(high)}


def _pot_from(found: GardenProgramme, one: LineFacts) -> str | None:
    """Return the day on which the first of a batch are likely potted, none where none is."""
    timing = one.way.timing
    if timing.ready_as == "rooted":
        return None
    course = found.problem.maker.course_of(one.want, one.way)
    at_last = float(course.rooted_by(timing.patience_days))
    age = float(np.interp(_FIRST * at_last, course.rooted, course.ages))
    return timing.potted_on(age).isoformat()


def window_of(way: Stuckable) -> tuple[date, date] | None:
    """Return the first and last day on which the wood of all its plants is right."""
    day = way.timing.stuck_on
    open_now = [
        next(w for w in one.windows if w.wood == way.made.wood and w.opens_on <= day <= w.closes_on)
        for one in way.plants
        if one.is_open(way.made.wood, day)
    ]
    if not open_now:
        return None
    return max(w.opens_on for w in open_now), min(w.closes_on for w in open_now)


def _window(way: Stuckable) -> dict[str, str] | None:
    found = window_of(way)
    if found is None:
        return None
    return {"opens_on": found[0].isoformat(), "closes_on": found[1].isoformat()}


def _number(value: Any) -> float | None:
    return None if value is None else float(value)


def _round(value: float) -> float:
    return round(float(value), 4)
