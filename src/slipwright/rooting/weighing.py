"""Draws of a batch's two clocks, weighed by the looks that the draws do not know yet."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from slipwright.rooting.counts import BatchCounts
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import LEVELS, ClockDraws, Kind, Learned
from slipwright.rooting.likelihood import N_NUMBERS, jet_of, log_likelihood
from slipwright.rooting.ranges import Array, Counts
from slipwright.rooting.spells import Segments, segments_of

#: share of the draws that must count after weighing; below it they are drawn anew, nearer to the looks
LEAST_EFFECTIVE = 0.1
#: Newton steps towards the looks, halvings of one, and the gain in log density that is none
_STEPS, _MOST_SHORTER, _NO_GAIN = 25, 4, 1e-3
#: how much wider is drawn than was fitted, and the share drawn as was believed
_WIDER, _OLD_SHARE = 1.15, 0.1
#: the least precision of what is fitted, in that of what was believed
_LEAST_PRECISION = 0.5
#: draws of the spreads that stand for all, and a variance too small to matter
_SPREADS, _LEAST_VARIANCE = 32, 1e-8
#: rows of level in the six numbers of a batch: of rooting, of loss
_LEVELS = [0, 3]


def effective_share(log_weight: Array) -> float:
    """Return the share of the draws that count.

    Parameters
    ----------
    log_weight : array of shape (n_draws,)
        Logarithms of the weights, to a constant [-].

    Returns
    -------
    float
        (sum w)^2 / (n sum w^2) [-].

    References
    ----------
    Kish L. 1965, Survey Sampling (from memory).

    Examples
    --------
    >>> effective_share(np.zeros(8))
    1.0
    """
    weight = np.exp(log_weight - log_weight.max())
    return float(weight.sum() ** 2 / (len(weight) * np.sum(weight**2)))


def weighed_clocks(learned: Learned, record: BatchRecord, generator: np.random.Generator) -> ClockDraws:
    """Draws of a batch's two clocks, equally weighted, that fit all its looks.

    Parameters
    ----------
    learned : Learned
        What is known; of the batch itself it may know some looks already (``looks_seen``).
    record : BatchRecord
        The batch and its looks in the order of days.
    generator : numpy.random.Generator
        Where the draws come from.

    Returns
    -------
    ClockDraws
        As many draws as ``learned`` has.

    Notes
    -----
    ln weight = ln L(all looks) - ln L(looks known already), so no look counts twice, whatever was left
    empty.  If fewer than a tenth of the draws count, the batch's six numbers (level, slope and bend of both
    clocks) are drawn anew: nine in ten from the normal at the mode that the looks give them (Newton's
    method), the rest as believed; each is weighed by belief x likelihood over the density drawn from.  The
    belief is a mixture of normals with one mean: covariance of what the draws know, plus that of the effects
    they only have spreads of, for 32 draws of the spreads.  Draws are then picked in proportion, evenly
    spaced.

    References
    ----------
    Importance weights: Geweke J. 1989, Econometrica 57:1317-1339 (from memory).

    Examples
    --------
    >>> from datetime import date
    >>> from slipwright.rooting.counts import LookCounts
    >>> from slipwright.rooting.cuttings import Cuttings
    >>> from slipwright.rooting.learned import prior_draws
    >>> counts = BatchCounts(date(2026, 9, 1), 10, (LookCounts(date(2026, 9, 22), 6, 0),))
    >>> record = BatchRecord(Cuttings(), Kind("Rosa", "Rosa", "semi-hardwood", "2026"), counts)
    >>> prior, rng = prior_draws(np.random.default_rng(1), 400), np.random.default_rng(2)
    >>> before = prior.clocks(record.cuttings, record.kind)
    >>> bool(weighed_clocks(prior, record, rng).level[0].mean() > before.level[0].mean())
    True
    """
    clocks = learned.clocks(record.cuttings, record.kind)
    looks = _Looks(record.counts, _n_looks_seen(learned, record.kind), clocks)
    if looks.says_nothing:
        return clocks
    numbers = _numbers(clocks)
    log_weight = looks.log_chance(numbers)
    if effective_share(log_weight) < LEAST_EFFECTIVE:
        nearer, its_weight = _drawn_anew(learned, record.kind, looks, numbers, generator)
        if effective_share(its_weight) > effective_share(log_weight):
            numbers, log_weight = nearer, its_weight
    picked = _picked(log_weight, generator)
    level, slope, bend = (numbers[[part, part + 3]][:, picked] for part in range(3))
    return ClockDraws(level, slope, bend, clocks.cells)


def _n_looks_seen(learned: Learned, kind: Kind) -> int:
    """Return how many of a batch's first looks the draws know already [1]."""
    node = kind.path[-1]
    return learned.looks_seen.get(node, 0) if kind.batch and node in learned.nodes else 0


