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


def newest_made(garden: Garden, stuck_since: date, on: date, at_most: int) -> tuple[list[Made], int]:
    """Return the newest forecasts whose day has come, oldest first, and of how many it has not. Two queries.

    Of batches stuck since a day; those that were taken back are left out.
    """
    rows = ForecastMade.rows.of(garden).filter(
        batch__state__withdrawn=False, batch__stuck_on__gte=stuck_since, made_on__gte=stuck_since
    )
    come = rows.filter(by_day__lte=on).order_by("-by_day", "-pk")
    found = [_made(row) for row in come.values_list(*_COLUMNS)[:at_most]]
    return sorted(found, key=lambda one: one.made_on), rows.filter(by_day__gt=on).count()


def forecast_as_stuck(garden: Garden) -> set[str]:
    """Return the codes of the batches of which a forecast was made before their first look. One query."""
    rows = ForecastMade.rows.of(garden).filter(n_looks=0, batch__state__withdrawn=False)
    return set(rows.values_list("batch__batch", flat=True).distinct())


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
