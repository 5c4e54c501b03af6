"""Linear programmes, whole or not, by HiGHS, with its status looked at every time."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from slipwright.season.asked import Array
from slipwright.season.programme import NotSolved

if TYPE_CHECKING:
    from scipy.sparse import csr_array

#: how far a linear programme's rows and prices may be off
_TOLERANCE = 1e-9
#: what scipy says where HiGHS stopped at its limit of nodes; the status of the second is new to scipy
_LIMITS = ("HiGHS Status 14:", "HiGHS Status 16:")


@dataclass(frozen=True, slots=True, eq=False)
class Choice:
    """Choose one column of each group at the least total, within the room of each row.

    ``use`` has a row a row of room and a column a column; ``group`` the group of each column, from 0;
    ``n_nodes`` how far branching may go; ``near`` the gap at which it may stop.
    """

    total: Array
    use: csr_array
    room: Array
    group: NDArray[np.integer]
    n_nodes: int = 0
    near: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Chosen:
    """How much of each column is chosen, the total, and what a unit of room and a group are worth."""

    share: Array
    total: float
    prices: Array
    worth: Array


def chosen_in_parts(choice: Choice) -> Chosen:
    """Return the cheapest choice where columns may be taken in parts.

    Parameters
    ----------
    choice : Choice
        Columns, groups and room.

    Returns
    -------
    Chosen
        With the prices of the rows, 0 or more.

    Raises
    ------
    NotSolved
        If HiGHS does not say that its answer is the best one, or gives one that is not.

    References
    ----------
    Q. Huangfu, J. A. J. Hall, Parallelizing the dual revised simplex method, 2018, from memory.

    Examples
    --------
    >>> from scipy.sparse import csr_array
    >>> choice = Choice(np.array([1.0, 3.0]), csr_array([[2.0, 0.0]]), np.array([1.0]), np.array([0, 0]))
    >>> found = chosen_in_parts(choice)
    >>> found.share.tolist(), found.total, found.prices.tolist()
    ([0.5, 0.5], 2.0, [1.0])
    """
    from scipy.optimize import linprog

    groups, n_groups = _groups(choice)
    tight = _may_bind(choice, n_groups)
    found = linprog(
        choice.total,
        A_ub=choice.use[tight],
        b_ub=choice.room[tight],
        A_eq=groups,
        b_eq=np.ones(n_groups),
        method="highs-ds",
        options={"primal_feasibility_tolerance": _TOLERANCE, "dual_feasibility_tolerance": _TOLERANCE},
    )
    if found.status != 0 or found.x is None:
        raise NotSolved(str(found.message))
    prices = np.zeros(len(choice.room))
    prices[tight] = np.maximum(-np.asarray(found.ineqlin.marginals), 0.0)
    worth = np.asarray(found.eqlin.marginals)
    # by duality the two totals are one; an answer of nothing, once seen, would not pass
    dual = float(worth.sum() - prices @ choice.room)
    if abs(dual - found.fun) > 1e-6 * max(abs(found.fun), 1.0):
        raise NotSolved(f"total {found.fun} is not that of its prices, {dual}")
    return Chosen(np.asarray(found.x), float(found.fun), prices, worth)


def chosen_whole(choice: Choice) -> NDArray[np.int64] | None:
    """Return the cheapest choice found where one column of each group is taken whole.

    Parameters
    ----------
    choice : Choice
        Columns, groups and room; branching stops after its number of nodes.

    Returns
    -------
    array of shape (n_groups,) or None
        The column of each group; None where none was found within the nodes.

    Raises
    ------
    NotSolved
        If there is no choice within the room, or HiGHS fails.

    References
    ----------
    As `chosen_in_parts`.

    Examples
    --------
    >>> from scipy.sparse import csr_array
    >>> choice = Choice(np.array([1.0, 3.0]), csr_array([[2.0, 0.0]]), np.array([1.0]), np.array([0, 0]), 10)
    >>> chosen_whole(choice).tolist()
    [1]
    """
    from scipy.optimize import Bounds, LinearConstraint, milp

    groups, n_groups = _groups(choice)
    found = milp(
        choice.total,
        integrality=np.ones(len(choice.total)),
        bounds=Bounds(0, 1),
        constraints=[LinearConstraint(choice.use, ub=choice.room), LinearConstraint(groups, 1, 1)],
        options={"node_limit": choice.n_nodes, "mip_rel_gap": choice.near},
    )
    if found.status != 0 and not any(limit in found.message for limit in _LIMITS):
        raise NotSolved(str(found.message))
    if found.x is None:
        return None
    columns = np.flatnonzero(np.asarray(found.x) > 0.5)
    group = choice.group[columns].astype(int)
    if len(columns) != n_groups or not (np.sort(group) == np.arange(n_groups)).all():
        raise NotSolved("not one column of each group was chosen")
    whole = np.empty(n_groups, int)
    whole[group] = columns
    return whole


def solved_nothing() -> None:
    """Solve the smallest programme there is, so that HiGHS starts.

    Returns
    -------
    None
        Nothing.

    References
    ----------
    Not a figure.

    Examples
    --------
    >>> solved_nothing()
    """
    from scipy.optimize import linprog

    linprog([1.0], bounds=[(0, 1)])


def _may_bind(choice: Choice, n_groups: int) -> NDArray[np.intp]:
    """Rows that would be over their room if each group took the column that uses most of them."""
    use = choice.use.tocsr()
    rows = np.repeat(np.arange(use.shape[0]), np.diff(use.indptr))
    most = np.zeros(use.shape[0] * n_groups)
    np.maximum.at(most, rows * n_groups + choice.group[use.indices].astype(np.int64), use.data)
    return np.flatnonzero(most.reshape(use.shape[0], n_groups).sum(axis=1) > choice.room)


def _groups(choice: Choice) -> tuple[csr_array, int]:
    from scipy.sparse import csr_array

    n_columns = len(choice.total)
    group = choice.group.astype(int)
    n_groups = int(group.max()) + 1
    return csr_array((np.ones(n_columns), (group, np.arange(n_columns))), (n_groups, n_columns)), n_groups
