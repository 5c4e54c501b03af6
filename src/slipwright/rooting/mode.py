"""The most likely values of all unknowns at given spreads, and how likely the spreads are.

At given spreads every unknown has a normal prior, so the posterior has one clear top for records with all
counts; Newton steps climb it.  There the posterior is replaced by a normal (Laplace), which gives the
likelihood of the spreads themselves, its exact slope, and a first-order correction of the means.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from slipwright.rooting.cells import CELLS, Cells
from slipwright.rooting.cuttings import LEVEL_SD, TERMS, Term
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.likelihood import N_NUMBERS, Jet, jet_of
from slipwright.rooting.ranges import Array
from slipwright.rooting.spells import Segments, Spell, segments_of_spells
from slipwright.rooting.spreads import precision_slopes, precisions
from slipwright.rooting.tree import Elimination, NotDefinite, Step, Tree, tree_of

#: a step that promises less than this in log posterior is the last
ENOUGH = 1e-6
MOST_STEPS = 100
_LEVELS = (0, 3)  # the levels of the two clocks among a batch's six numbers
_AT_ONCE = 30_000  # segments times points worked through at once: more leaves the processor's cache
_PROBE = 1e-2
_MOST_HALVINGS = 30
_LEAST_CURVE = 1e-6
#: a batch shifts its own numbers by half as many standard deviations at most: full counts seldom ask for more
_MOST_PULL = 1.0


@dataclass(frozen=True)
class Design:
    """The dense block: columns by part of a clock, their names and priors.

    The block holds level, slope and bend columns of rooting, then those of loss.
    """

    parts: tuple[Array, Array, Array]
    names: tuple[str, ...]
    prior_mean: Array
    prior_precision: Array

    @property
    def columns(self) -> list[slice]:
        """Columns of each of a batch's six numbers."""
        widths = [part.shape[1] for part in self.parts] * 2
        edges = np.concatenate([[0], np.cumsum(widths)]).tolist()
        return [slice(a, b) for a, b in pairwise(edges)]

    def of(self, number: int) -> Array:
        """Columns that make one of the six numbers, of shape (n_batches, n_columns)."""
        return self.parts[number % 3]


def design_of(rows: Sequence[Mapping[str, float]], terms: Sequence[Term] = TERMS) -> Design:
    """Design of the dense block from what each batch has of each term.

    Parameters
    ----------
    rows : sequence of mapping
        Amount by name of term, one mapping a batch [-].
    terms : sequence of Term
        The terms and their priors.

    Returns
    -------
    Design
        Only the terms that some batch has; of the others nothing can be learned.

    Notes
    -----
    A level of medium, container or study has the prior N(0, s^2) on both clocks, s by its kind.

    References
    ----------
    Definition.

    Examples
    --------
    >>> design_of([{"intercept": 1.0, "time": 1.0, "time_2": 1.0}]).names
    ('intercept', 'time', 'time_2')
    """
    met = {name for row in rows for name in row}
    known = {term.name for term in terms}
    chosen = [term for term in terms if term.name in met]
    for name in sorted(met - known):
        sd = LEVEL_SD[name.partition("[")[0]]
        chosen.append(Term(name, (0.0, sd), (0.0, sd)))
    parts = [[term for term in chosen if term.part == part] for part in ("level", "slope", "bend")]
    matrices = [
        np.array([[row.get(term.name, 0.0) for term in part] for row in rows]).reshape(len(rows), len(part))
        for part in parts
    ]
    ordered = [term for part in parts for term in part]
    priors = [term.rooting for term in ordered] + [term.loss for term in ordered]
    return Design(
        (matrices[0], matrices[1], matrices[2]),
        tuple(term.name for term in ordered),
        np.array([mean for mean, _ in priors]),
        np.array([0.0 if math.isinf(sd) else sd**-2 for _, sd in priors]),
    )


@dataclass(frozen=True)
class Mode:
    """The top at each point: the unknowns, log posterior, evidence, and the tree eliminated there."""

    dense: Array
    nodes: list[Array]
    evidence: Array
    elimination: Elimination
    numbers: Array
    jet: Jet
    settled: bool

    @property
    def where(self) -> Step:
        """The unknowns."""
        return Step(self.dense, self.nodes)


