"""What is wanted now and whether it may be multiplied, as far as a programme made before asks for it."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import NamedTuple

from django.db.models import CharField
from django.db.models.functions import Cast

from slipwright.craft import rights
from slipwright.records.models import Garden, Want
from slipwright.records.selectors.plants import rights_of

#: the columns of text that say why a want's plant may not be multiplied, as ``why_not_as`` reads them
RIGHTS_TEXTS: tuple[str | Cast, ...] = (
    *("want", "taxon__rights", "taxon__licence"),
    *(Cast(f"taxon__{day}", CharField()) for day in ("rights_until", "licence_until")),
)


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


def why_not_as(texts: Iterable[str | None], *, on: date) -> tuple[str, str]:
    """Return a want's name as its columns tell of it, and why its plant may not be multiplied on a day."""
    want, kind, licence, rights_until, licence_until = (text or "" for text in texts)
    found = rights.standing(
        kind or "unknown",
        rights_until=_day(rights_until),
        licence=licence,
        licence_until=_day(licence_until),
        on=on,
    )
    return want, "" if found.allowed else found.reason


def _day(said: str) -> date | None:
    return date.fromisoformat(said) if said else None
