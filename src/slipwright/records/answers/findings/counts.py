"""What was counted of some batches: rooted, waiting, lost, and the share as far as looks tell."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from slipwright.records.answers.findings.kept import Counted
from slipwright.rooting.counts import GIVEN_UP, BatchCounts
from slipwright.rooting.empirical import curve_of, risk_sets
from slipwright.rooting.ranges import Array

if TYPE_CHECKING:
    from slipwright.records.answers.findings.seen import SeenBatch


@dataclass(frozen=True, slots=True)
class Sums:
    """What was counted of one batch, and its risk sets: added up for each finding that it is part of."""

    n_stuck: int
    n_rooted: int
    n_waiting: int
    n_lost: int
    n_away: int
    at_risk: Array


def sums_of(counts: BatchCounts) -> Sums:
    """Return what was counted of one batch.

    What was given up or taken away while it waited says nothing of whether it would have rooted: it is
    not lost.
    """
    given_up = sum(look.n_lost or 0 for look in counts.looks if look.cause == GIVEN_UP)
    return Sums(
        counts.n_stuck,
        counts.n_rooted,
        counts.n_waiting,
        counts.n_lost - given_up,
        counts.total("n_removed") + given_up,
        risk_sets(counts),
    )


def counted_of(batches: Sequence[SeenBatch]) -> Counted:
    """Return what was counted of some batches together."""
    sums = [one.sums for one in batches]
    share, weeks = _as_looks_tell([one.at_risk for one in sums])
    return Counted(
        len(sums),
        sum(one.n_stuck for one in sums),
        sum(one.n_rooted for one in sums),
        sum(one.n_waiting for one in sums),
        sum(one.n_lost for one in sums),
        sum(one.n_away for one in sums),
        share,
        weeks,
    )


def _as_looks_tell(at_risk: Sequence[Array]) -> tuple[float | None, float | None]:
    curve = curve_of(np.concatenate(at_risk))
    if not len(curve.days):
        return None, None
    share = float(curve.p_rooted[-1])
    if not share:
        return share, None
    half = int(np.argmax(curve.p_rooted >= share / 2))
    return share, float(curve.days[half]) / 7