class _Looks:
    """What all looks say less what the known ones said."""

    def __init__(self, counts: BatchCounts, n_seen: int, clocks: ClockDraws) -> None:
        before = BatchCounts(counts.stuck_on, counts.n_stuck, counts.looks[:n_seen])
        self.parts: list[tuple[Segments, float]] = []
        if n_seen < len(counts.looks):
            told = [(segments_of([counts], clocks.cells), 1.0)]
            if n_seen:
                told.append((segments_of([before], clocks.cells), -1.0))
            self.parts = [(seen, sign) for seen, sign in told if len(seen.batch)]
        self.says_nothing = not self.parts

    def log_chance(self, numbers: Array) -> Array:
        """Logarithm of the chance of what is new, by draw."""
        points = numbers[:, :, None]
        found = sum(sign * log_likelihood(seen, points)[:, 0] for seen, sign in self.parts)
        return np.asarray(found)

    def jet(self, numbers: Array) -> tuple[float, Array, Array]:
        """Return the same at one point (6,), with its slope (6,) and curvature (6, 6)."""
        value, slope, curve = 0.0, np.zeros(N_NUMBERS), np.zeros((N_NUMBERS, N_NUMBERS))
        for seen, sign in self.parts:
            jet = jet_of(seen, numbers[:, None, None])
            assert jet.slope is not None
            assert jet.curve is not None
            value += sign * float(jet.value[0, 0])
            slope += sign * jet.slope[:, 0, 0]
            curve += sign * jet.curve[:, :, 0, 0]
        return value, slope, curve


def _numbers(clocks: ClockDraws) -> Array:
    """Level, slope and bend of rooting and of loss, (6, n_draws)."""
    return np.concatenate([[clocks.level[i], clocks.slope[i], clocks.bend[i]] for i in (0, 1)])


@dataclass(frozen=True, slots=True)
class _Believed:
    """What is believed of a batch's six numbers before the new looks: normals with one mean."""

    mean: Array
    #: covariance of all numbers, the effects that were only drawn with their mean variance, (6, 6)
    spread: Array
    #: covariances by some draws of the spreads, (n_spreads, 6, 6)
    spreads: Array

    def log_density(self, numbers: Array) -> Array:
        """Logarithm of the density, by draw; the normals' constant left out."""
        root = np.linalg.cholesky(self.spreads)
        score = np.linalg.solve(root, numbers - self.mean[:, None])
        size = np.log(np.diagonal(root, axis1=1, axis2=2)).sum(axis=1)
        each = -0.5 * np.sum(score**2, axis=1) - size[:, None]
        return np.asarray(np.logaddexp.reduce(each, axis=0) - math.log(len(size)))


def _believed(learned: Learned, kind: Kind, numbers: Array) -> _Believed:
    """Part the draws into what is known, near enough normal, and effects of which only spreads are known."""
    path = kind.path
    known = max((depth for depth, node in enumerate(path) if node in learned.nodes), default=-1)
    drawn = np.zeros((2, learned.n_draws))
    square = np.zeros((2, 2, learned.n_draws))
    for depth in range(known + 1, len(LEVELS)):
        sd, score = learned.spreads[LEVELS[depth]], learned.noise[depth]
        square[[0, 1], [0, 1]] += sd**2
        if LEVELS[depth] == "batch":
            together = learned.batch_together
            score = np.stack([score[0], together * score[0] + np.sqrt(1 - together**2) * score[1]])
            square[[0, 1], [1, 0]] += together * sd[0] * sd[1]
        drawn += sd * score
    sure = numbers.copy()
    sure[_LEVELS] -= drawn
    spread = np.cov(sure) + _LEAST_VARIANCE * np.eye(N_NUMBERS)
    in_order = np.argsort(square[0, 0] + square[1, 1])
    chosen = in_order[((np.arange(_SPREADS) + 0.5) * len(in_order) / _SPREADS).astype(int)]
    return _Believed(
        sure.mean(axis=1), spread + _in_levels(square.mean(axis=2)), spread + _in_levels(square[:, :, chosen])
    )


