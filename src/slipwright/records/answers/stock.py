"""Stock plants: whether to cut today, the plant's year, and how much wood may go."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal, cast

from slipwright.advice.blooming import Flush, flush_of_plant
from slipwright.advice.round import Act
from slipwright.advice.sheet import CANE_MM, LEFT_OUT, SHOOT_MM, cane_drawing
from slipwright.advice.timing import BloomNow, Flowers, Opening, bloom_now, is_south
from slipwright.handbook import Handbook
from slipwright.handbook.pages import Page, WoodLeaf
from slipwright.records import selectors
from slipwright.records.answers.cuts import cuts_on
from slipwright.records.answers.own_page import page_of_stock
from slipwright.records.answers.plant_year import PlantYear, year_of
from slipwright.records.answers.plants_seen import Trust, trust_of
from slipwright.records.answers.programme.lines_now import programme_due
from slipwright.records.answers.seasons import Seasons, asked_plant, own_season, seasons_of
from slipwright.records.answers.share import share_is_cut, shoots_that_may_go
from slipwright.records.answers.told import told_batches
from slipwright.records.errors import NotFound
from slipwright.records.models import Garden
from slipwright.records.selectors import ShootsCut, Stock

#: standard deviations to either side that hold 8 in 10 of a normal
_8_IN_10 = 1.2815515655446004

Verdict = Literal["refused", "cut", "open", "taken", "wait", "no-page", "no-wood", "working"]


@dataclass(frozen=True, slots=True)
class StockLine:
    """One stock plant of the list: what to do with it now, or which wood comes next and when."""

    stock: Stock
    verdict: Verdict
    opening: Opening | None = None
    #: the round's reason to name it now, empty where it does not
    why: str = ""
    #: the day its season was worked out on, None where that is today
    told_on: date | None = None


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


def flowers_of(stock: Stock) -> Flowers | None:
    """Return how a plant flowers, None where nobody wrote it down."""
    return cast(Flowers, stock.flowers) if stock.flowers else None


def plants_by_place(garden: Garden, handbook: Handbook, *, on: date) -> list[PlantsOfPlace]:
    """Return every stock plant by place, in the order of the walk; plants without a place come last."""
    stocks = selectors.stock_plants(garden, on=on)
    asked = [asked_plant(one.plant, page_of_stock(handbook, one), one.flowers) for one in stocks]
    seasons = seasons_of(garden, handbook, [one for one in asked if one], on=on)
    acts = _cut_today(garden, handbook, seasons)
    cut = selectors.shoots_cut(garden, on=on)
    found: dict[str, PlantsOfPlace] = {}
    for stock in sorted(
        stocks, key=lambda s: (not s.place, s.walk_order is None, s.walk_order or 0, s.place)
    ):
        here = found.setdefault(stock.place, PlantsOfPlace(stock.place, stock.walk_order, []))
        here.lines.append(_line(handbook, seasons, stock, acts, cut))
    return list(found.values())


def stock_plant(garden: Garden, handbook: Handbook, plant: str, *, on: date) -> StockPlant:
    """Return one stock plant: verdict, year, what both rest on, and how much wood may go.

    Its season is that of today, whatever is kept; those of others are not looked at.
    """
    stock = next(iter(selectors.stock_plants(garden, on=on, plant=plant)), None)
    if stock is None:
        raise NotFound(f"there is no stock plant {plant} in this garden")
    page, south = page_of_stock(handbook, stock), is_south(float(garden.latitude_deg))
    cuts = selectors.shoots_cut(garden, on=on)
    cut = cuts.get(plant, ShootsCut())
    asked = asked_plant(plant, page, stock.flowers)
    if page is None or asked is None:
        line = _line(handbook, Seasons(on, south), stock, {}, cuts)
        return StockPlant(line, None, None, None, wood_to_take(stock, None, None, cut))
    season, reading = own_season(garden, handbook, asked, on=on)
    seasons = Seasons(on, south, {plant: season})
    line = _line(handbook, seasons, stock, _cut_today(garden, handbook, seasons), cuts)
    leaf = page.woods[line.opening.wood] if line.opening else None
    seen, flowers = reading.seen(plant), flowers_of(stock)
    bloom = bloom_now(page, on, south=south, flowers=flowers, seen=seen)
    return StockPlant(
        line,
        page,
        year_of(page, on, south=south, flowers=flowers, seen=seen),
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


def _cut_today(garden: Garden, handbook: Handbook, seasons: Seasons) -> dict[str, Act]:
    """Return what the round says of cutting from plants today, by plant, of those whose season is known."""
    on = seasons.on
    is_open = any(season.best and season.best.from_on <= on for season in seasons.found.values())
    if not is_open and programme_due(garden, on=on) is None:
        return {}
    batches = selectors.states_of_open_batches(garden)
    told = told_batches(garden, handbook, batches, on=on)
    return {act.plant or "": act for act, _ in cuts_on(garden, handbook, batches, told, on, seasons).acts}


def _line(
    handbook: Handbook,
    seasons: Seasons,
    stock: Stock,
    acts: Mapping[str, Act],
    cuts: Mapping[str, ShootsCut],
) -> StockLine:
    season, told_on = seasons.of(stock.plant), seasons.told_on.get(stock.plant)
    best = season.best if season else None
    if not stock.rights.allowed:
        return StockLine(stock, "refused", best, told_on=told_on)
    if season is None:
        return StockLine(stock, "working" if page_of_stock(handbook, stock) else "no-page")
    if best is None:
        return StockLine(stock, "no-wood")
    act = acts.get(stock.plant)
    if best.from_on > seasons.on and act is None:
        return StockLine(stock, "wait", best, told_on=told_on)
    if share_is_cut(stock, cuts.get(stock.plant)):
        return StockLine(stock, "taken", best, told_on=told_on)
    if act is not None:
        return StockLine(stock, "cut" if act.is_asked else "open", best, act.why, told_on)
    return StockLine(stock, "open", best, told_on=told_on)
