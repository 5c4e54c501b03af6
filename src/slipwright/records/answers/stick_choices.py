"""What a sticking may name: the places, ways, pots and media of a garden, and its plants by any name."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from slipwright.advice.asked import Named, plant_named
from slipwright.handbook import Handbook
from slipwright.records.canonical import Value
from slipwright.records.models import Container, Garden, Medium, Method, Place, Taxon, Want
from slipwright.records.services.stickings import lot_by_method


@dataclass(frozen=True, slots=True)
class Choices:
    """What a sticking may name: places nearest on the walk first, ways, pots and media."""

    places: tuple[Place, ...]
    far_places: tuple[Place, ...]
    methods: tuple[tuple[str, Mapping[str, Value]], ...]
    containers: tuple[Container, ...]
    media: tuple[Medium, ...]

    @property
    def only_place(self) -> str:
        """The one place there is; nothing where there are several, or none."""
        there = (*self.places, *self.far_places)
        return there[0].place if len(there) == 1 else ""


def choices(garden: Garden) -> Choices:
    """Return what a sticking may name."""
    places = list(Place.rows.of(garden).order_by("walk_order", "place"))
    near = tuple(place for place in places if place.cover or place.kind != "nursery")
    return Choices(
        near,
        tuple(place for place in places if place not in near),
        tuple(
            (name, lot_by_method(garden, taxon="", method=name))
            for name in Method.rows.of(garden).order_by("method").values_list("method", flat=True)
        ),
        tuple(Container.rows.of(garden).order_by("container")),
        tuple(Medium.rows.of(garden).order_by("medium")),
    )


def taxa_of(garden: Garden) -> list[Taxon]:
    """Return the taxa of a garden by name."""
    return list(Taxon.rows.of(garden).order_by("taxon"))


def taxon_of_want(garden: Garden, want: str) -> str:
    """Return the taxon a want is for; empty where there is no such want."""
    return Want.rows.of(garden).filter(want=want).values_list("taxon__taxon", flat=True).first() or ""


def taxon_called(garden: Garden, named: str) -> Taxon | None:
    """Return the taxon of the garden of this botanical or common name, if just one has it."""
    rows = Taxon.rows.of(garden)
    for found in (rows.filter(taxon=named), rows.filter(taxon__iexact=named)):
        if one := found.first():
            return one
    common = list(rows.filter(common_name__iexact=named)[:2])
    return common[0] if len(common) == 1 else None


def botanical_name(handbook: Handbook, named: str) -> str:
    """Return the botanical name the handbook has for a name in plain words, or nothing."""
    found = plant_named(handbook, named)
    return found.taxon if isinstance(found, Named) else ""
