"""How likely what draws were told of a batch is by each draw, whatever the batch's own effect may be."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np

from slipwright.rooting.learned import Kind, Learned
from slipwright.rooting.likelihood import jet_of, log_likelihood
from slipwright.rooting.ranges import Array
from slipwright.rooting.spells import Segments, segments_of
from slipwright.rooting.told import LEVEL_ROWS, numbers_of

#: Newton steps to the likeliest effect, and the least curvature of its log density in scores
_STEPS, _LEAST_CURVE = 12, 0.5
#: a step in scores that leads nowhere any more
_CLOSE = 0.02
#: points of the sum over each of the two effects
_POINTS = 3
#: a variance too small to matter
_LEAST_VARIANCE = 1e-8


def log_chance_of_seen(learned: Learned, kind: Kind) -> Array:
    """Logarithm of the chance of all that draws were told of a batch, its own effect summed out.

    Parameters
    ----------
    learned : Learned
        The draws; what they were told of the batch is in ``seen``.
    kind : Kind
        Where the batch stands among plants.

    Returns
    -------
    array of shape (n_draws,)
        ln of the integral of L(looks | draw, effect) p(effect | draw) over the batch's two effects, and
        over those of the levels above it that have no node [-].

    Notes
    -----
    The effects are a root of their covariance times two scores.  By draw, Newton's method from the effect
    drawn leads to the likeliest scores; there three points a score of Gauss-Hermite quadrature, scaled by the
    curvature, sum the rest.

    References
    ----------
    Adaptive quadrature: Naylor J.C. and Smith A.F.M. 1982, Applied Statistics 31:214-225 (from memory).

    Examples
    --------
    >>> from datetime import date
    >>> from slipwright.rooting.counts import BatchCounts, LookCounts
    >>> from slipwright.rooting.cuttings import Cuttings
    >>> from slipwright.rooting.learned import Seen, prior_draws
    >>> kind = Kind("Rosa", "Rosa", "hardwood", "2026", "K7Q2M9T3")
    >>> counts = BatchCounts(date(2026, 9, 1), 10, (LookCounts(date(2026, 9, 22), 6, 0),))
    >>> prior, node = prior_draws(np.random.default_rng(1), 50), kind.path[-1]
    >>> nodes, seen = {node: np.zeros((2, 50))}, {node: Seen(counts, Cuttings().terms())}
    >>> log_chance_of_seen(replace(prior, nodes=nodes, seen=seen), kind).shape
    (50,)
    """
    path = kind.path
    seen = learned.seen[path[-1]]
    looks = segments_of([seen.counts], learned.cells)
    numbers = numbers_of(learned.clocks_of(seen.terms, replace(kind, offset=seen.offset)))
    above = max((depth for depth, node in enumerate(path[:-1]) if node in learned.nodes), default=-1)
    effects = learned.nodes[path[-1]].copy()
    if above >= 0:
        effects -= learned.nodes[path[above]]
    numbers[LEVEL_ROWS] -= effects
    square = np.moveaxis(learned.covariance_below(above), -1, 0) + _LEAST_VARIANCE * np.eye(2)
    root = np.asarray(np.linalg.cholesky(square), dtype=np.float64)
    start = np.asarray(np.linalg.solve(root, effects.T[:, :, None])[:, :, 0], dtype=np.float64)
    return _Effects(looks, numbers, root).summed_out(start)


class _Effects:
    """The density of two scores of a batch's effects beside its looks, by draw; scores are (n_draws, 2)."""

    def __init__(self, looks: Segments, numbers: Array, root: Array) -> None:
        self.looks, self.numbers, self.root = looks, numbers, root

    def at(self, scores: Array) -> Array:
        """Return the six numbers with the effects that some scores make, (6, n_draws, 1)."""
        numbers = self.numbers.copy()
        numbers[LEVEL_ROWS] += np.einsum("nij,nj->in", self.root, scores)
        return numbers[:, :, None]

    def log_density(self, scores: Array) -> Array:
        """Logarithm of likelihood x density of the scores, a constant left out."""
        return np.asarray(log_likelihood(self.looks, self.at(scores))[:, 0] - 0.5 * (scores**2).sum(axis=1))

    def summed_out(self, start: Array) -> Array:
        """Logarithm of the integral over the scores, a constant left out."""
        scores, curve = self._likeliest(start)
        root = np.linalg.cholesky(np.linalg.inv(curve))
        points, weights = np.polynomial.hermite.hermgauss(_POINTS)
        found = []
        for (x, wx), (y, wy) in product(zip(points, weights, strict=True), repeat=2):
            at = scores + np.sqrt(2) * root @ np.array([x, y])
            found.append(self.log_density(at) + x**2 + y**2 + np.log(wx * wy))
        size = np.log(np.diagonal(root, axis1=1, axis2=2)).sum(axis=1)
        return np.asarray(np.logaddexp.reduce(found, axis=0) + size)

    def _likeliest(self, scores: Array) -> tuple[Array, Array]:
        """Newton's method by draw; return the scores and the curvature there, (n_draws, 2, 2)."""
        best = self.log_density(scores)
        slope, curve = self._jet(scores)
        for _ in range(_STEPS):
            step = np.linalg.solve(curve, slope[:, :, None])[:, :, 0]
            length = np.ones(len(best))
            tried = self.log_density(scores + step)
            while (worse := tried < best - 1e-9).any() and length.min() > 0.1:
                length = np.where(worse, length / 2, length)
                tried = self.log_density(scores + length[:, None] * step)
            length = np.where(tried < best - 1e-9, 0.0, length)
            moved = length[:, None] * step
            scores, best = scores + moved, np.maximum(best, tried)
            slope, curve = self._jet(scores)
            if np.abs(moved).max() < _CLOSE:
                break
        return scores, curve

    def _jet(self, scores: Array) -> tuple[Array, Array]:
        """Slope of the log density, (n_draws, 2), and its curvature with the sign turned, made positive."""
        jet = jet_of(self.looks, self.at(scores))
        assert jet.slope is not None
        assert jet.curve is not None
        of_level = np.moveaxis(jet.curve[np.ix_(LEVEL_ROWS, LEVEL_ROWS)][..., 0], -1, 0)
        slope = np.einsum("nji,jn->ni", self.root, jet.slope[LEVEL_ROWS][..., 0]) - scores
        curve = np.eye(2) - self.root.swapaxes(1, 2) @ of_level @ self.root
        values, vectors = np.linalg.eigh(curve)
        lifted = vectors * np.maximum(values, _LEAST_CURVE)[:, None, :] @ vectors.swapaxes(1, 2)
        return slope, np.asarray(lifted)
