"""What the tables of a garden and their columns are called on a page."""

from __future__ import annotations

from typing import NamedTuple

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

Said = str | Promise


class TableWords(NamedTuple):
    """A table on its pages: what it is called, one row of it, what it is for, and its main columns."""

    title: Said
    one: Said
    about: Said
    main: tuple[str, ...]


TABLES: dict[str, TableWords] = {
    "plants": TableWords(
        gettext_lazy("Stock plants"),
        gettext_lazy("Stock plant"),
        gettext_lazy("The plants that wood is taken from."),
        ("taxon", "place", "health"),
    ),
    "wants": TableWords(
        gettext_lazy("Wants"),
        gettext_lazy("Want"),
        gettext_lazy("How many plants are wanted, ready as what, and by when."),
        ("n_wanted", "taxon", "ready_as", "ready_by", "assurance"),
    ),
    "taxa": TableWords(
        gettext_lazy("Taxa"),
        gettext_lazy("Taxon"),
        gettext_lazy("Kinds of plants, and what is known of each: flowers, rights, distance from bloom."),
        ("common_name", "flowers", "rights"),
    ),
    "places": TableWords(
        gettext_lazy("Places"),
        gettext_lazy("Place"),
        gettext_lazy("Benches, frames, shelves and nursery beds, in the order of the walk."),
        ("kind", "cover", "walk_order"),
    ),
    "methods": TableWords(
        gettext_lazy("Methods"),
        gettext_lazy("Method"),
        gettext_lazy("A way that is used again: wood, hormone, pot, medium and cover together."),
        ("wood", "auxin", "auxin_form", "container", "medium", "cover"),
    ),
    "containers": TableWords(
        gettext_lazy("Containers"),
        gettext_lazy("Container"),
        gettext_lazy("Pots and trays that cuttings are stuck in and potted into."),
        ("volume_ml", "cells"),
    ),
    "media": TableWords(
        gettext_lazy("Media"),
        gettext_lazy("Medium"),
        gettext_lazy("What cuttings are stuck into, by parts of volume."),
        ("parts", "air_space", "tested_on"),
    ),
    "members": TableWords(
        gettext_lazy("Members"),
        gettext_lazy("Member"),
        gettext_lazy("Who belongs to the garden, and what each may do."),
        ("shown_as", "role"),
    ),
    "garden": TableWords(
        gettext_lazy("The garden itself"),
        gettext_lazy("The garden itself"),
        gettext_lazy("Name, where it lies, and which measures stand first."),
        ("latitude_deg", "longitude_deg", "time_zone", "units"),
    ),
}

