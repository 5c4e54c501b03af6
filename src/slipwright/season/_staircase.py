"""The smallest numbers of two options that together are enough, found by walking down a staircase."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Whole = NDArray[np.int64]
#: pairs walked at once, so that what is added up stays near the processor
_AT_ONCE = 64


class Table(NamedTuple):
    """Counts of options by level and scenario; what each level costs; the highest level worth mixing."""

    counts: NDArray[np.integer]
    containers: Whole
    cost: NDArray[np.float64]
    tops: Whole


class Enough(NamedTuple):
    """Plants needed in each scenario, and in how many scenarios they must be there."""

    need: NDArray[np.integer]
    n_scenarios: int

    def often(self, is_there: NDArray[np.bool_]) -> NDArray[np.bool_]:
        """Whether each row holds in so many scenarios; bytes are added up quicker than truths are counted."""
        times = np.add.reduce(is_there.view(np.int8), axis=-1, dtype=np.int32)
        return np.asarray(times >= self.n_scenarios)


def minimal_pairs(
    table: Table, rows: Whole, enough: Enough, thirds: Whole | None = None, limit: float = math.inf
) -> Whole:
    """Smallest levels of two options, a third given, that are enough and cost no more than a limit.

    ``rows`` holds two options a row; ``thirds`` a third option and its level.  What returns has one row a
    plan: the place in ``rows``, and the levels of the two.

    For each pair the walk starts at the fewest of the first and the most of the second: while they are
    enough the second goes down, else the first goes up.  It passes every smallest pair.
    """
    parts = [np.empty((0, 3), int)]
    for start in range(0, len(rows), _AT_ONCE):
        stop = start + _AT_ONCE
        third = None if thirds is None else thirds[start:stop]
        found = _walked(table, rows[start:stop], enough, third, limit)
        found[:, 0] += start
        parts.append(found)
    return np.concatenate(parts)


def _walked(table: Table, rows: Whole, enough: Enough, thirds: Whole | None, limit: float) -> Whole:
    first, second = rows.T
    need = np.broadcast_to(enough.need, (len(rows), len(enough.need)))
    spare = np.full(len(rows), limit)
    if thirds is not None:
        need = need - table.counts[thirds[:, 0], thirds[:, 1]]
        spare -= table.cost[thirds[:, 0], thirds[:, 1]]
    low = np.ones(len(rows), int)
    high = table.tops[second].copy()
    if limit < math.inf:
        dearest = spare - table.cost[first, 1]
        high = np.minimum(high, (table.cost[second] <= dearest[:, None]).sum(axis=1) - 1)
    was_enough = np.zeros(len(rows), bool)
    going = np.flatnonzero((high > 0) & (table.tops[first] > 0))
    found = []
    while len(going):
        a, b = low[going], high[going]
        counts = table.counts[first[going], a] + table.counts[second[going], b]
        is_enough = enough.often(counts >= (need if len(going) == len(need) else need[going]))
        ends = ~is_enough & was_enough[going]
        found.append(np.column_stack([going, a, b + 1])[ends])
        was_enough[going] = is_enough
        high[going[is_enough]] -= 1
        low[going[~is_enough]] += 1
        out = going[is_enough & (b == 1)]
        found.append(np.column_stack([out, low[out], high[out] + 1]))
        still = (high[going] > 0) & (low[going] <= table.tops[first[going]])
        if limit < math.inf:
            still &= (
                table.cost[first[going], np.minimum(low[going], table.tops[first[going]])]
                + table.cost[second[going], 1]
                <= spare[going]
            )
        going = going[still]
    walked = np.concatenate(found) if found else np.empty((0, 3), int)
    if limit < math.inf:
        row, a, b = walked.T
        walked = walked[table.cost[first[row], a] + table.cost[second[row], b] <= spare[row]]
    return walked
