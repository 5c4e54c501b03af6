"""The share of potted plants that live: batches about a plant's mean, plants about their genus's mean.

Everything is worked out on a grid of means m and spreads u, so there is nothing to converge.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from slipwright.rooting.ranges import Array, share_of_logit
from slipwright.rooting.share_prior import ShareGrid

#: lived and lost of one batch; plants that were not followed to the end count in part
Fate = tuple[float, float]


def log_chance(grid: ShareGrid, batches: Sequence[Fate]) -> Array:
    """Log chance of what became of some batches, at every point of a grid.

    Parameters
    ----------
    grid : ShareGrid
        Means and spreads.
    batches : sequence of (float, float)
        Lived and lost of each batch [1].

    Returns
    -------
    array of shape (n_m, n_u)
        Sums over the batches, without terms that are the same at every point [-].

    Notes
    -----
    ln B(mK + lived, (1-m)K + lost) - ln B(mK, (1-m)K): the beta-binomial.

    References
    ----------
    Skellam J.G. 1948, JRSS B 10:257-261 (from memory).

    Examples
    --------
    >>> one = ShareGrid(np.array([0.5]), np.array([1.0]), np.ones((1, 1)))
    >>> round(float(np.exp(log_chance(one, [(1, 0)]))[0, 0]), 6)
    0.5
    """
    from scipy.special import betaln

    a, b = grid.precisions()
    before = betaln(a, b)
    # batches alike count together, and the order in which they came cannot matter
    alike: dict[Fate, int] = {}
    for fate in sorted(batches):
        alike[fate] = alike.get(fate, 0) + 1
    total = np.zeros_like(a)
    for (lived, lost), n in alike.items():
        total += n * (betaln(a + lived, b + lost) - before)
    return total


def learn_shares(
    grid: ShareGrid, plants: Mapping[str, Sequence[Fate]], weights: Mapping[str, float] | None = None
) -> dict[str, Array]:
    """Weights of mean and spread of each plant of a genus after what became of its batches.

    Parameters
    ----------
    grid : ShareGrid
        What is believed before.
    plants : mapping of str to sequence of (float, float)
        Lived and lost of every batch, by plant [1].
    weights : mapping of str to float, optional
        How much the records of each plant count, 0 to 1; wholly if left out [-].

    Returns
    -------
    dict of str to array of shape (n_m, n_u)
        Weights that sum to 1 [-], of every plant, and under an empty name of one never seen.

    Notes
    -----
    Exact on the grid: I_t(m, u) = sum over m' of P(m'|m) L_t(m', u) hands a plant's batches up to its
    genus; what the genus knows without a plant, handed down again and times L_t, is that plant's. A plant
    of weight w counts as L_t^w.

    References
    ----------
    Pearl J. 1982, AAAI-82:133-136, sums handed up and down a tree (from memory).

    Examples
    --------
    >>> from slipwright.rooting.share_prior import share_grid
    >>> grid = share_grid(0.6, 0.8, 0.92)
    >>> seen = learn_shares(grid, {"Rosa": [(10, 0), (9, 1)]})
    >>> mean_of_share(grid, seen["Rosa"]) > mean_of_share(grid, seen[""]) > 0.78
    True
    """
    names = sorted(plants)
    own, up = {}, {}
    kernel = grid.kernel
    for name in names:
        logs = log_chance(grid, plants[name]) * (weights or {}).get(name, 1.0)
        own[name] = np.exp(logs - logs.max())
        up[name] = np.log(np.maximum(kernel @ own[name], 1e-300))
    with np.errstate(divide="ignore"):
        prior = np.log(grid.weights)
    together = sum(up.values(), prior)
    found: dict[str, Array] = {}
    for name in [*names, ""]:
        logs = together - up[name] if name else together
        chance = kernel.T @ np.exp(logs - logs.max())
        if name:
            chance = chance * own[name]
        found[name] = chance / chance.sum()
    return found


def mean_of_share(grid: ShareGrid, weights: Array, batch: Fate = (0.0, 0.0), *, power: float = 1.0) -> float:
    """Mean share that lives of a batch, given what was seen of that very batch.

    Parameters
    ----------
    grid : ShareGrid
        Means and spreads.
    weights : array of shape (n_m, n_u)
        What is known of the plant; ``batch`` is part of it already [-].
    batch : (float, float)
        Lived and lost of the batch; nought for one not yet potted [1].
    power : float
        The share to this power in its place: for a part of the way [-].

    Returns
    -------
    float
        The mean [-].

    Notes
    -----
    B(mK + lived + power, (1-m)K + lost) / B(mK + lived, (1-m)K + lost), averaged over the grid.

    References
    ----------
    Definition.

    Examples
    --------
    >>> from slipwright.rooting.share_prior import share_grid
    >>> grid = share_grid(0.6, 0.8, 0.92)
    >>> 0.76 < mean_of_share(grid, grid.unseen) < 0.8
    True
    """
    from scipy.special import betaln

    a, b = grid.precisions()
    a, b = a + batch[0], b + batch[1]
    return float((weights * np.exp(betaln(a + power, b) - betaln(a, b))).sum())


def share_draws(grid: ShareGrid, weights: Array, generator: np.random.Generator, n_draws: int) -> Array:
    """Shares that live of batches not yet potted, each of another draw.

    Parameters
    ----------
    grid : ShareGrid
        Means and spreads.
    weights : array of shape (n_m, n_u)
        What is known of the plant [-].
    generator : numpy.random.Generator
        Where the draws come from.
    n_draws : int
        How many [1].

    Returns
    -------
    array of shape (n_draws,)
        Shares [-].

    References
    ----------
    Definition.

    Examples
    --------
    >>> from slipwright.rooting.share_prior import share_grid
    >>> grid = share_grid(0.6, 0.8, 0.92)
    >>> drawn = share_draws(grid, grid.unseen, np.random.default_rng(1), 4000)
    >>> abs(float(np.median(drawn)) - 0.8) < 0.02
    True
    """
    at = generator.choice(weights.size, size=n_draws, p=weights.ravel() / weights.sum())
    a, b = (parameter.ravel()[at] for parameter in grid.precisions())
    return generator.beta(a, b)


def points_of_share(grid: ShareGrid, weights: Array, chances: Sequence[float] = (0.1, 0.5, 0.9)) -> Array:
    """Points of the share that lives of a batch not yet potted.

    Parameters
    ----------
    grid : ShareGrid
        Means and spreads.
    weights : array of shape (n_m, n_u)
        What is known of the plant [-].
    chances : sequence of float
        Which points [-].

    Returns
    -------
    array of shape (n_chances,)
        Shares [-], to about 1e-5.

    Notes
    -----
    Where the mixture of betas passes each chance: bisection on log odds.

    References
    ----------
    Definition.

    Examples
    --------
    >>> from slipwright.rooting.share_prior import share_grid
    >>> grid = share_grid(0.6, 0.8, 0.92)
    >>> seen = learn_shares(grid, {"Rosa": [(30, 0), (29, 1)]})
    >>> bool(points_of_share(grid, seen["Rosa"])[0] > 0.75)
    True
    """
    from scipy.special import betainc

    kept = weights > weights.max() * 1e-5
    a, b = (parameter[kept] for parameter in grid.precisions())
    known = weights[kept] / weights[kept].sum()
    log_odds = grid.log_odds
    low = np.full(len(chances), log_odds[0])
    high = np.full(len(chances), log_odds[-1])
    for _ in range(22):
        middle = (low + high) / 2
        is_below = betainc(a, b, share_of_logit(middle)[:, None]) @ known < np.asarray(chances)
        low, high = np.where(is_below, middle, low), np.where(is_below, high, middle)
    return share_of_logit((low + high) / 2)
