"""Forecasts held against what came: as made then, or worked out afterwards from what was known then."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import numpy as np
from numpy.typing import NDArray

from slipwright.rooting.came import rooted_by
from slipwright.rooting.dates import give_up_on
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import Learned, before_records
from slipwright.rooting.plain_average import PlainAverage, points_of_average
from slipwright.rooting.rooted_ahead import rooted_ahead
from slipwright.rooting.scoring import at_levels

#: the same records get the same answer
_SEED = 1

Points = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Looked:
    """One forecast of a number rooted beside what came: points at `slipwright.rooting.scoring.LEVELS`.

    ``average`` is None where no batch had come to its end before.
    """

    batch: str
    season: str
    made_on: date
    by_day: date
    n_stuck: int
    n_looks: int
    ours: Points
    handbook: Points
    average: Points | None
    came: int
    is_between: bool = False


def known_then(records: Iterable[BatchRecord], on: date) -> list[BatchRecord]:
    """Return batches as they were known before a day.

    Parameters
    ----------
    records : iterable of BatchRecord
        Batches with all their looks.
    on : date
        The day.

    Returns
    -------
    list of BatchRecord
        Those stuck before it, with the looks before it.

    References
    ----------
    Definition.

    Examples
    --------
    >>> known_then([], date(2026, 1, 1))
    []
    """
    found = []
    for record in records:
        counts = record.counts
        if counts.stuck_on < on:
            looks = tuple(look for look in counts.looks if look.on < on)
            found.append(replace(record, counts=replace(counts, looks=looks)))
    return found


def over_by(
    records: Iterable[BatchRecord], patience_days: Mapping[str, float]
) -> list[tuple[BatchRecord, date, int]]:
    """Return the batches that came to their end, with the day and how many had rooted.

    Parameters
    ----------
    records : iterable of BatchRecord
        Batches with all their looks.
    patience_days : mapping of str to float
        Days after sticking at which waiting ends, by batch [days].

    Returns
    -------
    list of (BatchRecord, date, int)
        The end is the first look at which nothing waited any more, or the first on or after the end of
        patience.

    References
    ----------
    Definition.

    Examples
    --------
    >>> over_by([], {})
    []
    """
    found = []
    for record in records:
        counts, gone, rooted = record.counts, 0, 0
        limit = give_up_on(counts.stuck_on, patience_days[record.kind.batch])
        for look in counts.until(date.max).looks:
            rooted += look.n_rooted or 0
            gone += (look.n_rooted or 0) + (look.n_lost or 0) + (look.n_removed or 0)
            if gone >= counts.n_stuck or look.on >= limit:
                found.append((record, look.on, min(rooted, counts.n_stuck)))
                break
    return found


def forecast_when_stuck(
    learned: Learned,
    average: PlainAverage,
    records: Sequence[BatchRecord],
    patience_days: Mapping[str, float],
    *,
    on: date | None = None,
) -> list[Looked]:
    """Forecasts of the number rooted in the end, of batches as they were stuck, beside what came.

    Parameters
    ----------
    learned : Learned
        What was known before: the batches' own looks must not be in it.
    average : PlainAverage
        The plain average.
    records : sequence of BatchRecord
        The batches with all their looks.
    patience_days : mapping of str to float
        Days after sticking at which waiting ends, by batch [days].
    on : date, optional
        The day the plain average is of; else the day each was stuck.

    Returns
    -------
    list of Looked
        Of those batches of which it is known what came.

    References
    ----------
    Definition.

    Examples
    --------
    >>> from slipwright.rooting.plain_average import plain_average
    >>> forecast_when_stuck(before_records(), plain_average([]), [], {})
    []
    """
    found = []
    for record in records:
        counts, kind = record.counts, record.kind
        stuck_on = counts.stuck_on
        limit = give_up_on(stuck_on, patience_days[kind.batch])
        came = rooted_by(counts, limit)
        if came.n is None:
            continue
        as_stuck = replace(record, counts=replace(counts, looks=(), n_potted=0))
        share = average.share(kind, on or stuck_on)
        found.append(
            Looked(
                kind.batch,
                kind.season,
                stuck_on,
                limit,
                counts.n_stuck,
                0,
                *points_of_both(learned, as_stuck, [limit], on=stuck_on)[0],
                None if share is None else _whole(points_of_average(share, counts.n_stuck)),
                came.n,
                came.is_between,
            )
        )
    return found


def points_of_both(
    learned: Learned, record: BatchRecord, days: Sequence[date], *, on: date
) -> list[tuple[Points, Points]]:
    """Points of the number rooted by some days, as learned and by the handbook alone.

    Parameters
    ----------
    learned : Learned
        What is known.
    record : BatchRecord
        The batch; looks after ``on`` are left out.  Both are told of its own looks.
    days : sequence of date
        The days, rising, none before ``on``.
    on : date
        The day it is told on.

    Returns
    -------
    list of tuple of two tuples of 19 int
        By day, at `slipwright.rooting.scoring.LEVELS` [1].

    References
    ----------
    As `slipwright.rooting.rooted_ahead`.

    Examples
    --------
    >>> from slipwright.rooting.counts import BatchCounts
    >>> from slipwright.rooting.cuttings import Cuttings
    >>> from slipwright.rooting.learned import Kind
    >>> counts, rose = BatchCounts(date(2026, 9, 1), 9), Kind("Rosa", "Rosa", "semi-hardwood", "2026")
    >>> record = BatchRecord(Cuttings(), rose, counts)
    >>> known = before_records()
    >>> ((ours, handbook),) = points_of_both(known, record, [date(2026, 12, 1)], on=date(2026, 9, 1))
    >>> len(ours), ours == handbook
    (19, True)
    """
    both = []
    for known in (learned, before_records()):
        drawn = rooted_ahead(known, record, days, on=on, generator=np.random.default_rng(_SEED))
        both.append([_whole(points) for points in at_levels(drawn)])
    return list(zip(*both, strict=True))


def _whole(points: NDArray[Any]) -> Points:
    return tuple(int(point) for point in points.tolist())
