"""Forecasts as they were made."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import date
from typing import Any

from django.db.models import OuterRef, Subquery

from slipwright.records.models import BatchState, ForecastMade, Garden


@dataclass(frozen=True, slots=True)
class Made:
    """One forecast as it was made: points of the number rooted by a day, as learned and by the handbook."""

    batch_id: int
    batch: str
    made_on: date
    by_day: date
    n_stuck: int
    n_looks: int
    n_learned_from: int
    rooted: tuple[int, ...]
    by_handbook: tuple[int, ...]


_NAMES = [field.name for field in fields(Made)]
_COLUMNS = ["batch__batch" if name == "batch" else name for name in _NAMES]


def open_batches_not_forecast(garden: Garden) -> list[int]:
    """Return the open batches of which no forecast was made since they stand as they do now. One query."""
    newest = ForecastMade.rows.filter(batch=OuterRef("batch")).order_by("-made_on", "-pk")
    rows = (
        BatchState.rows.of(garden)
        .filter(ended_on=None)
        .annotate(known=Subquery(newest.values("n_looks")[:1]), stuck=Subquery(newest.values("n_stuck")[:1]))
    )
    return [
        pk
        for pk, *now, n_looks, n_stuck in rows.values_list("pk", "n_looks", "n_stuck", "known", "stuck")
        if now != [n_looks, n_stuck]
    ]


def all_made(garden: Garden) -> list[Made]:
    """Return every forecast made of batches that were not taken back, oldest first. One query."""
    rows = ForecastMade.rows.of(garden).filter(batch__state__withdrawn=False)
    found = rows.order_by("made_on", "pk").values_list(*_COLUMNS)
    return [_made(row) for row in found]


def _made(row: Any) -> Made:
    facts = dict(zip(_NAMES, row, strict=True))
    return Made(**{**facts, "rooted": tuple(facts["rooted"]), "by_handbook": tuple(facts["by_handbook"])})


def newest_made_for(garden: Garden, days: Mapping[int, date]) -> dict[int, tuple[int, ...]]:
    """Return by key of a batch the points last forecast of the number rooted by its day. One query."""
    rows = ForecastMade.rows.of(garden).filter(batch__in=days, by_day__in=set(days.values()))
    found = {}
    for batch, by_day, rooted in rows.order_by("made_on", "pk").values_list("batch", "by_day", "rooted"):
        if days[batch] == by_day:
            found[batch] = tuple(rooted)
    return found
