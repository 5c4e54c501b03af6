"""What stops the wants that fall short, and what more room would bring."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from functools import partial

import numpy as np
from numpy.typing import NDArray

from slipwright.season._master import Parts, best_parts
from slipwright.season._offers import Lists
from slipwright.season._plans import Offer, Plans, fit_alone, plans_of, priced, use_of
from slipwright.season._solving import chosen_in_parts
from slipwright.season.asked import SLACK, Array, Row
from slipwright.season.programme import Loosened, Stop

#: rows that carry less than this share of what the rows a plan needs are worth are not named
_WORTH_NAMING = 0.1
#: of one limit at most so many rows are named, of several of one place and week the tightest
_NAMED = 3
_LOOSENED = 5
#: by how much a row is loosened that has no step of its own, as a share of its room
_STEP = 0.1
#: a gain below this share of the total is none, and so is a worth below this
_NOTHING, _NO_WORTH = 1e-5, 1e-9
_A_WEEK = timedelta(weeks=1)


def stops_of(
    lists: Lists,
    plans: Plans,
    parts: Parts,
    short: Sequence[int],
    alone: NDArray[np.int64],
    room: Array,
    left: Array,
) -> dict[int, tuple[Stop, ...]]:
    """Return what stops each want that falls short.

    Parameters
    ----------
    lists : Lists
        Lists of plans.
    plans : Plans
        All plans offered.
    parts : Parts
        The best choice in parts.
    short : sequence of int
        Places of wants that fall short [1].
    alone : array of int
        Places of wants without any plan of their own [1].
    room : array of shape (n_rows,)
        Room left by batches already stuck.
    left : array of shape (n_rows,)
        Room left by the programme.

    Returns
    -------
    dict
        Stops by the places of wants, the weightiest first.

    Notes
    -----
    Of a want without a plan of its own: each kind of row is kept as the only limit in turn, and named if
    the want is still without a plan; if it is without one where no row is a limit, chance stops it, or that
    nothing can be stuck. Of another: the rows that carry at least a tenth of what the room of its cheapest
    plan for all plants is worth at the prices of the programme; else the rows that plan has no room in.

    References
    ----------
    Our own.

    Examples
    --------
    >>> stops_of(None, None, None, [], np.empty(0, int), np.empty(0), np.empty(0))
    {}
    """
    private = set(alone.tolist())
    stops = _private(lists, [place for place in short if place in private], room)
    return {
        place: stops[place] if place in private else _shared(lists, plans, parts, place, left)
        for place in short
    }


def _private(lists: Lists, places: Sequence[int], room: Array) -> dict[int, tuple[Stop, ...]]:
    """Return what stops wants that have no plan of their own."""
    if not places:
        return {}
    rows, wants = lists.season.rows, lists.season.wants
    open_to = [place for place in places if wants[place].options]
    free = dict(zip(open_to, _full_plans(lists, open_to, np.full(len(room), np.inf)), strict=True))
    stops: dict[int, list[Stop]] = {place: [] for place in open_to}
    touched = {place: _kinds_of(lists, place) for place in open_to if len(free[place])}
    for kind in dict.fromkeys(kind for kinds in touched.values() for kind in kinds):
        only = np.where(np.array([row.kind for row in rows]) == kind, room, np.inf)
        # where a plan made without any limit fits, nothing need be listed to know that there is one
        doubtful = [
            place
            for place, kinds in touched.items()
            if kind in kinds and not fit_alone(lists.ways, free[place], only).any()
        ]
        for place, found in zip(doubtful, _full_plans(lists, doubtful, only), strict=True):
            if not len(found):
                least = free[place].some(np.array([np.argmin(free[place].cost)]))
                over = use_of(lists.ways, least).toarray()[0] - only
                tight = [rows[row] for row in np.argsort(-over).tolist() if over[row] > SLACK]
                stops[place].append(Stop(kind, _named(tight), True))

    def told(place: int) -> tuple[Stop, ...]:
        if place not in free:
            return (Stop("no_option", (), True),)
        if not len(free[place]):
            return (Stop("chance", (), True),)
        # limits that are harmless one by one and not together
        return tuple(stops[place]) or (Stop("together", (), True),)

    return {place: told(place) for place in places}


def _kinds_of(lists: Lists, place: int) -> list[str]:
    """Return the kinds of rows that a want's options use."""
    ways, rows = lists.ways, lists.season.rows
    options = np.arange(ways.first[place], ways.first[place + 1])
    touched = np.unique(np.concatenate([ways.each[options].indices, ways.once[options].indices]))
    return list(dict.fromkeys(rows[row].kind for row in touched.tolist()))


def _full_plans(lists: Lists, places: Sequence[int], room: Array) -> list[Plans]:
    """Plans of some wants, each for all its plants, that fit the room alone; listed together."""
    wants = lists.season.wants
    given = np.zeros(len(wants), np.int64)
    found = []
    asked = [(place, wants[place].n_wanted) for place in places]
    for (place, n), listed in zip(asked, lists.listed(asked, room), strict=True):
        plans = plans_of(lists.ways, wants, [Offer(place, n, listed)], given)
        mine = plans.some((plans.want == place) & (plans.target == n))
        found.append(mine.some(fit_alone(lists.ways, mine, room)))
    return found