#: columns whose word on a page is not their name with spaces; ``table.column`` goes before ``column``
_COLUMNS: dict[str, Said] = {
    "garden.name": gettext_lazy("Name of the garden"),
    "latitude_deg": gettext_lazy("Latitude (degrees)"),
    "longitude_deg": gettext_lazy("Longitude (degrees)"),
    "altitude_m": gettext_lazy("Height above the sea (m)"),
    "time_zone": gettext_lazy("Time zone"),
    "round_days": gettext_lazy("Days between rounds"),
    "units": gettext_lazy("Measures"),
    "currency": gettext_lazy("Money"),
    "member": gettext_lazy("Short name"),
    "role": gettext_lazy("May do"),
    "shown_as": gettext_lazy("Name on screen"),
    "taxon": gettext_lazy("Botanical name"),
    "wants.taxon": gettext_lazy("What is wanted"),
    "plants.taxon": gettext_lazy("Taxon"),
    "common_name": gettext_lazy("Common name"),
    "sold_as": gettext_lazy("Sold as"),
    "leaf_habit": gettext_lazy("Leaves in winter"),
    "flowers": gettext_lazy("Flowers"),
    "rights": gettext_lazy("Plant breeder’s right"),
    "rights_until": gettext_lazy("Right until"),
    "licence": gettext_lazy("Licence"),
    "licence_until": gettext_lazy("Licence until"),
    "gap_before_bloom_days": gettext_lazy("Kept clear before bloom (days)"),
    "gap_after_bloom_days": gettext_lazy("Kept clear after bloom (days)"),
    "bloom_gap_reason": gettext_lazy("Why so far from bloom"),
    "patience_days": gettext_lazy("Patience (days)"),
    "note": gettext_lazy("Note"),
    "place": gettext_lazy("Place"),
    "places.kind": gettext_lazy("What it is"),
    "room_m2": gettext_lazy("Room (m²)"),
    "cover": gettext_lazy("Cover"),
    "medium_temp_c": gettext_lazy("Warmth of the medium (°C)"),
    "shade_percent": gettext_lazy("Shade (%)"),
    "mist_mm_per_min": gettext_lazy("Mist (mm a minute)"),
    "walk_order": gettext_lazy("Place in the walk"),
    "container": gettext_lazy("Container"),
    "volume_ml": gettext_lazy("Volume of one (ml)"),
    "cells": gettext_lazy("Cells in a tray"),
    "length_mm": gettext_lazy("Length (mm)"),
    "width_mm": gettext_lazy("Width (mm)"),
    "height_mm": gettext_lazy("Height (mm)"),
    "cost_item": gettext_lazy("What it is bought as"),
    "medium": gettext_lazy("Medium"),
    "parts": gettext_lazy("Parts"),
    "porosity": gettext_lazy("Pore space"),
    "air_space": gettext_lazy("Air after draining"),
    "container_capacity": gettext_lazy("Water after draining"),
    "tested_on": gettext_lazy("Drain test on"),
    "want": gettext_lazy("Name of this want"),
    "n_wanted": gettext_lazy("How many"),
    "ready_by": gettext_lazy("Ready by"),
    "ready_as": gettext_lazy("Ready as"),
    "assurance": gettext_lazy("Wished assurance"),
    "value_each": gettext_lazy("Worth of one"),
    "plant": gettext_lazy("Stock plant"),
    "plants.plant": gettext_lazy("Name on its label"),
    "planted_on": gettext_lazy("Planted on"),
    "origin": gettext_lazy("Origin"),
    "from_batch": gettext_lazy("Raised in batch"),
    "health": gettext_lazy("Health"),
    "shoots_per_season": gettext_lazy("Shoots a season"),
    "shoot_length_mm": gettext_lazy("Length of a usual shoot (mm)"),
    "nodes_per_shoot": gettext_lazy("Nodes on a usual shoot"),
    "max_share_taken": gettext_lazy("Largest share to take"),
    "method": gettext_lazy("Name of this method"),
    "wood": gettext_lazy("Wood"),
    "cutting": gettext_lazy("Form of cutting"),
    "leaves": gettext_lazy("Leaves"),
    "wound": gettext_lazy("Wound"),
    "auxin": gettext_lazy("Hormone"),
    "auxin_form": gettext_lazy("Form of the hormone"),
    "auxin_mg_per_l": gettext_lazy("Strength of a dip, soak or gel (mg/L)"),
    "auxin_mg_per_kg": gettext_lazy("Strength of a talc (mg/kg)"),
    "auxin2": gettext_lazy("Second hormone"),
    "auxin2_mg_per_l": gettext_lazy("Its strength (mg/L)"),
    "dip_s": gettext_lazy("Time in the hormone (s)"),
    "n_per_container": gettext_lazy("Cuttings a pot or cell"),
    "minutes_each": gettext_lazy("Minutes a cutting"),
    "setup_minutes": gettext_lazy("Minutes to set up"),
}
_UNITS = {
    "_mg_per_kg": "mg/kg",
    "_mg_per_l": "mg/L",
    "_percent": "%",
    "_days": "days",
    "_mm": "mm",
    "_ml": "ml",
    "_m2": "m²",
    "_c": "°C",
    "_s": "s",
}


def label_of(table: str, column: str) -> str:
    """Return what a column is called on a page, its unit in brackets."""
    said = _COLUMNS.get(f"{table}.{column}") or _COLUMNS.get(column)
    if said:
        return str(said)
    for end, unit in _UNITS.items():
        if column.endswith(end):
            return f"{_spoken(column.removesuffix(end))} ({unit})"
    return _spoken(column)


def _spoken(name: str) -> str:
    words = name.replace("_", " ")
    return _(words[:1].upper() + words[1:])
