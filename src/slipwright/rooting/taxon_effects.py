"""How each wood of each taxon goes beside what was believed of it before any record."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from slipwright.rooting.cuttings import CLOCKS, PARTS, Clock, Cuttings
from slipwright.rooting.fit import Fit, Point
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import LEVELS
from slipwright.rooting.page_prior import usual_cuttings
from slipwright.rooting.ranges import Array
from slipwright.rooting.spreads import SPREADS, WOOD_SD

_WOOD = LEVELS.index("wood")


@dataclass(frozen=True, slots=True)
class TaxonEffect:
    """How far the usual cuttings of a taxon's wood lie off what was believed, as a logarithm.

    ``prior_sd`` is how far they might have lain off before any record; ``has_row`` says whether what was
    believed is a row of the handbook, or what holds for any plant.
    """

    taxon: str
    wood: str
    clock: Clock
    mean: float
    sd: float
    prior_sd: float
    has_row: bool


def taxon_effects(fit: Fit) -> list[TaxonEffect]:
    """How fast the usual cuttings of each wood of each taxon root, and are lost, beside what was believed.

    Parameters
    ----------
    fit : Fit
        What was learned, and from which records.

    Returns
    -------
    list of TaxonEffect
        Rooting, then loss, of every wood of every taxon that something was counted of.

    Notes
    -----
    With t the level terms of the usual cuttings (of the row; where there is none, of any plant) at six
    weeks: d = genus + taxon + wood + t'(beta - E beta), E before any record.  Mean and variance of d are
    exact for the fit's normals, covariances of effects and coefficients included; before any record its
    variance is that of the three effects plus t' Var(beta) t.  Season and batch have no part in it.

    References
    ----------
    Definition.

    Examples
    --------
    >>> from slipwright.rooting.fitting import fit
    >>> taxon_effects(fit([]))
    []
    """
    if fit.tree is None or fit.design is None:
        return []
    usual = {one.kind.path[_WOOD]: _usual(one) for one in fit.told.values()}
    nodes = fit.tree.names[_WOOD]
    priors = {term.name: (term.rooting, term.loss) for term in fit.terms}
    width = len(fit.design.names)
    amounts = np.zeros((len(nodes), 2, 2 * width))
    unmet, before = np.zeros((len(nodes), 2)), np.zeros((len(nodes), 2))
    for row, node in enumerate(nodes):
        for name, amount in _level_terms(usual[node]).items():
            for k in (0, 1):
                variance = (amount * priors[name][k][1]) ** 2
                before[row, k] += variance
                if name in fit.design.names:
                    amounts[row, k, fit.design.names.index(name) + k * width] = amount
                else:
                    unmet[row, k] += variance
    before += [sum(SPREADS[level][k] ** 2 for level in ("genus", "taxon")) + WOOD_SD**2 for k in (0, 1)]
    means = np.array([_means(fit, point, amounts) for point in fit.points])
    variances = _variances(fit, amounts) + unmet
    mean = np.tensordot(fit.weights, means, 1)
    sd = np.sqrt(np.tensordot(fit.weights, variances + (means - mean) ** 2, 1))
    return [
        TaxonEffect(
            node[2],
            node[3],
            clock,
            float(mean[row, k]),
            float(sd[row, k]),
            float(before[row, k] ** 0.5),
            usual[node].usual is not None,
        )
        for row, node in enumerate(nodes)
        for k, clock in enumerate(CLOCKS)
    ]


def _usual(record: BatchRecord) -> Cuttings:
    row = record.cuttings.usual
    return replace(row, usual=row) if row else usual_cuttings(None, record.cuttings.wood)


def _level_terms(cuttings: Cuttings) -> Mapping[str, float]:
    return {name: amount for name, amount in cuttings.terms().items() if PARTS[name] == "level"}


def _means(fit: Fit, point: Point, amounts: Array) -> Array:
    """Means at one setting of the spreads, (n_nodes, 2)."""
    assert fit.tree is not None
    assert fit.design is not None
    moved = point.dense - fit.design.prior_mean
    return np.asarray(point.sums(fit.tree, _WOOD) + amounts @ moved)


def _variances(fit: Fit, amounts: Array) -> Array:
    """Variances at each setting of the spreads, (n_points, n_nodes, 2)."""
    of_elimination: dict[int, Array] = {}
    for point in fit.points:
        if id(point.elimination) not in of_elimination:
            found = point.elimination.covariances(_WOOD + 1)
            own = np.diagonal(found.levels[_WOOD], axis1=-2, axis2=-1)
            across = (found.with_dense * amounts).sum(axis=-1)
            block = ((amounts @ found.dense[:, None]) * amounts).sum(axis=-1)
            of_elimination[id(point.elimination)] = own + 2 * across + block
    return np.array([of_elimination[id(point.elimination)][point.at] for point in fit.points])
