"""From the draws of a trial's posterior to figures: terms, cells, and pairs of levels."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from slipwright.rooting._trial_design import Design
from slipwright.rooting._trial_posterior import Posterior
from slipwright.rooting.ranges import Array, share_of_logit
from slipwright.rooting.trial_table import Trial

#: a factor of more levels than this has each compared with the reference alone
_MOST_PAIRED = 12
#: nodes over the units' effects, and the most shares worked out at once
_N_NODES, _MOST_SHARES = 9, 400_000


@dataclass(frozen=True)
class Effect:
    """A term on the logit scale."""

    term: str
    mean: float
    sd: float
    q10: float
    q90: float


@dataclass(frozen=True)
class CellMean:
    """The share that roots of what was treated so, over many units."""

    cell: str
    mean: float
    sd: float
    q10: float
    q90: float
    n_rooted: int
    n_stuck: int


@dataclass(frozen=True)
class Contrast:
    """A level against another, over the levels of the other factors alike.

    ``difference`` is of shares; ``odds`` the ratio of the odds, its 50, 10 and 90 per cent points;
    ``p_above_0`` the chance that the level is the better of the two.
    """

    factor: str
    level: str
    against: str
    difference: Effect
    odds: tuple[float, float, float]
    p_above_0: float

    def as_json(self) -> dict[str, Any]:
        """Return the contrast as it stands in ``trial --json``."""
        share = self.difference
        return {
            "factor": self.factor,
            "level": self.level,
            "against": self.against,
            "share_difference": {"mean": share.mean, "sd": share.sd, "q10": share.q10, "q90": share.q90},
            "odds_ratio": dict(zip(("q50", "q10", "q90"), self.odds, strict=True)),
            "p_above_0": self.p_above_0,
        }


@dataclass(frozen=True)
class Summary:
    """All figures of a trial."""

    effects: tuple[Effect, ...]
    spread: Effect
    contrasts: tuple[Contrast, ...]
    cell_means: tuple[CellMean, ...]
    #: chance that each effect is above 0
    p_above_0: tuple[float, ...]


def summary_of(trial: Trial, design: Design, posterior: Posterior) -> Summary:
    """Return the figures of a posterior."""
    weights = posterior.weights
    effects = tuple(
        _described(name, draws, weights) for name, draws in zip(design.names, posterior.beta, strict=True)
    )
    above = tuple(_above(draws, weights) for draws in posterior.beta)
    cells = _cells(trial, design)
    x = np.array([design.row(dict(zip(design.factors, cell, strict=True))) for cell in cells])
    every = max(1, len(cells) * len(weights) // _MOST_SHARES + 1)
    thin = posterior.weights[::every] / posterior.weights[::every].sum()
    eta = x @ posterior.beta[:, ::every]
    shares = _shares(eta, posterior.sigma[::every])
    return Summary(
        effects,
        _described("spread", posterior.spreads, posterior.spread_weights),
        tuple(_contrasts(design, cells, eta, shares, thin)),
        tuple(_cell_means(trial, design, cells, shares, thin)),
        above,
    )


def _described(name: str, draws: Array, weights: Array) -> Effect:
    mean = float((weights * draws).sum())
    sd = float(np.sqrt((weights * (draws - mean) ** 2).sum()))
    low, high = quantiles(draws, weights, (0.1, 0.9))
    return Effect(name, mean, sd, low, high)


def _above(draws: Array, weights: Array) -> float:
    return min(float(weights[draws > 0].sum()), 1.0)


def quantiles(draws: Array, weights: Array, shares: Sequence[float]) -> list[float]:
    """Return points below which these shares of the weight lie."""
    order = np.argsort(draws)
    below = np.cumsum(weights[order]) - 0.5 * weights[order]
    return [float(np.interp(share, below, draws[order])) for share in shares]


def _shares(eta: Array, sigma: Array) -> Array:
    """Shares over many units: the logistic of eta averaged over the units' effects."""
    nodes, weights = np.polynomial.hermite_e.hermegauss(_N_NODES)
    weights = weights / weights.sum()
    total = np.zeros_like(eta)
    for node, weight in zip(nodes, weights, strict=True):
        total += weight * share_of_logit(eta + node * sigma)
    return total


def _cells(trial: Trial, design: Design) -> list[tuple[str, ...]]:
    """Return the combinations of levels that have a row, in the order of the levels."""
    seen = set(zip(*(trial.levels[factor] for factor in design.factors), strict=True)) or {()}
    order = [list(levels) for levels in design.factors.values()]
    return sorted(seen, key=lambda cell: [at.index(level) for at, level in zip(order, cell, strict=True)])


def _cell_means(
    trial: Trial, design: Design, cells: Sequence[tuple[str, ...]], shares: Array, weights: Array
) -> list[CellMean]:
    counts = dict.fromkeys(cells, (0, 0))
    rows = zip(*(trial.levels[factor] for factor in design.factors), strict=True) if design.factors else None
    for cell, y, n in zip(rows or itertools.repeat(()), trial.n_rooted, trial.n_stuck, strict=False):
        counts[cell] = (counts[cell][0] + int(y), counts[cell][1] + int(n))
    found = []
    for cell, draws in zip(cells, shares, strict=True):
        name = ":".join(f"{a}[{level}]" for a, level in zip(design.factors, cell, strict=True)) or "all"
        told = _described(name, draws, weights)
        found.append(CellMean(name, told.mean, told.sd, told.q10, told.q90, *counts[cell]))
    return found


def _contrasts(
    design: Design, cells: Sequence[tuple[str, ...]], eta: Array, shares: Array, weights: Array
) -> list[Contrast]:
    found = []
    at = {cell: k for k, cell in enumerate(cells)}
    for place, (factor, levels) in enumerate(design.factors.items()):
        pairs = itertools.combinations(levels, 2)
        for against, level in (
            pairs if len(levels) <= _MOST_PAIRED else ((levels[0], one) for one in levels[1:])
        ):
            both = [
                (k, at[other])
                for cell, k in at.items()
                if cell[place] == level and (other := (*cell[:place], against, *cell[place + 1 :])) in at
            ]
            if both:
                one, other = np.array(both).T
                found.append(
                    _contrast(
                        (factor, level, against),
                        (shares[one] - shares[other]).mean(axis=0),
                        (eta[one] - eta[other]).mean(axis=0),
                        weights,
                    )
                )
    return found


def _contrast(names: tuple[str, str, str], shares: Array, logits: Array, weights: Array) -> Contrast:
    q50, q10, q90 = np.exp(np.clip(quantiles(logits, weights, (0.5, 0.1, 0.9)), -700, 700))
    above = _above(shares, weights)
    return Contrast(
        *names, _described("difference", shares, weights), (float(q50), float(q10), float(q90)), above
    )