@dataclass(frozen=True)
class Lean:
    """Slope of the evidence in the spreads' scores, its rough curvature, and the shift of all means."""

    slope: Array
    curve: Array
    shift: Step


class Problem:
    """Everything that stays as it is while unknowns are searched.

    Parameters
    ----------
    records : sequence of BatchRecord
        Batches, those of a genus, taxon, wood and season together.
    spells : sequence of sequences of Spell
        What was found of each.
    cells : Cells
        Where hazards may change.
    terms : sequence of Term
        Terms and priors of the dense block.
    """

    def __init__(
        self,
        records: Sequence[BatchRecord],
        spells: Sequence[Sequence[Spell]],
        *,
        cells: Cells = CELLS,
        terms: Sequence[Term] = TERMS,
    ) -> None:
        self.tree: Tree = tree_of([record.kind for record in records])
        self.segments: Segments = segments_of_spells(spells, cells)
        self.design = design_of([record.cuttings.terms() for record in records], terms)
        self.offset = np.array([record.kind.offset for record in records]).reshape(-1, 2).T
        self._runs: dict[int, list[tuple[slice, Segments]]] = {}

    # --- from unknowns to numbers and back --------------------------------------------------------

    def start(self, n_points: int) -> Step:
        """Return the prior's means."""
        dense = np.tile(self.design.prior_mean, (n_points, 1))
        return Step(dense, [np.zeros((n_points, size, 2)) for size in self.tree.sizes])

    def numbers(self, at: Step) -> Array:
        """Six numbers of each batch, (6, n_points, n_batches)."""
        columns = self.design.columns
        found = np.stack([at.dense[:, columns[k]] @ self.design.of(k).T for k in range(N_NUMBERS)])
        effects = self.tree.down(at.nodes)
        for clock, level in enumerate(_LEVELS):
            found[level] += effects[..., clock] + self.offset[clock]
        return found

    def onto_dense(self, by_number: Array) -> Array:
        """Sum slopes in the six numbers onto the dense block, (n_points, p)."""
        return np.concatenate([by_number[k] @ self.design.of(k) for k in range(N_NUMBERS)], axis=1)

    def jet(self, numbers: Array, order: int) -> Jet:
        """Likelihood of all batches, run by run so that the arrays stay in the processor's cache."""
        n_points = numbers.shape[1]
        size = max(_AT_ONCE // n_points, 60)
        if size not in self._runs:
            self._runs[size] = self.segments.runs(size)
        runs = self._runs[size]
        if len(runs) == 1:
            return jet_of(self.segments, numbers, order=order)

        def one(run: tuple[slice, Segments]) -> Jet:
            return jet_of(run[1], numbers[:, :, run[0]], order=order)

        with ThreadPoolExecutor(2) as pool:
            jets = list(pool.map(one, runs))
        return Jet(
            np.concatenate([jet.value for jet in jets], axis=-1),
            np.concatenate([jet.slope for jet in jets], axis=-1) if order else None,
            np.concatenate([jet.curve for jet in jets], axis=-1) if order > 1 else None,
        )

    # --- the climb --------------------------------------------------------------------------------

    def mode(self, psi: Array, start: Step | None = None, *, enough: float = ENOUGH) -> Mode:
        """Climb to the top at each row of ``psi``, (n_points, 9)."""
        weights = precisions(psi)
        at = self.start(len(psi)) if start is None else start
        numbers = self.numbers(at)
        jet = self.jet(numbers, 2)
        value = self._log_posterior(at, jet, weights)
        settled = False
        for _ in range(MOST_STEPS):
            elimination = self._eliminate(jet, weights)
            by_batch, by_dense, by_node = self._slopes(at, jet, weights)
            step = elimination.solve(by_batch, by_dense, by_node)
            gain = self._along(step, by_batch, by_dense, by_node) / 2
            if settled := bool((gain < enough).all()):
                break
            share = np.ones(len(psi))
            for _ in range(_MOST_HALVINGS):
                tried = _moved(at, step, share)
                numbers = self.numbers(tried)
                new_jet = self.jet(numbers, 2)
                new_value = self._log_posterior(tried, new_jet, weights)
                worse = ~(new_value >= value - 1e-9 * np.abs(value))
                if not worse.any():
                    break
                share = np.where(worse, share / 2, share)
            else:
                break
            at, jet, value = tried, new_jet, new_value
        evidence = value - elimination.log_determinant / 2 - (psi**2).sum(axis=1) / 2
        for size, weight in zip(self.tree.sizes, weights, strict=True):
            evidence = evidence + size / 2 * np.linalg.slogdet(weight)[1]
        return Mode(at.dense, at.nodes, evidence, elimination, numbers, jet, settled)

    def _log_posterior(self, at: Step, jet: Jet, weights: Sequence[Array]) -> Array:
        away = at.dense - self.design.prior_mean
        value = jet.value.sum(axis=1) - (away**2 @ self.design.prior_precision) / 2
        for effects, weight in zip(at.nodes, weights, strict=True):
            value = value - ((effects @ weight) * effects).sum(axis=(1, 2)) / 2
        return np.asarray(value)

    def _slopes(self, at: Step, jet: Jet, weights: Sequence[Array]) -> tuple[Array, Array, list[Array]]:
        assert jet.slope is not None
        by_batch = np.stack([jet.slope[level] for level in _LEVELS], axis=-1)
        away = at.dense - self.design.prior_mean
        by_dense = self.onto_dense(jet.slope) - away * self.design.prior_precision
        by_node = [-effects @ weight for effects, weight in zip(at.nodes, weights, strict=True)]
        return by_batch, by_dense, by_node

    def _along(self, step: Step, by_batch: Array, by_dense: Array, by_node: Sequence[Array]) -> Array:
        total = (by_dense * step.dense).sum(axis=1)
        total = total + (by_batch * self.tree.down(step.nodes)).sum(axis=(1, 2))
        for slope, move in zip(by_node, step.nodes, strict=True):
            total = total + (slope * move).sum(axis=(1, 2))
        return np.asarray(total)

    def _eliminate(self, jet: Jet, weights: Sequence[Array]) -> Elimination:
        assert jet.curve is not None
        information = -np.moveaxis(jet.curve, (0, 1), (-2, -1))
        bent = np.zeros(len(information), dtype=bool)
        while True:
            try:
                return self._eliminated(information, weights)
            except NotDefinite as refused:
                # merged counts are not concave far from the top: there their curvature is bent upright
                points = refused.points[~bent[refused.points]]
                if not len(points):  # too near to it to say where
                    points = np.flatnonzero(~bent)
                if not len(points):
                    raise
                bent[points] = True
                values, vectors = np.linalg.eigh(information[points])
                upright = np.maximum(values, _LEAST_CURVE)[..., None, :] * vectors
                information = information.copy()
                information[points] = upright @ vectors.swapaxes(-1, -2)

    def _eliminated(self, information: Array, weights: Sequence[Array]) -> Elimination:
        n_points = len(information)
        columns, width = self.design.columns, len(self.design.prior_mean)
        dense = np.zeros((n_points, width, width))
        coupling = np.empty((*information.shape[:2], 2, width))
        for k in range(N_NUMBERS):
            own = self.design.of(k)
            for clock, level in enumerate(_LEVELS):
                coupling[..., clock, columns[k]] = information[..., level, k, None] * own
            for j in range(k, N_NUMBERS):
                block = own.T @ (information[..., k, j, None] * self.design.of(j))
                dense[:, columns[k], columns[j]] = block
                dense[:, columns[j], columns[k]] = block.swapaxes(1, 2)
        dense[:, np.arange(width), np.arange(width)] += self.design.prior_precision
        levels = information[..., _LEVELS, :][..., _LEVELS]
        return Elimination(self.tree, levels, coupling, dense, weights)

    # --- how the evidence leans -------------------------------------------------------------------

    def lean(self, psi: Array, mode: Mode) -> Lean:
        """Slope of the evidence at the top, and the shift of the means that the top misses."""
        found = mode.elimination.covariances()
        weights = precisions(psi)
        covariances = self._number_covariances(found.dense, found.levels[-1], found.with_dense)
        by_number = self._third(mode, covariances)
        by_batch = np.stack([by_number[level] for level in _LEVELS], axis=-1)
        pull = mode.elimination.solve(by_batch, self.onto_dense(by_number))
        slope, curve = -psi, np.ones_like(psi)
        spread, lean = [], []
        for effects, own, pulled in zip(mode.nodes, found.nodes, pull.nodes, strict=True):
            spread.append(effects.swapaxes(1, 2) @ effects + own.sum(axis=1))
            lean.append(pulled.swapaxes(1, 2) @ effects)
        for score, depth, change in precision_slopes(psi):
            within = (change * (lean[depth] - spread[depth])).sum(axis=(1, 2))
            total = np.einsum("qij,qji->q", np.linalg.inv(weights[depth]), change)
            slope[:, score] += (within + self.tree.sizes[depth] * total) / 2
            # as if each node's effect were seen as sharply as the records see it on the whole
            unseen = np.einsum("qij,qnji->q", change, found.nodes[depth])
            curve[:, score] += (self.tree.sizes[depth] * total - unseen) ** 2 / (2 * self.tree.sizes[depth])
        # a batch of merged counts may be all but flat at the top: what it says of the shift is held
        size = np.sqrt(np.einsum("kqb,qbkj,jqb->qb", by_number, covariances, by_number, optimize=True))
        if (size > _MOST_PULL).any():
            held = by_number * (_MOST_PULL / np.maximum(size, _MOST_PULL))
            by_batch = np.stack([held[level] for level in _LEVELS], axis=-1)
            pull = mode.elimination.solve(by_batch, self.onto_dense(held))
        return Lean(slope, curve, Step(-pull.dense / 2, [-node / 2 for node in pull.nodes]))

    def _number_covariances(self, dense: Array, level: Array, with_dense: Array) -> Array:
        """Covariances of each batch's six numbers, (n_points, n_batches, 6, 6)."""
        columns = self.design.columns
        found = np.empty((*level.shape[:2], N_NUMBERS, N_NUMBERS))
        for k in range(N_NUMBERS):
            for j in range(k, N_NUMBERS):
                block = dense[:, columns[k], columns[j]]
                one = ((self.design.of(k) @ block) * self.design.of(j)).sum(axis=-1)
                if k in _LEVELS:
                    one += (with_dense[..., _LEVELS.index(k), columns[j]] * self.design.of(j)).sum(axis=-1)
                if j in _LEVELS:
                    one += (with_dense[..., _LEVELS.index(j), columns[k]] * self.design.of(k)).sum(axis=-1)
                if k in _LEVELS and j in _LEVELS:
                    one += level[..., _LEVELS.index(k), _LEVELS.index(j)]
                found[..., k, j] = found[..., j, k] = one
        return found

    def _third(self, mode: Mode, covariances: Array) -> Array:
        """Slope of ln |information| in the six numbers, by differences of slopes along axes of spread."""
        size = np.trace(covariances, axis1=-2, axis2=-1)[..., None, None]
        axes = np.linalg.cholesky(covariances + 1e-10 * (size + 1e-6) * np.eye(N_NUMBERS))
        n_points, n_batches = mode.numbers.shape[1:]
        # along each of six axes, forth and back
        moves = _PROBE * np.moveaxis(axes, (2, 3), (0, 1))[:, :, None] * np.array([1.0, -1.0])[:, None, None]
        moved = (mode.numbers[:, None, None] + moves).reshape(N_NUMBERS, -1, n_batches)
        slopes = self.jet(moved, 1).slope
        assert slopes is not None
        assert mode.jet.slope is not None
        total = slopes.reshape(N_NUMBERS, 2 * N_NUMBERS, n_points, n_batches).sum(axis=1)
        return np.asarray(-(total - 2 * N_NUMBERS * mode.jet.slope) / _PROBE**2)


def _moved(at: Step, step: Step, share: Array) -> Step:
    nodes = [node + share[:, None, None] * move for node, move in zip(at.nodes, step.nodes, strict=True)]
    return Step(at.dense + share[:, None] * step.dense, nodes)
