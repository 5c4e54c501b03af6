"""What goes on the labels of batches."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from slipwright.craft import rights
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


def labels_of(
    garden: Garden, codes: Iterable[str] = (), *, since: date | None = None, on: date
) -> list[LabelOf]:
    """Return what the labels of some batches carry, oldest first.

    ``codes`` name batches as ``batch_by_code`` reads them; without any, every batch stuck ``since``
    that day, or every batch that has not ended. ``on`` is the day the rights are asked about.
    """
    rows = Sticking.rows.of(garden).standing().select_related("taxon", "plant", "container", "state__place")
    if named := [batch_by_code(garden, code).pk for code in codes]:
        rows = rows.filter(pk__in=named)
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
    )
