"""What is known of the two clocks, as draws: of coefficients, of plants, of single batches.

Before any record the draws are of the prior; after a fit they are joint draws of all that was learned.
Either way a batch's clocks are put together in the same way, so a forecast need not know which it has.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache

import numpy as np

from slipwright.rooting.cells import CELLS, Cells
from slipwright.rooting.counts import BatchCounts
from slipwright.rooting.cuttings import LEVEL_SD, PARTS, TERMS, Cuttings, Term
from slipwright.rooting.ranges import Array

#: the levels of what batches have in common, widest first; the wood of a taxon has a fixed spread
LEVELS = ("genus", "taxon", "wood", "season", "batch")
#: a node of the tree of effects: its level, then the names on the way to it
Node = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Kind:
    """Where a batch stands in the tree of effects; ``batch`` is empty for one not in the records."""

    genus: str
    taxon: str
    wood: str
    season: str
    batch: str = ""
    #: what the handbook's page of this genus and wood adds to the levels of rooting and of loss [-]
    offset: tuple[float, float] = (0.0, 0.0)

    @property
    def path(self) -> tuple[Node, ...]:
        """The nodes from genus to batch."""
        names = (self.genus, self.taxon, self.wood, self.season, self.batch)
        return tuple((LEVELS[depth], *names[: depth + 1]) for depth in range(5 if self.batch else 4))


@dataclass(frozen=True, slots=True)
class ClockDraws:
    """Draws of the two clocks of one batch; row 0 is rooting, row 1 loss.

    ln hazard = level + slope a + bend a^2 with a the time of a cell (`slipwright.rooting.cells`).
    Each array has the shape (2, n_draws); the batch's own effect is part of ``level``.
    """

    level: Array
    slope: Array
    bend: Array
    cells: Cells = CELLS

    @property
    def n_draws(self) -> int:
        """How many draws."""
        return int(self.level.shape[1])

    def log_hazards(self, n_cells: int | None = None) -> Array:
        """Logarithms of the hazards a day, of shape (2, n_cells, n_draws): of all cells, or the first few."""
        a = self.cells.times[None, :n_cells, None]
        return self.level[:, None] + self.slope[:, None] * a + self.bend[:, None] * a**2


@dataclass(frozen=True, slots=True)
class Seen:
    """What draws were told of a batch: what its looks counted, how much of each term it had, its offset."""

    counts: BatchCounts
    terms: Mapping[str, float]
    offset: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Learned:
    """Joint draws of all unknowns.

    ``coefficients`` holds by term an array of shape (2, n_draws); ``nodes`` by node the sum of the
    effects from genus down to it, of shape (2, n_draws); ``spreads`` by level the standard deviations
    of its effects, (2, n_draws), and ``batch_together`` the correlation of a batch's two effects.
    ``noise`` are standard normal scores of shape (5, 2, n_draws), one a level, for what has no node.
    """

    coefficients: Mapping[str, Array]
    spreads: Mapping[str, Array]
    batch_together: Array
    noise: Array
    nodes: Mapping[Node, Array] = field(default_factory=dict)
    cells: Cells = CELLS
    #: by node of a batch what these draws were told of it: none of that counts again
    seen: Mapping[Node, Seen] = field(default_factory=dict)
    #: by node of a genus, taxon or wood, and by () in all, the batches and looks they were learned from
    behind: Mapping[Node, tuple[int, int]] = field(default_factory=dict)

    @property
    def n_draws(self) -> int:
        """How many draws."""
        return int(self.noise.shape[2])

    def clocks(self, cuttings: Cuttings, kind: Kind) -> ClockDraws:
        """Draws of the two clocks of a batch, its own effect and all unknown ones drawn in.

        The deepest node of its path that is known counts; levels below it are drawn from their spreads.
        """
        return self.clocks_of(cuttings.terms(), kind)

    def clocks_of(self, terms: Mapping[str, float], kind: Kind) -> ClockDraws:
        """Return the same of a batch that has so much of each term."""
        level = np.array(kind.offset)[:, None] + self._effects(kind)
        slope = np.zeros_like(level)
        bend = np.zeros_like(level)
        into = {"level": level, "slope": slope, "bend": bend}
        for name, amount in terms.items():
            into[PARTS.get(name, "level")] += amount * self.coefficient(name)
        return ClockDraws(level, slope, bend, self.cells)

    def coefficient(self, name: str) -> Array:
        """Draws of a coefficient on both clocks, (2, n_draws); of a level not met yet from its prior."""
        if name in self.coefficients:
            return self.coefficients[name]
        # a medium, container or study not met in the records: one draw a name, the same for every batch
        kind = name.partition("[")[0]
        seed = np.random.SeedSequence(list(name.encode()))
        drawn = np.random.default_rng(seed).standard_normal((2, self.n_draws))
        return np.asarray(LEVEL_SD[kind] * drawn)

    def _effects(self, kind: Kind) -> Array:
        path = kind.path
        known = max((depth for depth, node in enumerate(path) if node in self.nodes), default=-1)
        total = np.zeros((2, self.n_draws)) if known < 0 else self.nodes[path[known]].copy()
        for depth in range(known + 1, len(LEVELS)):
            total += self.spreads[LEVELS[depth]] * self.scores(depth)
        return total

    def scores(self, depth: int) -> Array:
        """Scores of the effects of a level, (2, n_draws): a batch's two go together."""
        score = self.noise[depth]
        if LEVELS[depth] != "batch":
            return np.asarray(score)
        together = self.batch_together
        return np.stack([score[0], together * score[0] + np.sqrt(1 - together**2) * score[1]])

    def covariance_below(self, depth: int) -> Array:
        """Covariance of the sum of the effects below a level, by draw, (2, 2, n_draws); -1: of all."""
        found = np.zeros((2, 2, self.n_draws))
        for level in LEVELS[depth + 1 :]:
            sd = self.spreads[level]
            found[[0, 1], [0, 1]] += sd**2
            if level == "batch":
                found[[0, 1], [1, 0]] += self.batch_together * sd[0] * sd[1]
        return found


