"""The posterior of a trial: the spread on a grid, the coefficients by weighted draws at each of its points.

At each spread the draws come from a normal at the posterior's mode whose halves are stretched along each
axis until they cover the posterior (Geweke 1989), by the same points of a Latin hypercube everywhere, and
carry the weight that makes them exact.  Their mean weight is the likelihood of the spread itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from slipwright.rooting._trial_likelihood import Centre, Likelihood
from slipwright.rooting.ranges import Array
from slipwright.rooting.trial_priors import SpreadPrior

#: spreads at which the posterior is first looked at, to see how far the grid must reach
_PROBES = (0.05, 0.1, 0.2, 0.35, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 4.5, 6.5, 10.0)
#: spreads at which Laplace's volume is taken, spreads that get draws, and points between
_N_COARSE, _N_NODES, _N_FINE = 20, 10, 4001
#: a spread whose density is this far below the highest counts for nothing (logarithm)
_FAR_BELOW = 12.0
#: share of the posterior left beyond the first and the last spread that gets draws
_BEYOND = 1e-4
#: units times draws that one spread may cost, the least and most draws, and the least for each term
_BUDGET, _FEWEST, _MOST, _FOR_EACH_TERM = 100_000, 256, 1024, 8
#: degrees of freedom of the tails of the draws along each axis
_TAILS = 10.0
#: how far along an axis, in standard deviations, the posterior is compared with the normal
_AT, _STRETCH_EVERY = (1.0, 2.0, 3.5), 3
#: a step that gains no more than this (logarithm) ends the search
_NEAR, _MOST_HALVINGS = 1e-7, 12
_SEED = 20


@dataclass(frozen=True)
class Posterior:
    """Weighted joint draws, and the spread's own density on a fine grid.

    ``beta`` (n_terms, n_draws) and ``sigma`` (n_draws,) with ``weights`` that sum to 1; ``evidence_at_0``
    is the likelihood at spread 0 over its mean under the default half-normal prior (Savage-Dickey).
    """

    beta: Array
    sigma: Array
    weights: Array
    spreads: Array
    spread_weights: Array
    evidence_at_0: float
    effective: float


@dataclass(frozen=True)
class _Mode:
    """The posterior's mode at one spread, and axes along which it is near enough independent."""

    sigma: float
    beta: Array
    axes: Array
    log_height: float
    centre: Centre

    @property
    def log_volume(self) -> float:
        """Laplace's log of the integral over the coefficients."""
        log_det = float(np.log(np.diag(self.axes)).sum())
        return self.log_height + log_det + 0.5 * len(self.beta) * float(np.log(2 * np.pi))