def _in_levels(square: Array) -> Array:
    """Put covariances of the two levels, (2, 2, ...), into those of all numbers, (..., 6, 6)."""
    found = np.zeros((*square.shape[2:], N_NUMBERS, N_NUMBERS))
    for i, row in enumerate(_LEVELS):
        for j, column in enumerate(_LEVELS):
            found[..., row, column] = square[i, j]
    return found


def _drawn_anew(
    learned: Learned, kind: Kind, looks: _Looks, numbers: Array, generator: np.random.Generator
) -> tuple[Array, Array]:
    """Draw the six numbers anew around the mode that the looks give them; return them and log weights."""
    believed = _believed(learned, kind, numbers)
    mode, precision = _mode(believed, looks)
    root = np.linalg.cholesky(np.linalg.inv(precision)) * _WIDER
    # a few as believed, so that nothing is cut off
    n, n_old = numbers.shape[1], int(_OLD_SHARE * numbers.shape[1])
    fresh = mode[:, None] + root @ generator.standard_normal((N_NUMBERS, n - n_old))
    drawn = np.concatenate([numbers[:, :n_old], fresh], axis=1)
    score = np.linalg.solve(root, drawn - mode[:, None])
    log_fresh = -0.5 * np.sum(score**2, axis=0) - math.log(np.prod(np.diag(root)))
    log_believed = believed.log_density(drawn)
    log_from = np.logaddexp(math.log(_OLD_SHARE) + log_believed, math.log1p(-_OLD_SHARE) + log_fresh)
    return drawn, looks.log_chance(drawn) + log_believed - log_from


def _mode(believed: _Believed, looks: _Looks) -> tuple[Array, Array]:
    """Newton's method from the mean of what is believed; return the mode and the precision there."""
    prior = np.asarray(np.linalg.inv(believed.spread), dtype=np.float64)
    at, precision = believed.mean, prior
    best, step, shorter = -math.inf, np.zeros(N_NUMBERS), 0
    for _ in range(_STEPS):
        chance, slope, curve = looks.jet(at)
        away = at - believed.mean
        value = chance - 0.5 * float(away @ prior @ away)
        if value < best - _NO_GAIN and shorter < _MOST_SHORTER:
            step, shorter = step / 2, shorter + 1
            at = at - step
            continue
        gain, best, shorter = value - best, max(value, best), 0
        precision = _firm(prior - curve, prior)
        if gain < _NO_GAIN:
            break
        step = np.asarray(np.linalg.solve(precision, slope - prior @ away), dtype=np.float64)
        at = at + step
    return at, precision


def _firm(precision: Array, prior: Array) -> Array:
    """Lift what the looks leave flatter than a part of what was believed."""
    root = np.linalg.cholesky(prior)
    inverse = np.linalg.inv(root)
    values, vectors = np.linalg.eigh(inverse @ precision @ inverse.T)
    lifted = (vectors * np.maximum(values, _LEAST_PRECISION)) @ vectors.T
    return np.asarray(root @ lifted @ root.T)


def _picked(log_weight: Array, generator: np.random.Generator) -> Counts:
    """Places of the draws picked in proportion to their weights, evenly spaced."""
    n = len(log_weight)
    weight = np.exp(log_weight - log_weight.max())
    ladder = (np.arange(n) + generator.random()) / n
    return np.searchsorted(np.cumsum(weight) / weight.sum(), ladder).clip(max=n - 1)
