"""A batch's six numbers drawn anew, nearer to its looks: where draws weighed by them would be too few."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from slipwright.rooting.learned import LEVELS, Kind, Learned
from slipwright.rooting.likelihood import N_NUMBERS, jet_of, log_likelihood
from slipwright.rooting.ranges import Array
from slipwright.rooting.spells import Segments
from slipwright.rooting.told import LEVEL_ROWS, Told

#: Newton steps towards the looks, halvings of one, and the gain in log density that is none
_STEPS, _MOST_SHORTER, _NO_GAIN = 25, 4, 1e-3
#: how much wider is drawn than was fitted, and the share drawn as was believed
_WIDER, _OLD_SHARE = 1.15, 0.1
#: the least precision of what is fitted, in that of what was believed
_LEAST_PRECISION = 0.5
#: draws of the spreads that stand for all, and a variance too small to matter
_SPREADS, _LEAST_VARIANCE = 32, 1e-8


def drawn_anew(
    learned: Learned, kind: Kind, told: Told, generator: np.random.Generator
) -> tuple[Array, Array]:
    """Draws of a batch's six numbers around the mode that its looks give them, and their log weights.

    Parameters
    ----------
    learned : Learned
        What the draws are of.
    kind : Kind
        Where the batch stands among plants.
    told : Told
        Its looks as they stand, and those the draws were told of, of which none was taken back.
    generator : numpy.random.Generator
        Where the draws come from.

    Returns
    -------
    tuple of array of shape (6, n_draws) and array of shape (n_draws,)
        Level, slope and bend of rooting, then of loss, and logarithms of weights [-].

    Notes
    -----
    Nine in ten are drawn from the normal at the mode (Newton's method), the rest as believed; each is
    weighed by belief x likelihood over the density drawn from.  The belief is a mixture of normals with one
    mean: covariance of what the draws know, plus that of the effects they only have spreads of, for 32 draws
    of the spreads.

    References
    ----------
    Importance weights: Geweke J. 1989, Econometrica 57:1317-1339 (from memory).

    Examples
    --------
    >>> from datetime import date
    >>> from slipwright.rooting.counts import BatchCounts, LookCounts
    >>> from slipwright.rooting.cuttings import Cuttings
    >>> from slipwright.rooting.history import BatchRecord
    >>> from slipwright.rooting.learned import prior_draws
    >>> from slipwright.rooting.told import told_of
    >>> counts = BatchCounts(date(2026, 9, 1), 10, (LookCounts(date(2026, 9, 22), 6, 0),))
    >>> record = BatchRecord(Cuttings(), Kind("Rosa", "Rosa", "semi-hardwood", "2026"), counts)
    >>> prior, rng = prior_draws(np.random.default_rng(1), 400), np.random.default_rng(2)
    >>> told = told_of(prior, record, prior.clocks(record.cuttings, record.kind))
    >>> drawn_anew(prior, record.kind, told, rng)[0].shape
    (6, 400)
    """
    looks = _Looks(told.stands, told.known)
    believed = _believed(learned, kind, told.numbers)
    mode, precision = _mode(believed, looks)
    root = np.linalg.cholesky(np.linalg.inv(precision)) * _WIDER
    # a few as believed, so that nothing is cut off
    n_old = int(_OLD_SHARE * learned.n_draws)
    fresh = mode[:, None] + root @ generator.standard_normal((N_NUMBERS, learned.n_draws - n_old))
    drawn = np.concatenate([told.numbers[:, :n_old], fresh], axis=1)
    score = np.linalg.solve(root, drawn - mode[:, None])
    log_fresh = -0.5 * np.sum(score**2, axis=0) - math.log(np.prod(np.diag(root)))
    log_believed = believed.log_density(drawn)
    log_from = np.logaddexp(math.log(_OLD_SHARE) + log_believed, math.log1p(-_OLD_SHARE) + log_fresh)
    return drawn, looks.log_chance(drawn) + log_believed - log_from


class _Looks:
    """The chance of looks, given those known."""

    def __init__(self, looks: Segments, known: Segments) -> None:
        self.parts = [(seen, sign) for seen, sign in ((looks, 1.0), (known, -1.0)) if len(seen.batch)]

    def log_chance(self, numbers: Array) -> Array:
        """Logarithm of the chance, by draw."""
        points = numbers[:, :, None]
        found = np.zeros(numbers.shape[1])
        for seen, sign in self.parts:
            found += sign * log_likelihood(seen, points)[:, 0]
        return found

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
    for depth in range(known + 1, len(LEVELS)):
        drawn += learned.spreads[LEVELS[depth]] * learned.scores(depth)
    square = learned.covariance_below(known)
    sure = numbers.copy()
    sure[LEVEL_ROWS] -= drawn
    spread = np.cov(sure) + _LEAST_VARIANCE * np.eye(N_NUMBERS)
    in_order = np.argsort(square[0, 0] + square[1, 1])
    chosen = in_order[((np.arange(_SPREADS) + 0.5) * len(in_order) / _SPREADS).astype(int)]
    return _Believed(
        sure.mean(axis=1), spread + _in_levels(square.mean(axis=2)), spread + _in_levels(square[:, :, chosen])
    )


def _in_levels(square: Array) -> Array:
    """Put covariances of the two levels, (2, 2, ...), into those of all numbers, (..., 6, 6)."""
    found = np.zeros((*square.shape[2:], N_NUMBERS, N_NUMBERS))
    for i, row in enumerate(LEVEL_ROWS):
        for j, column in enumerate(LEVEL_ROWS):
            found[..., row, column] = square[i, j]
    return found


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