def _shared(lists: Lists, plans: Plans, parts: Parts, place: int, left: Array) -> tuple[Stop, ...]:
    season, ways = lists.season, lists.ways
    mine = np.flatnonzero((plans.want == place) & (plans.target == season.wants[place].n_wanted))
    cheapest = mine[np.argmin(plans.total[mine] + priced(ways, plans.some(mine), parts.prices))]
    use = use_of(ways, plans.some(cheapest[None])).toarray()[0]
    weight = use * parts.prices
    if weight.sum() <= 0:
        weight = np.maximum(use - left, 0.0)
    weight = weight / max(float(weight.sum()), 1e-300)
    by_kind: dict[str, list[Row]] = {}
    for row in np.argsort(-weight, kind="stable").tolist():
        if weight[row] >= _WORTH_NAMING:
            by_kind.setdefault(season.rows[row].kind, []).append(season.rows[row])
    return tuple(Stop(kind, _named(rows), False) for kind, rows in by_kind.items())


def _named(rows: Sequence[Row]) -> tuple[str, ...]:
    """Return the ids of the first few, one of each place and week."""
    apart: dict[tuple[str, date | None], str] = {}
    for row in rows:
        apart.setdefault((row.place, row.week), row.row)
    return tuple(apart.values())[:_NAMED]


def loosened_rows(
    lists: Lists, plans: Plans, parts: Parts, room: Array, stops: Mapping[int, tuple[Stop, ...]]
) -> tuple[Loosened, ...]:
    """Return what more room in the tightest rows would bring, found by solving again.

    Parameters
    ----------
    lists : Lists
        Lists of plans.
    plans : Plans
        All plans offered.
    parts : Parts
        The best choice in parts.
    room : array of shape (n_rows,)
        Room left by batches already stuck.
    stops : mapping
        What stops wants, by their places.

    Returns
    -------
    tuple of Loosened
        Up to five, the most helpful first.

    Notes
    -----
    Rows of one place in weeks without a gap are loosened together, for what stands in one of them stands in
    the next; so are all rows of a plant's shoots. The five whose steps are worth most at the prices, or might
    help a want most that is stopped alone, are loosened one at a time, and the programme in parts is solved
    again; prices alone would promise too much. What brings nothing is left out.

    References
    ----------
    Our own.

    Examples
    --------
    >>> from slipwright.season.asked import Season
    >>> from slipwright.season._ways import ways_of
    >>> from slipwright.season.workers import Workers
    >>> season, ways = Season((), ()), ways_of(Season((), ()), set(), 0.0)
    >>> lists = Lists(season, ways, lambda *asked: None, 1, 100, {}, Workers(0))
    >>> nothing = plans_of(ways, (), [], np.empty(0, int))
    >>> loosened_rows(lists, nothing, best_parts(ways, nothing, np.empty(0), None), np.empty(0), {})
    ()
    """
    steps = np.array([row.step or _STEP * row.room for row in lists.season.rows])
    worth = parts.prices * steps
    place_of = {row.row: number for number, row in enumerate(lists.season.rows)}
    for want, theirs in stops.items():
        value = float(plans.value_each[want]) * lists.season.wants[want].n_wanted
        for row in {place_of[name] for stop in theirs if stop.alone for name in stop.rows}:
            worth[row] += value * min(1.0, steps[row] / max(room[row], steps[row]))
    found = []
    groups = _together(lists.season.rows, worth)
    for rows in sorted(groups, key=lambda group: -float(worth[group].sum()))[:_LOOSENED]:
        more = room.copy()
        more[rows] += steps[rows]
        offered, _ = lists.plans(more)
        solve = partial(lists.workers.one, chosen_in_parts)
        start = np.flatnonzero(np.isin(offered.key, plans.some(parts.columns).key))
        again = best_parts(lists.ways, offered, more, solve, start)
        if parts.total - again.total <= _NOTHING * max(parts.total, 1.0):
            continue
        cost, given = _sums(offered, again)
        cost_before, given_before = _sums(plans, parts)
        first = max(rows, key=lambda row: float(worth[row]))
        found.append(
            Loosened(
                lists.season.rows[first].row,
                float(steps[first]),
                parts.total - again.total,
                cost_before - cost,
                given - given_before,
                tuple(lists.season.rows[row].row for row in rows),
            )
        )
    return tuple(sorted(found, key=lambda one: -one.gain))


def _together(rows: Sequence[Row], worth: Array) -> list[list[int]]:
    """Places of the rows that are loosened together: of a place in weeks without a gap, or of a plant."""
    groups: list[list[int]] = []
    last: dict[tuple[str, str, bool], tuple[list[int], date | None]] = {}
    heavy = {(row.kind, row.place) for row, worthy in zip(rows, worth, strict=True) if worthy > _NO_WORTH}
    for place in sorted(range(len(rows)), key=lambda place: rows[place].week or date.min):
        row = rows[place]
        if (row.kind, row.place) not in heavy or (row.week is not None and worth[place] <= _NO_WORTH):
            continue
        key = (row.kind, row.place, row.week is None)
        group, week = last.get(key, ([], None))
        if not group or (row.week is not None and week is not None and row.week - week > _A_WEEK):
            groups.append(group := [])
        group.append(place)
        last[key] = (group, row.week)
    return [group for group in groups if float(worth[group].sum()) > _NO_WORTH]


def _sums(plans: Plans, parts: Parts) -> tuple[float, float]:
    """Money and plants of a choice in parts."""
    columns = parts.columns
    return float(plans.cost[columns] @ parts.share), float(plans.target[columns] @ parts.share)
