"""How many of a batch had rooted by a day, as far as its looks tell."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from slipwright.rooting.counts import GIVEN_UP, BatchCounts
from slipwright.rooting.standing import filled

#: between looks further apart than this nothing is read
MOST_APART_DAYS = 14

#: why a number is not known
Why = Literal["", "no-look", "looks-apart", "taken-away"]


@dataclass(frozen=True, slots=True)
class Came:
    """The number rooted by a day; ``n`` is None where it is not known, and ``why`` says why.

    ``is_between`` says that it was read between two looks.
    """

    n: int | None
    is_between: bool = False
    why: Why = ""


def rooted_by(counts: BatchCounts, on: date, *, since: date | None = None) -> Came:
    """Return how many of a batch had rooted by the end of a day.

    Parameters
    ----------
    counts : BatchCounts
        What was stuck and all that its looks found.
    on : date
        The day.
    since : date, optional
        What was taken away up to then was known when it was forecast, and is no hindrance.

    Returns
    -------
    Came
        The number, or why it is not known.

    Notes
    -----
    A look tells it if it was on that day and counted the rooted.  Otherwise it lies between the count of the
    last look before (at least) and that of the first one after (at most): known where these are equal, or
    where nothing waited any more before.  Of looks at most 14 days apart it is read between, those that
    rooted shared evenly over the days and rounded: leaving these out would leave out just the batches in
    which something rooted about then.  Looks that did not count the rooted count for nothing.  Where cuttings
    were taken away, or given up, before the day, nobody knows what they would have done.

    References
    ----------
    Definition; 14 days and the even share are our own: common practice, no source.

    Examples
    --------
    >>> from slipwright.rooting.counts import LookCounts
    >>> looks = (LookCounts(date(2026, 6, 20), 2, 0), LookCounts(date(2026, 6, 30), 5, 0))
    >>> batch = BatchCounts(date(2026, 6, 1), 12, looks)
    >>> rooted_by(batch, date(2026, 6, 24))
    Came(n=4, is_between=True, why='')
    >>> rooted_by(batch, date(2026, 7, 20)).why
    'no-look'
    """
    last, n_last, waiting = counts.stuck_on, 0, counts.n_stuck
    for look in filled(counts.until(date.max)).looks:
        if look.on > on:
            if look.n_rooted is None:
                continue
            return _between(last, n_last, look.on, n_last + look.n_rooted, on)
        n_last += look.n_rooted or 0
        waiting -= (look.n_rooted or 0) + (look.n_lost or 0) + (look.n_removed or 0)
        if look.n_rooted is not None:
            last = look.on
        if (since or date.min) < look.on < on and (
            look.n_removed or (look.cause == GIVEN_UP and look.n_lost)
        ):
            return Came(None, why="taken-away")
        if waiting <= 0:
            return Came(n_last)
    return Came(n_last) if last == on and on > counts.stuck_on else Came(None, why="no-look")


def _between(last: date, n_last: int, after: date, n_after: int, on: date) -> Came:
    if last == on or n_after == n_last:
        return Came(n_last)
    days = (after - last).days
    if days > MOST_APART_DAYS:
        return Came(None, why="looks-apart")
    return Came(n_last + round((n_after - n_last) * (on - last).days / days), is_between=True)
