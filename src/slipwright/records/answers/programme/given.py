"""What a garden has for its season: stock plants with their windows, methods, room, hours and costs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import cast

from slipwright.advice.plant_season import season_of_plant
from slipwright.advice.timing import Flowers, is_south
from slipwright.craft.days import monday_of
from slipwright.craft.wood import Window
from slipwright.handbook import Handbook
from slipwright.handbook.pages import Page, Wood, WoodLeaf
from slipwright.records import selectors
from slipwright.records.answers.garden_facts import bloom_here, usual_here
from slipwright.records.answers.growth import growth_of
from slipwright.records.answers.own_page import page_of_stock
from slipwright.records.answers.seasons import asked_plant, seasons_of
from slipwright.records.answers.share import shoots_that_may_go
from slipwright.records.answers.stock import wood_to_take
from slipwright.records.answers.walk import round_days
from slipwright.records.models import Garden, Taxon
from slipwright.records.selectors import ShootsCut, Stock, WantNow
from slipwright.records.selectors import programme as rows
from slipwright.records.selectors.histories import Stuck, UsualLevels
from slipwright.records.tables.progress import Progress, quiet
from slipwright.rooting.growing import Growth


@dataclass(frozen=True, slots=True)
class OpenPlant:
    """A stock plant and the windows of its wood; ``plant`` is empty where none is written down.

    ``n_may_go`` shoots may be cut of it in a season, None for nobody said; ``cut`` are those cut already.
    """

    plant: str
    windows: tuple[Window, ...]
    n_may_go: int | None = None
    cut: tuple[tuple[date, int], ...] = ()
    #: cuttings that a shoot makes, by wood
    of_a_shoot: Mapping[str, float] = field(default_factory=dict)
    place: str = ""

    def is_open(self, wood: str, on: date) -> bool:
        """Return whether its wood is more likely right than not on a day."""
        return any(one.wood == wood and one.opens_on <= on <= one.closes_on for one in self.windows)


@dataclass(frozen=True, slots=True)
class Given:
    """All that wants are met from, as it stands on a day."""

    on: date
    south: bool
    round_days: int
    wants: Sequence[WantNow]
    taxa: Mapping[str, Taxon]
    pages: Mapping[str, Page | None]
    plants: Mapping[str, Sequence[OpenPlant]]
    growth: Growth
    ways: Sequence[rows.Way]
    used: Mapping[str, Sequence[str]]
    rooms: Sequence[rows.Room]
    hours: Sequence[rows.HoursGiven]
    costs: Mapping[str, rows.CostOf]
    pots: Mapping[str, rows.Pot]
    #: medium and container that most batches stand in
    usual: UsualLevels
    #: the day of the last want still to come
    last_day: date
    #: cover that leafy cuttings of a taxon are given instead of their method's
    covers: Mapping[str, str] = field(default_factory=dict)
    #: hours a week more than are written down
    more_h: float = 0.0

    @property
    def first_week(self) -> date:
        """The Monday of the week the day lies in."""
        return monday_of(self.on)

    def weeks(self, until: date | None = None) -> Iterator[date]:
        """Mondays from the first week to that of a day, of the last want unless given."""
        week, last = self.first_week, until or self.last_day
        while week <= last:
            yield week
            week += timedelta(days=7)

    def leaf(self, taxon: str, wood: str) -> WoodLeaf | None:
        """Return what the handbook says of a wood of a plant."""
        page = self.pages.get(taxon)
        return page.woods.get(cast(Wood, wood)) if page else None

    def patience_days(self, taxon: str, leaf: WoodLeaf) -> float:
        """Return after how many days waiting ends: the garden's own number, else the handbook's."""
        row = self.taxa.get(taxon)
        own = row.patience_days if row else None
        return float(own) if own is not None else leaf.patience_days.value


def given_of(
    garden: Garden, handbook: Handbook, *, on: date, only: str = "", progress: Progress = quiet
) -> Given:
    """Return what the wants of a garden are met from on a day. A fixed number of queries.

    ``only`` reads the plants of one want's taxon alone.
    """
    south = is_south(float(garden.latitude_deg))
    wants = [one for one in selectors.wants(garden) if only in ("", one.want)]
    wanted = {want.taxon for want in wants if want.ready_by >= on}
    taxa = {row.taxon: row for row in Taxon.rows.of(garden)}
    pages = {taxon: page_of_stock(handbook, taxa[taxon]) for taxon in {want.taxon for want in wants}}
    return Given(
        on,
        south,
        round_days(garden),
        wants,
        taxa,
        pages,
        _plants(garden, handbook, sorted(wanted), taxa, pages, on, south, progress),
        growth_of(garden, handbook, on=on),
        rows.ways_of(garden),
        rows.methods_used(garden),
        rows.rooms_of(garden),
        rows.hours_of(garden),
        rows.costs_of(garden),
        rows.pots_of(garden),
        usual_here(garden),
        max((want.ready_by for want in wants), default=on),
    )


def _plants(
    garden: Garden,
    handbook: Handbook,
    wanted: Sequence[str],
    taxa: Mapping[str, Taxon],
    pages: Mapping[str, Page | None],
    on: date,
    south: bool,
    progress: Progress,
) -> dict[str, list[OpenPlant]]:
    stocks = [one for one in selectors.stock_plants(garden, on=on) if one.taxon in wanted]
    asked = [asked_plant(one.plant, page_of_stock(handbook, one), one.flowers) for one in stocks]
    seasons = seasons_of(
        garden,
        handbook,
        [one for one in asked if one],
        on=on,
        at_most=None,
        fresh=True,
        progress=progress,
    )
    cut = rows.wood_cut(garden, on=on)
    found: dict[str, list[OpenPlant]] = {taxon: [] for taxon in wanted}
    for one in stocks:
        season = seasons.of(one.plant)
        if season is not None:
            n_may_go = shoots_that_may_go(one)
            found[one.taxon].append(
                OpenPlant(
                    one.plant,
                    season.windows,
                    n_may_go,
                    tuple(cut.get(one.plant, ())),
                    _of_a_shoot(one, pages[one.taxon]) if n_may_go else {},
                    one.place,
                )
            )
    there = {one.taxon for one in stocks}
    for taxon in wanted:
        page = pages[taxon]
        if taxon not in there and page is not None:
            flowers = cast("Flowers | None", taxa[taxon].flowers or None)
            windows = season_of_plant(page, on, south=south, flowers=flowers).windows
            found[taxon].append(OpenPlant("", windows))
    return found


def _of_a_shoot(stock: Stock, page: Page | None) -> dict[str, float]:
    found: dict[str, float] = {}
    for wood, leaf in page.woods.items() if page else ():
        take = wood_to_take(stock, page, leaf, ShootsCut())
        if take.cuttings and take.n_may_go:
            found[wood] = max(take.cuttings[1] / take.n_may_go, 1.0)
    return found


def bloom_on(
    garden: Garden, handbook: Handbook, asked: Sequence[tuple[str, str, str, str, date]]
) -> list[float]:
    """Return how near to bloom plants likely are, 0 to 1, by taxon, flowers, plant, wood and day.

    Nought where nothing tells. At most three queries.
    """
    nothing = dict.fromkeys(Stuck._fields) | dict.fromkeys(_TEXTS, "")
    made = [
        Stuck(
            **{  # type: ignore[arg-type]
                **nothing,
                "pk": number,
                "taxon": taxon,
                "flowers": flowers,
                "plant": plant,
                "wood": wood,
                "stuck_on": day,
                "n_stuck": 1,
                "n_potted": 0,
            }
        )
        for number, (taxon, flowers, plant, wood, day) in enumerate(asked)
    ]
    found = bloom_here(garden, handbook).of(made)
    return [found[number] or 0.0 for number in range(len(made))]


_TEXTS = tuple(name for name, kind in Stuck.__annotations__.items() if kind in (str, "str"))
