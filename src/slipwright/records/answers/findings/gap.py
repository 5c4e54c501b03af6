"""Two ways held against each other draw by draw, and the trial that would settle which is better."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from slipwright.records.answers.findings.kept import Gap, Points
from slipwright.rooting.belief_left import share_left
from slipwright.rooting.ranges import Array
from slipwright.rooting.trial_sizes import units_needed

#: cuttings to a pot of a trial: common practice, no source
A_POT = 8
#: a difference of fewer than this of 1 is not worth a trial
SMALL = 0.02
#: so much of a belief is left that a finding is none yet, and so much that it is not the garden's own
MOSTLY_PRIOR, HALF_OWN = 0.7, 0.5


def points_of(draws: Array) -> Points:
    """Return the ends of 8 times in 10 and the middle of some draws."""
    low, middle, high = (float(point) for point in np.quantile(draws, (0.1, 0.5, 0.9)))
    return low, middle, high


def gap_of(
    of: str, beside: str, shares: tuple[Array, Array], believed: tuple[Array, Array], n_held: int = 1
) -> Gap:
    """Return one way held against another: draws of both as learned, and as believed before any record.

    ``n_held`` is how many pairs this is the foremost of.
    """
    apart, before = shares[0] - shares[1], believed[0] - believed[1]
    share = share_left(float(apart.std()), float(before.std()), float(apart.mean() - before.mean()))
    middle = float(np.median(shares[1])), float(np.median(shares[0]))
    n_units = units_to_settle(*(round(one, 2) for one in middle))
    return Gap(
        of, beside, points_of(apart), float((apart > 0).mean()), share, n_units, A_POT, p_needed(n_held)
    )


def p_needed(n_held: int) -> float:
    """Return how likely a difference must be, to be told: among many pairs as seldom by chance as of one."""
    return 1 - 0.1 / max(n_held, 1)


def is_likely(gap: Gap) -> bool:
    """Return whether it is surely enough better, by belief and records together."""
    return gap.p_better >= gap.p_needed and gap.prior_share < MOSTLY_PRIOR


def is_settled(gap: Gap) -> bool:
    """Return whether it is so likely better, and more of that is learned than believed."""
    return is_likely(gap) and gap.prior_share < HALF_OWN


@lru_cache(maxsize=512)
def units_to_settle(first: float, other: float) -> int | None:
    """Return how many pots each way tell two shares apart 8 times in 10; None where the gap is too small.

    Pots alike are taken to differ as batches alike do.
    """
    if abs(first - other) < SMALL:
        return None
    shares = {"first": min(max(first, 0.01), 0.99), "other": min(max(other, 0.01), 0.99)}
    return units_needed(shares, n_per_unit=A_POT)
