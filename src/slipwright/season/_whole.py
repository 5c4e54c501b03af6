"""One plan for each want: what the choice in parts left open is settled by branching, few wants at a time."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from slipwright.season._master import Parts
from slipwright.season._plans import Plans, use_of
from slipwright.season._solving import Choice
from slipwright.season._ways import Ways
from slipwright.season.asked import SLACK, Array, Effort

_WHOLE = 1 - 1e-6
#: branching over one group may stop within this share of its best
_NEAR_ENOUGH = 1e-4

Branch = Callable[[Choice], NDArray[np.int64] | None]


def best_whole(
    ways: Ways,
    plans: Plans,
    room: Array,
    parts: Parts,
    branch: Branch,
    generator: np.random.Generator,
    effort: Effort,
) -> NDArray[np.int64]:
    """One plan for each want, within the room.

    Parameters
    ----------
    ways : Ways
        Options.
    plans : Plans
        Plans, sorted by want; one of each want uses nothing.
    room : array of shape (n_rows,)
        Room in the unit of each row.
    parts : Parts
        The best choice in parts.
    branch : callable
        `slipwright.season._solving.chosen_whole`, or a process that does it.
    generator : numpy.random.Generator
        Chooses wants to be settled together.
    effort : Effort
        How far the search goes.

    Returns
    -------
    array of shape (n_wants,)
        Places of plans.

    Notes
    -----
    Wants that take one plan in whole keep it; the others are settled by branching over the plans that
    are least dear at the prices. Then groups of wants, those with the dearest plans and chance ones,
    are settled anew around the rest.

    References
    ----------
    Our own. Settling parts of a solution anew: P. Shaw, Using constraint programming and local search
    methods to solve vehicle routing problems, 1998, from memory.

    Examples
    --------
    >>> from slipwright.season.asked import Season
    >>> from slipwright.season._master import best_parts
    >>> from slipwright.season._plans import plans_of
    >>> from slipwright.season._ways import ways_of
    >>> ways, room = ways_of(Season((), ()), set(), 0.0), np.empty(0)
    >>> plans = plans_of(ways, (), [], np.empty(0, int))
    >>> parts = best_parts(ways, plans, room, lambda choice: None)
    >>> best_whole(ways, plans, room, parts, lambda choice: None, np.random.default_rng(1), Effort()).tolist()
    []
    """
    n_wants = len(ways.first) - 1
    if not n_wants:
        return np.empty(0, int)
    search = _Search(ways, plans, room, parts, branch, effort)
    kept = parts.columns[parts.share > _WHOLE]
    open_wants = np.setdiff1d(np.arange(n_wants), plans.want[kept])
    search.chosen[plans.want[kept]] = kept
    search.settle(open_wants, 2 * effort.n_plans, 3 * effort.n_nodes)
    n_rounds = 0
    for n_plans, n_nodes, most in (
        (effort.n_plans, effort.n_nodes, effort.in_vain),
        (2 * effort.n_plans, 3 * effort.n_nodes, effort.in_vain // 2),
    ):
        in_vain = 0
        while search.gap() > effort.near and in_vain < most and n_rounds < effort.n_rounds:
            is_better = search.settle(_group(search, generator), n_plans, n_nodes)
            in_vain, n_rounds = (0 if is_better else in_vain + 1), n_rounds + 1
            if n_wants <= effort.n_wants:  # all were settled together
                break
    return search.chosen


class _Search:
    def __init__(
        self, ways: Ways, plans: Plans, room: Array, parts: Parts, branch: Branch, effort: Effort
    ) -> None:
        self.ways, self.plans, self.room, self.parts, self.branch = ways, plans, room, parts, branch
        self.effort = effort
        self.total = plans.total
        # nothing for each want, which is within any room
        nothing = np.flatnonzero((plans.n == 0).all(axis=1))
        dearest = nothing[np.lexsort((self.total[nothing], plans.want[nothing]))]
        self.chosen = dearest[np.unique(plans.want[dearest], return_index=True)[1]]
        self.ends = np.searchsorted(plans.want, np.arange(len(ways.first)))

    def gap(self) -> float:
        total = float(self.total[self.chosen].sum())
        return (total - self.parts.bound) / max(abs(total), 1e-12)

    def settle(self, wants: NDArray[np.int64], n_plans: int, n_nodes: int) -> bool:
        """Choose anew for some wants around the others; tell whether it became cheaper."""
        if not len(wants):
            return False
        rest = np.setdiff1d(np.arange(len(self.chosen)), wants)
        used = use_of(self.ways, self.plans.some(self.chosen[rest])).sum(axis=0)
        left = np.maximum(self.room - used, 0.0)
        columns = np.concatenate([self._columns(int(want), n_plans) for want in wants])
        group = np.searchsorted(np.sort(wants), self.plans.want[columns])
        use = use_of(self.ways, self.plans.some(columns)).T.tocsr()
        was = float(self.total[self.chosen[wants]].sum())
        # rows may be off by the solver's tolerance: what it says is added up here, and if need be it is
        # asked again with a hair less room
        for room in (left, left * (1 - 1e-6)):
            found = self.branch(Choice(self.total[columns], use, room, group, n_nodes, _NEAR_ENOUGH))
            if found is None:
                return False
            now = columns[found]
            if self.total[now].sum() >= was - 1e-9 * max(abs(was), 1.0):
                return False
            if (use_of(self.ways, self.plans.some(now)).sum(axis=0) <= left + SLACK).all():
                self.chosen[np.sort(wants)] = now
                return True
        return False

    def _columns(self, want: int, n: int) -> NDArray[np.int64]:
        """Return the least dear plans of a want at the prices, the plan it has, and nothing."""
        start, stop = self.ends[want], self.ends[want + 1]
        mine = self.parts.excess[start:stop]
        # a plan dearer at the prices than all that is still to be gained is in no better choice
        mine = np.where(mine > float(self.total[self.chosen].sum()) - self.parts.bound, np.inf, mine)
        few = np.argpartition(mine, n)[:n] if len(mine) > n else np.arange(len(mine))
        few = few[np.isfinite(mine[few])]
        nothing = np.flatnonzero((self.plans.n[start:stop] == 0).all(axis=1))
        return np.unique(np.concatenate([start + few, start + nothing, self.chosen[want : want + 1]]))


def _group(search: _Search, generator: np.random.Generator) -> NDArray[np.int64]:
    """Wants to be settled together: half of them drawn by how dear their plans are, half at random."""
    n_wants = len(search.chosen)
    n = min(search.effort.n_wants, n_wants)
    dear = np.maximum(search.parts.excess[search.chosen], 0) + 1e-12
    first = generator.choice(n_wants, min(n // 2, n_wants), replace=False, p=dear / dear.sum())
    rest = np.setdiff1d(np.arange(n_wants), first)
    return np.sort(np.concatenate([first, generator.choice(rest, n - len(first), replace=False)]))