class Integrator:
    """Integrates over coefficients and spread."""

    def __init__(self, likelihood: Likelihood, precision: Array) -> None:
        self._likelihood = likelihood
        self._precision = precision
        n_terms = len(self._precision)
        wanted = np.clip(_BUDGET // max(likelihood.n_rows, 1), max(_FEWEST, _FOR_EACH_TERM * n_terms), _MOST)
        self._shares = _shares(n_terms, int(wanted) // 2)
        self._base = _calibrated(self._shares)

    def posterior(self, prior: SpreadPrior, default: SpreadPrior) -> Posterior:
        """Return the posterior under ``prior``; what is said of spread 0 is said under ``default``."""
        coarse = self._reach(prior, default) * np.linspace(0, 1, _N_COARSE) ** 1.5
        fine = coarse[-1] * np.linspace(0, 1, _N_FINE) ** 2
        widths = np.gradient(fine)
        laplace = _smooth(coarse, np.array([mode.log_volume for mode in self._modes(coarse)]), fine)
        spreads = _nodes(fine, _normed(laplace + prior.log_density(fine), widths))
        corrections, betas, weights = self._at_each(np.r_[0.0, spreads])
        likelihood = laplace + np.interp(fine, np.r_[0.0, spreads], corrections)
        density = _normed(likelihood + prior.log_density(fine), widths)
        believed = _normed(default.log_density(fine), widths)
        top = float(likelihood.max())
        log_mean = float(np.log((believed * np.exp(likelihood - top)).sum())) + top - float(likelihood[0])
        shared = _shared_out(fine, density, spreads)
        return Posterior(
            np.concatenate(betas[1:], axis=1),
            np.repeat(spreads, weights.shape[1]),
            (shared[:, None] * weights[1:]).ravel(),
            fine,
            density,
            float(np.exp(min(-log_mean, 700.0))),
            float(shared @ (1 / (weights[1:] ** 2).sum(axis=1))),
        )

    def _reach(self, prior: SpreadPrior, default: SpreadPrior) -> float:
        """Return a spread where the posterior, under either prior, has died away."""
        most = max(prior.most, default.most)
        own = (prior.most * share for share in (0.1, 0.25, 0.5, 1.0))
        probes = np.array(sorted({0.0, *own, *(sigma for sigma in _PROBES if sigma < most), most}))
        volumes = np.array([mode.log_volume for mode in self._modes(probes)])
        top = 0
        for one in (prior, default):
            # by the logarithm of the spread, so that a prior that rises towards 0 does not hide the rest
            log = volumes + one.log_density(probes) + np.log(np.maximum(probes, probes[1]))
            top = max(top, int(np.flatnonzero(log > log.max() - _FAR_BELOW)[-1]))
        return float(probes[min(top + 1, len(probes) - 1)])

    def _modes(self, spreads: Array) -> Iterator[_Mode]:
        mode = None
        for sigma in spreads:
            mode = self._mode(float(sigma), mode)
            yield mode

    def _at_each(self, spreads: Array) -> tuple[Array, list[Array], Array]:
        """Log of the exact volume over Laplace's, draws and their weights, at each spread."""
        corrections, betas, weights = [], [], []
        away, log_proposed = np.empty(0), np.empty(0)
        for k, mode in enumerate(self._modes(spreads)):
            if k % _STRETCH_EVERY == 0:
                away, log_proposed = _stretched(self._shares, self._stretch(mode))
            draws = mode.beta[:, None] + mode.axes @ away
            log = self._height(draws, mode.sigma, mode.centre) - log_proposed
            top = log.max()
            weight = self._base * np.exp(log - top)
            log_det = np.log(np.diag(mode.axes)).sum()
            corrections.append(top + np.log(weight.sum()) + log_det - mode.log_volume)
            betas.append(draws)
            weights.append(weight / weight.sum())
        return np.array(corrections), betas, np.array(weights)

    def _height(self, draws: Array, sigma: float, centre: Centre) -> Array:
        penalty = 0.5 * (draws * (self._precision @ draws)).sum(axis=0)
        return np.asarray(self._likelihood.of_draws(draws, sigma, centre) - penalty)

    def _mode(self, sigma: float, start: _Mode | None) -> _Mode:
        """Newton's method on a concave function, with halved steps where one would fall."""
        beta = np.zeros(len(self._precision)) if start is None else start.beta
        scores = None if start is None else start.centre.score

        def slopes(at: Array) -> tuple[float, Array, Array, Centre]:
            value, gradient, hessian, centre = self._likelihood.slopes(at, sigma, scores)
            pull = self._precision @ at
            return value - 0.5 * float(at @ pull), gradient - pull, hessian - self._precision, centre

        now = slopes(beta)
        for _ in range(60):
            step = np.linalg.solve(-now[2], now[1])
            gain = float(step @ now[1])
            if gain < _NEAR:
                break
            for _ in range(_MOST_HALVINGS):
                after = slopes(beta + step)
                if after[0] > now[0] - _NEAR:
                    break
                step = step / 2
            else:
                break
            beta, now = beta + step, after
        covariance = np.linalg.inv(-now[2])
        axes = np.asarray(np.linalg.cholesky((covariance + covariance.T) / 2), dtype=float)
        return _Mode(sigma, beta, axes, now[0], now[3])

    def _stretch(self, mode: _Mode) -> Array:
        """How much wider than the normal at the mode each half of each axis is, shape (2, n_terms)."""
        n_terms = len(mode.beta)
        steps = np.array(_AT)
        found = np.empty((2, n_terms))
        for row, sign in enumerate((1.0, -1.0)):
            draws = mode.beta[:, None, None] + sign * mode.axes[:, :, None] * steps
            falls = mode.log_height - self._height(draws.reshape(n_terms, -1), mode.sigma, mode.centre)
            wide = steps / np.sqrt(2 * np.maximum(falls.reshape(n_terms, -1), 1e-6))
            found[row] = np.clip(wide.max(axis=1), 0.7, 4.0)
        return found


def _shares(n_terms: int, half: int) -> Array:
    """Points of the unit cube, each with its mirror image; along each axis one to each narrow slice.

    This is a Latin hypercube (McKay, Beckman and Conover 1979): whatever is a sum of single
    coefficients has next to no error.
    """
    generator = np.random.default_rng(_SEED)
    slices = np.array([generator.permutation(half) for _ in range(n_terms)])
    shares = (slices + generator.random((n_terms, half))) / half
    both = np.concatenate([shares, 1 - shares], axis=1)
    return np.asarray(np.clip(both, 1e-12, 1 - 1e-12))


def _calibrated(shares: Array) -> Array:
    """Weights of the points, near 1/n, under which normal scores have their exact second moments."""
    from scipy.special import ndtri

    n_terms, n_draws = shares.shape
    base = np.full(n_draws, 1 / n_draws)
    first, second = np.triu_indices(n_terms)
    if 8 * len(first) > n_draws:
        return base
    scores = ndtri(shares)
    known = np.vstack([np.ones(n_draws), scores[first] * scores[second]])
    exact = np.r_[1.0, (first == second).astype(float)]
    base = base + known.T @ np.linalg.solve(known @ known.T, exact - known @ base)
    return np.asarray(np.maximum(base, 0) / np.maximum(base, 0).sum())


def _stretched(shares: Array, stretch: Array) -> tuple[Array, Array]:
    """Draws of t tails whose halves are stretched, and their log density."""
    from scipy.special import gammaln, stdtrit

    above, below = stretch[0][:, None], stretch[1][:, None]
    edge = below / (above + below)
    is_low = shares < edge
    score = stdtrit(_TAILS, np.where(is_low, shares / (2 * edge), 1 - (1 - shares) / (2 * (1 - edge))))
    constant = gammaln((_TAILS + 1) / 2) - gammaln(_TAILS / 2) - 0.5 * np.log(_TAILS * np.pi)
    logs = constant - (_TAILS + 1) / 2 * np.log1p(score**2 / _TAILS) + np.log(2 / (above + below))
    return score * np.where(is_low, below, above), logs.sum(axis=0)


def _nodes(fine: Array, density: Array) -> Array:
    """Spreads that get draws: evenly from one end of the posterior to the other."""
    below = np.cumsum(density)
    low, high = np.interp([_BEYOND, 1 - _BEYOND], below, fine)
    return np.asarray(np.linspace(max(low, 1e-6), max(high, low + 1e-5), _N_NODES))


def _shared_out(fine: Array, density: Array, spreads: Array) -> Array:
    """How much each spread with draws answers for: fine points go to both neighbours, by nearness."""
    place = np.interp(fine, spreads, np.arange(len(spreads)))
    low = np.minimum(place.astype(int), len(spreads) - 2)
    share = np.zeros(len(spreads))
    np.add.at(share, low, density * (1 - place + low))
    np.add.at(share, low + 1, density * (place - low))
    return share


def _smooth(spreads: Array, volumes: Array, fine: Array) -> Array:
    """Log likelihood of the spread between the points of the grid; it is flat at 0."""
    from scipy.interpolate import CubicSpline

    return np.asarray(CubicSpline(spreads, volumes, bc_type=((1, 0.0), "not-a-knot"))(fine))


def _normed(log_density: Array, widths: Array) -> Array:
    top = log_density.max()
    weights = np.exp(log_density - top) * widths
    return np.asarray(weights / weights.sum())
