"""What was seen of all stock plants, year upon year, as far as it bears on when their wood is right."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import CharField, F, IntegerField, Max, Subquery, Value

from slipwright.records.models import Act, Firmness, Garden, Plant, Stage, Withdrawal

#: what was done to a plant that moves its bloom or its wood
BEARS_ON_SEASON = ("cut-back", "deadhead")

#: a day and how firm tip, middle and base of a shoot felt, None where nobody felt it
Felt = tuple[date, int | None, int | None, int | None]


@dataclass(frozen=True, slots=True)
class YearsOfPlant:
    """All that was seen of a stock plant and done to it that bears on its seasons, by day."""

    taxon: str
    stages: tuple[tuple[date, int], ...] = ()
    firmness: tuple[Felt, ...] = ()
    cut_back: tuple[date, ...] = ()
    deadheaded: tuple[date, ...] = ()


def years_of_plants(garden: Garden, *, on: date) -> Mapping[str, YearsOfPlant]:
    """Return what was seen of every stock plant up to a day; plants of which nothing was are left out.

    One query.
    """
    nothing = Value(None, output_field=IntegerField())
    of_plant = ("plant__plant", "plant__taxon__taxon", "on", "number")
    parts = (
        _standing(Stage, garden, on, "s").values_list("what", *of_plant, "bbch", "none", "none2"),
        _standing(Firmness, garden, on, "f").values_list(
            "what", *of_plant, "firmness_tip", "firmness_mid", "firmness_base"
        ),
        _standing(Act, garden, on, F("act"))
        .filter(plant__isnull=False, act__in=BEARS_ON_SEASON)
        .annotate(none3=nothing)
        .values_list("what", *of_plant, "none3", "none", "none2"),
    )
    rows = parts[0].union(*parts[1:], all=True).order_by("on", "number")
    seen: dict[str, dict[str, list[Any]]] = {}
    taxa: dict[str, str] = {}
    for what, plant, taxon, day, _number, *figures in rows:
        taxa[plant] = taxon
        kept: Any = day
        if what == "s":
            kept = (day, figures[0])
        elif what == "f":
            kept = (day, *figures)
        seen.setdefault(plant, {}).setdefault(what, []).append(kept)
    return {
        plant: YearsOfPlant(
            taxa[plant],
            tuple(found.get("s", ())),
            tuple(found.get("f", ())),
            tuple(found.get("cut-back", ())),
            tuple(found.get("deadhead", ())),
        )
        for plant, found in seen.items()
    }


def newest_of_plants(garden: Garden) -> tuple[int, ...]:
    """Return a mark of all that was seen of stock plants and done to them: the newest numbers. One query.

    As long as it stays, ``years_of_plants`` has no other answer for the same day.
    """
    parts = [
        rows.annotate(which=Value(which, output_field=IntegerField())).values_list("which", "newest")
        for which, rows in enumerate(_newest(garden))
    ]
    found = dict(parts[0].union(*parts[1:], all=True))
    return tuple(found.get(which, 0) for which in range(len(parts)))


def plants_and_newest(garden: Garden) -> tuple[list[Plant], tuple[int, ...]]:
    """Return the stock plants with taxon and place, and what ``newest_of_plants`` says. One query."""
    books = {f"newest_{which}": Subquery(rows.values("newest")) for which, rows in enumerate(_newest(garden))}
    rows = Plant.rows.of(garden).select_related("taxon", "place").order_by("plant")
    plants = list(rows.annotate(**books))
    return plants, tuple((getattr(plants[0], name) or 0) if plants else 0 for name in books)


def _newest(garden: Garden) -> list[Any]:
    """Return the queries for the newest number of each book that bears on stock plants."""
    books: tuple[Any, ...] = (
        Stage.rows.of(garden),
        Firmness.rows.of(garden),
        Act.rows.of(garden).filter(plant__isnull=False),
        Withdrawal.rows.of(garden).filter(withdraws_kind__in=("stage", "firmness", "act")),
    )
    return [rows.order_by().values("garden").annotate(newest=Max("number")) for rows in books]


def _standing(model: Any, garden: Garden, on: date, what: Any) -> Any:
    named = Value(what, output_field=CharField()) if isinstance(what, str) else what
    nothing = Value(None, output_field=IntegerField())
    rows = model.rows.of(garden).standing().filter(on__lte=on).order_by()
    return rows.annotate(what=named, none=nothing, none2=nothing)
