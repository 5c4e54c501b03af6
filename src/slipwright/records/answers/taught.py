"""What was learned, as its page shows it: comparisons, plants, and one plant beside the handbook."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import cast

from slipwright.advice.kinds import kind_of
from slipwright.advice.timing import is_south
from slipwright.handbook import Handbook
from slipwright.handbook.pages import Wood
from slipwright.records.answers.findings.found import Found, PlantFound, found_from
from slipwright.records.answers.learning import learned_of
from slipwright.records.models import Garden
from slipwright.records.selectors.fits import FitNow, fit_now
from slipwright.rooting.curves import prior_curve
from slipwright.rooting.cuttings import Cuttings
from slipwright.rooting.learned import before_records
from slipwright.rooting.page_prior import usual_cuttings

#: plants on one page
A_PAGE = 20
#: steps of a curve, and how long it is without a page of the handbook [days]
_STEPS, _LAST_DAY = 26, 182

Shares = tuple[tuple[float, ...], tuple[float, ...], tuple[float, ...]]


@dataclass(frozen=True, slots=True)
class Taught:
    """What was learned of a garden, and one page of its plants."""

    fit: FitNow
    found: Found
    plants: Sequence[PlantFound]
    page: int
    has_more: bool


@dataclass(frozen=True, slots=True)
class PlantTaught:
    """Which share of a batch of one plant roots by day, as believed before any record and as learned.

    ``has_page`` says whether the handbook has a row for it; ``n_batches`` and ``n_looks`` of the taxon
    were learned from, ``n_of_wood`` of the batches of this wood; None where that was not kept.
    """

    found: PlantFound
    has_page: bool
    days: tuple[int, ...]
    believed: Shares
    learned: Shares
    n_batches: int
    n_looks: int
    n_of_wood: int | None = None

    @property
    def n_of_other_wood(self) -> int:
        """Batches of the taxon that are of other wood."""
        return self.n_batches - (self.n_batches if self.n_of_wood is None else self.n_of_wood)


def taught(garden: Garden, *, page: int = 1) -> Taught | None:
    """Return what was learned, None where nothing was yet. ``garden`` must have just been read. One query.

    Of what another model learned nothing is told but that it was.
    """
    fit = fit_now(garden)
    if fit is None:
        return None
    if not fit.is_of_this_model:
        return Taught(fit, Found((), (), (), (), ()), (), page, has_more=False)
    found = found_from(fit.found)
    plants, first = found.plants, (page - 1) * A_PAGE
    return Taught(fit, found, plants[first : first + A_PAGE], page, len(plants) > first + A_PAGE)


def plant_taught(garden: Garden, handbook: Handbook, plant: PlantFound, *, on: date) -> PlantTaught | None:
    """Return one plant's curves, None where its draws are gone. ``garden`` must have just been read.

    A batch not yet stuck, in the handbook's usual way. At most two queries.
    """
    wood = cast(Wood, plant.wood)
    page = handbook.page_of(plant.taxon)
    leaf = page.woods.get(wood) if page else None
    usual: Cuttings = usual_cuttings(leaf, wood)
    kind = kind_of(plant.taxon, leaf, wood, on, south=is_south(float(garden.latitude_deg)))
    learned = learned_of(garden, [kind])
    if learned is None:
        return None
    last = max(leaf.patience_days.value if leaf else _LAST_DAY, 7)
    days = tuple(round(last * step / _STEPS) for step in range(_STEPS + 1))
    believed, known = (
        tuple(tuple(float(share) for share in row) for row in prior_curve(draws, usual, kind, days))
        for draws in (before_records(), learned)
    )
    n_batches, n_looks = learned.behind.get(kind.path[1], (0, 0))
    of_wood = learned.behind.get(kind.path[2])
    return PlantTaught(
        plant,
        leaf is not None,
        days,
        cast(Shares, believed),
        cast(Shares, known),
        n_batches,
        n_looks,
        of_wood[0] if of_wood else None,
    )
