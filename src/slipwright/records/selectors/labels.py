"""What goes on the labels of batches."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Q
from django.db.models.functions import Substr, Upper

from slipwright.craft import rights
from slipwright.records import codes as spelling
from slipwright.records.models import Garden, Sticking
from slipwright.records.selectors.batches import batch_by_code, containers_for
from slipwright.records.selectors.plants import rights_of


@dataclass(frozen=True, slots=True)
class LabelOf:
    """A batch as its label names it; ``rights`` says whether one may be printed."""

    batch: str
    taxon: str
    common_name: str
    sold_as: str
    stuck_on: date
    n_stuck: int
    wood: str
    auxin: str
    auxin_form: str
    auxin_mg_per_l: Decimal | None
    auxin_mg_per_kg: Decimal | None
    plant: str
    place: str
    container: str
    n_per_container: int | None
    n_containers: int | None
    rights: rights.Standing
    trial: str = ""
    arm: str = ""
    block: str = ""


@dataclass(frozen=True, slots=True)
class Named:
    """The batches that were named by their codes, each once, and the names that are nobody's or several's."""

    batches: tuple[Sticking, ...]
    unknown: tuple[str, ...]


def batches_named(garden: Garden, codes: Iterable[str]) -> Named:
    """Return the batches that were named, as ``batch_by_code`` reads them. At most two queries, however many.

    The second one is asked only where a name is not that of a batch as it is kept.
    """
    asked = dict.fromkeys(filter(None, (code.strip() for code in codes)))
    tidied = {code: spelling.tidy(code) for code in asked}
    rows = Sticking.rows.of(garden)
    whole = {batch.batch: batch for batch in rows.filter(batch__in={*asked, *tidied.values()})}
    found = {code: whole.get(code) or whole.get(tidied[code]) for code in asked}
    if left := [code for code, batch in found.items() if batch is None]:
        found |= _spelled_otherwise(garden, left)
    known = {batch.pk: batch for batch in found.values() if batch}
    return Named(tuple(known.values()), tuple(code for code, batch in found.items() if batch is None))


def _spelled_otherwise(garden: Garden, asked: Iterable[str]) -> dict[str, Sticking | None]:
    """Return by name the one batch that is called so in other letters, or begins so and has not ended."""
    capitals = {code: code.upper() for code in asked}
    firsts = {code: four for code in asked if len(four := spelling.tidy(code)) == spelling.SHORT}
    rows = Sticking.rows.of(garden).annotate(capitals=Upper("batch"), four=Substr(Upper("batch"), 1, 4))
    by_name: dict[str, list[Sticking]] = {}
    by_four: dict[str, list[Sticking]] = {}
    is_open = Q(state__ended_on=None)
    chosen = rows.filter(Q(capitals__in=set(capitals.values())) | Q(is_open, four__in=set(firsts.values())))
    for batch in chosen.select_related("state"):
        by_name.setdefault(batch.batch.upper(), []).append(batch)
        if batch.state.ended_on is None:
            by_four.setdefault(batch.batch.upper()[: spelling.SHORT], []).append(batch)
    found: dict[str, Sticking | None] = {}
    for code, name in capitals.items():
        meant = by_name.get(name) or by_four.get(firsts.get(code, ""), [])
        found[code] = meant[0] if len(meant) == 1 else None
    return found


def labels_of(
    garden: Garden, codes: Iterable[str] = (), *, since: date | None = None, on: date
) -> list[LabelOf]:
    """Return what the labels of some batches carry, oldest first. Three queries at most.

    ``codes`` name batches as ``batch_by_code`` reads them; without any, every batch stuck ``since``
    that day, or every batch that has not ended. ``on`` is the day the rights are asked about.
    """
    rows = (
        Sticking.rows.of(garden)
        .standing()
        .select_related("taxon", "plant", "container", "trial", "state__place")
    )
    if codes := list(codes):
        named = batches_named(garden, codes)
        if named.unknown:
            # it says why it is not found, or which ones it may be
            batch_by_code(garden, named.unknown[0])
        rows = rows.filter(pk__in=[batch.pk for batch in named.batches])
    elif since is not None:
        rows = rows.filter(stuck_on__gte=since)
    else:
        rows = rows.filter(state__ended_on=None)
    return [_label(sticking, on) for sticking in rows.order_by("stuck_on", "number")]


def _cells(sticking: Sticking) -> int | None:
    return sticking.container.cells if sticking.container else None


def _label(sticking: Sticking, on: date) -> LabelOf:
    taxon = sticking.taxon
    return LabelOf(
        sticking.batch,
        taxon.taxon,
        taxon.common_name,
        taxon.sold_as,
        sticking.stuck_on,
        sticking.n_stuck,
        sticking.wood,
        sticking.auxin,
        sticking.auxin_form,
        sticking.auxin_mg_per_l,
        sticking.auxin_mg_per_kg,
        sticking.plant.plant if sticking.plant else "",
        sticking.state.place.place if sticking.state.place else "",
        sticking.container.container if sticking.container else "",
        sticking.n_per_container,
        containers_for(sticking.n_stuck, sticking.n_per_container, _cells(sticking)),
        rights_of(taxon, on=on),
        sticking.trial.trial if sticking.trial else "",
        sticking.arm,
        sticking.block,
    )
