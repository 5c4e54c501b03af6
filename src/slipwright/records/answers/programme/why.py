"""Why a batch of a programme is the one: its wood, its week, its plants."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import partial

from slipwright.craft.days import day_in_words
from slipwright.craft.said import Said, joined
from slipwright.records.answers.programme.lines import LineFacts, window_of
from slipwright.records.answers.programme.planning import GardenProgramme
from slipwright.records.answers.programme.stops import BY_KIND, rows_in_words
from slipwright.records.answers.programme.use import likely_ready
from slipwright.records.answers.programme.ways import Stuckable
from slipwright.records.selectors import WantNow
from slipwright.season.asked import SLACK, Option, Row

#: shares ready that lie nearer than this are alike
_ALIKE = 0.02
#: a cost a plant counts as less if it is so much less
_CHEAPER = 0.99


#: likely shares ready of ways, by want and name
Known = dict[tuple[str, str], float]


def whys_of(found: GardenProgramme, facts: Sequence[LineFacts]) -> list[str]:
    """Return why each batch is of its wood and in its week; only what the programme itself rests on."""
    known: Known = {}
    return [joined(_reasons(found, known, one)) for one in facts]


def _reasons(found: GardenProgramme, known: Known, one: LineFacts) -> Iterator[str]:
    window = window_of(one.way)
    if window is not None:
        opens, closes = window
        yield Said(
            "Its {wood:small} is likely right from {opens} to {closes}.",
            wood=Said(one.line.wood),
            opens=day_in_words(opens, beside=closes),
            closes=day_in_words(closes),
        )
    likely = partial(_likely, found, known, one.want)
    due = day_in_words(one.want.ready_by, beside=one.line.week)
    ways = found.problem.ways[one.want.want].ways
    others = [way for way in ways if way.made.wood != one.line.wood]
    is_best_wood = bool(others) and likely(one.way) >= max(map(likely, others))
    yield _week(found, one, likely, due, is_best_wood=is_best_wood)


def _week(
    found: GardenProgramme,
    one: LineFacts,
    likely: Callable[[Stuckable], float],
    due: str,
    *,
    is_best_wood: bool,
) -> str:
    mine = likely(one.way)
    tried = [
        way
        for way in found.problem.ways[one.want.want].ways
        if (way.made.wood, way.made.method, way.plant) == (one.line.wood, one.line.method, one.line.plant)
    ]
    best = max(tried, key=likely)
    ready_as = Said(one.want.ready_as)
    if likely(best) - mine <= _ALIKE * likely(best):
        text = (
            Said("No other wood, and no other week tried, gives more plants {ready_as} by {day}.")
            if is_best_wood
            else Said("No other week tried gives more plants {ready_as} by {day}.")
        )
        return Said(text.template, ready_as=ready_as, day=due)
    better = day_in_words(best.week, beside=one.line.week)
    other = next((option for option in one.asked.options if option.option == best.name), None)
    if other is not None and (row := _too_tight(found, one, other)) is not None:
        return Said(
            "More plants would be {ready_as} in time from the week of {better}, but then there is too "
            "little: {row}.",
            ready_as=ready_as,
            better=better,
            row=_of_what(row),
        )
    if other is not None and _cost_each(one, _option(one), mine) < _CHEAPER * _cost_each(
        one, other, likely(best)
    ):
        return Said(
            "From the week of {better} more of the cuttings would be ready, but each plant would cost more.",
            better=better,
        )
    return Said("Of the plans that were found it is in the one that costs least for all wants together.")


def _likely(found: GardenProgramme, known: Known, want: WantNow, way: Stuckable) -> float:
    key = (want.want, way.name)
    if key not in known:
        problem = found.problem
        grows = problem.given.growth.of(want.taxon, problem.given.pages.get(want.taxon))
        known[key] = likely_ready(problem.maker.course_of(want, way), way.timing, grows)
    return known[key]


def _of_what(row: Row) -> str:
    if row.kind == "shoots":
        return Said("shoots of {plant}", plant=row.place)
    return Said("{what}, {where}", what=BY_KIND.get(row.kind, row.kind), where=rows_in_words([row]))


def _option(one: LineFacts) -> Option:
    return one.asked.options[one.place]


def _too_tight(found: GardenProgramme, one: LineFacts, other: Option) -> Row | None:
    """Return a row that would be over what there is if the batch were made in another way."""
    own, n = _option(one), one.line.n_to_stick
    used = {load.row: load.used for load in found.programme.loads}
    for row in found.problem.season.rows:
        if row.row not in other.use_each and row.row not in other.use_once:
            continue
        free = n * own.use_each.get(row.row, 0.0) + own.use_once.get(row.row, 0.0)
        takes = n * other.use_each.get(row.row, 0.0) + other.use_once.get(row.row, 0.0)
        if used[row.row] - free + takes > row.room + SLACK:
            return row
    return None


def _cost_each(one: LineFacts, option: Option, likely: float) -> float:
    n = one.line.n_to_stick
    return (n * option.cost_each + option.cost_once) / max(n * likely, 1e-9)
