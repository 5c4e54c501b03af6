"""What each want is promised: plants ready by the day, as time goes on, and what stops the rest."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from typing import Any

import numpy as np

from slipwright.records.answers.programme.lines import LineFacts
from slipwright.records.answers.programme.planning import GardenProgramme
from slipwright.records.answers.programme.standing import by_want
from slipwright.records.answers.programme.stops import Stopped
from slipwright.records.answers.programme.told import ProgrammeTold, WantTold
from slipwright.records.answers.sayings import put_away
from slipwright.season.counts import generator_of, tenths_of
from slipwright.season.programme import WantPlan

#: days of a curve lie so far apart, and there are at most so many of them, on so many draws
_APART, _MOST_POINTS, _DRAWS = timedelta(weeks=4), 8, 1_000
#: as far below what was wished a promise may lie and count as likely; from this part of it on it is near
LEEWAY, NEAR = 0.02, 2 / 3


def state_of(told: WantTold) -> str:
    """Return how far a want is promised, in a word."""
    if any(one.limit == "past" for one in told.stopped_by):
        return "past"
    if told.is_met:
        return "met"
    wished = float(told.want.assurance)
    if not told.short_by or told.promised >= wished - LEEWAY:
        return "likely"
    return "near" if told.promised >= NEAR * wished else "short"


def told_want(
    found: GardenProgramme, told: WantTold, plan: WantPlan | None, lines: Sequence[LineFacts]
) -> dict[str, Any]:
    """Return all that is told of a want as plain data."""
    problem, want = found.problem, told.want
    standing = by_want(problem.standing).get(want.want, [])
    ready = plan.ready if plan else (0, 0, 0)
    return {
        "want": want.want,
        "taxon": want.taxon,
        "taxon_id": problem.given.taxa[want.taxon].pk,
        "common_name": want.common_name,
        "note": want.note,
        "n_wanted": want.n_wanted,
        "ready_by": want.ready_by.isoformat(),
        "ready_as": want.ready_as,
        "assurance": float(want.assurance),
        "promised": round(told.promised, 4),
        "promised_planned": round(told.promised_planned, 4),
        "state": state_of(told),
        "ready": {**_range(ready), "planned": told.planned, "short_by": told.short_by},
        "standing": {"n_batches": len(standing), **_range(plan.standing_ready)}
        if plan and standing
        else None,
        "curve": _curve(found, plan, lines) if plan else [],
        "stopped_by": [_stop(one) for one in told.stopped_by],
        "value_each": told.value_each,
        "is_value_stated": told.is_value_stated,
        "lines": [one.n for one in lines],
    }


def _range(ready: tuple[int, int, int]) -> dict[str, int]:
    return dict(zip(("p10", "p50", "p90"), ready, strict=True))


def _stop(one: Stopped) -> dict[str, Any]:
    return {**one.as_json(), "why": put_away(one.why)}


def days_until(on: date, due: date) -> list[date]:
    """Return days from one to another, about four weeks apart; further where there would be too many."""
    n = max(min((due - on) // _APART, _MOST_POINTS - 1), 1)
    return [on + (due - on) * k // n for k in range(n + 1)]


def counts_by(
    found: GardenProgramme, want: str, lines: Sequence[LineFacts], days: Sequence[date], n_draws: int
) -> list[np.ndarray[Any, np.dtype[np.int64]]]:
    """Return plants of a want ready by each of some days, the last the latest, by draw.

    Of those ready in the end so many are ready by a day before, so that no draw falls as time goes on.
    """
    problem, seed = found.problem, found.programme.seed + 1
    asked = next(one for one in problem.season.wants if one.want == want)
    places = tuple(one.place for one in lines)
    drawn = problem.draws.by_days(asked, places, days, n_draws, seed)
    totals = [
        np.zeros(n_draws, np.int64) if one.standing is None else one.standing.astype(np.int64)
        for one in drawn
    ]
    for k, line in enumerate(lines):
        generator = generator_of(seed, want, line.line.option, "by days")
        last = np.asarray(drawn[-1].ready[k], float)
        left = generator.binomial(line.line.n_to_stick, last)
        totals[-1] = totals[-1] + left
        for day in range(len(days) - 2, -1, -1):
            ready = np.asarray(drawn[day].ready[k], float)
            left = generator.binomial(left, np.clip(ready / np.maximum(last, 1e-12), 0.0, 1.0))
            totals[day], last = totals[day] + left, np.minimum(ready, last)
    return totals


def _curve(found: GardenProgramme, plan: WantPlan, lines: Sequence[LineFacts]) -> list[dict[str, Any]]:
    want = next(one for one in found.problem.given.wants if one.want == plan.want)
    days = days_until(found.problem.given.on, want.ready_by)
    if not lines and plan.want not in by_want(found.problem.standing):
        ranges = [(0, 0, 0)] * len(days)
    else:
        ranges = [tenths_of(one) for one in counts_by(found, plan.want, lines, days, _DRAWS)]
    # the last as promised; no point before lies above one after it
    ranges[-1] = plan.ready
    for k in range(len(ranges) - 2, -1, -1):
        ranges[k] = tuple(min(pair) for pair in zip(ranges[k], ranges[k + 1], strict=True))  # type: ignore[assignment]
    return [{"on": day.isoformat(), **_range(ready)} for day, ready in zip(days, ranges, strict=True)]


def told_wants(told: ProgrammeTold, facts: Sequence[LineFacts]) -> list[dict[str, Any]]:
    """Return all wants of a programme as plain data."""
    plans: Mapping[str, WantPlan] = {one.want: one for one in told.found.programme.wants}
    lines: dict[str, list[LineFacts]] = {}
    for one in facts:
        lines.setdefault(one.want.want, []).append(one)
    return [
        told_want(told.found, one, plans.get(one.want.want), lines.get(one.want.want, ()))
        for one in told.wants
    ]
