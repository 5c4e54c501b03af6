"""Young pots: what was potted and has not left the garden."""

from __future__ import annotations

from datetime import date, timedelta

from django.db.models import Sum

from slipwright.records.models import Garden, Outcome, Potting

#: pots older than this are plants, and look after themselves in a frost
YOUNG = timedelta(days=548)
_GONE = ("planted", "given", "sold", "discarded")


def young_pots(garden: Garden, *, on: date) -> dict[int, int]:
    """Return how many young pots stand at each place, by the place's key. Three queries.

    The pots of a batch are taken to stand where its last potting put them, less those lost and
    those that have left.
    """
    potted = Potting.rows.of(garden).standing().filter(on__lte=on, on__gt=on - YOUNG)
    counts = {row["batch"]: row["n"] for row in potted.values("batch").annotate(n=Sum("n_potted"))}
    where = dict(potted.exclude(place=None).order_by("on", "number").values_list("batch", "place"))
    out = Outcome.rows.of(garden).standing().filter(batch__in=list(counts), on__lte=on)
    for batch, fate, reached, lost in out.values_list("batch", "fate", "n_reached", "n_lost"):
        counts[batch] -= (lost or 0) + ((reached or 0) if fate in _GONE else 0)
    standing: dict[int, int] = {}
    for batch, place in where.items():
        standing[place] = standing.get(place, 0) + max(counts[batch], 0)
    return standing
