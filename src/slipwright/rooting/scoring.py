"""How good a forecast of a number was, once it came: CRPS, where it fell, what is better by how much."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from slipwright.rooting.ranges import Array

#: levels at which a forecast is kept: 19 points, .05 to .95
LEVELS = tuple(k / 20 for k in range(1, 20))
#: where the 10, the 50 and the 90 per cent point stand among them
LOW, MIDDLE, HIGH = 1, 9, 17
#: times records are drawn anew for an interval
N_TIMES = 1000


def at_levels(draws: NDArray[Any]) -> NDArray[Any]:
    """Points of drawn numbers at the levels forecasts are kept at.

    Parameters
    ----------
    draws : array of shape (..., n_draws)
        Numbers drawn [1].

    Returns
    -------
    array of shape (..., 19)
        At each of `LEVELS` the least number that is not passed so often [1].

    References
    ----------
    Definition.

    Examples
    --------
    >>> at_levels(np.arange(1, 101)).tolist()[:3]
    [5, 10, 15]
    """
    ordered = np.sort(draws, axis=-1)
    n = ordered.shape[-1]
    return np.asarray(ordered[..., [int(np.ceil(round(level * n, 9))) - 1 for level in LEVELS]])


def crps_of_draws(draws: NDArray[Any], came: NDArray[Any] | float) -> Array:
    """CRPS of forecasts told by draws.

    Parameters
    ----------
    draws : array of shape (..., n_draws)
        Numbers drawn, all equally likely [any unit].
    came : array of shape (...)
        What came [the same unit].

    Returns
    -------
    array of shape (...)
        Continuous ranked probability score, nought at best [the same unit].

    Notes
    -----
    E|X - y| - (1/2) E|X - X'|; the second from the ordered draws: with x(1) <= ... <= x(n),
    E|X - X'| = (2 / n^2) sum (2 i - n - 1) x(i).

    References
    ----------
    Gneiting T. and Raftery A.E. 2007, Strictly proper scoring rules, prediction, and estimation, Journal of
    the American Statistical Association 102:359-378 (from memory).

    Examples
    --------
    >>> float(crps_of_draws(np.array([2.0, 4.0]), 4.0))
    0.5
    """
    x = np.sort(np.asarray(draws, dtype=np.float64), axis=-1)
    n = x.shape[-1]
    away = np.abs(x - np.asarray(came, dtype=np.float64)[..., None]).mean(axis=-1)
    apart = (x * (2 * np.arange(1, n + 1) - n - 1)).sum(axis=-1) / n**2
    return np.asarray(away - apart)


def crps_of_points(points: NDArray[Any], came: NDArray[Any] | float) -> Array:
    """CRPS of forecasts of which points at `LEVELS` were kept.

    Parameters
    ----------
    points : array of shape (..., 19)
        Points of the forecast, never falling [any unit].
    came : array of shape (...)
        What came [the same unit].

    Returns
    -------
    array of shape (...)
        Twice the mean loss of a point: nearly the CRPS of the whole forecast [the same unit].

    Notes
    -----
    CRPS = 2 times the integral over a of (y - q(a)) (a - [y < q(a)]), here the mean over the 19 levels.
    Exact for a forecast of one number, |y - q|.  What lies beyond the outermost points is not seen.

    References
    ----------
    Gneiting T. and Raftery A.E. 2007, as `crps_of_draws` (from memory).

    Examples
    --------
    >>> float(crps_of_points(np.full(19, 6.0), 4.0).round(9))
    2.0
    """
    q = np.asarray(points, dtype=np.float64)
    y = np.asarray(came, dtype=np.float64)[..., None]
    return np.asarray(2 * ((y - q) * (np.array(LEVELS) - (y < q))).mean(axis=-1))


def places_among(points: NDArray[Any], came: NDArray[Any], n_stuck: NDArray[Any] | int) -> Array:
    """Where what came fell among the points of its forecast.

    Parameters
    ----------
    points : array of shape (n, 19)
        Points of each forecast at `LEVELS`, never falling [1].
    came : array of shape (n,)
        What came [1].
    n_stuck : array of shape (n,)
        Cuttings stuck, which none can pass [1].

    Returns
    -------
    array of shape (n, 20)
        Shares of the twenty places between the points, first below the lowest; each row sums to 1 [-].

    Notes
    -----
    A forecast that is right puts as much in each place, over many.  A number that is itself m of the points
    is shared out over the m + 1 places about them, half as much in the two at the ends: how far it reaches
    into these is not known.  None rooted fills the lowest place whole, and all rooted the highest: nothing
    lies beyond.

    References
    ----------
    Czado C., Gneiting T. and Held L. 2009, Predictive model assessment for count data, Biometrics
    65:1254-1261: the histogram without drawing lots (from memory).  Halves at the ends: our own.

    Examples
    --------
    >>> points = np.array([[2] * 10 + [5] * 9])
    >>> int(places_among(points, np.array([3]), 9)[0].argmax())
    10
    """
    q, y = np.asarray(points), np.asarray(came)[:, None]
    below, upto = (q < y).sum(axis=1)[:, None], (q <= y).sum(axis=1)[:, None]
    place = np.arange(len(LEVELS) + 1)[None, :]
    inside = ((place > below) & (place < upto)).astype(np.float64)
    # what is itself a point reaches half into the places at its ends, but whole into the lowest and highest
    none, all_of_them = (y == 0) & (upto > 0), (y >= np.reshape(n_stuck, (-1, 1))) & (below < len(LEVELS))
    ends = np.where(none, 1.0, 0.5) * (place == below) + np.where(all_of_them, 1.0, 0.5) * (place == upto)
    shares = inside + ends
    return np.asarray(shares / shares.sum(axis=1, keepdims=True))


def held(points: NDArray[Any], came: NDArray[Any]) -> NDArray[np.bool_]:
    """Whether ranges told as 8 times in 10 held what came, their ends counted in.

    Parameters
    ----------
    points : array of shape (n, 19)
        Points of each forecast at `LEVELS` [1].
    came : array of shape (n,)
        What came [1].

    Returns
    -------
    array of bool of shape (n,)
        Whether it lay from the 10 to the 90 per cent point.

    References
    ----------
    Definition.

    Examples
    --------
    >>> held(np.array([range(19), range(19)]), np.array([1, 18])).tolist()
    [True, False]
    """
    q, y = np.asarray(points), np.asarray(came)
    return np.asarray((q[:, LOW] <= y) & (y <= q[:, HIGH]))


def chance_to_hold(points: NDArray[Any], n_stuck: NDArray[Any] | int) -> Array:
    """Return how likely ranges told as 8 times in 10 are to hold what comes, by their own forecasts.

    Parameters
    ----------
    points : array of shape (n, 19)
        Points of each forecast at `LEVELS` [1].
    n_stuck : array of shape (n,)
        Cuttings stuck, which none can pass [1].

    Returns
    -------
    array of shape (n,)
        Above 0.8 where numbers are small: the ends of a range are numbers that may come themselves [-].

    Notes
    -----
    The chance of a number below the lower end lies between that of the last point below it and the next
    level; its middle is taken, and nought where the lower end is nought.  At the upper end alike.

    References
    ----------
    Definition.

    Examples
    --------
    >>> chance_to_hold(np.array([range(19), [3] * 19, [0] * 19]), 20).round(3).tolist()
    [0.85, 0.95, 0.975]
    """
    q = np.asarray(points)
    step = 1 / (len(LEVELS) + 1)
    below = np.where(q[:, LOW] > 0, (q < q[:, [LOW]]).sum(axis=1) + 0.5, 0)
    above = np.where(q[:, HIGH] < n_stuck, (q > q[:, [HIGH]]).sum(axis=1) + 0.5, 0)
    return np.asarray(1 - step * (below + above))


@dataclass(frozen=True, slots=True)
class Better:
    """By which share of theirs our mean score is lower: the middle, and an interval about it.

    ``n_batches`` are those it was told by.
    """

    share: float
    low: float
    high: float
    n_batches: int

    @property
    def is_clear(self) -> bool:
        """Whether nought lies outside the interval; of one batch it has no width, and nothing is clear."""
        return self.n_batches > 1 and (self.low > 0 or self.high < 0)


def better_by(
    ours: Sequence[float] | Array,
    theirs: Sequence[float] | Array,
    batches: Sequence[object],
    generator: np.random.Generator,
    *,
    cover: float = 0.8,
) -> Better:
    """By how much our scores are better than theirs, with an interval.

    Parameters
    ----------
    ours, theirs : sequence of float
        Scores of the same forecasts, the lower the better [any unit].
    batches : sequence
        The batch each was of: those of one batch go together.
    generator : numpy.random.Generator
        Where the draws come from.
    cover : float
        How often the interval is meant to hold the truth [-].

    Returns
    -------
    Better
        1 - (sum of ours) / (sum of theirs); below 0 where ours are worse [-].

    Raises
    ------
    ValueError
        If there are no scores.

    Notes
    -----
    Batches are drawn again with replacement, 1,000 times; the interval are points of the shares found.
    With one batch the interval has no width and says nothing.

    References
    ----------
    Efron B. and Tibshirani R.J. 1993, An Introduction to the Bootstrap (from memory).

    Examples
    --------
    >>> found = better_by([1, 2], [2, 4], ["a", "b"], np.random.default_rng(1))
    >>> (found.share, found.low, found.high)
    (0.5, 0.5, 0.5)
    """
    if not len(batches):
        raise ValueError("no scores to compare")
    names = {name: k for k, name in enumerate(dict.fromkeys(batches))}
    of = np.array([names[name] for name in batches])
    sums = np.stack([np.bincount(of, np.asarray(scores, dtype=np.float64)) for scores in (ours, theirs)])
    n = sums.shape[1]
    drawn = np.empty((N_TIMES, 2))
    for k in range(N_TIMES):
        drawn[k] = sums @ np.bincount(generator.integers(n, size=n), minlength=n)
    shares = 1 - drawn[:, 0] / np.maximum(drawn[:, 1], 1e-12)
    whole = sums.sum(axis=1)
    low, high = np.quantile(shares, [(1 - cover) / 2, (1 + cover) / 2]).tolist()
    return Better(float(1 - whole[0] / max(whole[1], 1e-12)), low, high, n)
