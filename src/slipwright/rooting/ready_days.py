"""Days until potted plants have come so far: the handbook's range, moved by what a garden saw.

Days are counted in *scores*: how many of the handbook's own standard deviations above its middle they
lie, below and above it apart.  A score is the sum of what a genus, a plant, a batch and a single
young plant have in common, all normal, so the woods of a plant teach each other and no record leaves
the handbook's range as it stands.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from slipwright.rooting.ranges import Array, SplitNormal, normal_cdf, split_normal
from slipwright.rooting.share_prior import gaussian_steps

#: shares of the variance of a score: between genera, plants of one, batches of one, young plants of one
GENUS, TAXON, BATCH, EACH = 0.3, 0.2, 0.3, 0.2
#: scores on the grid, how far it reaches
_N_SCORES, _REACH = 161, 8.0
#: a chance below this is a slip of the pen, and says nothing
_SLIP = 1e-6
_SCORES = np.linspace(-_REACH, _REACH, _N_SCORES)


@dataclass(frozen=True, slots=True)
class Came:
    """Young plants of one batch that came so far between two scores; ``late`` is infinite for not yet."""

    early: float
    late: float
    n: float


def days_curve(p10: float, p50: float, p90: float) -> SplitNormal:
    """Curve of the logarithm of days through a handbook's three points.

    Parameters
    ----------
    p10, p50, p90 : float
        Days; less than half a day counts as half a day [days].

    Returns
    -------
    SplitNormal
        On the scale of ln days.

    Notes
    -----
    As `slipwright.rooting.ranges.split_normal`.

    References
    ----------
    Our own: common practice, no source.

    Examples
    --------
    >>> round(float(np.exp(days_curve(7, 12, 21).median)), 6)
    12.0
    """
    return split_normal(*(math.log(max(days, 0.5)) for days in (p10, p50, p90)))


def score_of_days(curve: SplitNormal, days: float) -> float:
    """Score of a number of days.

    Parameters
    ----------
    curve : SplitNormal
        The handbook's, on ln days.
    days : float
        Days; nought or less lies before all scores, infinity after all [days].

    Returns
    -------
    float
        The score [-].

    Notes
    -----
    (ln days - middle) / sd, with the sd of the side it lies on.

    References
    ----------
    Definition.

    Examples
    --------
    >>> round(score_of_days(days_curve(7, 12, 21), 21), 3)
    1.282
    """
    if days <= 0 or math.isinf(days):
        return math.inf if days > 0 else -math.inf
    return float(curve.score(np.array(math.log(days))))


@cache
def _steps(share: float) -> Array:
    return gaussian_steps(_SCORES, math.sqrt(share))


def _log_chances(batches: Sequence[Sequence[Came]]) -> Array:
    """Log chances of what some batches' plants did, by its score: (n_batches, n_scores)."""
    rows = [(k, one.early, one.late, one.n) for k, came in enumerate(batches) for one in came]
    of, early, late, n = (np.array(column) for column in zip(*sorted(rows), strict=True))
    edges = np.clip(np.stack([early, late]), -4 * _REACH, 4 * _REACH)
    below = normal_cdf((edges[:, :, None] - _SCORES) / math.sqrt(EACH))
    logs = n[:, None] * np.log(np.maximum(below[1] - below[0], _SLIP))
    total = np.zeros((len(batches), _N_SCORES))
    np.add.at(total, of, logs)
    return total


