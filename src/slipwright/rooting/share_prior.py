"""What a handbook's range of shares says of a genus, before any record: a grid of means and spreads."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from slipwright.rooting.ranges import Z90, Array, normal_cdf, share_curve, share_of_logit

#: means on the grid of a handbook's range, how many spreads of the range it reaches to, spreads u
_N_MEANS, _REACH, _N_SPREADS = 109, 6.0, 12
#: of the variance of a handbook's range, on log odds, this much lies between plants of one genus
TAXON_SHARE = 0.25
#: scale of the batches' spread, as a part of the range's on log odds
BATCH_SD = 0.4
_NEWTON_STEPS = 30


@dataclass(frozen=True, slots=True)
class ShareGrid:
    """What is believed before any record: means (n_m,), spreads (n_u,) and weights (n_m, n_u) that sum to 1.

    A batch's share is beta with mean m and precision K = u^-2.  ``between`` is the standard deviation
    of log odds between plants of the genus; nought where all batches share one mean.
    """

    means: Array
    spreads: Array
    weights: Array
    between: float = 0.0

    @property
    def log_odds(self) -> Array:
        """Log odds of the means, of shape (n_m,)."""
        return np.asarray(np.log(self.means / (1 - self.means)))

    @property
    def kernel(self) -> Array:
        """Chances (n_m of the genus, n_m of the plant) of a plant's mean given its genus's."""
        return gaussian_steps(self.log_odds, self.between)

    @property
    def unseen(self) -> Array:
        """Weights (n_m, n_u) of a plant of which nothing was seen, nor of its genus."""
        return np.asarray(self.kernel.T @ self.weights)

    def precisions(self) -> tuple[Array, Array]:
        """Both parameters of the beta at every point of the grid, each of shape (n_m, n_u)."""
        precision = self.spreads[None, :] ** -2
        return self.means[:, None] * precision, (1 - self.means[:, None]) * precision


def gaussian_steps(points: Array, sd: float) -> Array:
    """Chances of going from each of some evenly spread points to each, by a normal step.

    Parameters
    ----------
    points : array of shape (n,)
        Evenly spread points [-].
    sd : float
        Standard deviation of the step; nought is no step [-].

    Returns
    -------
    array of shape (n, n)
        Rows sum to 1 [-].

    Notes
    -----
    exp(-(x_j - x_i)^2 / 2 sd^2), each row scaled to 1; good while the points lie closer than sd.

    References
    ----------
    Definition.

    Examples
    --------
    >>> gaussian_steps(np.linspace(-3, 3, 31), 0.5).sum(axis=1).round(9).min()
    np.float64(1.0)
    """
    if sd == 0:
        return np.eye(len(points))
    away = (points[None, :] - points[:, None]) / sd
    weights = np.where(np.abs(away) < 20, np.exp(-0.5 * away**2), 0.0)
    return np.asarray(weights / weights.sum(axis=1, keepdims=True))


@lru_cache(maxsize=256)
def share_grid(p10: float, p50: float, p90: float) -> ShareGrid:
    """Grid on which a batch nobody has seen yet has a handbook's range of shares.

    Parameters
    ----------
    p10, p50, p90 : float
        Shares that live, of a batch of an unseen plant of the genus, between 0 and 1 [-].

    Returns
    -------
    ShareGrid
        Weights of the means solved so that the mixture of betas has these three points.

    Notes
    -----
    With s the smaller of the range's standard deviations of log odds: u is half-normal, its scale
    0.4 s sqrt(p50 (1 - p50)); at 2.5 times that batches alone would fill the narrower side.  Plants
    differ with variance s^2/4.  The genus's mean is a split normal in log odds, its three numbers by
    Newton's method.  Shares count as at least .002 and at most .998; either side of the range as at
    least .13 wide in log odds.

    References
    ----------
    Our own: common practice, no source.

    Examples
    --------
    >>> grid = share_grid(0.6, 0.8, 0.92)
    >>> a, b = grid.precisions()
    >>> 0.76 < float((grid.unseen * a / (a + b)).sum()) < 0.8
    True
    """
    from scipy.special import betainc

    curve = share_curve(p10, p50, p90)
    low, high = max(curve.sd_low, 0.1), max(curve.sd_high, 0.1)
    narrow = min(low, high)
    usual = BATCH_SD * narrow * math.sqrt(1 / (2 + 2 * math.cosh(curve.median)))
    nodes, gauss = np.polynomial.legendre.leggauss(_N_SPREADS)
    spreads = min(4 * usual, 1.0) * (nodes + 1) / 2
    chances = gauss * np.exp(-0.5 * (spreads / usual) ** 2)
    chances = chances / chances.sum()
    reach = _REACH * max(low, high)
    log_odds = np.linspace(curve.median - reach, curve.median + reach, _N_MEANS)
    means = share_of_logit(log_odds)
    bare = ShareGrid(means, spreads, np.ones((_N_MEANS, _N_SPREADS)))
    between = math.sqrt(TAXON_SHARE) * narrow
    wanted = share_of_logit(curve.median + Z90 * np.array([-low, 0.0, high]))
    a, b = bare.precisions()
    below = betainc(a, b, wanted[:, None, None]) @ chances
    below = below @ gaussian_steps(log_odds, between).T
    edges = np.concatenate([[-np.inf], (log_odds[1:] + log_odds[:-1]) / 2, [np.inf]])
    genus = _weights_with_points(below, edges, curve.median, low, high)
    return ShareGrid(means, bare.spreads, genus[:, None] * chances[None, :], between)


def _weights_with_points(below: Array, edges: Array, median: float, low: float, high: float) -> Array:
    """Return weights of the means under which the chances ``below`` (3, n_m) come out as .1, .5 and .9."""
    target = np.log(np.array([1 / 9, 1.0, 9.0]))

    def weights(at: Array) -> Array:
        away = edges - at[0]
        return np.diff(normal_cdf(away / np.exp(np.where(away < 0, at[1], at[2]))))

    def miss(at: Array) -> Array:
        chance = np.clip(below @ weights(at), 1e-9, 1 - 1e-9)
        return np.asarray(np.log(chance / (1 - chance)) - target)

    at = np.array([median, math.log(0.7 * low), math.log(0.7 * high)])
    missed = miss(at)
    for _ in range(_NEWTON_STEPS):
        if np.abs(missed).max() < 1e-9:
            break
        slopes = np.stack([(miss(at + d) - miss(at - d)) / 2e-4 for d in 1e-4 * np.eye(3)], axis=1)
        step = np.clip(np.linalg.lstsq(slopes, -missed, rcond=None)[0], -0.5, 0.5)
        # a step that misses by more is too long
        for shorter in (1.0, 0.5, 0.25, 0.1, 0.02):
            trial = miss(at + shorter * step)
            if (trial**2).sum() < (missed**2).sum():
                break
        at, missed = at + shorter * step, trial
    return weights(at)
