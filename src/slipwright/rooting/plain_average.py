"""The plain average: what share rooted of the batches before, as counted, and the forecast it makes."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from itertools import accumulate

import numpy as np

from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import Kind
from slipwright.rooting.ranges import Array
from slipwright.rooting.scoring import LEVELS

Key = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PlainAverage:
    """Of each plant's wood, each wood and all: days on which batches were over, and sums by then."""

    _of: dict[Key, tuple[list[date], list[int], list[int]]]

    def share(self, kind: Kind, on: date) -> float | None:
        """Share rooted of all stuck, of the batches over before a day; None where there was none.

        Of the plant's wood; where none of it was over, of any plant's such wood, else of all.
        """
        for key in _keys(kind):
            days, rooted, stuck = self._of.get(key, ([], [], []))
            n = bisect_right(days, on)
            if n:
                return rooted[n - 1] / stuck[n - 1]
        return None


def plain_average(ended: Iterable[tuple[BatchRecord, date, int]]) -> PlainAverage:
    """Return the plain average over batches, to be asked as of any day.

    Parameters
    ----------
    ended : iterable of (BatchRecord, date, int)
        Batches that are over, the day they were, and how many had rooted [1].

    Returns
    -------
    PlainAverage
        Shares as of a day.

    References
    ----------
    Definition.

    Examples
    --------
    >>> from slipwright.rooting.counts import BatchCounts
    >>> from slipwright.rooting.cuttings import Cuttings
    >>> rose = Kind("Rosa", "Rosa", "semi-hardwood", "2025")
    >>> record = BatchRecord(Cuttings(), rose, BatchCounts(date(2025, 6, 1), 10))
    >>> average = plain_average([(record, date(2025, 9, 1), 7)])
    >>> average.share(rose, date(2026, 1, 1)), average.share(rose, date(2025, 8, 1))
    (0.7, None)
    """
    rows: dict[Key, list[tuple[date, int, int]]] = defaultdict(list)
    for record, on, n_rooted in ended:
        for key in _keys(record.kind):
            rows[key].append((on, n_rooted, record.counts.n_stuck))
    found = {}
    for key, some in rows.items():
        days, rooted, stuck = zip(*sorted(some), strict=True)
        found[key] = (list(days), list(accumulate(rooted)), list(accumulate(stuck)))
    return PlainAverage(found)


def _keys(kind: Kind) -> tuple[Key, ...]:
    return ((kind.wood, kind.taxon), (kind.wood,), ())


def points_of_average(share: float, n_stuck: int) -> Array:
    """Points of the forecast a plain average makes: so many in a hundred root, each by its own luck.

    Parameters
    ----------
    share : float
        The average [-].
    n_stuck : int
        Cuttings stuck [1].

    Returns
    -------
    array of shape (19,)
        Points at `slipwright.rooting.scoring.LEVELS` [1].

    Notes
    -----
    Points of the binomial.

    References
    ----------
    Definition.

    Examples
    --------
    >>> points_of_average(0.5, 2).tolist()[4::5]
    [0, 1, 1]
    """
    if share in (0.0, 1.0):
        return np.full(len(LEVELS), round(share * n_stuck))
    k = np.arange(n_stuck)
    log = np.concatenate([[0.0], np.cumsum(np.log((n_stuck - k) / (k + 1)) + math.log(share / (1 - share)))])
    chances = np.exp(log - log.max()).cumsum()
    return np.asarray(np.searchsorted(chances / chances[-1], np.array(LEVELS) - 1e-12))
