"""Which papers a garden can have printed: how-tos of its plants and of the handbook's, and its seasons."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from slipwright.advice.asked import NotKnown, plant_named
from slipwright.advice.how_to import how_to_of_plant, how_to_of_wood
from slipwright.advice.timing import is_south
from slipwright.craft.said import Said
from slipwright.handbook import Handbook
from slipwright.handbook.pages import WOODS, Page, Wood
from slipwright.outputs.how_to import HowTo
from slipwright.outputs.measures import First
from slipwright.records import selectors
from slipwright.records.answers.report.season_report import seasons_of_garden
from slipwright.records.errors import NotFound
from slipwright.records.models import Garden

#: from this month on the year to come is the one to hang up
_NEXT_YEAR_FROM = 9


@dataclass(frozen=True, slots=True)
class WoodOf:
    """A wood of a plant that has a how-to."""

    taxon: str
    wood: Wood


@dataclass(frozen=True, slots=True)
class PapersOffered:
    """What may be printed: plants of the garden and of the handbook by wood, seasons, the year to hang up."""

    own: tuple[WoodOf, ...]
    book: tuple[WoodOf, ...]
    seasons: tuple[str, ...]
    year: int
    n_plants: int


def papers_offered(garden: Garden, handbook: Handbook, *, on: date) -> PapersOffered:
    """Return what may be printed for a garden."""
    stocks = selectors.stock_plants(garden, on=on)
    taxa = sorted({stock.taxon for stock in stocks})
    own = tuple(WoodOf(taxon, wood) for taxon in taxa for wood in woods_with_how_to(handbook, taxon))
    book = tuple(
        WoodOf(page.taxa[0], wood)
        for page in sorted(handbook.pages, key=lambda page: page.taxa[0])
        for wood in _woods(page)
        if page.taxa[0] not in taxa
    )
    year = on.year + (on.month >= _NEXT_YEAR_FROM)
    return PapersOffered(own, book, tuple(seasons_of_garden(garden)), year, len(stocks))


def woods_with_how_to(handbook: Handbook, taxon: str) -> tuple[Wood, ...]:
    """Return the woods of a plant that have a how-to; none without a page of the handbook."""
    page = handbook.page_of(taxon)
    return tuple(_woods(page)) if page else ()


def _woods(page: Page) -> list[Wood]:
    return [wood for wood in WOODS if wood in page.woods]


def how_to_asked(
    handbook: Handbook,
    named: str,
    wood: str,
    *,
    on: date,
    latitude_deg: float | None = None,
    first: First = "metric",
    tongue: str = "en",
) -> HowTo:
    """Return the how-to of a plant's wood, or of a kind of wood where no plant is named.

    ``named`` is any name of a plant. Without a ``wood``, the one of it that roots best by the handbook.
    """
    south = is_south(latitude_deg)
    if not named.strip():
        if wood not in WOODS:
            raise NotFound(Said("say which wood: {woods}", woods=", ".join(WOODS)))
        return how_to_of_wood(handbook, wood, on=on, south=south, first=first)
    found = plant_named(handbook, named, tongue)
    if isinstance(found, NotKnown):
        near = ", ".join(found.near)
        why = Said("the handbook has no page for {name}", name=named.strip())
        raise NotFound(Said("{why}; names near it: {near}", why=why, near=near) if near else why)
    woods = _woods(found.page)
    if wood and wood not in woods:
        raise NotFound(
            Said(
                "the handbook does not take {wood} of {name}; it takes {woods}",
                wood=Said(wood) if wood in WOODS else wood,
                name=found.taxon,
                woods=", ".join(woods),
            )
        )
    chosen = next((one for one in woods if one == wood), None) or _usual(found.page, woods)
    return how_to_of_plant(handbook, found.taxon, chosen, on=on, south=south, first=first, tongue=tongue)


def _usual(page: Page, woods: list[Wood]) -> Wood:
    """Return the wood that roots best by the handbook."""
    return max(woods, key=lambda wood: page.woods[wood].rooted_percent[0].p50)
