"""What a programme is made of: ways of making cuttings, room, hours, costs, and the wood already cut."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

from slipwright.records.models import BatchState, Container, Cost, Garden, Hours, Method, Place, Sticking
from slipwright.records.selectors.seen import SEASON


@dataclass(frozen=True, slots=True)
class Pot:
    """A container as far as room and cost go; ``None`` is unknown."""

    container: str
    volume_ml: float
    cells: int | None = None
    length_mm: float | None = None
    width_mm: float | None = None
    cost_item: str = ""


@dataclass(frozen=True, slots=True)
class Way:
    """A method of the garden. Empty text and ``None`` are unknown."""

    method: str
    wood: str
    cutting: str
    leaves: str
    wound: str
    auxin: str
    auxin_form: str
    auxin_mg_per_l: Any
    auxin_mg_per_kg: Any
    auxin2: str
    auxin2_mg_per_l: Any
    n_per_container: int | None
    cover: str
    minutes_each: float | None
    setup_minutes: float | None
    pot: Pot | None
    medium: str
    #: parts by volume of what it is stuck into, as perlite:1;vermiculite:1
    parts: str
    dip_s: float | None = None


@dataclass(frozen=True, slots=True)
class Room:
    """A place and how much stands there."""

    place: str
    kind: str
    cover: str
    room_m2: float | None


@dataclass(frozen=True, slots=True)
class HoursGiven:
    """So many hours a week from one day to another."""

    from_on: date
    to_on: date
    hours_per_week: float


@dataclass(frozen=True, slots=True)
class CostOf:
    """What a unit of an item costs."""

    unit: str
    cost: float


def pots_of(garden: Garden) -> dict[str, Pot]:
    """Return every container by its name. One query."""
    return {row.container: _pot(row) for row in Container.rows.of(garden)}


def ways_of(garden: Garden) -> list[Way]:
    """Return every method by its name. One query."""
    rows = Method.rows.of(garden).select_related("container", "medium").order_by("method")
    return [
        Way(
            row.method,
            row.wood,
            row.cutting,
            row.leaves,
            row.wound,
            row.auxin,
            row.auxin_form,
            row.auxin_mg_per_l,
            row.auxin_mg_per_kg,
            row.auxin2,
            row.auxin2_mg_per_l,
            row.n_per_container,
            row.cover,
            _number(row.minutes_each),
            _number(row.setup_minutes),
            _pot(row.container) if row.container else None,
            row.medium.medium if row.medium else "",
            row.medium.parts if row.medium else "",
            _number(row.dip_s),
        )
        for row in rows
    ]


def methods_used(garden: Garden) -> dict[str, list[str]]:
    """Return the methods that batches of each taxon were made by, the last first. One query."""
    used: dict[str, list[str]] = {}
    rows = Sticking.rows.of(garden).standing().filter(method__isnull=False)
    for taxon, method in rows.order_by("-stuck_on", "-number").values_list("taxon__taxon", "method__method"):
        found = used.setdefault(taxon, [])
        if method not in found:
            found.append(method)
    return used


def rooms_of(garden: Garden) -> list[Room]:
    """Return the places in the order of the walk. One query."""
    return [
        Room(row.place, row.kind, row.cover, _number(row.room_m2))
        for row in Place.rows.of(garden).order_by("walk_order", "place")
    ]


def hours_of(garden: Garden) -> list[HoursGiven]:
    """Return the hours there are, by their days. One query."""
    return [
        HoursGiven(row.from_on, row.to_on, float(row.hours_per_week))
        for row in Hours.rows.of(garden).order_by("from_on", "to_on")
    ]


def costs_of(garden: Garden) -> dict[str, CostOf]:
    """Return what things cost, by item. One query."""
    return {row.item: CostOf(row.unit, float(row.cost)) for row in Cost.rows.of(garden)}


def wood_cut(garden: Garden, *, on: date) -> dict[str, list[tuple[date, int]]]:
    """Return the days and shoots cut within the season that ends on a day, by stock plant. One query."""
    found: dict[str, list[tuple[date, int]]] = {}
    rows = (
        BatchState.rows.of(garden)
        .filter(batch__plant__isnull=False, withdrawn=False, batch__n_shoots__gt=0)
        .filter(batch__stuck_on__gt=on - SEASON, batch__stuck_on__lte=on)
        .order_by("batch__stuck_on", "batch__number")
        .values_list("batch__plant__plant", "batch__stuck_on", "batch__n_shoots")
    )
    for plant, stuck_on, n_shoots in rows:
        found.setdefault(plant, []).append((stuck_on, n_shoots))
    return found


def _pot(row: Container) -> Pot:
    return Pot(
        row.container,
        float(row.volume_ml),
        row.cells,
        _number(row.length_mm),
        _number(row.width_mm),
        row.cost_item,
    )


def _number(value: Any) -> float | None:
    return None if value is None else float(value)
