"""Which plan each want takes, in parts: a linear programme over the plans listed, and the bound it gives."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from slipwright.season._plans import Plans, priced, use_of
from slipwright.season._solving import Choice, Chosen
from slipwright.season._ways import Ways
from slipwright.season.asked import Array

#: plans of a want that join the programme at each round
_JOIN = 5
_MOST_ROUNDS = 60
#: rounds end when the total lies no further than this above the bound, as a share of it
_NEAR = 1e-5

Solve = Callable[[Choice], Chosen]


@dataclass(frozen=True, slots=True, eq=False)
class Parts:
    """The best choice in parts.

    ``columns`` are places of plans, ``share`` how much of each is taken; ``prices`` of the rows; ``excess``
    of every plan is how much dearer it is at these prices than the best of its want; ``bound`` the least that
    any choice can come to.
    """

    columns: NDArray[np.int64]
    share: Array
    total: float
    prices: Array
    excess: Array
    bound: float


def best_parts(
    ways: Ways, plans: Plans, room: Array, solve: Solve, start: NDArray[np.int64] | None = None
) -> Parts:
    """Return the best choice of plans in parts, within the room.

    Parameters
    ----------
    ways : Ways
        Options.
    plans : Plans
        Plans, sorted by want; one of each want uses nothing.
    room : array of shape (n_rows,)
        Room in the unit of each row.
    solve : callable
        `slipwright.season._solving.chosen_in_parts`, or a process that does it.
    start : array of int, optional
        Places of plans to begin with [-].

    Returns
    -------
    Parts
        Shares, prices and bound.

    Notes
    -----
    Columns are priced by a product with the prices over all plans listed, and join while any is cheaper than
    what its want takes. Bound: sum over wants of the cheapest plan at the prices, less the prices of the
    room (Lagrange's), the highest of all rounds.

    References
    ----------
    G. B. Dantzig, P. Wolfe, Decomposition principle for linear programs, 1960, from memory.

    Examples
    --------
    >>> from slipwright.season.asked import Season
    >>> from slipwright.season._plans import plans_of
    >>> from slipwright.season._ways import ways_of
    >>> ways = ways_of(Season((), ()), set(), 0.0)
    >>> best_parts(ways, plans_of(ways, (), [], np.empty(0, int)), np.empty(0), lambda choice: None).total
    0.0
    """
    if not len(plans):
        nothing = np.empty(0)
        return Parts(np.empty(0, int), nothing, 0.0, np.zeros(len(room)), nothing, 0.0)
    ends = np.flatnonzero(np.diff(plans.want, prepend=-1))
    total = plans.total
    columns = _first(plans, ends) if start is None else np.union1d(_first(plans, ends), start)
    bound, best_prices, best_excess = -np.inf, np.zeros(len(room)), total
    for _ in range(_MOST_ROUNDS):
        some = plans.some(columns)
        use = use_of(ways, some)
        found = solve(Choice(total[columns], use.T.tocsr(), room, some.want))
        at_prices = total + priced(ways, plans, found.prices)
        cheapest = np.minimum.reduceat(at_prices, ends)
        excess = at_prices - cheapest[plans.want]
        reached = float(cheapest.sum() - found.prices @ room)
        if reached > bound:
            bound, best_prices, best_excess = reached, found.prices, excess
        if found.total - bound <= _NEAR * max(abs(bound), 1.0):
            break
        joining = _joining(at_prices, ends, found.worth)
        joining = np.setdiff1d(joining, columns)
        if not len(joining):
            break
        columns = np.union1d(columns, joining)
    return Parts(columns, found.share, found.total, best_prices, best_excess, bound)


def _first(plans: Plans, ends: NDArray[np.int64]) -> NDArray[np.int64]:
    """Nothing for each want, and the cheapest plan with each option."""
    total = plans.total
    order = np.argsort(total, kind="stable")
    _, with_each = np.unique(plans.options[order], return_index=True)
    return np.union1d(np.flatnonzero((plans.n == 0).all(axis=1)), order[with_each // plans.options.shape[1]])


def _joining(at_prices: Array, ends: NDArray[np.int64], worth: Array) -> NDArray[np.int64]:
    """Return the few plans of each want that are cheapest at the prices, where cheaper than what it takes."""
    slack = 1e-9 * np.maximum(np.abs(worth), 1.0)
    joining = []
    for want, (start, stop) in enumerate(zip(ends, [*ends[1:], len(at_prices)], strict=True)):
        mine = at_prices[start:stop]
        few = np.argpartition(mine, _JOIN)[:_JOIN] if len(mine) > _JOIN else np.arange(len(mine))
        joining.append(start + few[mine[few] < worth[want] - slack[want]])
    return np.concatenate(joining)
