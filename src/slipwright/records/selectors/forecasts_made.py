"""Forecasts as they were made, and how good they turned out, as it is kept with what was learned."""

from __future__ import annotations

from dataclasses import dataclass, fields
from datetime import date
from typing import Any

from django.db.models import OuterRef, Subquery

from slipwright.records.models import BatchState, ForecastMade, Garden, GardenFit

#: the name under which a fit keeps how good forecasts turned out
KEPT_AS = "forecasts"


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


def scores_kept(garden: Garden) -> Any:
    """Return how good forecasts turned out, as kept with the fit that holds; None without. One query.

    ``garden`` must have just been read.
    """
    rows = GardenFit.rows.of(garden).filter(pk=garden.fit_id or 0)
    return rows.values_list(f"found__{KEPT_AS}", flat=True).first()


def newest_scores_kept(garden: Garden) -> Any:
    """Return the same of the newest fit that has any, whether it holds or not. One query."""
    rows = GardenFit.rows.of(garden).filter(found__has_key=KEPT_AS).order_by("-pk")
    return rows.values_list(f"found__{KEPT_AS}", flat=True).first()
