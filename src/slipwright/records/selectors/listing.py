"""What a page lists: batches page by page, what was worked out of them, young pots by place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from operator import itemgetter
from typing import Literal

from django.db.models import (
    CharField,
    F,
    IntegerField,
    OuterRef,
    QuerySet,
    Subquery,
    Sum,
    TextField,
    Value,
)
from django.db.models.functions import Cast

from slipwright.records.models import (
    BatchForecast,
    BatchState,
    Garden,
    Look,
    Outcome,
    Place,
    Potting,
    Sticking,
    Taxon,
    Want,
)
from slipwright.records.selectors.batches import BatchNow, states_of_batches
from slipwright.records.selectors.pots import YOUNG

#: batches on one page of the list
A_PAGE = 50

Which = Literal["open", "ended", "all"]


@dataclass(frozen=True, slots=True)
class Listed:
    """One page of batches, the newest first, and whether there are older ones."""

    batches: list[BatchNow]
    page: int
    has_more: bool
    #: how many there are in all; None where counting them would take long
    n_all: int | None


def listed_batches(
    garden: Garden, *, which: Which = "open", place: str = "", taxon: str = "", page: int = 1
) -> Listed:
    """Return one page of the batches that were not taken back. Two or three queries.

    Open ones and all come newest first, ended ones by the day they ended. Only keys are sorted and
    skipped, so the thousandth page is as quick to find as the second.
    """
    states: QuerySet[BatchState] = BatchState.rows.of(garden).filter(withdrawn=False)
    if which == "open":
        states = states.filter(ended_on=None)
    elif which == "ended":
        states = states.filter(ended_on__isnull=False)
    if place:
        states = states.filter(place__place=place)
    if taxon:
        states = states.filter(batch__taxon__taxon=taxon)
    order = ("-ended_on", "-batch_id") if which == "ended" else ("-batch_id",)
    first = (page - 1) * A_PAGE
    keys = list(states.order_by(*order).values_list("batch_id", flat=True)[first : first + A_PAGE + 1])
    shown = keys[:A_PAGE]
    found = {now.pk: now for now in states_of_batches(garden, [Sticking(pk=key) for key in shown])}
    n_all = states.count() if which == "open" else None
    return Listed([found[key] for key in shown if key in found], page, len(keys) > A_PAGE, n_all)


def place_names(garden: Garden) -> list[str]:
    """Return the places of a garden in the order of the walk. One query."""
    rows = Place.rows.of(garden).order_by(F("walk_order").asc(nulls_last=True), "place")
    return list(rows.values_list("place", flat=True))


def taxon_names(garden: Garden) -> list[str]:
    """Return the plants of a garden by name. One query."""
    return list(Taxon.rows.of(garden).order_by("taxon").values_list("taxon", flat=True))


# --- the round ----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Kept:
    """What was worked out beforehand for an open batch: for which day, resting on what, telling what.

    ``told`` is JSON as it is kept, empty where nothing was worked out. ``newest_look`` is the key of the
    look at it written down last, taken back or not; None without one.
    """

    on: date | None
    rests_on: str
    told: str
    newest_look: int | None


def forecasts_kept(garden: Garden) -> dict[int, Kept]:
    """Return by open batch what was worked out beforehand, if anything was. One query."""
    newest = Look.rows.filter(batch=OuterRef("batch")).order_by("-pk").values("pk")[:1]
    rows = (
        BatchState.rows.of(garden)
        .filter(ended_on=None)
        .annotate(newest_look=Subquery(newest), as_text=Cast("batch__told__told", TextField()))
    )
    columns = ("pk", "batch__told__on", "batch__told__rests_on", "as_text", "newest_look")
    return {
        pk: Kept(on, rests_on or "", told or "", newest_look)
        for pk, on, rests_on, told, newest_look in rows.values_list(*columns)
    }


@dataclass(frozen=True, slots=True)
class YoungPots:
    """A place and the young pots that stand in it."""

    place: str
    kind: str
    cover: str
    walk_order: int | None
    n: int


_GONE = ("planted", "given", "sold", "discarded")


def young_pots_by_place(garden: Garden, *, on: date) -> list[YoungPots]:
    """Return the places with young pots, as ``young_pots`` counts them. One query."""
    potted = Potting.rows.of(garden).standing().filter(on__lte=on, on__gt=on - YOUNG).order_by()
    out = Outcome.rows.of(garden).standing().filter(on__lte=on, batch__in=potted.values("batch")).order_by()
    nought, one = (Value(n, output_field=IntegerField()) for n in (0, 1))
    nothing = Value("", output_field=CharField())
    of_pots = potted.values_list(
        "on", "number", "batch", "n_potted", nought, nothing,
        "place__place", "place__kind", "place__cover", "place__walk_order", one,
    )  # fmt: skip
    of_plants = out.values_list(
        "on", "number", "batch", "n_reached", "n_lost", "fate", nothing, nothing, nothing, nought, nought
    )
    counts: dict[int, int] = {}
    where: dict[int, tuple[str, str, str, int | None]] = {}
    rows = of_pots.union(of_plants, all=True)
    for _, _, batch, n, lost, fate, *place, is_potting in sorted(rows, key=itemgetter(0, 1)):
        if is_potting:
            counts[batch] = counts.get(batch, 0) + n
            if place[0] is not None:
                where[batch] = (place[0], place[1], place[2], place[3])
        else:
            counts[batch] = counts.get(batch, 0) - (lost or 0) - ((n or 0) if fate in _GONE else 0)
    standing: dict[tuple[str, str, str, int | None], int] = {}
    for batch, at in where.items():
        standing[at] = standing.get(at, 0) + max(counts[batch], 0)
    return [YoungPots(*at, n) for at, n in standing.items()]


@dataclass(frozen=True, slots=True)
class Asked:
    """A want that is still to come, and the rooted cuttings stuck for it that live."""

    want: str
    taxon: str
    n_wanted: int
    ready_by: date
    ready_as: str
    assurance: Decimal
    n_alive: int


def wants_to_come(garden: Garden, *, on: date) -> list[Asked]:
    """Return the wants of a day and later with what lives for each. One query."""
    alive = (
        BatchState.rows.filter(batch__want=OuterRef("pk"), withdrawn=False)
        .order_by()
        .values("batch__want")
        .annotate(n=Sum(F("n_rooted") - F("n_lost_rooted")))
        .values("n")
    )
    rows = (
        Want.rows.of(garden)
        .filter(ready_by__gte=on)
        .order_by("ready_by", "want")
        .annotate(n_alive=Subquery(alive))
        .values_list("want", "taxon__taxon", "n_wanted", "ready_by", "ready_as", "assurance", "n_alive")
    )
    return [
        Asked(want, taxon, n, ready_by, ready_as, assurance, n_alive or 0)
        for want, taxon, n, ready_by, ready_as, assurance, n_alive in rows
    ]


def keep_forecasts(made: Sequence[BatchForecast]) -> None:
    """Keep forecasts in place of those there were of the same batches."""
    BatchForecast.rows.bulk_create(
        list(made),
        update_conflicts=True,
        unique_fields=["batch"],
        update_fields=["garden", "on", "rests_on", "told", "made_at"],
    )


def forget_ended(garden: Garden) -> None:
    """Drop the forecasts of batches that have ended. One query."""
    BatchForecast.rows.of(garden).exclude(batch__state__ended_on=None).delete()
