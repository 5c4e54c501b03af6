"""Draws of a batch's two clocks, weighed by its looks as they stand, over those the draws were told of."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import ClockDraws, Kind, Learned, before_records
from slipwright.rooting.ranges import Array, Counts
from slipwright.rooting.redrawing import drawn_anew
from slipwright.rooting.told import told_of
from slipwright.rooting.unlearning import log_chance_of_seen

#: share of the draws that must count after weighing; below it they are drawn anew, nearer to the looks
LEAST_EFFECTIVE = 0.1
#: the same where looks were taken back: the draws lie too close about what they were told of
LEAST_TAKEN_BACK = 0.5


def effective_share(log_weight: Array) -> float:
    """Return the share of the draws that count.

    Parameters
    ----------
    log_weight : array of shape (n_draws,)
        Logarithms of the weights, to a constant [-].

    Returns
    -------
    float
        (sum w)^2 / (n sum w^2) [-].

    References
    ----------
    Kish L. 1965, Survey Sampling (from memory).

    Examples
    --------
    >>> effective_share(np.zeros(8))
    1.0
    """
    weight = np.exp(log_weight - log_weight.max())
    return float(weight.sum() ** 2 / (len(weight) * np.sum(weight**2)))


def weighed_clocks(learned: Learned, record: BatchRecord, generator: np.random.Generator) -> ClockDraws:
    """Draws of a batch's two clocks, equally weighted, that fit all its looks.

    Parameters
    ----------
    learned : Learned
        What is known; of the batch itself it may have been told already (``seen``).
    record : BatchRecord
        The batch and its looks in the order of days.
    generator : numpy.random.Generator
        Where the draws come from.

    Returns
    -------
    ClockDraws
        As many draws as ``learned`` has.

    Notes
    -----
    ln weight = ln L(looks as they stand) - ln L(looks the draws were told of), the latter by what was
    believed to be stuck when they were told.  So no look counts twice, and none that was corrected, taken
    back or is yet to come still counts, whatever was left empty.  If fewer than a tenth of the draws count,
    the batch's numbers are drawn anew (`slipwright.rooting.redrawing.drawn_anew`).  Where anything was taken
    back and fewer than half count, the batch is taken out of all draws first: they are weighed by one over
    the chance of what they were told of it, its own effect summed out
    (`slipwright.rooting.unlearning.log_chance_of_seen`), weights cut at their mean times the root of the
    number of draws, and its effect is drawn from the spreads.  Draws are picked in proportion to their
    weights, evenly spaced.

    References
    ----------
    Importance weights: Geweke J. 1989, Econometrica 57:1317-1339; cut ones: Ionides E.L. 2008, Journal of
    Computational and Graphical Statistics 17:295-311 (both from memory).

    Examples
    --------
    >>> from datetime import date
    >>> from slipwright.rooting.counts import BatchCounts, LookCounts
    >>> from slipwright.rooting.cuttings import Cuttings
    >>> from slipwright.rooting.learned import prior_draws
    >>> counts = BatchCounts(date(2026, 9, 1), 10, (LookCounts(date(2026, 9, 22), 6, 0),))
    >>> record = BatchRecord(Cuttings(), Kind("Rosa", "Rosa", "semi-hardwood", "2026"), counts)
    >>> prior, rng = prior_draws(np.random.default_rng(1), 400), np.random.default_rng(2)
    >>> before = prior.clocks(record.cuttings, record.kind)
    >>> bool(weighed_clocks(prior, record, rng).level[0].mean() > before.level[0].mean())
    True
    """
    clocks = learned.clocks(record.cuttings, record.kind)
    told = told_of(learned, record, clocks)
    if told.says_nothing:
        return clocks
    numbers, log_weight = told.numbers, told.log_chance()
    if not told.goes_on and effective_share(log_weight) < LEAST_TAKEN_BACK:
        return weighed_clocks(_without(learned, record.kind, generator), record, generator)
    if effective_share(log_weight) < LEAST_EFFECTIVE:
        nearer, its_weight = drawn_anew(learned, record.kind, told, generator)
        if effective_share(its_weight) > effective_share(log_weight):
            numbers, log_weight = nearer, its_weight
    picked = _picked(log_weight, generator)
    level, slope, bend = (numbers[[part, part + 3]][:, picked] for part in range(3))
    return ClockDraws(level, slope, bend, clocks.cells)


def _without(learned: Learned, kind: Kind, generator: np.random.Generator) -> Learned:
    """Return draws as if they had never been told of a batch."""
    if learned.behind.get((), (0, 0))[0] == 1:
        # it was the only one
        return before_records()
    log_weight = -log_chance_of_seen(learned, kind)
    # a few draws by which it was most unlikely shall not stand for all
    log_weight -= np.logaddexp.reduce(log_weight)
    picked = _picked(np.minimum(log_weight, -0.5 * np.log(len(log_weight))), generator)
    return replace(
        learned,
        coefficients={name: draws[:, picked] for name, draws in learned.coefficients.items()},
        spreads={level: draws[:, picked] for level, draws in learned.spreads.items()},
        batch_together=learned.batch_together[picked],
        nodes={node: learned.nodes[node][:, picked] for node in kind.path[:-1] if node in learned.nodes},
        seen={},
    )


def _picked(log_weight: Array, generator: np.random.Generator) -> Counts:
    """Places of the draws picked in proportion to their weights, evenly spaced."""
    n = len(log_weight)
    weight = np.exp(log_weight - log_weight.max())
    ladder = (np.arange(n) + generator.random()) / n
    return np.searchsorted(np.cumsum(weight) / weight.sum(), ladder).clip(max=n - 1)
