"""What a fit found: settings of the spreads, means and curvature at each, and what is told of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from slipwright.rooting.cells import CELLS, Cells
from slipwright.rooting.cuttings import CLOCKS, TERMS, Clock, Term
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import LEVELS, Learned, Node, Seen, prior_draws
from slipwright.rooting.ranges import Z90, Array, Counts
from slipwright.rooting.spreads import (
    SPREADS,
    WOOD_SD,
    sd_slopes,
    standard_deviations,
    together_of,
    together_slope,
)

if TYPE_CHECKING:
    from slipwright.rooting.fitting import Start
    from slipwright.rooting.mode import Design
    from slipwright.rooting.tree import Elimination, Tree

N_DRAWS = 1000
_SEED = 7


@dataclass(frozen=True)
class Point:
    """One setting of the spreads: its weight, the means there, and the tree eliminated there.

    ``psi_sd`` is how widely the scores lie about it, roughly, should it stand for all settings.
    """

    psi: Array
    weight: float
    dense: Array
    nodes: tuple[Array, ...]
    elimination: Elimination
    at: int
    settled: bool
    psi_sd: Array

    def sums(self, tree: Tree, depth: int) -> Array:
        """Sum the means of the effects from the genus down to each node of a level."""
        total = self.nodes[0]
        for level in range(1, depth + 1):
            total = total[tree.parents[level]] + self.nodes[level]
        return total


@dataclass(frozen=True, slots=True)
class Effect:
    """A coefficient as learned and as believed before; 8 times in 10 between ``q10`` and ``q90``."""

    term: str
    clock: Clock
    mean: float
    sd: float
    q10: float
    q90: float
    prior_mean: float
    prior_sd: float


@dataclass(frozen=True, slots=True)
class SpreadFound:
    """How far plants or batches lie apart on a clock, as learned and as believed before."""

    name: str
    mean: float
    sd: float
    prior_mean: float
    prior_sd: float


@dataclass(frozen=True)
class Fit:
    """A fit of the two clocks to a garden's records; without records it is the prior.

    ``seconds`` is processor time; ``converged`` whether every search came to rest; ``told`` the
    batches it was told of.
    """

    n_batches: int
    n_looks: int
    converged: bool
    seconds: float
    points: tuple[Point, ...]
    tree: Tree | None = None
    design: Design | None = None
    terms: tuple[Term, ...] = TERMS
    cells: Cells = CELLS
    told: Mapping[Node, BatchRecord] = field(default_factory=dict)

    @property
    def weights(self) -> Array:
        """Weights of the points, of shape (n_points,) [-]."""
        return np.array([point.weight for point in self.points])

    @property
    def n_effective(self) -> float:
        """How many points count after weighing."""
        return float(1 / (self.weights**2).sum()) if self.points else 0.0

    def start(self) -> Start:
        """Where the next fit starts: the means over all points."""
        from slipwright.rooting.fitting import Start

        if self.tree is None or self.design is None:
            return Start(np.zeros(9), {}, {})
        weights = self.weights
        psi = weights @ np.array([point.psi for point in self.points])
        dense = weights @ np.array([point.dense for point in self.points])
        n = len(self.design.names)
        names = self.design.names
        coefficients = {name: (float(dense[k]), float(dense[k + n])) for k, name in enumerate(names)}
        nodes: dict[Node, tuple[float, float]] = {}
        for depth, level in enumerate(self.tree.names):
            effects = np.einsum("q,qni->ni", weights, np.array([point.nodes[depth] for point in self.points]))
            nodes |= {name: (one[0], one[1]) for name, one in zip(level, effects.tolist(), strict=True)}
        return Start(psi, coefficients, nodes)

    # --- draws ------------------------------------------------------------------------------------

    def learned(
        self,
        *,
        keep: Callable[[Node], bool] | None = None,
        n_draws: int = N_DRAWS,
        generator: np.random.Generator | None = None,
    ) -> Learned:
        """Joint draws of all unknowns.

        Parameters
        ----------
        keep : callable, optional
            Which batches' nodes to draw, given the node; all if left out.  Nodes above are all drawn.
        n_draws : int
            How many draws [1].
        generator : numpy.random.Generator, optional
            Where they come from; the same each time if left out.

        Returns
        -------
        Learned
            Draws shared out among the points by their weights and mixed, so that any part stands for all.
        """
        generator = generator or np.random.default_rng(_SEED)
        prior = prior_draws(generator, n_draws, self.terms)
        if self.tree is None or self.design is None:
            return prior
        shares = _shared_out(self.weights, n_draws)
        kept = [np.arange(size) for size in self.tree.sizes]
        if keep:
            kept[-1] = np.flatnonzero([keep(node) for node in self.tree.names[-1]])
        blocks: list[Array] = []
        sums: list[list[Array]] = [[] for _ in LEVELS]
        for point, n in zip(self.points, shares, strict=True):
            if not n:
                continue
            drawn = point.elimination.draws(point.at, int(n), generator, kept[-1])
            blocks.append(point.dense + drawn.dense)
            for depth, nodes in enumerate(drawn.nodes):
                sums[depth].append(nodes + point.sums(self.tree, depth)[kept[depth]])
        order = generator.permutation(n_draws)
        dense = np.concatenate(blocks)[order]
        width = len(self.design.names)
        coefficients = dict(prior.coefficients) | {
            name: np.stack([dense[:, k], dense[:, k + width]]) for k, name in enumerate(self.design.names)
        }
        nodes_drawn: dict[Node, Array] = {}
        for depth, names in enumerate(self.tree.names):
            drawn_all = np.concatenate(sums[depth])[order]
            for place, row in enumerate(kept[depth].tolist()):
                nodes_drawn[names[row]] = np.ascontiguousarray(drawn_all[:, place].T)
        psi = np.repeat(np.array([point.psi for point in self.points]), shares, axis=0)[order]
        sds = standard_deviations(psi)
        spreads = {level: np.stack([sds[:, k], sds[:, k + 4]]) for k, level in enumerate(SPREADS)}
        spreads["wood"] = np.full((2, n_draws), WOOD_SD)
        return Learned(
            coefficients,
            spreads,
            together_of(psi),
            prior.noise,
            nodes_drawn,
            self.cells,
            {node: _seen(self.told[node]) for node in nodes_drawn if node in self.told},
        )

    # --- what is told -----------------------------------------------------------------------------

    def effects(self) -> list[Effect]:
        """Every coefficient that some batch bears on, rooting before loss."""
        if self.design is None:
            return []
        n = len(self.design.names)
        means = np.array([point.dense for point in self.points])
        variances = np.array([_block_variances(point) for point in self.points])
        mean, sd = _over_points(self.weights, means, variances)
        found = []
        for clock_at, clock in enumerate(CLOCKS):
            for k, name in enumerate(self.design.names):
                at = k + clock_at * n
                precision = float(self.design.prior_precision[at])
                found.append(
                    Effect(
                        name,
                        clock,
                        float(mean[at]),
                        float(sd[at]),
                        float(mean[at] - Z90 * sd[at]),
                        float(mean[at] + Z90 * sd[at]),
                        float(self.design.prior_mean[at]),
                        precision**-0.5 if precision else float("inf"),
                    )
                )
        return found

    def spreads(self) -> list[SpreadFound]:
        """How far genera, taxa, seasons and batches lie apart."""
        if not self.points:
            return []
        weights = self.weights
        psi = np.array([point.psi for point in self.points])
        values = np.column_stack([standard_deviations(psi), together_of(psi)])
        mean = weights @ values
        sd = np.sqrt(np.maximum(weights @ (values - mean) ** 2, 0))
        if len(self.points) == 1:
            slopes = np.append(values[0, :8] * sd_slopes(psi[0]), together_slope(psi[0]))
            sd = slopes * self.points[0].psi_sd
        names = [f"{level} {clock}" for clock in CLOCKS for level in SPREADS] + ["batch together"]
        scales = [scale for k in (0, 1) for scale in (pair[k] for pair in SPREADS.values())]
        before = [(scale * np.sqrt(2 / np.pi), scale * np.sqrt(1 - 2 / np.pi)) for scale in scales]
        before.append((0.0, 0.42))  # standard deviation of tanh(N(0, 0.5)), to two places
        return [
            SpreadFound(name, float(m), float(s), float(b[0]), float(b[1]))
            for name, m, s, b in zip(names, mean, sd, before, strict=True)
        ]


def _seen(record: BatchRecord) -> Seen:
    return Seen(record.counts.informing, record.cuttings.terms(), record.kind.offset)


def _block_variances(point: Point) -> Array:
    inverse_root = np.linalg.inv(point.elimination.root[point.at])
    return np.asarray((inverse_root**2).sum(axis=0))


def _over_points(weights: Array, means: Array, variances: Array) -> tuple[Array, Array]:
    mean = np.tensordot(weights, means, 1)
    return mean, np.sqrt(np.tensordot(weights, variances + (means - mean) ** 2, 1))


def _shared_out(weights: Array, n: int) -> Counts:
    """Whole numbers that sum to ``n`` and follow the weights, the largest remainders rounded up."""
    exact = weights * n
    whole = np.floor(exact).astype(np.int64)
    rest = np.argsort(-(exact - whole), kind="stable")[: n - int(whole.sum())]
    whole[rest] += 1
    return whole
