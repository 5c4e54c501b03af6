"""What is cut of a stock plant within its season: how much of its share, and by which batches."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from slipwright.records import selectors
from slipwright.records.answers.share import share_is_cut, shoots_that_may_go
from slipwright.records.models import BatchState, Garden, Plant, Sticking
from slipwright.records.selectors import ShootsCut, Stock
from slipwright.records.selectors.seen import SEASON


@dataclass(frozen=True, slots=True)
class ShareCut:
    """A plant's share is cut: so many shoots were cut, and so many may go in a season."""

    n_cut: int
    n_may_go: int


@dataclass(frozen=True, slots=True)
class BatchCut:
    """A batch whose shoots count against a plant's share; None where it does not say how many."""

    batch: str
    stuck_on: date
    n_shoots: int | None


def share_cut_of(garden: Garden, stock: Stock, *, on: date) -> ShareCut | None:
    """Return how much was cut of a plant whose share for the season is cut, else None."""
    n_may_go = shoots_that_may_go(stock)
    if n_may_go is None:
        return None
    cut = selectors.shoots_cut(garden, on=on).get(stock.plant, ShootsCut())
    return ShareCut(cut.n_shoots, n_may_go) if share_is_cut(stock, cut) else None


def batches_cut(garden: Garden, plant: str, *, on: date) -> list[BatchCut]:
    """Return the batches that count against a plant's share on a day, newest first. One query."""
    rows = (
        BatchState.rows.of(garden)
        .filter(batch__plant__plant=plant, withdrawn=False)
        .filter(batch__stuck_on__gt=on - SEASON, batch__stuck_on__lte=on)
        .order_by("-batch__stuck_on", "-batch__number")
        .values_list("batch__batch", "batch__stuck_on", "batch__n_shoots")
    )
    return [BatchCut(*row) for row in rows]


def free_on(cuts: Sequence[BatchCut], n_may_go: int) -> date | None:
    """Return the day from which shoots of a plant may go again, a year after enough of its cuts.

    ``cuts`` are those of the last year, newest first. None where none may ever go.
    """
    n_left = n_may_go - sum(cut.n_shoots or 0 for cut in cuts)
    for cut in reversed(cuts):
        n_left += cut.n_shoots or 0
        if n_left > 0:
            return cut.stuck_on + SEASON
    return None


def taxa_without_a_plant_left(garden: Garden, *, on: date) -> set[str]:
    """Return the taxa that have stock plants, every one of them shut for the season. Two queries."""
    cut = selectors.shoots_cut(garden, on=on)
    left: dict[str, bool] = {}
    for plant in Plant.rows.of(garden).select_related("taxon"):
        taxon = plant.taxon
        is_left = selectors.rights_of(taxon, on=on).allowed and not share_is_cut(plant, cut.get(plant.plant))
        left[taxon.taxon] = left.get(taxon.taxon, False) or is_left
    return {taxon for taxon, is_left in left.items() if not is_left}


def is_kept(garden: Garden, entry_id: str) -> bool:
    """Return whether a sticking of this id is kept already, so that it was asked about before."""
    return Sticking.rows.of(garden).filter(entry_id=entry_id).exists()
