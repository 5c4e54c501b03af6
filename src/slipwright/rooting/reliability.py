"""Whether forecasts come as often as they say: by level, with a band for what chance alone may do."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from slipwright.rooting.ranges import Array
from slipwright.rooting.scoring import LEVELS, MIDDLE, chance_to_hold, held, places_among

#: how often the band holds the points of forecasts that are right
COVER = 0.8
#: the same of the band outside of which forecasts are called wrong
SURE = 0.95


@dataclass(frozen=True, slots=True)
class Reliability:
    """What came of some forecasts, level by level.

    ``came`` is by level the share of numbers that lay at or below the forecast's point, ``low`` and ``high``
    where it lies 8 times in 10 if the forecasts are right. ``n_held`` of ``n`` ranges held what came, of
    which ``n_expected`` were to be expected, ``held_low`` to ``held_high`` 8 times in 10, ``held_sure`` 95
    times in 100; ``middle_sure`` is the same of the share that lay at or below the middle. ``n_batches`` are
    those that were told apart.
    """

    n: int
    n_batches: int
    came: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]
    n_held: int
    n_expected: float
    held_low: float
    held_high: float
    held_sure: tuple[float, float]
    middle_sure: tuple[float, float]


def reliability(
    points: NDArray[Any], came: NDArray[Any], batches: Sequence[Hashable], n_stuck: NDArray[Any]
) -> Reliability:
    """Hold forecasts against what came.

    Parameters
    ----------
    points : array of shape (n, 19)
        Points of each forecast at `slipwright.rooting.scoring.LEVELS` [1].
    came : array of shape (n,)
        What came [1].
    batches : sequence
        The batch each was of; what stands and falls together has one name.
    n_stuck : array of shape (n,)
        Cuttings stuck of each [1].

    Returns
    -------
    Reliability
        Shares and their bands.

    Raises
    ------
    ValueError
        If there are no forecasts.

    Notes
    -----
    Numbers on a point are shared out as `slipwright.rooting.scoring.places_among` has it.  The bands are
    those of `chance_band`: forecasts of one batch hit or miss together.

    References
    ----------
    Gneiting T., Balabdaoui F. and Raftery A.E. 2007, Probabilistic forecasts, calibration and sharpness,
    Journal of the Royal Statistical Society B 69:243-268 (from memory).

    Examples
    --------
    >>> batches, n_stuck = list("abcdefghijklmnopqrst"), np.full(20, 30)
    >>> found = reliability(np.array([range(1, 20)] * 20), np.arange(0.5, 20), batches, n_stuck)
    >>> found.came == LEVELS, found.n_held
    (True, 16)
    """
    if not len(batches):
        raise ValueError("no forecasts to hold against what came")
    n = len(batches)
    shares = places_among(points, came, n_stuck).mean(axis=0).cumsum()[:-1]
    bands = [chance_band(level, batches) for level in LEVELS]
    chances = chance_to_hold(points, n_stuck)
    expected = float(chances.mean())
    low, high = _held_band(expected, batches)
    sure_low, sure_high = _held_band(expected, batches, cover=SURE)
    return Reliability(
        n=n,
        n_batches=len(set(batches)),
        came=tuple(shares.round(6).tolist()),
        low=tuple(band[0] for band in bands),
        high=tuple(band[1] for band in bands),
        n_held=int(held(points, came).sum()),
        n_expected=expected * n,
        held_low=low * n,
        held_high=high * n,
        held_sure=(sure_low * n, sure_high * n),
        middle_sure=chance_band(LEVELS[MIDDLE], batches, cover=SURE),
    )


def _held_band(expected: float, batches: Sequence[Hashable], *, cover: float = COVER) -> tuple[float, float]:
    # ranges of few cuttings may reach from none to all: each of them is sure to hold
    return (1.0, 1.0) if expected >= 1 else chance_band(expected, batches, cover=cover)


def chance_band(level: float, batches: Sequence[Hashable], *, cover: float = COVER) -> tuple[float, float]:
    """Where the share of forecasts that come lies by chance, if it should be a level.

    Parameters
    ----------
    level : float
        How often they should come [-].
    batches : sequence
        The batch each forecast was of.
    cover : float
        How often the share lies in the band [-].

    Returns
    -------
    tuple of two float
        Lower and upper end of the share, in whole forecasts: at most (1 - cover) / 2 lie beyond each [-].

    Raises
    ------
    ValueError
        If the level does not lie between 0 and 1.

    Notes
    -----
    Beta-binomial with mean ``level`` and the correlation of any two forecasts that makes its variance that of
    batches whose forecasts all come or all fail: with m_b of batch b, n in all,
    r = sum m_b (m_b - 1) / (n (n - 1)).  So many forecasts of few batches make no narrow band.  With one
    forecast a batch it is the binomial.  What batches of one season have in common is not reckoned with.

    References
    ----------
    Beta-binomial: Skellam J.G. 1948, Journal of the Royal Statistical Society B 10:257-261 (from memory); the
    correlation of 1 within a batch is our own, and careful.

    Examples
    --------
    >>> chance_band(0.5, ["a", "b", "c", "d"])
    (0.25, 0.75)
    >>> chance_band(0.5, ["a", "a", "a", "a"])
    (0.0, 1.0)
    """
    if not 0 < level < 1:
        raise ValueError(f"a level lies between 0 and 1, not at {level:g}")
    n = len(batches)
    together = sum(m * (m - 1) for m in Counter(batches).values()) / max(n * (n - 1), 1)
    chance = _beta_binomial(n, level, together).cumsum()
    beyond = (1 - cover) / 2
    low = int(np.searchsorted(chance, beyond, side="right"))
    high = int(np.searchsorted(chance, 1 - beyond - 1e-12))
    return min(low, n) / n, min(high, n) / n


def _beta_binomial(n: int, mean: float, together: float) -> Array:
    """Chances of 0 to n, given their mean share and the correlation of any two, from number to number."""
    k = np.arange(n)
    step = np.log((n - k) / (k + 1))
    if together >= 1:
        found = np.zeros(n + 1)
        found[0] += 1 - mean
        found[-1] += mean
        return found
    if together <= 0:
        step += math.log(mean / (1 - mean))
    else:
        size = 1 / together - 1
        step += np.log((k + mean * size) / (n - k - 1 + (1 - mean) * size))
    log = np.concatenate([[0.0], np.cumsum(step)])
    chances = np.exp(log - log.max())
    return np.asarray(chances / chances.sum())
