"""What findings ask of a garden beside its batches: names of places, and how firm shoots felt."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple

from slipwright.records.models import Firmness, Garden, Place


class Felt(NamedTuple):
    """How firm a shoot of a stock plant felt on a day, 1 soft to 5 woody; ``None`` was not felt."""

    on: date
    tip: int | None
    mid: int | None
    base: int | None


def names_of_places(garden: Garden) -> dict[int, str]:
    """Return the name of every place by key. One query."""
    return dict(Place.rows.of(garden).values_list("pk", "place"))


def felt_of_plants(garden: Garden) -> dict[str, list[Felt]]:
    """Return by stock plant how firm its shoots felt, oldest first. One query."""
    rows = Firmness.rows.of(garden).standing().order_by("on", "number")
    felt: dict[str, list[Felt]] = {}
    for plant, *said in rows.values_list(
        "plant__plant", "on", "firmness_tip", "firmness_mid", "firmness_base"
    ):
        felt.setdefault(plant, []).append(Felt(*said))
    return felt
