"""What the looks at a batch say as they stand, over what draws of its two clocks were told of it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from slipwright.rooting.counts import BatchCounts
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import ClockDraws, Learned, Seen
from slipwright.rooting.likelihood import log_likelihood
from slipwright.rooting.ranges import Array
from slipwright.rooting.spells import Segments, segments_of
from slipwright.rooting.standing import filled

#: rows of level in the six numbers of a batch: of rooting, of loss
LEVEL_ROWS = [0, 3]


@dataclass(frozen=True, slots=True)
class Told:
    """Looks as they stand and looks told of, each with the draws of the batch's six numbers it is held to.

    The six are level, slope and bend of rooting, then of loss; arrays of them have the shape (6, n_draws).
    """

    #: the draws as the batch is believed to be now, and the looks as they stand
    numbers: Array
    stands: Segments
    #: the draws as it was believed to be when they were told, and the looks they were told of
    numbers_then: Array
    known: Segments
    #: whether nothing was taken back: what stands is what was told of, and more
    goes_on: bool
    #: whether it is no more either
    says_nothing: bool

    def log_chance(self) -> Array:
        """Logarithm of the chance of the looks as they stand, less that of those told of, by draw."""
        stands, known = (
            log_likelihood(looks, numbers[:, :, None])[:, 0] if len(looks.batch) else 0.0
            for looks, numbers in ((self.stands, self.numbers), (self.known, self.numbers_then))
        )
        return np.asarray(stands - known)


def told_of(learned: Learned, record: BatchRecord, clocks: ClockDraws) -> Told:
    """Return what the looks at a batch say beyond what draws were told of it.

    Parameters
    ----------
    learned : Learned
        The draws, and what they were told.
    record : BatchRecord
        The batch as it stands, looks in the order of days.
    clocks : ClockDraws
        The draws of its clocks.

    Returns
    -------
    Told
        Both, to be weighed against each other.

    References
    ----------
    Definition.

    Examples
    --------
    >>> from datetime import date
    >>> from slipwright.rooting.cuttings import Cuttings
    >>> from slipwright.rooting.learned import Kind, before_records
    >>> kind = Kind("Rosa", "Rosa", "hardwood", "2026")
    >>> record = BatchRecord(Cuttings(), kind, BatchCounts(date(2026, 11, 1), 10))
    >>> told_of(before_records(), record, before_records().clocks(record.cuttings, kind)).says_nothing
    True
    """
    kind, numbers = record.kind, numbers_of(clocks)
    node = kind.path[-1]
    seen = learned.seen.get(node) if kind.batch and node in learned.nodes else None
    now = filled(record.counts).informing
    stands = segments_of([now], clocks.cells)
    if seen is None:
        nothing = segments_of([], clocks.cells)
        return Told(numbers, stands, numbers, nothing, goes_on=True, says_nothing=not len(stands.batch))
    is_as_then = _is_as_then(record, seen)
    then = numbers
    if not is_as_then:
        then = numbers_of(learned.clocks_of(seen.terms, replace(kind, offset=seen.offset)))
    before = filled(seen.counts).informing
    goes_on = is_as_then and _goes_on(now, before)
    known = segments_of([before], clocks.cells)
    says_nothing = goes_on and len(now.looks) == len(before.looks)
    return Told(numbers, stands, then, known, goes_on=goes_on, says_nothing=says_nothing)


def _is_as_then(record: BatchRecord, seen: Seen) -> bool:
    """Return whether as much of each term is believed to be in the batch as when the draws were told."""
    terms = record.cuttings.terms()
    pairs = [(terms.get(name, 0.0), seen.terms.get(name, 0.0)) for name in terms.keys() | seen.terms.keys()]
    pairs += zip(record.kind.offset, seen.offset, strict=True)
    return all(abs(now - then) < 1e-6 for now, then in pairs)


def _goes_on(now: BatchCounts, before: BatchCounts) -> bool:
    stuck_alike = (now.stuck_on, now.n_stuck) == (before.stuck_on, before.n_stuck)
    return stuck_alike and now.looks[: len(before.looks)] == before.looks


def numbers_of(clocks: ClockDraws) -> Array:
    """Level, slope and bend of rooting, then of loss, by draw.

    Parameters
    ----------
    clocks : ClockDraws
        Draws of the two clocks of a batch.

    Returns
    -------
    array of shape (6, n_draws)
        The six numbers that a batch's looks bear on [-].

    Notes
    -----
    The order of `slipwright.rooting.likelihood`.

    References
    ----------
    Definition.

    Examples
    --------
    >>> one = np.ones((2, 3))
    >>> numbers_of(ClockDraws(one, one, one)).shape
    (6, 3)
    """
    return np.concatenate([[clocks.level[i], clocks.slope[i], clocks.bend[i]] for i in (0, 1)])
