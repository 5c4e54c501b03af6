"""A season's programme, from wants, options and room."""

from __future__ import annotations

import time
from collections.abc import Callable, MutableMapping
from functools import partial
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from slipwright.craft.errors import BadArgument
from slipwright.craft.said import Said
from slipwright.season._answer import answer_of
from slipwright.season._explain import loosened_rows, stops_of
from slipwright.season._master import Parts, best_parts
from slipwright.season._offers import Lists
from slipwright.season._plans import Plans
from slipwright.season._promised import Promise, promises_of
from slipwright.season._solving import Choice, chosen_in_parts, chosen_whole
from slipwright.season._ways import Ways, room_left, ways_of
from slipwright.season._whole import best_whole
from slipwright.season.asked import Array, Drawn, Draws, Effort, Season, Want
from slipwright.season.counts import generator_of
from slipwright.season.programme import Programme, Seconds
from slipwright.season.workers import Workers

#: scenarios that plans are listed on, and fresh draws that promises rest on
N_SCENARIOS, N_FRESH = 4_000, 20_000
#: how often wants found short are offered fewer plants
_LOWERINGS = 6
_SHARE = 1e-6

Telling = Callable[[float, str], None]
Found = TypeVar("Found")
#: how far the work is at the end of each part, and what it is at
_PARTS = {
    "listing": (0.45, Said("listing the plans of each want")),
    "solving": (0.6, Said("choosing among the plans")),
    "promising": (0.85, Said("counting what is promised on fresh draws")),
    "explaining": (1.0, Said("finding what stops the rest")),
}


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
    said: Telling | None = None,
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
    said : callable, optional
        Told how far the work is: the share done, which never falls, and the part it is at.

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
    clock = _Clock(said or (lambda share, words: None))
    with Workers(n_workers if season.wants else 0) as workers:
        workers.wake()
        lists = Lists(season, ways, draw, seed, n_scenarios, {} if kept is None else kept, workers)
        lists.told = clock.tell
        plans, alone = lists.plans(room)
        clock.next("listing")
        lists.told = clock.step
        plans, parts, chosen = _chosen(lists, plans, room, effort or Effort())
        clock.next("solving")
        fresh = clock.counted(draw, len(season.wants))
        promises = promises_of(
            season, ways, plans, chosen, parts.excess, room, fresh, seed=seed, n_fresh=n_fresh
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
    solve, branch = partial(_solved, lists, chosen_in_parts), partial(_solved, lists, chosen_whole)
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


def _solved(lists: Lists, work: Callable[[Choice], Found], choice: Choice) -> Found:
    lists.told(0, 0)
    return lists.workers.one(work, choice)


def _short(plans: Plans, which: NDArray[np.int64]) -> list[int]:
    return [int(want) for want in np.unique(plans.want[which[plans.penalty[which] > 0]])]


def _used(ways: Ways, promises: list[Promise], n_rows: int) -> Array:
    used = np.zeros(n_rows)
    for promise in promises:
        used += ways.each[promise.options].T @ promise.n.astype(float)
        used += ways.once[promise.options].sum(axis=0)
    return used


class _Clock:
    """Seconds of each part, on the wall; tells how far the work is."""

    def __init__(self, said: Telling) -> None:
        self._said, self._share = said, 0.0
        self._since = time.perf_counter()
        self._took: dict[str, float] = {}
        self._tell(0.0)

    def next(self, part: str) -> None:
        """End a part."""
        self._tell(1.0)
        now = time.perf_counter()
        self._took[part], self._since = now - self._since, now
        if len(self._took) < len(_PARTS):
            self._tell(0.0)

    def tell(self, done: int, total: int) -> None:
        """So much of the part is done."""
        self._tell(min(done / max(total, 1), 1.0))

    def step(self, done: int = 0, total: int = 0) -> None:
        """One step more of a part whose end nobody knows: a tenth of what is left of it."""
        first, last = self._bounds()
        self._tell((self._share - first) / (last - first) * 0.9 + 0.1)

    def counted(self, draw: Draws, n_wants: int) -> Draws:
        """Draws that count the wants they are asked for."""
        asked: set[str] = set()

        def drawn(want: Want, places: tuple[int, ...], n_draws: int, seed: int) -> Drawn:
            self.tell(len(asked), n_wants)
            asked.add(want.want)
            return draw(want, places, n_draws, seed)

        return drawn

    def seconds(self) -> Seconds:
        return Seconds(**self._took)

    def _bounds(self) -> tuple[float, float]:
        ends = [0.0, *(end for end, _ in _PARTS.values())]
        return ends[len(self._took)], ends[len(self._took) + 1]

    def _tell(self, share: float) -> None:
        first, last = self._bounds()
        self._share = max(self._share, first + (last - first) * share)
        self._said(self._share, list(_PARTS.values())[len(self._took)][1])
