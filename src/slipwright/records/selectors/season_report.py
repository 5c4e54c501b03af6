"""What a season report is made of: the batches of a season and of its wants, and what they were made with."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from typing import Any, NamedTuple

from django.db.models import Q

from slipwright.records.models import BatchState, Garden, Sticking


class SeasonBatch(NamedTuple):
    """A batch as far as a season report asks. Empty text and ``None`` are unknown."""

    pk: int
    batch: str
    taxon: str
    wood: str
    stuck_on: date
    n_stuck: int
    n_rooted: int
    n_lost: int
    n_removed: int
    n_lost_rooted: int
    n_potted: int
    n_waiting: int
    want: str
    container: str
    n_per_container: int | None
    cells: int | None
    volume_ml: float | None
    cost_item: str
    parts: str
    auxin: str
    minutes: float | None

    @property
    def n_alive(self) -> int:
        """Those that rooted and did not die before they were potted."""
        return max(self.n_rooted - self.n_lost_rooted, 0)


_COLUMNS = (
    "batch",
    "batch__batch",
    "batch__taxon__taxon",
    "batch__wood",
    "batch__stuck_on",
    "n_stuck",
    "n_rooted",
    "n_lost",
    "n_removed",
    "n_lost_rooted",
    "n_potted",
    "n_waiting",
    "batch__want__want",
    "batch__container__container",
    "batch__n_per_container",
    "batch__container__cells",
    "batch__container__volume_ml",
    "batch__container__cost_item",
    "batch__medium__parts",
    "batch__auxin",
    "batch__minutes",
)
_TEXTS = [SeasonBatch._fields.index(name) for name in ("want", "container", "cost_item", "parts", "auxin")]
_FIGURES = [SeasonBatch._fields.index(name) for name in ("volume_ml", "minutes")]


def batches_of_season(
    garden: Garden, first: date, last: date, wants: Collection[str] = ()
) -> list[SeasonBatch]:
    """Return the batches stuck between two days, and those stuck for some wants at any time. One query."""
    asked = Q(batch__stuck_on__range=(first, last))
    if wants:
        asked |= Q(batch__want__want__in=wants)
    rows = BatchState.rows.of(garden).filter(asked, withdrawn=False)
    return [_batch(row) for row in rows.order_by("batch__stuck_on", "batch__batch").values_list(*_COLUMNS)]


def _batch(row: tuple[Any, ...]) -> SeasonBatch:
    values = list(row)
    for at in _TEXTS:
        values[at] = values[at] or ""
    for at in _FIGURES:
        values[at] = None if values[at] is None else float(values[at])
    return SeasonBatch._make(values)


@dataclass(frozen=True, slots=True)
class DaysOfSticking:
    """The first and the last day anything was stuck."""

    first: date
    last: date


def days_of_sticking(garden: Garden) -> DaysOfSticking | None:
    """Return the first and last day anything was stuck, None where nothing was. Two queries."""
    days = Sticking.rows.of(garden).standing().order_by("stuck_on").values_list("stuck_on", flat=True)
    first, last = days.first(), days.last()
    return DaysOfSticking(first, last) if first and last else None
