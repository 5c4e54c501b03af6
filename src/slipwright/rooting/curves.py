"""The two clocks as curves: which share of a batch has rooted, is lost or waits by a day."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from slipwright.rooting.cuttings import PARTS, PRIOR_MEANS, Cuttings
from slipwright.rooting.learned import ClockDraws, Kind, Learned
from slipwright.rooting.ranges import Array, Counts

#: a logarithm of a hazard a day beyond these is as good as never or at once
LEAST_LOG_HAZARD, MOST_LOG_HAZARD = -46.0, 12.0
#: so many draws at once lie near the processor
_AT_ONCE = 1024


def middle_clocks(
    cuttings: Cuttings,
    offset: Array | tuple[float, float] = (0.0, 0.0),
    means: Mapping[str, tuple[float, float]] = PRIOR_MEANS,
) -> ClockDraws:
    """Clocks of the prior's middle: every coefficient at its mean, every effect at nought.

    Parameters
    ----------
    cuttings : Cuttings
        What is stuck.
    offset : array of shape (2, n) or tuple of two float
        Additions to the levels, one pair of clocks a column [-].
    means : mapping of term to (rooting, loss)
        What the coefficients are [-]; else the means of their priors.

    Returns
    -------
    ClockDraws
        One draw an offset.

    Notes
    -----
    Media, containers and studies count nothing here: their levels have no mean.

    References
    ----------
    Definition.

    Examples
    --------
    >>> middle_clocks(Cuttings()).level.round(2).tolist()
    [[-3.05], [-5.7]]
    """
    level = np.asarray(offset, dtype=np.float64).reshape(2, -1).copy()
    parts = {"level": level, "slope": np.zeros_like(level), "bend": np.zeros_like(level)}
    for name, amount in cuttings.terms().items():
        if name in means:
            parts[PARTS[name]] += amount * np.array(means[name])[:, None]
    return ClockDraws(parts["level"], parts["slope"], parts["bend"])


def fates(clocks: ClockDraws, days: Sequence[float] | Array) -> Array:
    """Shares of a batch rooted, lost and waiting by some days.

    Parameters
    ----------
    clocks : ClockDraws
        Draws of the two clocks of a batch.
    days : sequence of float
        Days after sticking, in any order [days].

    Returns
    -------
    array of shape (3, n_days, n_draws)
        Rooted, lost, waiting; they sum to 1 [-].

    Raises
    ------
    ValueError
        If a day lies before sticking.

    Notes
    -----
    In a cell of length d with hazards r and l, H = r + l, of what waits at its start r/H (1 - exp(-H d))
    roots, l/H (1 - exp(-H d)) is lost, exp(-H d) waits on; the cells are chained.  The last cell goes on
    for ever.  Hazards are held between 1e-20 and 1.6e5 a day, so that no draw is too extreme.

    References
    ----------
    The competing risks of hazards that are constant in pieces; definition.

    Examples
    --------
    >>> still = ClockDraws(np.log([[0.03], [0.01]]), np.zeros((2, 1)), np.zeros((2, 1)))
    >>> fates(still, [0, 28])[:, :, 0].round(2).tolist()
    [[0.0, 0.51], [0.0, 0.17], [1.0, 0.33]]
    """
    at = np.asarray(days, dtype=np.float64)
    if at.size and at.min() < 0:
        raise ValueError(f"days must not be before sticking, not {at.min():g}")
    edges = np.array(clocks.cells.edges)
    cell = np.minimum(np.searchsorted(edges, at, side="right") - 1, len(edges) - 2)
    shares = np.empty((3, len(at), clocks.n_draws))
    for start in range(0, clocks.n_draws, _AT_ONCE):
        some = slice(start, start + _AT_ONCE)
        shares[:, :, some] = _fates_in(clocks, some, edges, cell, at)
    return shares


def _fates_in(clocks: ClockDraws, some: slice, edges: Array, cell: Counts, at: Array) -> Array:
    """Shares rooted, lost and waiting of some draws, chained as far as need be."""
    n_cells = int(cell.max(initial=0)) + 1
    few = replace(clocks, level=clocks.level[:, some], slope=clocks.slope[:, some], bend=clocks.bend[:, some])
    rate = np.exp(np.clip(few.log_hazards(n_cells), LEAST_LOG_HAZARD, MOST_LOG_HAZARD))
    both = rate[0] + rate[1]
    to_root = rate[0] / both
    gone = both[:-1] * np.diff(edges)[: n_cells - 1, None]
    left = np.empty_like(both)
    left[0] = 1.0
    np.exp(-_added_up(gone), out=left[1:])
    rooted = np.empty_like(both)
    rooted[0] = 0.0
    rooted[1:] = _added_up(to_root[:-1] * (left[:-1] - left[1:]))
    waiting = left[cell] * np.exp(-both[cell] * (at - edges[cell])[:, None])
    by_then = rooted[cell] + to_root[cell] * (left[cell] - waiting)
    return np.stack([by_then, np.maximum(1 - waiting - by_then, 0.0), waiting])


def _added_up(rows: Array) -> Array:
    """Add to each row all before it, in place; row by row, for rows are long and few."""
    for k in range(1, len(rows)):
        rows[k] += rows[k - 1]
    return rows


def days_to_root(clocks: ClockDraws, share: float | Array = 0.5, *, by_day: float) -> Array:
    """Day by which a share of those that root in time has rooted.

    Parameters
    ----------
    clocks : ClockDraws
        Draws of the two clocks of a batch.
    share : float or array of shape (n_draws,)
        Share of those rooted by ``by_day`` [-].
    by_day : float
        Day after sticking at which waiting ends [days].

    Returns
    -------
    array of shape (n_draws,)
        Days after sticking [days].

    Notes
    -----
    The curve of the rooted turned round: found among the edges of the cells, then straight between a
    hundredth part of the cell and the next.

    References
    ----------
    Definition.

    Examples
    --------
    >>> still = ClockDraws(np.log([[0.03], [0.01]]), np.zeros((2, 1)), np.zeros((2, 1)))
    >>> float(days_to_root(still, by_day=364)[0].round(1))
    17.3
    """
    edges = np.array([edge for edge in clocks.cells.edges if edge < by_day] + [by_day])
    curve = fates(clocks, edges)
    wanted = share * curve[0, -1]
    cell = np.maximum((curve[0] < wanted).sum(axis=0) - 1, 0)
    draw = np.arange(clocks.n_draws)
    rate = np.exp(np.clip(clocks.log_hazards(), LEAST_LOG_HAZARD, MOST_LOG_HAZARD))[:, cell, draw]
    both = rate.sum(axis=0)
    of_waiting = (wanted - curve[0, cell, draw]) / np.maximum(curve[2, cell, draw], 1e-300)
    part = np.clip(of_waiting * both / rate[0], 0.0, 1 - 1e-12)
    return np.asarray(np.minimum(edges[cell] - np.log1p(-part) / both, by_day))


def prior_curve(learned: Learned, cuttings: Cuttings, kind: Kind, days: Sequence[float]) -> Array:
    """10, 50 and 90 per cent points of the share of a batch rooted by some days.

    Parameters
    ----------
    learned : Learned
        What is known; draws of the prior give the prior's curve.
    cuttings : Cuttings
        What is stuck.
    kind : Kind
        Where it stands in the tree of effects.
    days : sequence of float
        Days after sticking [days].

    Returns
    -------
    array of shape (3, n_days)
        Shares, without the luck of the single cutting [-].

    Notes
    -----
    Points over the draws of `fates`, day by day; a curve of points is no draw.

    References
    ----------
    Definition.

    Examples
    --------
    >>> from slipwright.rooting.learned import prior_draws
    >>> rose = Kind("Rosa", "Rosa", "semi-hardwood", "2014")
    >>> drawn = prior_draws(np.random.default_rng(1), 200)
    >>> prior_curve(drawn, Cuttings(), rose, [28, 56]).shape
    (3, 2)
    """
    rooted = fates(learned.clocks(cuttings, kind), days)[0]
    return np.asarray(np.quantile(rooted, (0.1, 0.5, 0.9), axis=1))
