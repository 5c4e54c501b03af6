"""What is wanted, and how far it has come."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Sum

from slipwright.records.models import BatchState, Garden, Want


@dataclass(frozen=True, slots=True)
class WantNow:
    """A want, and what was stuck for it so far."""

    want: str
    taxon: str
    common_name: str
    n_wanted: int
    ready_by: date
    ready_as: str
    assurance: Decimal
    value_each: Decimal | None
    note: str
    n_stuck: int
    n_rooted: int
    n_waiting: int
    #: rooted ones that died since
    n_lost_rooted: int


def wants(garden: Garden) -> list[WantNow]:
    """Return what is wanted, soonest first. Two queries."""
    sums = {
        row["batch__want"]: row
        for row in BatchState.rows.of(garden)
        .filter(batch__want__isnull=False, withdrawn=False)
        .values("batch__want")
        .annotate(
            stuck=Sum("n_stuck"), rooted=Sum("n_rooted"), waiting=Sum("n_waiting"), died=Sum("n_lost_rooted")
        )
    }
    none = {"stuck": 0, "rooted": 0, "waiting": 0, "died": 0}
    return [
        WantNow(
            want.want,
            want.taxon.taxon,
            want.taxon.common_name,
            want.n_wanted,
            want.ready_by,
            want.ready_as,
            want.assurance,
            want.value_each,
            want.note,
            (so_far := sums.get(want.pk, none))["stuck"],
            so_far["rooted"],
            so_far["waiting"],
            so_far["died"],
        )
        for want in Want.rows.of(garden).select_related("taxon").order_by("ready_by", "want")
    ]
