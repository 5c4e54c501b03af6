"""Young plants growing on: what was potted and has neither died nor found its place."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from operator import itemgetter
from typing import Any

from django.db.models import CharField, DateField, IntegerField, OuterRef, Subquery, Value

from slipwright.records.models import Garden, Outcome, Potting, Sticking, Withdrawal
from slipwright.records.words import READY_AS
from slipwright.rooting.grown import Became, Grown


@dataclass(frozen=True, slots=True)
class Growing:
    """The potted plants of one batch, and how far they have come."""

    pk: int
    batch: str
    taxon: str
    common_name: str
    wood: str
    stuck_on: date
    place: str
    walk_order: int | None
    first_potted_on: date | None
    last_potted_on: date | None
    n_potted: int
    n_lost: int
    #: those planted, given, sold, kept as stock or thrown away
    n_gone: int
    #: of those, all but the ones thrown away
    n_handed_on: int
    #: the furthest any of them were seen to have come; empty where nobody said
    reached: str

    @property
    def n_standing(self) -> int:
        """Plants that still stand; below nought where the counts do not add up."""
        return self.n_potted - self.n_lost - self.n_gone


def growing_on(garden: Garden, *, on: date) -> list[Growing]:
    """Return the batches of which potted plants still stand, in the order of the walk. Two queries."""
    return sorted(
        (one for one in potted_batches(garden, on=on) if one.n_standing > 0),
        key=lambda one: (
            one.walk_order is None,
            one.walk_order or 0,
            one.place,
            one.first_potted_on or one.stuck_on,
            one.batch,
        ),
    )


def potted_batches(garden: Garden, *, on: date) -> list[Growing]:
    """Return every batch that was potted by a day, also those all plants of which are gone. Two queries."""
    return _growing(garden, None, on, "")


def growing_of(garden: Garden, sticking: Sticking, *, on: date, without: str = "") -> Growing:
    """Return how the potted plants of one batch stand, leaving out the outcome with the id ``without``."""
    found = _growing(garden, [sticking.pk], on, without)
    if found:
        return found[0]
    taxon = sticking.taxon
    return Growing(
        sticking.pk, sticking.batch, taxon.taxon, taxon.common_name, sticking.wood, sticking.stuck_on,
        "", None, None, None, 0, 0, 0, 0, "",
    )  # fmt: skip


def grown_of(garden: Garden, *, on: date) -> list[Grown]:
    """Return every batch that was potted by a day with what was written down of its plants. One query."""
    pottings, outcomes = _entries(garden, on, "")
    no_day, nought = Value(None, output_field=DateField()), Value(0, output_field=IntegerField())
    nothing = Value("", output_field=CharField())
    of_pots = pottings.order_by().values_list(
        "number", "batch", "on", "n_potted", nought, nothing, nothing,
        "batch__batch", "batch__taxon__taxon", "batch__wood", "batch__stuck_on",
    )  # fmt: skip
    of_plants = outcomes.order_by().values_list(
        "number", "batch", "on", "n_reached", "n_lost", "ready_as", "fate", nothing, nothing, nothing, no_day
    )
    became: dict[int, list[Became]] = {}
    potted: dict[int, list[tuple[date, int]]] = {}
    stuck: dict[int, tuple[str, str, str, date]] = {}
    rows = sorted(of_pots.union(of_plants, all=True), key=itemgetter(2, 0))
    for _, pk, day, n, lost, ready_as, fate, batch, taxon, wood, stuck_on in rows:
        if batch:
            stuck[pk] = (batch, taxon, wood, stuck_on)
            potted.setdefault(pk, []).append((day, n))
        else:
            became.setdefault(pk, []).append(Became(day, ready_as, n, lost, bool(fate)))
    return [Grown(*stuck[pk], tuple(rows), tuple(became.get(pk, ()))) for pk, rows in potted.items()]


def grown_mark(garden: Garden) -> tuple[object, ...]:
    """Return what ``grown_of`` rests on: its entries' last numbers and moments. One query."""
    marks = {}
    for model in (Potting, Outcome, Withdrawal):
        newest = model.rows.filter(garden=OuterRef("pk")).order_by("-number")
        marks[f"{model.kind}_number"] = Subquery(newest.values("number")[:1])
        marks[f"{model.kind}_at"] = Subquery(newest.values("received_at")[:1])
    return tuple(Garden.objects.filter(pk=garden.pk).annotate(**marks).values_list(*marks).get())


def _entries(garden: Garden, on: date, without: str) -> tuple[Any, Any]:
    """Return the standing pottings and outcomes of a garden by a day, in their order."""
    pottings = Potting.rows.of(garden).standing().filter(on__lte=on).order_by("on", "number")
    outcomes = Outcome.rows.of(garden).standing().filter(on__lte=on).exclude(entry_id=without)
    back = Withdrawal.rows.of(garden).filter(withdraws_kind=Sticking.kind).values("withdraws")
    return pottings.exclude(batch__entry_id__in=back), outcomes.order_by("on", "number")


def _growing(garden: Garden, pks: Iterable[int] | None, on: date, without: str) -> list[Growing]:
    pottings, outcomes = _entries(garden, on, without)
    if pks is not None:
        pks = list(pks)
        pottings, outcomes = pottings.filter(batch__in=pks), outcomes.filter(batch__in=pks)
    found: dict[int, Growing] = {}
    for row in pottings.values_list(*_POTTED):
        _pot(found, row)
    for pk, ready_as, reached, lost, fate in outcomes.values_list(*_BECAME):
        if pk in found:
            now = found[pk]
            found[pk] = replace(
                now,
                n_lost=now.n_lost + (lost or 0),
                n_gone=now.n_gone + ((reached or 0) if fate else 0),
                n_handed_on=now.n_handed_on + ((reached or 0) if fate not in ("", _THROWN_AWAY) else 0),
                reached=max(now.reached, ready_as if reached else "", key=_how_far),
            )
    return list(found.values())


_THROWN_AWAY = "discarded"
_POTTED = (
    "batch",
    "batch__batch",
    "batch__taxon__taxon",
    "batch__taxon__common_name",
    "batch__wood",
    "batch__stuck_on",
    "place__place",
    "place__walk_order",
    "on",
    "n_potted",
)
_BECAME = ("batch", "ready_as", "n_reached", "n_lost", "fate")


def _pot(found: dict[int, Growing], row: Any) -> None:
    """Add one potting: the pots of a batch are taken to stand where its last potting put them."""
    pk, batch, taxon, common_name, wood, stuck_on, place, walk_order, on, n_potted = row
    if (now := found.get(pk)) is None:
        found[pk] = Growing(
            pk, batch, taxon, common_name, wood, stuck_on,
            place or "", walk_order, on, on, n_potted, 0, 0, 0, "",
        )  # fmt: skip
        return
    found[pk] = replace(
        now,
        place=place or now.place,
        walk_order=walk_order if place else now.walk_order,
        last_potted_on=on,
        n_potted=now.n_potted + n_potted,
    )


def _how_far(ready_as: str) -> int:
    return READY_AS.index(ready_as) if ready_as else -1
