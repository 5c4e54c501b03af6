"""All ready-made plans of one want: the smallest numbers that give it with its assurance."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from slipwright.season._staircase import Enough, Table, minimal_pairs
from slipwright.season.asked import MOST_BATCHES
from slipwright.season.counts import Shares, counts_ready, scores_of

#: of each option at most so many numbers are tried in a plan of several batches
_LEVELS = 40
#: pairs are tried among so many options, those that are cheapest alone; triples among so few, those that
#: the cheapest pairs are made of
_PAIRED, _TRIPLED = 26, 5
#: triples are kept up to this much dearer than the cheapest of one or two batches
_DEARER = 1.1
#: no batch is so large that this many times the wanted would be ready on average
_OVER = 6.0
_LEAST_MEAN = 0.01


class Way(NamedTuple):
    """One option as far as the list of plans depends on it; ``most`` containers are all there is room for."""

    option: str
    n_per_container: int
    cost_each: float
    cost_once: float
    most: int


@dataclass(frozen=True, slots=True, eq=False)
class Listed:
    """Plans of one want: places of the options used (-1 for none) and containers of each.

    ``given`` is how many plants there are with the assurance if nothing is stuck.
    """

    options: NDArray[np.int16]
    n_containers: NDArray[np.int32]
    given: int = 0

    def __len__(self) -> int:
        return len(self.options)


def plans_listed(
    n_wanted: int,
    assurance: float,
    ways: tuple[Way, ...],
    ready: Shares,
    standing: NDArray[np.int64],
    *,
    want: str,
    seed: int,
) -> Listed:
    """Return the plans of one want: every smallest one of one or two batches, and the cheap ones of three.

    Parameters
    ----------
    n_wanted : int
        Plants wanted [1].
    assurance : float
        Probability wished [-].
    ways : tuple of Way
        The options.
    ready : array of shape (n_options, n_scenarios)
        Share of the cuttings stuck that become ready [-].
    standing : array of shape (n_scenarios,)
        Plants that batches already stuck will have ready [1].
    want : str
        Its id.
    seed : int
        Seed of the programme [1].

    Returns
    -------
    Listed
        Plans; none where the want cannot be met, one without a batch where nothing need be stuck.

    Notes
    -----
    A plan is kept if the share of scenarios with enough plants is at least the assurance and no batch of
    it can be made smaller. Of an option that needs more than 40 containers alone, numbers of containers
    are tried in steps of a fortieth, from pairs on. Pairs among the 26 options that are cheapest alone;
    triples only where two batches are cheaper than one or neither is enough, among the 5 options that the
    cheapest pairs are made of, and up to a tenth dearer than the cheapest of fewer batches.

    References
    ----------
    Our own: chance constraints met on sampled scenarios.

    Examples
    --------
    >>> way = Way("a", 6, 1.0, 2.0, 100)
    >>> half = np.full((1, 100), 0.5, np.float32)
    >>> plans_listed(6, 0.8, (way,), half, np.zeros(100, int), want="w", seed=1).n_containers.tolist()
    [[3, 0, 0]]
    """
    need = n_wanted - standing
    enough = Enough(need, math.ceil(assurance * len(need) - 1e-9))
    given = min(max(int(np.sort(standing)[len(need) - enough.n_scenarios]), 0), n_wanted)
    if np.count_nonzero(need <= 0) >= enough.n_scenarios:
        return Listed(np.full((1, MOST_BATCHES), -1, np.int16), np.zeros((1, MOST_BATCHES), np.int32), given)
    usable = [i for i, way in enumerate(ways) if way.most > 0 and float(ready[i].mean()) >= _LEAST_MEAN]
    if not usable:
        return Listed(np.empty((0, MOST_BATCHES), np.int16), np.empty((0, MOST_BATCHES), np.int32), given)
    chosen = [ways[i] for i in usable]
    scores = np.stack([scores_of(seed, len(need), want, way.option) for way in chosen])
    options = _Options(chosen, np.ascontiguousarray(ready[usable], np.float32), scores)
    most = _most(options, n_wanted)
    alone = _alone(options, most, enough)
    singles = np.flatnonzero(alone)
    cost = _cost_of(chosen, np.where(alone > 0, alone, most))
    order = np.lexsort((cost, alone == 0))
    cheapest = float(cost[singles].min()) if len(singles) else math.inf
    parts = [_padded(singles[:, None], alone[singles, None])]

    among = np.sort(order[:_PAIRED])
    table = _table(options, among, np.where(alone > 0, alone, most), alone > 0)
    pairs = np.array(list(combinations(range(len(among)), 2)), int).reshape(-1, 2)
    row, *levels = minimal_pairs(table, pairs, enough).T
    two = _plans(table, among, pairs[row], np.column_stack(levels))
    parts.append(two)
    costs_two = _cost_of_plans(chosen, two)
    cheapest_two = float(costs_two.min(initial=math.inf))
    if cheapest_two < cheapest or not len(singles):
        few = np.flatnonzero(np.isin(among, _promising(two, costs_two, order)))
        parts.append(_triples(table, among, few, enough, min(cheapest, cheapest_two) * _DEARER))
    back = np.append(np.array(usable, np.int16), np.int16(-1))
    return Listed(
        back[np.concatenate([places for places, _ in parts])],
        np.concatenate([containers for _, containers in parts]).astype(np.int32),
        given,
    )


class _Options(NamedTuple):
    ways: list[Way]
    ready: Shares
    scores: Shares


_Plans = tuple[NDArray[np.int64], NDArray[np.int64]]


def _most(options: _Options, n_wanted: int) -> NDArray[np.int64]:
    """Most containers worth trying."""
    per = np.array([way.n_per_container for way in options.ways])
    worth = np.ceil(_OVER * (n_wanted + 1) / (per * options.ready.mean(axis=1)))
    return np.asarray(np.minimum(worth, [way.most for way in options.ways]), np.int64)


def _alone(options: _Options, most: NDArray[np.int64], enough: Enough) -> NDArray[np.int64]:
    """Fewest containers of each option that are enough alone; 0 where the most are not."""
    per = np.array([[way.n_per_container] for way in options.ways])

    def is_enough(containers: NDArray[np.int64]) -> NDArray[np.bool_]:
        counts = counts_ready(options.ready, per * containers[:, None], options.scores)
        return enough.often(counts >= enough.need)

    few, many = np.zeros_like(most), most.copy()
    reached = is_enough(many)
    while (many - few > 1).any():
        middle = (few + many + 1) // 2
        fits = is_enough(middle)
        many, few = np.where(fits, middle, many), np.where(fits, few, middle)
        few = np.minimum(few, many - 1)
    return np.where(reached, many, 0)


def _table(
    options: _Options, among: NDArray[np.int64], tops: NDArray[np.int64], is_alone: NDArray[np.bool_]
) -> Table:
    """Return counts of some options by level; levels of one option lie evenly from 0 to its top."""
    tops, is_alone = tops[among], is_alone[among]
    n_levels = np.minimum(tops, _LEVELS)
    level = np.minimum(np.arange(int(n_levels.max()) + 1), n_levels[:, None])
    containers = np.minimum(level * -(-tops // n_levels)[:, None], tops[:, None])
    per = np.array([options.ways[i].n_per_container for i in among])[:, None]
    kind = np.int16 if int((containers * per).max()) * MOST_BATCHES < np.iinfo(np.int16).max else np.int32
    counts = np.empty((*containers.shape, options.ready.shape[1]), kind)
    counts[:, 0] = 0
    ready, scores = options.ready[among], options.scores[among]
    for column in range(1, containers.shape[1]):
        counts[:, column] = counts_ready(ready, per * containers[:, column, None], scores)
        np.maximum(counts[:, column], counts[:, column - 1], out=counts[:, column])
    each = np.array([options.ways[i].cost_each for i in among])[:, None]
    once = np.array([options.ways[i].cost_once for i in among])[:, None]
    cost = np.where(containers > 0, containers * per * each + once, 0.0)
    highest = np.array([int(np.argmax(row >= top)) for row, top in zip(containers, tops, strict=True)])
    return Table(counts, containers, cost, np.where(is_alone, highest - 1, highest))


def _promising(two: _Plans, cost: NDArray[np.float64], order: NDArray[np.int64]) -> NDArray[np.int64]:
    """Return the few options that the cheapest pairs are made of; without pairs, the cheapest alone."""
    in_pairs = two[0][np.argsort(cost, kind="stable"), :2].ravel()
    options, first = np.unique(np.append(in_pairs, order), return_index=True)
    return np.asarray(options[np.argsort(first)][:_TRIPLED])


def _triples(
    table: Table, among: NDArray[np.int64], few: NDArray[np.int64], enough: Enough, limit: float
) -> _Plans:
    rows, thirds = [], []
    for first, second, third in combinations(few, 3):
        least = table.cost[first, 1] + table.cost[second, 1]
        for level in range(1, int(table.tops[third]) + 1):
            if least + table.cost[third, level] > limit:
                break
            rows.append((first, second))
            thirds.append((third, level))
    if not rows:
        return np.empty((0, MOST_BATCHES), int), np.empty((0, MOST_BATCHES), int)
    two, third = np.array(rows), np.array(thirds)
    row, low, high = minimal_pairs(table, two, enough, third, limit).T
    return _plans(
        table, among, np.column_stack([two[row], third[row, 0]]), np.column_stack([low, high, third[row, 1]])
    )


def _plans(
    table: Table, among: NDArray[np.int64], places: NDArray[np.int64], levels: NDArray[np.int64]
) -> _Plans:
    return _padded(among[places], table.containers[places, levels])


def _padded(places: NDArray[np.int64], containers: NDArray[np.int64]) -> _Plans:
    missing = ((0, 0), (0, MOST_BATCHES - places.shape[1]))
    return np.pad(places, missing, constant_values=-1), np.pad(containers, missing)


def _cost_of(ways: list[Way], containers: NDArray[np.int64]) -> NDArray[np.float64]:
    each = np.array([way.cost_each * way.n_per_container for way in ways])
    return np.asarray(each * containers + [way.cost_once for way in ways])


def _cost_of_plans(ways: list[Way], plans: _Plans) -> NDArray[np.float64]:
    each = np.array([way.cost_each * way.n_per_container for way in ways] + [0.0])
    once = np.array([way.cost_once for way in ways] + [0.0])
    places, containers = plans
    return np.asarray((each[places] * containers + once[places]).sum(axis=1))
