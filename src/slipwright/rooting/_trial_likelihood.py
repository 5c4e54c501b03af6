"""Binomial counts with a normal effect a unit: the likelihood with the effects integrated out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from slipwright.rooting.ranges import Array, Counts

#: nodes of the Gauss-Hermite rule, and the rows from which on each unit's integral needs fewer
N_NODES, N_NODES_OF_MANY, MANY_ROWS = 21, 9, 200
_MOST_CENTRING = 60
_LONGEST_STEP = 3.0


@dataclass(frozen=True)
class Centre:
    """Where each unit's scores lie at one value of coefficients and spread, to lay nodes around.

    ``score`` and ``sd`` have the shape (n_units,), ``slope`` (n_units, n_terms): how scores move with
    the coefficients.
    """

    beta: Array
    score: Array
    sd: Array
    slope: Array


class Likelihood:
    """Log likelihood of coefficients beta and spread sigma, without the binomial coefficients.

    ln L = sum over units of ln ∫ prod over its rows of p^y (1-p)^(n-y) phi(z) dz,
    logit p = x beta + sigma z.  Rows of one unit with the same x are summed first: nothing is lost.
    """

    def __init__(self, x: Array, n_rooted: Counts, n_stuck: Counts, units: Sequence[str] = ()) -> None:
        names = np.unique(np.array(units), return_inverse=True)[1] if units else np.arange(len(x))
        is_told = n_stuck > 0
        self.n_units = len(np.unique(names[is_told]))
        keys = np.column_stack([names, x])[is_told]
        rows, back = np.unique(keys, axis=0, return_inverse=True)
        y: Array = np.bincount(back, n_rooted[is_told], minlength=len(rows)).astype(float)
        n: Array = np.bincount(back, n_stuck[is_told], minlength=len(rows)).astype(float)
        #: whether every unit was treated in one way
        self.is_single = self.n_units == len(rows)
        #: how many units of one row are alike in x and counts, each reckoned once
        self.times: Array = np.ones(len(rows))
        if self.is_single:
            rows, times = np.unique(np.column_stack([rows, n, y])[:, 1:], axis=0, return_counts=True)
            self.times, self.x, n, y = times.astype(float), rows[:, :-2], rows[:, -2], rows[:, -1]
            self.unit = np.arange(len(rows))
        else:
            self.x = rows[:, 1:]
            self.unit = np.unique(rows[:, 0], return_inverse=True)[1]
        self.y, self.n = y, n
        self._starts = np.flatnonzero(np.r_[True, np.diff(self.unit) > 0])
        self._per_kind: Array = self.times[self._starts]
        n_nodes = N_NODES if len(rows) < MANY_ROWS else N_NODES_OF_MANY
        nodes, weights = np.polynomial.hermite.hermgauss(n_nodes)
        self._nodes: Array = np.sqrt(2) * nodes
        # the rule's weight and what takes its own bell out of the integrand again
        self._log_weights: Array = np.log(weights) + nodes**2 - 0.5 * np.log(np.pi)

    @property
    def n_rows(self) -> int:
        """Rows that are reckoned with; rows that are alike count once."""
        return len(self.n)

    @cached_property
    def rank(self) -> int:
        """How many directions of the coefficients the rows tell of."""
        return int(np.linalg.matrix_rank(self.x)) if len(self.n) else 0

    def _per_unit(self, values: Array) -> Array:
        return values if self.is_single else np.add.reduceat(values, self._starts, axis=0)

    def centre(self, beta: Array, sigma: float, start: Array | None = None) -> Centre:
        """Find each unit's most likely score by Newton's method."""
        eta = self.x @ beta
        z = np.zeros(len(self._starts)) if start is None else start.copy()
        bend = np.ones(len(z))
        for _ in range(_MOST_CENTRING):
            p = _logistic(eta + sigma * z[self.unit])
            bend = 1 + sigma**2 * self._per_unit(self.n * p * (1 - p))
            step = (sigma * self._per_unit(self.y - self.n * p) - z) / bend
            z += np.clip(step, -_LONGEST_STEP, _LONGEST_STEP)
            if np.abs(step).max(initial=0.0) < 1e-8:
                break
        p = _logistic(eta + sigma * z[self.unit])
        weighted = self._per_unit((self.n * p * (1 - p))[:, None] * self.x)
        return Centre(beta, z, 1 / np.sqrt(bend), -sigma * weighted / bend[:, None])

    def of_draws(self, draws: Array, sigma: float, centre: Centre) -> Array:
        """Log likelihood of draws of shape (n_terms, n_draws); nodes lie around ``centre``, moved along."""
        eta = self.x @ draws
        if sigma == 0:
            return np.asarray((self.times * self.y) @ eta - (self.times * self.n) @ _softplus(eta))
        middle = centre.score[:, None] + centre.slope @ (draws - centre.beta[:, None])
        logs = np.empty((len(self._nodes), *middle.shape))
        for k, node in enumerate(self._nodes):
            z = middle + node * centre.sd[:, None]
            at = eta + sigma * z[self.unit]
            value = self._per_unit(self.y[:, None] * at - self.n[:, None] * _softplus(at))
            logs[k] = value - 0.5 * z**2 + self._log_weights[k]
        top = logs.max(axis=0)
        summed = top + np.log(np.exp(logs - top).sum(axis=0)) + np.log(centre.sd)[:, None]
        return np.asarray(self._per_kind @ summed)

    def slopes(
        self, beta: Array, sigma: float, start: Array | None = None
    ) -> tuple[float, Array, Array, Centre]:
        """Log likelihood at one value with its exact gradient and Hessian in beta."""
        centre = self.centre(beta, sigma, start)
        z = centre.score[:, None] + centre.sd[:, None] * self._nodes
        at = (self.x @ beta)[:, None] + sigma * z[self.unit]
        p = _logistic(at)
        n, y = self.n[:, None], self.y[:, None]
        logs = self._per_unit(y * at - n * _softplus(at)) - 0.5 * z**2 + self._log_weights
        top = logs.max(axis=1, keepdims=True, initial=-np.inf)
        share = np.exp(logs - top)
        value = float(self._per_kind @ (top[:, 0] + np.log(share.sum(axis=1)) + np.log(centre.sd)))
        share /= share.sum(axis=1, keepdims=True)
        of_row = share[self.unit] * self.times[:, None]
        gradient = self.x.T @ (of_row * (y - n * p)).sum(axis=1)
        curved = -(self.x.T * (of_row * n * p * (1 - p)).sum(axis=1)) @ self.x
        # Louis 1982: less the expected curvature, plus the variance of the score within each unit
        away = y - n * p
        if self.is_single:
            away -= (share * away).sum(axis=1, keepdims=True)
            spread = (self.x.T * (of_row * away**2).sum(axis=1)) @ self.x
        else:
            score = self._per_unit(away[:, :, None] * self.x[:, None, :])
            score -= (share[:, :, None] * score).sum(axis=1, keepdims=True)
            spread = np.einsum("uk,ukp,ukq->pq", share, score, score, optimize=True)
        return value, gradient, curved + spread, centre

    def pearson(self) -> tuple[float, int]:
        """Pearson's chi-square of the counts without unit effects, at the best coefficients, and its df."""
        beta = np.zeros(self.x.shape[1])
        for _ in range(100):
            p = _logistic(self.x @ beta)
            weight = self.times * np.maximum(self.n * p * (1 - p), 1e-10)
            # a breath of a ridge: an arm of which all or none rooted has no finite best value
            hessian = (self.x.T * weight) @ self.x + 1e-9 * np.eye(len(beta))
            step = np.linalg.solve(hessian, self.x.T @ (self.times * (self.y - self.n * p)))
            beta += np.clip(step, -2, 2)
            if np.abs(step).max() < 1e-10:
                break
            if np.abs(self.x @ beta).max() > 25:
                break
        p = _logistic(self.x @ beta)
        each = (self.y - self.n * p) ** 2 / np.maximum(self.n * p * (1 - p), 1e-12)
        return float(self.times @ each), int(self.times.sum()) - self.rank


def _logistic(at: Array) -> Array:
    return np.asarray(0.5 * (1 + np.tanh(0.5 * at)))


def _softplus(at: Array) -> Array:
    # log is several times as quick as log1p, and next to at as exact
    return np.asarray(np.maximum(at, 0) + np.log(1 + np.exp(-np.abs(at))))
