"""What a phone needs to keep a sticking without a signal: the ways, the covers, the codes in use."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from slipwright.records.answers.stick_choices import Choices
from slipwright.records.answers.sticking import FELT, ToStick
from slipwright.records.canonical import Value, plain
from slipwright.records.columns import table_named
from slipwright.records.models import Garden
from slipwright.records.services.stickings import first_fours_in_use

_COLUMNS = set(table_named("batches").names)


def facts_of_sticking(garden: Garden, known: ToStick, choices: Choices) -> str:
    """Return the facts as JSON: numbers with a point as text, what is not said left out."""
    ways = {"usual": known.usual.lot if known.usual else {}, "handbook": known.by_handbook}
    told: dict[str, Any] = {
        "taxon": known.taxon,
        "plant": known.plant,
        "allowed": known.rights.allowed,
        "shareCut": known.share_cut is not None,
        "ways": {name: _lot(lot) for name, lot in ways.items()},
        "methods": {name: _lot(lot) for name, lot in choices.methods},
        "covers": {one.place: one.cover for one in (*choices.places, *choices.far_places)},
        "felt": FELT,
        "fours": sorted(first_fours_in_use(garden)),
    }
    return json.dumps(told, separators=(",", ":"))


def _lot(lot: Mapping[str, Value]) -> dict[str, Any]:
    return {
        name: said for name, value in lot.items() if name in _COLUMNS and (said := plain(value)) is not None
    }
