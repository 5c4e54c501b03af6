"""Stock plants: whether to cut today, the plant's year, and how much wood may go."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal, cast

from slipwright.advice.blooming import Flush, flush_of_plant
from slipwright.advice.plant_season import PlantSeason
from slipwright.advice.sheet import CANE_MM, LEFT_OUT, SHOOT_MM, cane_drawing
from slipwright.advice.timing import BloomNow, Flowers, Opening, bloom_now
from slipwright.handbook import Handbook
from slipwright.handbook.pages import Page, WoodLeaf
from slipwright.records import selectors
from slipwright.records.answers.cuts import cuts_on
from slipwright.records.answers.plant_year import PlantYear, year_of
from slipwright.records.answers.seasons import Seasons, Trust, seasons_of, trust_of
from slipwright.records.answers.share import share_is_cut, shoots_that_may_go
from slipwright.records.answers.told import told_batches
from slipwright.records.answers.walk import page_of_stock
from slipwright.records.errors import NotFound
from slipwright.records.models import Garden
from slipwright.records.selectors import ShootsCut, Stock

#: standard deviations to either side that hold 8 in 10 of a normal
_8_IN_10 = 1.2815515655446004

Verdict = Literal["refused", "cut", "open", "taken", "wait", "no-page", "no-wood"]


@dataclass(frozen=True, slots=True)
class StockLine:
    """One stock plant of the list: what to do with it now, or which wood comes next and when."""

    stock: Stock
    verdict: Verdict
    opening: Opening | None = None
    #: the round's reason to cut it now, empty where the round does not ask
    why: str = ""


@dataclass(frozen=True, slots=True)
class PlantsOfPlace:
    """The stock plants of a place, empty name where none is written down."""

    place: str
    walk_order: int | None
    lines: list[StockLine]


@dataclass(frozen=True, slots=True)
class WoodToTake:
    """How much of a plant may go: ``unsaid`` names the columns that are not written down."""

    n_shoots: int | None = None
    n_may_go: int | None = None
    n_cut: int = 0
    n_batches_unsaid: int = 0
    share: float | None = None
    wood: str = ""
    form: str = ""
    shoot_word: str = "shoot"
    #: cuttings those shoots make: fewest, usual, most
    cuttings: tuple[int, int, int] | None = None
    usual_length_mm: float | None = None
    unsaid: tuple[str, ...] = ()

    @property
    def n_left(self) -> int | None:
        """Shoots that may still go this season."""
        return None if self.n_may_go is None else max(self.n_may_go - self.n_cut, 0)

    @property
    def n_stay(self) -> int | None:
        """Shoots that stay on the plant."""
        if self.n_shoots is None or self.n_left is None:
            return None
        return max(self.n_shoots - self.n_cut - self.n_left, 0)


@dataclass(frozen=True, slots=True)
class StockPlant:
    """One stock plant as its page tells it."""

    line: StockLine
    page: Page | None
    year: PlantYear | None
    bloom: BloomNow | None
    take: WoodToTake
    openings: tuple[Opening, ...] = ()
    trust: Trust | None = None
    #: None where the plant flowers once, or no two flushes of one season were seen
    flush: Flush | None = None

    @property
    def flush_days(self) -> tuple[int, int] | None:
        """Days from one flush to the next: the range that holds 8 in 10, fewest and most."""
        if self.flush is None:
            return None
        give = _8_IN_10 * self.flush.sd_days
        return max(round(self.flush.days - give), 1), round(self.flush.days + give)


@dataclass(frozen=True, slots=True)
class _Told:
    """What holds for every stock plant of a garden on a day."""

    handbook: Handbook
    seasons: Seasons

    def season_of(self, stock: Stock, page: Page) -> PlantSeason:
        return self.seasons.of(stock.plant, page, flowers_of(stock))


def flowers_of(stock: Stock) -> Flowers | None:
    """Return how a plant flowers, None where nobody wrote it down."""
    return cast(Flowers, stock.flowers) if stock.flowers else None


def plants_by_place(garden: Garden, handbook: Handbook, *, on: date) -> list[PlantsOfPlace]:
    """Return every stock plant by place, in the order of the walk; plants without a place come last."""
    told = _Told(handbook, seasons_of(garden, handbook, on=on))
    whys = _cut_today(garden, handbook, on)
    cut = selectors.shoots_cut(garden, on=on)
    found: dict[str, PlantsOfPlace] = {}
    stocks = selectors.stock_plants(garden, on=on)
    for stock in sorted(
        stocks, key=lambda s: (not s.place, s.walk_order is None, s.walk_order or 0, s.place)
    ):
        here = found.setdefault(stock.place, PlantsOfPlace(stock.place, stock.walk_order, []))
        here.lines.append(_line(told, stock, whys, cut))
    return list(found.values())


def stock_plant(garden: Garden, handbook: Handbook, plant: str, *, on: date) -> StockPlant:
    """Return one stock plant: verdict, year, what both rest on, and how much wood may go."""
    stock = next((one for one in selectors.stock_plants(garden, on=on) if one.plant == plant), None)
    if stock is None:
        raise NotFound(f"there is no stock plant {plant} in this garden")
    seasons = seasons_of(garden, handbook, on=on)
    told = _Told(handbook, seasons)
    cuts = selectors.shoots_cut(garden, on=on)
    line = _line(told, stock, _cut_today(garden, handbook, on), cuts)
    page = page_of_stock(handbook, stock)
    cut = cuts.get(plant, ShootsCut())
    if page is None:
        return StockPlant(line, None, None, None, wood_to_take(stock, None, None, cut))
    leaf = page.woods[line.opening.wood] if line.opening else None
    seen, flowers = seasons.seen(plant), flowers_of(stock)
    bloom = bloom_now(page, on, south=seasons.south, flowers=flowers, seen=seen)
    season = told.season_of(stock, page)
    return StockPlant(
        line,
        page,
        year_of(page, on, south=seasons.south, flowers=flowers, seen=seen),
        bloom,
        wood_to_take(stock, page, leaf, cut),
        season.openings,
        trust_of(seen, on=on, bloom_rests_on=bloom.rests_on, wood_rests_on=season.rests_on),
        flush_of_plant(seen, on) if bloom.flowers == "repeat" else None,
    )


def wood_to_take(stock: Stock, page: Page | None, leaf: WoodLeaf | None, cut: ShootsCut) -> WoodToTake:
    """Return how many shoots may go and what cuttings they make, as far as it is written down.

    Fewest and most are with the longest and shortest cuttings of the handbook, on a shoot that keeps a
    tenth at either end; the usual number is that of the stick sheet.
    """
    share = None if stock.max_share_taken is None else float(stock.max_share_taken)
    n_shoots = stock.shoots_per_season
    unsaid = tuple(
        name
        for name in ("shoots_per_season", "max_share_taken", "shoot_length_mm", "nodes_per_shoot")
        if getattr(stock, name) is None
    )
    n_may_go = shoots_that_may_go(stock)
    n_left = None if n_may_go is None else max(n_may_go - cut.n_shoots, 0)
    cuttings = None
    if page and leaf and n_left is not None:
        fewest, usual, most = _cuttings_of_a_shoot(stock, page, leaf)
        cuttings = (n_left * fewest, n_left * usual, n_left * most)
    length = None if stock.shoot_length_mm is None else float(stock.shoot_length_mm)
    if length is None and page:
        length = CANE_MM if page.shoot_word == "cane" else SHOOT_MM
    return WoodToTake(
        n_shoots,
        n_may_go,
        cut.n_shoots,
        cut.n_batches_unsaid,
        share,
        leaf.wood if leaf else "",
        leaf.cutting if leaf else "",
        page.shoot_word if page else "shoot",
        cuttings,
        length,
        unsaid,
    )


def _cuttings_of_a_shoot(stock: Stock, page: Page, leaf: WoodLeaf) -> tuple[int, int, int]:
    if leaf.cutting == "single-node":
        n = stock.nodes_per_shoot or 1
        return n, n, n
    if leaf.cutting != "piece":  # tips, heels, mallets: one a shoot
        return 1, 1, 1
    length = None if stock.shoot_length_mm is None else float(stock.shoot_length_mm)
    drawn = cane_drawing(
        page, leaf, False, shoot_length_mm=length or None, nodes_per_shoot=stock.nodes_per_shoot or None
    )
    usual = len(drawn.cuttings)
    used_mm = drawn.cane_mm * (1 - 2 * LEFT_OUT)
    fewest = math.floor(used_mm / leaf.length_mm.high) if leaf.length_mm.high else usual
    most = math.floor(used_mm / leaf.length_mm.low) if leaf.length_mm.low else usual
    if stock.nodes_per_shoot:
        n_nodes = stock.nodes_per_shoot * (1 - 2 * LEFT_OUT)
        most = min(most, math.floor(n_nodes / max(leaf.n_nodes.low, 1)))
    return min(fewest, usual), usual, max(most, usual)


def _cut_today(garden: Garden, handbook: Handbook, on: date) -> dict[str, str]:
    """Return why the round asks to cut from plants today, by plant."""
    batches = selectors.states_of_open_batches(garden)
    told = told_batches(garden, handbook, batches, on=on)
    return {act.plant or "": act.why for act, _ in cuts_on(garden, handbook, batches, told, on)}


def _line(told: _Told, stock: Stock, whys: Mapping[str, str], cuts: Mapping[str, ShootsCut]) -> StockLine:
    page = page_of_stock(told.handbook, stock)
    best = told.season_of(stock, page).best if page else None
    if not stock.rights.allowed:
        return StockLine(stock, "refused", best)
    if page is None:
        return StockLine(stock, "no-page")
    if best is None:
        return StockLine(stock, "no-wood")
    if best.from_on > told.seasons.on:
        return StockLine(stock, "wait", best)
    if share_is_cut(stock, cuts.get(stock.plant)):
        return StockLine(stock, "taken", best)
    if why := whys.get(stock.plant):
        return StockLine(stock, "cut", best, why)
    return StockLine(stock, "open", best)