#: the same question gets the same answer
_PRIOR_SEED = 1


def prior_draws(
    generator: np.random.Generator, n_draws: int = 1000, terms: Sequence[Term] = TERMS
) -> Learned:
    """Draws of what is believed before any record.

    Parameters
    ----------
    generator : numpy.random.Generator
        Where the draws come from.
    n_draws : int
        How many draws [1].
    terms : sequence of Term
        The terms and their priors.

    Returns
    -------
    Learned
        Draws of the priors of the terms and of `slipwright.rooting.spreads`.

    Notes
    -----
    Coefficients normal, spreads half-normal, the correlation of a batch's two effects tanh of a
    normal with standard deviation 0.5.

    References
    ----------
    Our own: common practice, no source.

    Examples
    --------
    >>> prior_draws(np.random.default_rng(1), 10).n_draws
    10
    """
    from slipwright.rooting.spreads import SPREADS, WOOD_SD

    def normal(mean_sd: tuple[float, float]) -> Array:
        return np.asarray(mean_sd[0] + mean_sd[1] * generator.standard_normal(n_draws))

    coefficients = {term.name: np.stack([normal(term.rooting), normal(term.loss)]) for term in terms}
    spreads = {
        level: np.abs(generator.standard_normal((2, n_draws))) * np.array(scales)[:, None]
        for level, scales in SPREADS.items()
    }
    spreads["wood"] = np.full((2, n_draws), WOOD_SD)
    together = np.tanh(0.5 * generator.standard_normal(n_draws))
    noise = generator.standard_normal((len(LEVELS), 2, n_draws))
    return Learned(coefficients, spreads, together, noise)


@cache
def before_records() -> Learned:
    """Draws of the prior, always the same, remembered by the process.

    Returns
    -------
    Learned
        1,000 draws.

    References
    ----------
    As `prior_draws`.

    Examples
    --------
    >>> before_records().n_draws
    1000
    """
    return prior_draws(np.random.default_rng(_PRIOR_SEED))
