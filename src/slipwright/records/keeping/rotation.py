"""Which copies of a garden stay, and which make room for newer ones."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from datetime import datetime

#: the newest copy of each of so many days, weeks (ISO 8601) and months that have any
DAYS, WEEKS, MONTHS = 7, 5, 12

_SPANS: tuple[tuple[int, Callable[[datetime], Hashable]], ...] = (
    (DAYS, lambda at: at.date()),
    (WEEKS, lambda at: at.isocalendar()[:2]),
    (MONTHS, lambda at: (at.year, at.month)),
)


def to_keep(moments: Iterable[datetime]) -> set[datetime]:
    """Return the moments of the copies that stay; the newest always does.

    >>> from datetime import timedelta
    >>> first = datetime(2025, 1, 1)
    >>> len(to_keep(first + timedelta(days=day) for day in range(366)))
    20
    """
    newest_first = sorted(set(moments), reverse=True)
    kept: set[datetime] = set()
    for most, span_of in _SPANS:
        newest_of: dict[Hashable, datetime] = {}
        for at in newest_first:
            newest_of.setdefault(span_of(at), at)
        kept.update(list(newest_of.values())[:most])
    return kept
