"""A season's programme, from wants, options and room."""

from __future__ import annotations

import time
from collections.abc import MutableMapping
from functools import partial

import numpy as np
from numpy.typing import NDArray

from slipwright.craft.errors import BadArgument
from slipwright.season._answer import answer_of
from slipwright.season._explain import loosened_rows, stops_of
from slipwright.season._master import Parts, best_parts
from slipwright.season._offers import Lists
from slipwright.season._plans import Plans
from slipwright.season._promised import Promise, promises_of
from slipwright.season._solving import chosen_in_parts, chosen_whole
from slipwright.season._ways import Ways, room_left, ways_of
from slipwright.season._whole import best_whole
from slipwright.season.asked import Array, Draws, Effort, Season
from slipwright.season.counts import generator_of
from slipwright.season.programme import Programme, Seconds
from slipwright.season.workers import Workers

#: scenarios that plans are listed on, and fresh draws that promises rest on
N_SCENARIOS, N_FRESH = 4_000, 20_000
#: how often wants found short are offered fewer plants
_LOWERINGS = 6
_SHARE = 1e-6


def programme_of(
    season: Season,
    draw: Draws,
    *,
    seed: int = 1,
    kept: MutableMapping[str, bytes] | None = None,
    n_workers: int = 2,
    before: Programme | None = None,
    change_cost: float = 0.0,
    n_scenarios: int = N_SCENARIOS,
    n_fresh: int = N_FRESH,
    effort: Effort | None = None,
) -> Programme:
    """Return the programme of a season: what to stick in which week, what that promises, what stops the rest.

    Parameters
    ----------
    season : Season
        Wants with their options, room, and batches already stuck.
    draw : callable
        As `slipwright.season.asked.Draws`.
    seed : int
        The same seed and season give the same programme [1].
    kept : mutable mapping, optional
        Lists of plans kept from before, by digest; new ones are put in.
    n_workers : int
        Processes that list and solve; with 0 all is done in this one [1].
    before : Programme, optional
        What was announced before.
    change_cost : float
        What a batch in another week than announced counts as [money].
    n_scenarios : int
        Scenarios that plans are listed on [1].
    n_fresh : int
        Fresh draws that promises rest on [1].
    effort : Effort, optional
        How far the search for whole plans goes.

    Returns
    -------
    Programme
        Lines, wants, loads and what more room would bring.

    Notes
    -----
    Per want all smallest plans on the scenarios; a linear programme chooses among them in parts and gives
    the bound; wants that take parts are settled by branching; wants that fall short are offered plans for
    shares of their plants; promises are made on fresh draws. Rows hold expected use.

    References
    ----------
    Our own. Plans as columns: G. B. Dantzig, P. Wolfe, 1960; programmes by HiGHS: Q. Huangfu,
    J. A. J. Hall, 2018; both from memory.

    Examples
    --------
    >>> programme_of(Season((), ()), lambda *asked: None, n_workers=0).cost
    0.0
    """
    if n_scenarios < 100 or n_fresh < 100:
        raise BadArgument("n_scenarios and n_fresh", "be 100 or more", min(n_scenarios, n_fresh))
    announced = {(line.want, line.option) for line in before.lines} if before else set()
    ways, room = ways_of(season, announced, change_cost), room_left(season)
    clock = _Clock()
    with Workers(n_workers if season.wants else 0) as workers:
        workers.wake()
        lists = Lists(season, ways, draw, seed, n_scenarios, {} if kept is None else kept, workers)
        plans, alone = lists.plans(room)
        clock.next("listing")
        plans, parts, chosen = _chosen(lists, plans, room, effort or Effort())
        clock.next("solving")
        promises = promises_of(
            season, ways, plans, chosen, parts.excess, room, draw, seed=seed, n_fresh=n_fresh
        )
        clock.next("promising")
        left = room - _used(ways, promises, len(room))
        short = [place for place, want in enumerate(season.wants) if promises[place].target < want.n_wanted]
        stops = stops_of(lists, plans, parts, short, alone, room, left)
        loosened = loosened_rows(lists, plans, parts, room, stops)
        clock.next("explaining")
    return answer_of(season, ways, plans, parts, promises, stops, loosened, clock.seconds(), seed)


def _chosen(
    lists: Lists, plans: Plans, room: Array, effort: Effort
) -> tuple[Plans, Parts, NDArray[np.int64]]:
    """Choose in parts, then whole; wants found short are offered plans for fewer plants."""
    solve, branch = partial(lists.workers.one, chosen_in_parts), partial(lists.workers.one, chosen_whole)
    start: NDArray[np.int64] | None = None
    for last in [*[False] * _LOWERINGS, True]:
        parts = best_parts(lists.ways, plans, room, solve, start)
        taken = parts.columns[parts.share > _SHARE]
        chosen = None
        if last or not lists.lower(_short(plans, taken)):
            chosen = best_whole(
                lists.ways, plans, room, parts, branch, generator_of(lists.seed, "whole"), effort
            )
            if last or not lists.lower(_short(plans, chosen)):
                break
        before, (plans, _) = plans, lists.plans(room)
        start = np.flatnonzero(np.isin(plans.key, before.some(parts.columns).key))
    assert chosen is not None
    return plans, parts, chosen


def _short(plans: Plans, which: NDArray[np.int64]) -> list[int]:
    return [int(want) for want in np.unique(plans.want[which[plans.penalty[which] > 0]])]


def _used(ways: Ways, promises: list[Promise], n_rows: int) -> Array:
    used = np.zeros(n_rows)
    for promise in promises:
        used += ways.each[promise.options].T @ promise.n.astype(float)
        used += ways.once[promise.options].sum(axis=0)
    return used


class _Clock:
    """Seconds of each part, on the wall."""

    def __init__(self) -> None:
        self._since = time.perf_counter()
        self._took: dict[str, float] = {}

    def next(self, part: str) -> None:
        now = time.perf_counter()
        self._took[part], self._since = now - self._since, now

    def seconds(self) -> Seconds:
        return Seconds(**self._took)
