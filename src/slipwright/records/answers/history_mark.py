"""A mark of all that the two clocks learn from: another one wherever they would learn anything else."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from slipwright.rooting.counts import LookCounts
from slipwright.rooting.history import BatchRecord

#: raise it where the mark is made in another way
FORM = 2


@dataclass(frozen=True, slots=True)
class HistoryMark:
    """A SHA-256 of a history, and how many batches and looks of it tell anything."""

    data_hash: str
    n_batches: int
    n_looks: int


def mark_of(history: Sequence[BatchRecord]) -> HistoryMark:
    """Return the mark of a history; the order of its batches does not matter.

    Batches of which nothing was counted tell nothing and have no part in it.
    """
    lines = []
    n_looks = 0
    for record in history:
        looks = [look for look in record.counts.looks if look.counts_anything]
        if looks:
            n_looks += len(looks)
            lines.append(_line(record, looks))
    whole = hashlib.sha256(f"history {FORM}\n".encode())
    for line in sorted(lines):
        whole.update(line.encode() + b"\n")
    return HistoryMark(whole.hexdigest(), len(lines), n_looks)


def _line(record: BatchRecord, looks: Sequence[LookCounts]) -> str:
    kind, counts = record.kind, record.counts
    told: list[Any] = [
        kind.batch,
        [kind.genus, kind.taxon, kind.wood, kind.season],
        [_figure(value) for value in kind.offset],
        sorted((name, _figure(value)) for name, value in record.cuttings.terms().items()),
        counts.n_stuck,
        [
            [
                (look.on - counts.stuck_on).days,
                look.n_rooted,
                look.n_lost,
                look.n_waiting,
                look.n_removed,
                look.n_tried,
                look.n_tried_rooted,
                look.cause == "given-up",
            ]
            for look in looks
        ],
    ]
    return json.dumps(told, ensure_ascii=False, separators=(",", ":"))


def _figure(value: float) -> str:
    """Nine digits: what differs beyond them is the machine, not the records."""
    return f"{value:.9g}"
