"""What was counted at the looks at batches, many at once, as forecast and learning take it."""

from __future__ import annotations

from collections.abc import Sequence
from operator import itemgetter
from typing import Any

from slipwright.records.models import Garden, Look
from slipwright.records.sums import LookSeen, counted_looks
from slipwright.rooting.counts import LookCounts

_LOOK = ("entry_id", "on", "number", "after")
#: in the order of ``LookCounts``, after its day
_COUNTS = (
    "n_rooted",
    "n_lost",
    "n_removed",
    "n_lost_rooted",
    "n_tried",
    "n_tried_rooted",
    "cause",
    "signs",
    "pot_weight",
    "n_waiting",
)
_Row = tuple[Any, ...]
_ID, _ON, _NUMBER, _AFTER = range(1, 1 + len(_LOOK))
_FIRST_COUNT = 1 + len(_LOOK)
_SIGNS = _FIRST_COUNT + _COUNTS.index("signs")


def look_counts(garden: Garden, pks: Sequence[int] | None = None) -> dict[int, tuple[LookCounts, ...]]:
    """Return the looks that count of some batches, or of all, in the order they were seen. One query."""
    rows = Look.rows.of(garden).standing()
    if pks is not None:
        rows = rows.filter(batch__in=pks)
    seen: dict[int, list[_Row]] = {}
    for row in rows.values_list("batch", *_LOOK, *_COUNTS):
        seen.setdefault(row[0], []).append(row)
    return {pk: tuple(_counts(row) for row in _rows_that_count(found)) for pk, found in seen.items()}


def _rows_that_count(rows: list[_Row]) -> list[_Row]:
    if not any(row[_AFTER] for row in rows):
        return sorted(rows, key=itemgetter(_ON, _NUMBER))
    by_id = {row[_ID]: row for row in rows}
    return [
        by_id[look.entry_id] for look in counted_looks(LookSeen(*row[_ID:_FIRST_COUNT]) for row in rows)[0]
    ]


def _counts(row: _Row) -> LookCounts:
    signs = tuple(row[_SIGNS].split(";")) if row[_SIGNS] else ()
    counts = [*row[_FIRST_COUNT:_SIGNS], signs, *row[_SIGNS + 1 :]]
    return LookCounts(row[_ON], *counts)
