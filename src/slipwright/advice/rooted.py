"""Rooted cuttings of a batch on the round that stand unpotted."""

from __future__ import annotations

from datetime import date

from slipwright.advice.walk import BatchOnRound, rule_of
from slipwright.rooting.potting import StandsRooted, rooted_standing


def stands_rooted(batch: BatchOnRound, *, on: date, south: bool = False) -> StandsRooted | None:
    """Return the rooted cuttings of a batch that stand unpotted.

    Parameters
    ----------
    batch : BatchOnRound
        The batch.
    on : date
        Today.
    south : bool
        Whether the garden lies south of the equator.

    Returns
    -------
    StandsRooted or None
        Since when they stand and when they may be potted; None where none stands.

    References
    ----------
    As `slipwright.rooting.potting.rooted_standing`.

    Examples
    --------
    >>> from slipwright.rooting.counts import BatchCounts, LookCounts
    >>> counts = BatchCounts(date(2026, 9, 1), 12, (LookCounts(date(2026, 11, 20), 4),))
    >>> stands_rooted(BatchOnRound("K7Q2M9T3", "Rosa", "hardwood", counts), on=date(2026, 11, 27)).n
    4
    """
    return rooted_standing(batch.counts, rule_of(batch), on=on, south=south)
