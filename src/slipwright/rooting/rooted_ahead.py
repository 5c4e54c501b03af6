"""How many of a batch will have rooted by some days: as draws, to be kept and held against what comes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

import numpy as np

from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import Learned
from slipwright.rooting.ranges import Counts
from slipwright.rooting.standing import filled, standing_of, thrown_forward
from slipwright.rooting.weighing import weighed_clocks


def rooted_ahead(
    learned: Learned,
    record: BatchRecord,
    days: Sequence[date],
    *,
    on: date,
    generator: np.random.Generator,
) -> Counts:
    """Draws of the number rooted of one batch by some days.

    Parameters
    ----------
    learned : Learned
        What is known: draws of the prior, or of what records taught.
    record : BatchRecord
        The batch; looks after ``on`` are left out.
    days : sequence of date
        The days, rising, none before ``on``.
    on : date
        The day it is told on.
    generator : numpy.random.Generator
        Where the draws come from.

    Returns
    -------
    array of shape (n_days, n_draws)
        Cuttings rooted by the end of each day [1].

    Raises
    ------
    ValueError
        If a day lies before ``on``.

    Notes
    -----
    The forecast of `slipwright.rooting.forecast.forecast_batch`, whole in place of three of its points.

    References
    ----------
    As `slipwright.rooting.forecast`.

    Examples
    --------
    >>> from slipwright.rooting.counts import BatchCounts
    >>> from slipwright.rooting.cuttings import Cuttings
    >>> from slipwright.rooting.learned import Kind, before_records
    >>> stuck = date(2026, 9, 1)
    >>> record = BatchRecord(
    ...     Cuttings(), Kind("Rosa", "Rosa", "semi-hardwood", "2026"), BatchCounts(stuck, 9)
    ... )
    >>> days = [date(2026, 9, 8), date(2026, 12, 30)]
    >>> drawn = rooted_ahead(before_records(), record, days, on=stuck, generator=np.random.default_rng(1))
    >>> drawn.shape, bool((drawn[1] >= drawn[0]).all())
    ((2, 1000), True)
    """
    if any(day < on for day in days):
        raise ValueError(f"days must not lie before {on}")
    stuck_on = record.counts.stuck_on
    known = filled(record.counts.until(max(on, stuck_on)))
    clocks = weighed_clocks(learned, replace(record, counts=known), generator)
    ages = np.array([(day - stuck_on).days for day in days])
    return thrown_forward(clocks, standing_of(known), ages, generator)[0]