def learn_scores(
    plants: Mapping[str, Sequence[Sequence[Came]]], weights: Mapping[str, float] | None = None
) -> dict[str, Array]:
    """Weights of the score of each plant of a genus after what its batches did.

    Parameters
    ----------
    plants : mapping of str to sequence of sequence of Came
        By plant, by batch, when its young plants came so far.
    weights : mapping of str to float, optional
        How much the records of each plant count, 0 to 1; wholly if left out [-].

    Returns
    -------
    dict of str to array of shape (n_scores,)
        Weights on an even grid of scores from -8 to 8, which sum to 1 [-]; of every plant, and under an
        empty name of one never seen.

    Notes
    -----
    Sums on the grid, handed up from young plants to batch, plant and genus and down again; the steps
    are normal with variances .2, .3, .2 and .3 of a score's.  A plant not yet there counts as later than
    the day it was last seen. A plant of weight w counts as its chance to the power w.

    References
    ----------
    Our own shares: common practice, no source.

    Examples
    --------
    >>> slow = learn_scores({"Rosa": [[Came(0.9, 1.1, 10)], [Came(0.8, 1.2, 8)]]})
    >>> 0 < mean_score(slow[""]) < mean_score(slow["Rosa"]) < 1
    True
    """
    prior = np.exp(-0.5 * _SCORES**2 / GENUS)
    own, up = {}, {}
    for name in sorted(plants):
        logs = np.zeros(_N_SCORES)
        if batches := [came for came in plants[name] if came]:
            chances = _log_chances(batches)
            # numbers too small for a float's full digits would slow the product down a hundred times
            chance = np.exp(np.maximum(chances - chances.max(axis=1, keepdims=True), -300)) @ _steps(BATCH).T
            logs = np.log(np.maximum(chance, 1e-300)).sum(axis=0) * (weights or {}).get(name, 1.0)
        own[name] = np.exp(logs - logs.max())
        up[name] = np.log(np.maximum(_steps(TAXON) @ own[name], 1e-300))
    together = sum(up.values(), np.log(np.maximum(prior, 1e-300)))
    found: dict[str, Array] = {}
    for name in [*own, ""]:
        logs = together - up[name] if name else together
        chance = _steps(TAXON).T @ np.exp(logs - logs.max())
        if name:
            chance = chance * own[name]
        found[name] = chance / chance.sum()
    return found


def mean_score(weights: Array) -> float:
    """Mean of a plant's score.

    Parameters
    ----------
    weights : array of shape (n_scores,)
        As `learn_scores` gives them [-].

    Returns
    -------
    float
        The mean [-].

    References
    ----------
    Definition.

    Examples
    --------
    >>> abs(mean_score(learn_scores({})[""])) < 1e-12
    True
    """
    return float(weights @ _SCORES)


def var_score(weights: Array) -> float:
    """Variance of a plant's score.

    Parameters
    ----------
    weights : array of shape (n_scores,)
        As `learn_scores` gives them [-].

    Returns
    -------
    float
        The variance; .5 before any record [-].

    References
    ----------
    Definition.

    Examples
    --------
    >>> round(var_score(learn_scores({})[""]), 6)
    0.5
    """
    return float(weights @ (_SCORES - mean_score(weights)) ** 2)


def points_of_days(curve: SplitNormal, weights: Array, chances: Sequence[float] = (0.1, 0.5, 0.9)) -> Array:
    """Points of the days of a young plant of a batch not yet stuck.

    Parameters
    ----------
    curve : SplitNormal
        The handbook's, on ln days.
    weights : array of shape (n_scores,)
        What is known of the plant [-].
    chances : sequence of float
        Which points [-].

    Returns
    -------
    array of shape (n_chances,)
        Days [days].

    Notes
    -----
    Where the mixture of normals passes each chance, by bisection; its score put back on the curve.

    References
    ----------
    Definition.

    Examples
    --------
    >>> points_of_days(days_curve(7, 12, 21), learn_scores({})[""]).round(3).tolist()
    [7.0, 12.0, 21.0]
    """
    sd = math.sqrt(BATCH + EACH)
    low, high = (np.full(len(chances), edge) for edge in (-2 * _REACH, 2 * _REACH))
    for _ in range(32):
        middle = (low + high) / 2
        below = normal_cdf((middle[:, None] - _SCORES) / sd) @ weights < np.asarray(chances)
        low, high = np.where(below, middle, low), np.where(below, high, middle)
    return np.asarray(np.exp(curve.at((low + high) / 2)))


def days_draws(curve: SplitNormal, weights: Array, generator: np.random.Generator, n_draws: int) -> Array:
    """Days of young plants of batches not yet stuck, each of another draw.

    Parameters
    ----------
    curve : SplitNormal
        The handbook's, on ln days.
    weights : array of shape (n_scores,)
        What is known of the plant [-].
    generator : numpy.random.Generator
        Where the draws come from.
    n_draws : int
        How many [1].

    Returns
    -------
    array of shape (n_draws,)
        Days [days].

    References
    ----------
    Definition.

    Examples
    --------
    >>> drawn = days_draws(days_curve(7, 12, 21), learn_scores({})[""], np.random.default_rng(1), 4000)
    >>> abs(float(np.median(drawn)) - 12) < 0.4
    True
    """
    scores = generator.choice(_SCORES, size=n_draws, p=weights / weights.sum())
    scores = scores + math.sqrt(BATCH + EACH) * generator.standard_normal(n_draws)
    return np.asarray(np.exp(curve.at(scores)))
