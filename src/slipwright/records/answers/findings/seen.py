"""The batches findings are made from: each as learned from, with where, when and of how firm a shoot."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from statistics import median

from slipwright.records.answers.findings.counts import Sums, sums_of
from slipwright.records.answers.histories import History
from slipwright.records.models import Garden
from slipwright.records.selectors.findings import Felt, felt_of_plants, names_of_places
from slipwright.records.selectors.histories import Stuck
from slipwright.rooting.history import BatchRecord

#: a shoot felt so many days before or after it was cut was as firm then
_NEAR_DAYS = 10


@dataclass(frozen=True)
class SeenBatch:
    """A batch whose looks counted something; empty or ``None`` is not known."""

    record: BatchRecord
    place: str = ""
    firmness: int | None = None

    @property
    def stuck_on(self) -> date:
        """The day it was stuck."""
        return self.record.counts.stuck_on

    @cached_property
    def sums(self) -> Sums:
        """What was counted of it."""
        return sums_of(self.record.counts)


def batches_seen(garden: Garden, history: History) -> list[SeenBatch]:
    """Return the batches of a garden that were learned from. Two queries."""
    places, felt = names_of_places(garden), felt_of_plants(garden)
    return [
        SeenBatch(record, places.get(stuck.place_id or 0, ""), _firmness(stuck, felt))
        for stuck, record in zip(history.stuck, history.records, strict=True)
        if record.counts.n_looks
    ]


def _firmness(stuck: Stuck, felt: Mapping[str, Sequence[Felt]]) -> int | None:
    """Return how firm the part that was cut felt nearest the day; of a whole shoot the middle one felt."""
    near = [one for one in felt.get(stuck.plant, ()) if abs((one.on - stuck.stuck_on).days) <= _NEAR_DAYS]
    if not near:
        return None
    one = min(near, key=lambda felt: abs((felt.on - stuck.stuck_on).days))
    of_part = {"upper": one.tip, "middle": one.mid, "lower": one.base}
    if stuck.part in of_part:
        return of_part[stuck.part]
    known = [felt for felt in (one.tip, one.mid, one.base) if felt is not None]
    return round(median(known)) if known else None
