"""Every way to make a batch, in one table: what it costs and what it uses of each row."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from slipwright.season.asked import SLACK, Array, Option, Season

if TYPE_CHECKING:
    from scipy.sparse import csr_array


class OwnUse(NamedTuple):
    """Use by the options of one want, and last by none, of the rows that any of them touches."""

    rows: NDArray[np.integer]
    each: Array
    once: Array


@dataclass(frozen=True, slots=True, eq=False)
class Ways:
    """Every option of every want, in order, and what it uses: a row an option and a last one of nothing.

    ``once_beside`` is what the batch uses of the row of each number kept in ``each``.
    """

    options: tuple[Option, ...]
    first: NDArray[np.int64]
    per: NDArray[np.int64]
    cost_each: Array
    cost_once: Array
    moved: Array
    each: csr_array
    once: csr_array
    once_beside: Array
    _own: dict[int, OwnUse] = field(default_factory=dict)

    def own(self, place: int) -> OwnUse:
        """Return what the options of a want use of the rows they touch, worked out once."""
        if place not in self._own:
            options = np.arange(self.first[place], self.first[place + 1])
            each, once = self.each[options], self.once[options]
            rows = np.unique(np.concatenate([each.indices, once.indices]))
            use = [np.vstack([some[:, rows].toarray(), np.zeros(len(rows))]) for some in (each, once)]
            self._own[place] = OwnUse(rows, *use)
        return self._own[place]


def ways_of(season: Season, announced: set[tuple[str, str]], change_cost: float) -> Ways:
    """Every option with its use of every row.

    Parameters
    ----------
    season : Season
        Wants and rows.
    announced : set of (want, option)
        Batches announced before.
    change_cost : float
        What a batch in another week than announced counts as, for wants with batches announced [money].

    Returns
    -------
    Ways
        In the order of wants and of their options.

    References
    ----------
    Definition.

    Examples
    --------
    >>> ways_of(Season((), ()), set(), 0.0).per.tolist()
    [0]
    """
    options = tuple(option for want in season.wants for option in want.options)
    place = {row.row: number for number, row in enumerate(season.rows)}
    weeks = {
        want.want: {o.week for o in want.options if (want.want, o.option) in announced}
        for want in season.wants
    }
    moved = [
        change_cost if weeks[want.want] and option.week not in weeks[want.want] else 0.0
        for want in season.wants
        for option in want.options
    ]
    counts = [len(want.options) for want in season.wants]
    return Ways(
        options,
        np.concatenate([[0], np.cumsum(counts)]).astype(np.int64),
        np.array([option.n_per_container for option in options] + [0], np.int64),
        np.array([option.cost_each for option in options] + [0.0]),
        np.array([option.cost_once for option in options] + [0.0]),
        np.array([*moved, 0.0]),
        _uses([option.use_each for option in options], place),
        _uses([option.use_once for option in options], place),
        np.array([option.use_once.get(row, 0.0) for option in options for row in option.use_each]),
    )


def room_left(season: Season) -> Array:
    """Room that batches already stuck leave; never below 0.

    Parameters
    ----------
    season : Season
        Rows and batches already stuck.

    Returns
    -------
    array of shape (n_rows,)
        In the unit of each row.

    References
    ----------
    Definition.

    Examples
    --------
    >>> from slipwright.season.asked import Row, Standing
    >>> row = Row("b", "bench", "tent", None, 2.0)
    >>> room_left(Season((), (row,), (Standing("k", "w", {"b": 0.5}),))).tolist()
    [1.5]
    """
    return np.maximum(np.array([row.room for row in season.rows]) - standing_use(season), 0.0)


def standing_use(season: Season) -> Array:
    """Room that batches already stuck are expected to take.

    Parameters
    ----------
    season : Season
        Rows and batches already stuck.

    Returns
    -------
    array of shape (n_rows,)
        In the unit of each row.

    References
    ----------
    Definition.

    Examples
    --------
    >>> standing_use(Season((), ())).tolist()
    []
    """
    place = {row.row: number for number, row in enumerate(season.rows)}
    used = np.zeros(len(season.rows))
    for batch in season.standing:
        for row, amount in batch.use.items():
            used[place[row]] += amount
    return used


def most_containers(ways: Ways, room: Array) -> NDArray[np.int64]:
    """Most containers of each option that the rooms hold, were there nothing else.

    Parameters
    ----------
    ways : Ways
        Options.
    room : array of shape (n_rows,)
        Room; infinite for a row left out of account.

    Returns
    -------
    array of shape (n_options,)
        Containers [1].

    References
    ----------
    Definition.

    Examples
    --------
    >>> most_containers(ways_of(Season((), ()), set(), 0.0), np.empty(0)).tolist()
    []
    """
    n = len(ways.options)
    most = np.full(n + 1, float(np.iinfo(np.int32).max))
    of_each, of_once = (np.repeat(np.arange(n + 1), np.diff(use.indptr)) for use in (ways.each, ways.once))
    left = room[ways.each.indices] - ways.once_beside
    used = ways.each.data > 0
    per = ways.each.data[used] * ways.per[of_each[used]]
    np.minimum.at(most, of_each[used], (left[used] + SLACK) / per)
    most[of_once[room[ways.once.indices] + SLACK < ways.once.data]] = 0
    return np.asarray(np.maximum(np.floor(most[:n]), 0), np.int64)


def _uses(uses: Sequence[Mapping[str, float]], place: dict[str, int]) -> csr_array:
    from scipy.sparse import csr_array

    data, indices, ends = [], [], [0]
    for use in uses:
        for row, amount in use.items():
            data.append(float(amount))
            indices.append(place[row])
        ends.append(len(data))
    ends.append(len(data))
    shape = (len(uses) + 1, len(place))
    return csr_array((np.array(data), np.array(indices, int), np.array(ends)), shape)
