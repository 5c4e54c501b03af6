"""What was seen of a stock plant and done to it, and what was stuck from it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Literal

from slipwright.records.models import Act, BatchState, Firmness, Garden, Stage

#: shoots cut within so many days count against what may go in a season
SEASON = timedelta(days=365)


@dataclass(frozen=True, slots=True)
class SeenOfPlant:
    """One stage, one bent shoot or one act, as it was written down."""

    kind: Literal["stage", "firmness", "act"]
    entry_id: str
    on: date
    by: str
    note: str
    bbch: int | None = None
    firmness_tip: int | None = None
    firmness_mid: int | None = None
    firmness_base: int | None = None
    act: str = ""


@dataclass(frozen=True, slots=True)
class BatchFromPlant:
    """A batch stuck from a stock plant."""

    batch: str
    stuck_on: date
    wood: str
    n_stuck: int
    n_rooted: int
    n_waiting: int
    n_lost: int


@dataclass(frozen=True, slots=True)
class ShootsCut:
    """Shoots cut for batches within a season, and the batches that do not say how many."""

    n_shoots: int = 0
    n_batches_unsaid: int = 0


def seen_of_plant(garden: Garden, plant: str, *, most: int = 30) -> list[SeenOfPlant]:
    """Return what was last seen of a stock plant and done to it, newest first. Three queries."""
    found: list[tuple[date, int, SeenOfPlant]] = []
    for stage in _of(Stage, garden, plant, most):
        seen = SeenOfPlant("stage", *_head(stage), bbch=stage.bbch)
        found.append((stage.on, stage.number, seen))
    for felt in _of(Firmness, garden, plant, most):
        tip, mid, base = felt.firmness_tip, felt.firmness_mid, felt.firmness_base
        seen = SeenOfPlant("firmness", *_head(felt), None, tip, mid, base)
        found.append((felt.on, felt.number, seen))
    for act in _of(Act, garden, plant, most):
        found.append((act.on, act.number, SeenOfPlant("act", *_head(act), act=act.act)))
    found.sort(key=lambda seen: seen[:2], reverse=True)
    return [seen for _, _, seen in found[:most]]


def batches_from_plant(garden: Garden, plant: str, *, most: int = 10) -> list[BatchFromPlant]:
    """Return the last batches stuck from a stock plant, newest first. One query."""
    rows = (
        BatchState.rows.of(garden)
        .filter(batch__plant__plant=plant, withdrawn=False)
        .order_by("-batch__stuck_on", "-batch__number")
        .values_list(
            "batch__batch", "batch__stuck_on", "batch__wood", "n_stuck", "n_rooted", "n_waiting", "n_lost"
        )
    )
    return [BatchFromPlant(*row) for row in rows[:most]]


def shoots_cut(garden: Garden, *, on: date) -> dict[str, ShootsCut]:
    """Return the shoots cut within the season that ends on a day, by stock plant. One query."""
    found: dict[str, ShootsCut] = {}
    rows = (
        BatchState.rows.of(garden)
        .filter(batch__plant__isnull=False, withdrawn=False)
        .filter(batch__stuck_on__gt=on - SEASON, batch__stuck_on__lte=on)
        .values_list("batch__plant__plant", "batch__n_shoots")
    )
    for plant, n_shoots in rows:
        before = found.get(plant, ShootsCut())
        found[plant] = ShootsCut(
            before.n_shoots + (n_shoots or 0), before.n_batches_unsaid + (n_shoots is None)
        )
    return found


def _of(model: Any, garden: Garden, plant: str, most: int) -> Any:
    rows = model.rows.of(garden).standing().filter(plant__plant=plant).select_related("by")
    return rows.order_by("-on", "-number")[:most]


def _head(record: Stage | Firmness | Act) -> tuple[str, date, str, str]:
    by = record.by
    return record.entry_id, record.on, (by.shown_as or by.member) if by else "", record.note
