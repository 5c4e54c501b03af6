"""How many of a batch will be ready, scenario by scenario."""

from __future__ import annotations

import hashlib

import numpy as np
from numpy.typing import NDArray

Shares = NDArray[np.float32]


def counts_ready(ready: Shares, n_stuck: NDArray[np.int64] | int, z: Shares) -> Shares:
    """How many of a batch are ready, from one standard normal score a scenario.

    Parameters
    ----------
    ready : array of shape (..., n_scenarios)
        Share of the cuttings stuck that become ready [-].
    n_stuck : int or array that broadcasts
        Cuttings stuck [1].
    z : array of shape (..., n_scenarios)
        Standard normal scores [-].

    Returns
    -------
    array of shape (..., n_scenarios)
        Whole numbers from 0 to ``n_stuck`` [1].

    Notes
    -----
    floor(n q + z s + (1 - 2 q)(z^2 - 1)/6 + 1/2) with s = sqrt(n q (1 - q)): the first two terms of Cornish
    and Fisher's series for a binomial count, the second times s where s is below 1, rounded to whole
    plants. The chance of so many or more is in error
    by less than 0.02 for n q (1 - q) above 1.

    References
    ----------
    E. A. Cornish, R. A. Fisher, Moments and cumulants in the specification of distributions, 1938:
    from memory.

    Examples
    --------
    >>> q = np.array([0.5, 0.5, 1.0], np.float32)
    >>> counts_ready(q, 20, np.array([0.0, 1.0, 1.0], np.float32)).tolist()
    [10.0, 12.0, 20.0]
    """
    n = np.asarray(n_stuck, np.float32)
    mean = n * ready
    sd = np.sqrt(mean * (1 - ready))
    counts = z * sd
    counts += mean
    counts += (1 - 2 * ready) * np.minimum(sd, 1) * ((z * z - 1) / 6)
    counts += np.float32(0.5)
    np.floor(counts, out=counts)
    clipped: Shares = np.clip(counts, 0, n, out=counts)
    return clipped


def scores_of(seed: int, n_scenarios: int, *what: str) -> Shares:
    """Return standard normal scores of one option, the same at every asking.

    Parameters
    ----------
    seed : int
        Seed of the programme [1].
    n_scenarios : int
        Scenarios [1].
    *what : str
        What they are for: the ids of a want and an option.

    Returns
    -------
    array of shape (n_scenarios,)
        Scores [-].

    References
    ----------
    Our own: a digest of the ids and the seed starts the generator.

    Examples
    --------
    >>> bool((scores_of(1, 4, "w", "a") == scores_of(1, 4, "w", "a")).all())
    True
    """
    scores: Shares = generator_of(seed, *what).standard_normal(n_scenarios, dtype=np.float32)
    return scores


def generator_of(seed: int, *what: str) -> np.random.Generator:
    """Return a generator of random numbers that depends on a seed and on what it is for.

    Parameters
    ----------
    seed : int
        Seed of the programme [1].
    *what : str
        What the numbers are for.

    Returns
    -------
    numpy.random.Generator
        Started by their digest.

    References
    ----------
    Our own.

    Examples
    --------
    >>> generator_of(1, "a").integers(100) == generator_of(1, "a").integers(100)
    np.True_
    """
    digest = hashlib.sha256("\x1f".join((str(seed), *what)).encode()).digest()
    return np.random.default_rng(int.from_bytes(digest[:16], "big"))


def tenths_of(counts: NDArray[np.integer]) -> tuple[int, int, int]:
    """Return the numbers that at most a tenth, half and nine tenths of the draws lie below.

    Parameters
    ----------
    counts : array of shape (n_draws,)
        Whole numbers, by draw [1].

    Returns
    -------
    tuple of int
        Least, middle and most of a range that holds 8 times in 10 [1].

    Notes
    -----
    Numbers that were drawn, none between two of them.

    References
    ----------
    Definition.

    Examples
    --------
    >>> tenths_of(np.arange(11))
    (1, 5, 9)
    """
    low, middle, high = np.quantile(counts, (0.1, 0.5, 0.9), method="inverted_cdf").tolist()
    return int(low), int(middle), int(high)
