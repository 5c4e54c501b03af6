"""What a garden remembers of its batches, as the two clocks learn from it."""

from __future__ import annotations

from dataclasses import dataclass

from slipwright.rooting.counts import BatchCounts
from slipwright.rooting.cuttings import Cuttings
from slipwright.rooting.learned import Kind


@dataclass(frozen=True, slots=True)
class BatchRecord:
    """One batch: what was stuck, where it stands among plants and seasons, and what its looks found."""

    cuttings: Cuttings
    kind: Kind
    counts: BatchCounts
