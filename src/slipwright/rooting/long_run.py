"""Clocks of many batches at once, each with a season and a batch effect of its own drawn anew.

What is learned of a kind of plant is how it does over many batches. One batch of it lies off that by its own
effect, so the mean over batches drawn anew is the share of the long run, and their spread that of one batch.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from slipwright.rooting.cuttings import PARTS, Cuttings
from slipwright.rooting.learned import LEVELS, ClockDraws, Kind, Learned
from slipwright.rooting.ranges import Array

#: levels that are drawn anew for each batch
_SEASON, _BATCH = LEVELS.index("season"), LEVELS.index("batch")


def clocks_anew(
    learned: Learned,
    stuck: Sequence[tuple[Cuttings, Kind]],
    *,
    n_draws: int,
    generator: np.random.Generator,
) -> ClockDraws:
    """Draws of the two clocks of batches yet to be stuck, season and batch of each drawn by itself.

    Parameters
    ----------
    learned : Learned
        What is known.
    stuck : sequence of tuple of Cuttings and Kind
        What each batch is, and where it stands among plants; its season and code do not count.
    n_draws : int
        How many draws of what is known, the first ones [1].
    generator : numpy.random.Generator
        Where seasons and batches come from.

    Returns
    -------
    ClockDraws
        Arrays of shape (2, len(stuck) * n_draws), batch after batch.

    Notes
    -----
    A batch takes the deepest of genus, taxon and wood that is known, what lies between is drawn as
    `Learned.clocks` draws it, the same for all batches of a draw. Columns of one draw share coefficients
    and plants, so that two ways of sticking can be held against each other draw by draw.

    References
    ----------
    As `slipwright.rooting.learned`.

    Examples
    --------
    >>> from slipwright.rooting.learned import before_records
    >>> rose = (Cuttings(), Kind("Rosa", "Rosa", "semi-hardwood", "2026"))
    >>> anew = clocks_anew(before_records(), [rose] * 3, n_draws=5, generator=np.random.default_rng(1))
    >>> anew.level.shape
    (2, 15)
    """
    terms_of = {cuttings: cuttings.terms() for cuttings in {cuttings for cuttings, _ in stuck}}
    terms = [terms_of[cuttings] for cuttings, _ in stuck]
    parts = {part: np.zeros((2, len(stuck), n_draws)) for part in ("level", "slope", "bend")}
    for name in sorted({name for had in terms for name in had}):
        amounts = np.array([had.get(name, 0.0) for had in terms])
        had = np.flatnonzero(amounts)
        drawn = learned.coefficient(name)[:, None, :n_draws]
        parts[PARTS.get(name, "level")][:, had] += amounts[had, None] * drawn
    level = parts["level"] + _plants(learned, [kind for _, kind in stuck], n_draws)
    for depth in (_SEASON, _BATCH):
        score = generator.standard_normal(level.shape)
        if depth == _BATCH:
            together = learned.batch_together[:n_draws]
            score[1] = together * score[0] + np.sqrt(1 - together**2) * score[1]
        level += learned.spreads[LEVELS[depth]][:, None, :n_draws] * score
    return ClockDraws(
        level.reshape(2, -1), parts["slope"].reshape(2, -1), parts["bend"].reshape(2, -1), learned.cells
    )


def _plants(learned: Learned, kinds: Sequence[Kind], n_draws: int) -> Array:
    """Return what plants add, offsets included, of shape (2, n_kinds, n_draws)."""
    found = np.empty((2, len(kinds), n_draws))
    known: dict[tuple[str, ...], Array] = {}
    for place, kind in enumerate(kinds):
        path = kind.path[:_SEASON]
        if path[-1] not in known:
            deepest = max((depth for depth, node in enumerate(path) if node in learned.nodes), default=-1)
            total = np.zeros((2, learned.n_draws)) if deepest < 0 else learned.nodes[path[deepest]].copy()
            for depth in range(deepest + 1, _SEASON):
                total += learned.spreads[LEVELS[depth]] * learned.scores(depth)
            known[path[-1]] = total[:, :n_draws]
        found[:, place] = known[path[-1]] + np.array(kind.offset)[:, None]
    return found
