"""What stops the wants that fall short, and what more room would bring."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial

import numpy as np
from numpy.typing import NDArray

from slipwright.season._master import Parts, best_parts
from slipwright.season._offers import Lists
from slipwright.season._plans import Offer, Plans, fit_alone, plans_of, priced, use_of
from slipwright.season._solving import chosen_in_parts
from slipwright.season.asked import SLACK, Array
from slipwright.season.programme import Loosened, Stop

#: rows that carry less than this share of what the rows a plan needs are worth are not named
_WORTH_NAMING = 0.1
#: of one limit at most so many rows are named
_NAMED = 3
_LOOSENED = 5
#: by how much a row is loosened that has no step of its own, as a share of its room
_STEP = 0.1
#: a gain below this share of the total is none
_NOTHING = 1e-5


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
    return {
        place: _private(lists, place, room) if place in private else _shared(lists, plans, parts, place, left)
        for place in short
    }


def _private(lists: Lists, place: int, room: Array) -> tuple[Stop, ...]:
    season, ways = lists.season, lists.ways
    if not season.wants[place].options:
        return (Stop("no_option", (), True),)
    options = np.arange(ways.first[place], ways.first[place + 1])
    touched = np.unique(np.concatenate([ways.each[options].indices, ways.once[options].indices]))
    endless = np.full(len(room), np.inf)
    free = _full_plans(lists, place, endless)
    if not len(free):
        return (Stop("chance", (), True),)
    kinds = np.array([row.kind for row in season.rows])
    stops = []
    for kind in dict.fromkeys(kinds[touched].tolist()):
        only = np.where(kinds == kind, room, np.inf)
        if not len(_full_plans(lists, place, only)):
            over = use_of(ways, free.some(np.array([np.argmin(free.cost)]))).toarray()[0] - only
            rows = [int(row) for row in np.argsort(-over)[:_NAMED] if over[row] > SLACK]
            stops.append(Stop(kind, tuple(season.rows[row].row for row in rows), True))
    # limits that are harmless one by one and not together
    return tuple(stops) or (Stop("together", (), True),)


def _full_plans(lists: Lists, place: int, room: Array) -> Plans:
    """Plans of one want for all its plants that fit the room alone."""
    n_wanted = lists.season.wants[place].n_wanted
    [listed] = lists.listed([(place, n_wanted)], room)
    given = np.zeros(len(lists.season.wants), np.int64)
    plans = plans_of(lists.ways, lists.season.wants, [Offer(place, n_wanted, listed)], given)
    mine = plans.some((plans.want == place) & (plans.target == n_wanted))
    return mine.some(fit_alone(lists.ways, mine, room))


def _shared(lists: Lists, plans: Plans, parts: Parts, place: int, left: Array) -> tuple[Stop, ...]:
    season, ways = lists.season, lists.ways
    mine = np.flatnonzero((plans.want == place) & (plans.target == season.wants[place].n_wanted))
    cheapest = mine[np.argmin(plans.total[mine] + priced(ways, plans.some(mine), parts.prices))]
    use = use_of(ways, plans.some(cheapest[None])).toarray()[0]
    weight = use * parts.prices
    if weight.sum() <= 0:
        weight = np.maximum(use - left, 0.0)
    weight = weight / max(float(weight.sum()), 1e-300)
    by_kind: dict[str, list[int]] = {}
    for row in np.argsort(-weight, kind="stable").tolist():
        if weight[row] >= _WORTH_NAMING:
            by_kind.setdefault(season.rows[row].kind, []).append(row)
    return tuple(
        Stop(kind, tuple(season.rows[row].row for row in rows[:_NAMED]), False)
        for kind, rows in by_kind.items()
    )


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
    The five rows whose step is worth most at the prices, or might help a want most that is stopped alone,
    are loosened one at a time by their step, and the programme in parts is solved again; prices alone
    would promise too much. Rows that bring nothing are left out.

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
    for row in np.argsort(-worth, kind="stable")[:_LOOSENED].tolist():
        if worth[row] <= 1e-9:
            break
        more = room.copy()
        more[row] += steps[row]
        offered, _ = lists.plans(more)
        solve = partial(lists.workers.one, chosen_in_parts)
        start = np.flatnonzero(np.isin(offered.key, plans.some(parts.columns).key))
        again = best_parts(lists.ways, offered, more, solve, start)
        if parts.total - again.total <= _NOTHING * max(parts.total, 1.0):
            continue
        cost, given = _sums(offered, again)
        cost_before, given_before = _sums(plans, parts)
        found.append(
            Loosened(
                lists.season.rows[row].row,
                float(steps[row]),
                parts.total - again.total,
                cost_before - cost,
                given - given_before,
            )
        )
    return tuple(sorted(found, key=lambda one: -one.gain))


def _sums(plans: Plans, parts: Parts) -> tuple[float, float]:
    """Money and plants of a choice in parts."""
    columns = parts.columns
    return float(plans.cost[columns] @ parts.share), float(plans.target[columns] @ parts.share)
