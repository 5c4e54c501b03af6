"""Stock plants, taxa, and the usual way a taxon is stuck."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from slipwright.craft import rights
from slipwright.records.models import Firmness, Garden, Method, Plant, Stage, Sticking, Taxon


@dataclass(frozen=True, slots=True)
class Stock:
    """A stock plant and the last that was seen of it. Empty text and ``None`` are unknown."""

    plant: str
    taxon: str
    common_name: str
    flowers: str
    leaf_habit: str
    rights: rights.Standing
    gap_before_bloom_days: int | None
    gap_after_bloom_days: int | None
    bloom_gap_reason: str
    patience_days: int | None
    place: str
    place_kind: str
    walk_order: int | None
    health: str
    shoots_per_season: int | None
    shoot_length_mm: Decimal | None
    nodes_per_shoot: int | None
    max_share_taken: Decimal | None
    bbch: int | None = None
    bbch_on: date | None = None
    firmness_tip: int | None = None
    firmness_mid: int | None = None
    firmness_base: int | None = None
    firmness_on: date | None = None


def stock_plants(garden: Garden, *, on: date, plant: str = "") -> list[Stock]:
    """Return every stock plant as known on a day, in the order of the walk past them. Three queries.

    With ``plant`` that one alone, if it is there.
    """
    plants = Plant.rows.of(garden).select_related("taxon", "place")
    seen: tuple[Any, Any] = (Stage.rows.of(garden), Firmness.rows.of(garden))
    if plant:
        plants = plants.filter(plant=plant)
        seen = (seen[0].filter(plant__plant=plant), seen[1].filter(plant__plant=plant))
    stages = _last(seen[0], on, "bbch", "on")
    felt = _last(seen[1], on, "firmness_tip", "firmness_mid", "firmness_base", "on")
    found = [_stock(one, stages.get(one.pk), felt.get(one.pk), on) for one in plants]
    return sorted(found, key=lambda stock: (stock.walk_order is None, stock.walk_order or 0, stock.plant))


def _last(rows: Any, on: date, *columns: str) -> dict[int, list[Any]]:
    """Return some columns of the last row of each plant."""
    seen = rows.standing().filter(on__lte=on).order_by("on", "number")
    return {plant: values for plant, *values in seen.values_list("plant", *columns)}


def _stock(plant: Plant, stage: Sequence[Any] | None, felt: Sequence[Any] | None, on: date) -> Stock:
    taxon, place = plant.taxon, plant.place
    return Stock(
        plant.plant,
        taxon.taxon,
        taxon.common_name,
        taxon.flowers,
        taxon.leaf_habit,
        rights_of(taxon, on=on),
        taxon.gap_before_bloom_days,
        taxon.gap_after_bloom_days,
        taxon.bloom_gap_reason,
        taxon.patience_days,
        place.place if place else "",
        place.kind if place else "",
        place.walk_order if place else None,
        plant.health,
        plant.shoots_per_season,
        plant.shoot_length_mm,
        plant.nodes_per_shoot,
        plant.max_share_taken,
        *(stage or (None, None)),
        *(felt or (None, None, None, None)),
    )


def rights_of(taxon: Taxon, *, on: date) -> rights.Standing:
    """Return whether a taxon may be multiplied on a day, by what is recorded of its rights."""
    return rights.standing(
        taxon.rights or "unknown",
        rights_until=taxon.rights_until,
        licence=taxon.licence,
        licence_until=taxon.licence_until,
        on=on,
    )


def usual_method(garden: Garden, taxon: str) -> Method | None:
    """Return the usual way of a taxon: the method of its last batch that names one."""
    last = (
        Sticking.rows.of(garden)
        .standing()
        .filter(taxon__taxon=taxon, method__isnull=False)
        .order_by("-stuck_on", "-number")
        .values_list("method", flat=True)
        .first()
    )
    if last is None:
        return None
    return Method.rows.of(garden).select_related("container", "medium").get(pk=last)
