"""What is wanted now and whether it may be multiplied, as far as a programme made before asks for it."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import NamedTuple

from slipwright.records.models import Garden, Want
from slipwright.records.selectors.plants import rights_of


class WantedNow(NamedTuple):
    """A want as it stands; ``why_not`` is empty where its plant may be multiplied."""

    want: str
    taxon: str
    n_wanted: int
    ready_by: date
    ready_as: str
    assurance: Decimal
    why_not: str


def wanted_now(garden: Garden, *, on: date) -> list[WantedNow]:
    """Return all wants as they stand on a day, the soonest first. One query."""
    found = []
    for want in Want.rows.of(garden).select_related("taxon").order_by("ready_by", "want"):
        rights = rights_of(want.taxon, on=on)
        found.append(
            WantedNow(
                want.want,
                want.taxon.taxon,
                want.n_wanted,
                want.ready_by,
                want.ready_as,
                want.assurance,
                "" if rights.allowed else rights.reason,
            )
        )
    return found
