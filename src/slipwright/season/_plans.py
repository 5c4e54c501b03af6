"""The plans of all wants in one table, what they cost, and what they use of each row."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from slipwright.season._listing import Listed
from slipwright.season._ways import Ways
from slipwright.season.asked import MOST_BATCHES, SLACK, UNSTATED, Array, Want

if TYPE_CHECKING:
    from scipy.sparse import csr_array


@dataclass(frozen=True, slots=True, eq=False)
class Plans:
    """Plans of all wants, those of one want together.

    ``want`` is the place of the want, ``options`` places in `Ways.options` (the last place for none), ``n``
    the cuttings, ``target`` the plants the plan gives with the assurance.  ``cost`` is money, ``penalty``
    what the plants it falls short by count as, ``moves`` what changing announced weeks counts as;
    ``value_each`` what a plant not made counts as, by want.
    """

    want: NDArray[np.int32]
    options: NDArray[np.int32]
    n: NDArray[np.int32]
    target: NDArray[np.int32]
    cost: Array
    penalty: Array
    moves: Array
    value_each: Array

    def __len__(self) -> int:
        return len(self.want)

    @property
    def total(self) -> Array:
        """What a plan counts as in all."""
        return self.cost + self.penalty + self.moves

    @property
    def key(self) -> NDArray[np.uint64]:
        """A number that tells plans apart, in whatever table they stand."""
        key = np.zeros(len(self), np.uint64)
        for column in (self.want, self.target, *self.options.T, *self.n.T):
            key = (key ^ column.astype(np.uint64)) * np.uint64(0x9E3779B97F4A7C15)
            key ^= key >> np.uint64(29)
        return key

    def some(self, which: NDArray[np.integer] | NDArray[np.bool_]) -> Plans:
        """Return some of the plans."""
        names = ("want", "options", "n", "target", "cost", "penalty", "moves")
        return replace(self, **{name: getattr(self, name)[which] for name in names})


class Offer(NamedTuple):
    """Plans of a want for a target."""

    place: int
    target: int
    listed: Listed


def use_of(ways: Ways, plans: Plans) -> csr_array:
    """Return what plans use of each row.

    Parameters
    ----------
    ways : Ways
        Options.
    plans : Plans
        Plans.

    Returns
    -------
    sparse array of shape (n_plans, n_rows)
        In the unit of each row.

    References
    ----------
    Definition.

    Examples
    --------
    >>> from slipwright.season._ways import ways_of
    >>> from slipwright.season.asked import Season
    >>> ways = ways_of(Season((), ()), set(), 0.0)
    >>> use_of(ways, plans_of(ways, (), [], np.empty(0, int))).shape
    (0, 0)
    """
    from scipy.sparse import csr_array

    total = csr_array((len(plans), ways.each.shape[1]))
    for k in range(MOST_BATCHES):
        n, place = plans.n[:, k].astype(float), plans.options[:, k]
        cuttings = csr_array((n, place, np.arange(len(plans) + 1)), (len(plans), len(ways.per)))
        batches = csr_array((np.ones(len(plans)), place, np.arange(len(plans) + 1)), cuttings.shape)
        total = total + cuttings @ ways.each + batches @ ways.once
    return csr_array(total)


def priced(ways: Ways, plans: Plans, prices: Array) -> Array:
    """Return what the room that plans use is worth at given prices.

    Parameters
    ----------
    ways : Ways
        Options.
    plans : Plans
        Plans.
    prices : array of shape (n_rows,)
        Price of a unit of each row [money].

    Returns
    -------
    array of shape (n_plans,)
        [money].

    References
    ----------
    Definition.

    Examples
    --------
    >>> from slipwright.season._ways import ways_of
    >>> from slipwright.season.asked import Season
    >>> ways = ways_of(Season((), ()), set(), 0.0)
    >>> priced(ways, plans_of(ways, (), [], np.empty(0, int)), np.empty(0)).tolist()
    []
    """
    each, once = ways.each @ prices, ways.once @ prices
    worth = np.zeros(len(plans))
    for k in range(MOST_BATCHES):
        place = plans.options[:, k]
        worth += each[place] * plans.n[:, k] + once[place]
    return worth


def plans_of(ways: Ways, wants: Sequence[Want], offers: Sequence[Offer], given: NDArray[np.int64]) -> Plans:
    """All plans listed, and one of nothing for each want.

    Parameters
    ----------
    ways : Ways
        Options.
    wants : sequence of Want
        Wants.
    offers : sequence of Offer
        Plans listed, for the whole want or fewer plants.
    given : array of shape (n_wants,)
        Plants that a want has with its assurance if nothing is stuck [1].

    Returns
    -------
    Plans
        Sorted by want.

    Notes
    -----
    A plant that a plan falls short by counts as the want's ``value_each``, else as 5 times the cheapest cost
    a plant among the offers for the whole want, or if there are none among the others; where that is
    nothing, as 1.

    References
    ----------
    Our own.

    Examples
    --------
    >>> from slipwright.season._ways import ways_of
    >>> from slipwright.season.asked import Season
    >>> len(plans_of(ways_of(Season((), ()), set(), 0.0), (), [], np.empty(0, int)))
    0
    """
    last = len(ways.options)
    parts: list[list[NDArray[np.integer]]] = [[], [], [], []]
    for place, target, listed in offers:
        options = np.where(listed.options < 0, last, listed.options + ways.first[place]).astype(np.int32)
        for part, column in zip(
            parts,
            (
                np.full(len(listed), place, np.int32),
                options,
                (listed.n_containers * ways.per[options]).astype(np.int32),
                np.full(len(listed), target, np.int32),
            ),
            strict=True,
        ):
            part.append(column)
    n_wants = len(wants)
    nothing = (np.full((n_wants, MOST_BATCHES), last, np.int32), np.zeros((n_wants, MOST_BATCHES), np.int32))
    want = np.concatenate([np.arange(n_wants, dtype=np.int32), *parts[0]])
    order = np.argsort(want, kind="stable")
    options = np.concatenate([nothing[0], *parts[1]])[order]
    n = np.concatenate([nothing[1], *parts[2]])[order]
    targets = np.concatenate([given.astype(np.int32), *parts[3]])[order]
    want = want[order]
    cost = (ways.cost_each[options] * n + ways.cost_once[options]).sum(axis=1)
    wanted = np.array([one.n_wanted for one in wants], int)
    value = _values(wants, want, targets, cost)
    penalty = value[want] * (wanted[want] - targets)
    return Plans(want, options, n, targets, cost, penalty, ways.moved[options].sum(axis=1), value)


def _values(wants: Sequence[Want], want: NDArray[np.int32], target: NDArray[np.int32], cost: Array) -> Array:
    """Return what a plant not made counts as, of each want [money]."""
    ends = np.searchsorted(want, np.arange(len(wants) + 1))
    values = []
    for one, (start, stop) in zip(wants, pairwise(ends.tolist()), strict=True):
        # the first is the plan of nothing
        targets, costs = target[start + 1 : stop], cost[start + 1 : stop]
        mine = targets == one.n_wanted if (targets == one.n_wanted).any() else targets > 0
        least = float((costs[mine] / targets[mine]).min()) if mine.any() else 0.0
        values.append(one.value_each if one.value_each is not None else UNSTATED * least or 1.0)
    return np.array(values)


def fit_alone(ways: Ways, plans: Plans, room: Array) -> NDArray[np.bool_]:
    """Which plans would fit the room, were there nothing else.

    Parameters
    ----------
    ways : Ways
        Options.
    plans : Plans
        Plans, sorted by want.
    room : array of shape (n_rows,)
        Room in the unit of each row.

    Returns
    -------
    array of shape (n_plans,)
        Whether each fits.

    References
    ----------
    Definition.

    Examples
    --------
    >>> from slipwright.season._ways import ways_of
    >>> from slipwright.season.asked import Season
    >>> ways = ways_of(Season((), ()), set(), 0.0)
    >>> fit_alone(ways, plans_of(ways, (), [], np.empty(0, int)), np.empty(0)).tolist()
    []
    """
    fits = np.ones(len(plans), bool)
    places, starts = np.unique(plans.want, return_index=True)
    stops = np.append(starts, len(plans))[1:].tolist()
    for place, start, stop in zip(places.tolist(), starts.tolist(), stops, strict=True):
        own = ways.own(place)
        n = plans.n[start:stop]
        used = n > 0
        mine = np.where(used, plans.options[start:stop] - ways.first[place], len(own.each) - 1)
        most = np.zeros(len(own.each))
        np.maximum.at(most, mine, n)
        heaviest = np.sort(own.each * most[:, None] + own.once, axis=0)[-MOST_BATCHES:].sum(axis=0)
        tight = np.flatnonzero(heaviest > room[own.rows] + SLACK)
        if len(tight):
            each, once = own.each[:, tight], own.once[:, tight]
            use = sum(each[mine[:, k]] * n[:, k, None] + once[mine[:, k]] for k in range(MOST_BATCHES))
            fits[start:stop] = (use <= room[own.rows[tight]] + SLACK).all(axis=1)
    return fits


def row_of(use: csr_array, place: int) -> Array:
    """Return one row of a sparse array in full.

    Parameters
    ----------
    use : sparse array of shape (n_plans, n_rows)
        As `use_of`.
    place : int
        Which row [-].

    Returns
    -------
    array of shape (n_rows,)
        In the unit of each row.

    References
    ----------
    Definition.

    Examples
    --------
    >>> from scipy.sparse import csr_array
    >>> row_of(csr_array([[0.0, 1.0], [2.0, 0.0]]), 1).tolist()
    [2.0, 0.0]
    """
    row = np.zeros(use.shape[1])
    part = slice(use.indptr[place], use.indptr[place + 1])
    row[use.indices[part]] = use.data[part]
    return row
