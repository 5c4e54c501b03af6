"""Stock plants: whether to cut today, the plant's year, and how much wood may go."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Literal, cast

from slipwright.advice.asked import Asked
from slipwright.advice.plan import best_opening
from slipwright.advice.sheet import CANE_MM, LEFT_OUT, SHOOT_MM, cane_drawing
from slipwright.advice.timing import (
    BloomNow,
    Flowers,
    Opening,
    bloom_now,
    is_south,
    openings_of_page,
    windows_of_page,
    with_own_gaps,
)
from slipwright.handbook import Handbook
from slipwright.handbook.pages import Page, WoodLeaf
from slipwright.records import selectors
from slipwright.records.answers.cuts import cuts_on
from slipwright.records.answers.plant_year import PlantYear, year_of
from slipwright.records.answers.share import share_is_cut, shoots_that_may_go
from slipwright.records.answers.told import told_batches
from slipwright.records.errors import NotFound
from slipwright.records.models import Garden
from slipwright.records.selectors import ShootsCut, Stock

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


#: a page, how the plant flowers, its gaps, and on whose word the one before bloom is
_PageAsked = tuple[str, str, float, float, str]


@dataclass(slots=True)
class _Pages:
    """Windows and openings worked out once a page, however many plants share it."""

    on: date
    south: bool
    handbook: Handbook
    openings: dict[_PageAsked, tuple[Opening, ...]] = field(default_factory=dict)
    best: dict[_PageAsked, Opening | None] = field(default_factory=dict)

    def page_of(self, stock: Stock) -> Page | None:
        page = self.handbook.page_of(stock.taxon)
        own = (stock.gap_before_bloom_days, stock.gap_after_bloom_days)
        if page is None or own == (None, None):
            return page
        return with_own_gaps(
            page, gap_before_days=own[0], gap_after_days=own[1], reason=stock.bloom_gap_reason
        )

    def opening_of(self, stock: Stock, page: Page) -> Opening | None:
        key = self._worked_out(stock, page)
        return self.best[key]

    def openings_of(self, stock: Stock, page: Page) -> tuple[Opening, ...]:
        key = self._worked_out(stock, page)
        return self.openings[key]

    def _worked_out(self, stock: Stock, page: Page) -> _PageAsked:
        gap, after = page.bloom.gap_before_days, page.bloom.gap_after_days
        key = (page.key, stock.flowers, gap.value, after.value, gap.origin.mark)
        if key not in self.best:
            flowers = flowers_of(stock)
            windows = windows_of_page(page, self.on, south=self.south)
            found = openings_of_page(page, windows, self.on, south=self.south, flowers=flowers)
            self.openings[key] = found
            asked = Asked(stock.taxon, self.on, flowers=flowers)
            self.best[key] = best_opening(page, found, asked, self.south)
        return key


def flowers_of(stock: Stock) -> Flowers | None:
    """Return how a plant flowers, None where nobody wrote it down."""
    return cast(Flowers, stock.flowers) if stock.flowers else None


def plants_by_place(garden: Garden, handbook: Handbook, *, on: date) -> list[PlantsOfPlace]:
    """Return every stock plant by place, in the order of the walk; plants without a place come last."""
    pages = _pages(garden, handbook, on)
    whys = _cut_today(garden, handbook, on)
    cut = selectors.shoots_cut(garden, on=on)
    found: dict[str, PlantsOfPlace] = {}
    stocks = selectors.stock_plants(garden, on=on)
    for stock in sorted(
        stocks, key=lambda s: (not s.place, s.walk_order is None, s.walk_order or 0, s.place)
    ):
        here = found.setdefault(stock.place, PlantsOfPlace(stock.place, stock.walk_order, []))
        here.lines.append(_line(pages, stock, whys, cut))
    return list(found.values())


def stock_plant(garden: Garden, handbook: Handbook, plant: str, *, on: date) -> StockPlant:
    """Return one stock plant: verdict, year, and how much wood may go."""
    stock = next((one for one in selectors.stock_plants(garden, on=on) if one.plant == plant), None)
    if stock is None:
        raise NotFound(f"there is no stock plant {plant} in this garden")
    pages = _pages(garden, handbook, on)
    cuts = selectors.shoots_cut(garden, on=on)
    line = _line(pages, stock, _cut_today(garden, handbook, on), cuts)
    page = pages.page_of(stock)
    cut = cuts.get(plant, ShootsCut())
    if page is None:
        return StockPlant(line, None, None, None, wood_to_take(stock, None, None, cut))
    leaf = page.woods[line.opening.wood] if line.opening else None
    return StockPlant(
        line,
        page,
        year_of(page, on, south=pages.south, flowers=flowers_of(stock)),
        bloom_now(page, on, south=pages.south, flowers=flowers_of(stock)),
        wood_to_take(stock, page, leaf, cut),
        pages.openings_of(stock, page),
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


#: what was worked out for the last days asked about: a window takes milliseconds, and does not change
_KEPT: dict[tuple[date, bool, int], _Pages] = {}
_MOST_KEPT = 4


def _pages(garden: Garden, handbook: Handbook, on: date) -> _Pages:
    key = (on, is_south(float(garden.latitude_deg)), id(handbook))
    pages = _KEPT.get(key)
    if pages is None or pages.handbook is not handbook:
        while len(_KEPT) >= _MOST_KEPT:
            _KEPT.pop(next(iter(_KEPT)), None)
        pages = _KEPT[key] = _Pages(on, key[1], handbook)
    return pages


def _cut_today(garden: Garden, handbook: Handbook, on: date) -> dict[str, str]:
    """Return why the round asks to cut from plants today, by plant."""
    batches = selectors.states_of_open_batches(garden)
    told = told_batches(garden, handbook, batches, on=on)
    return {act.plant or "": act.why for act, _ in cuts_on(garden, handbook, batches, told, on)}


def _line(pages: _Pages, stock: Stock, whys: Mapping[str, str], cuts: Mapping[str, ShootsCut]) -> StockLine:
    page = pages.page_of(stock)
    if not stock.rights.allowed:
        return StockLine(stock, "refused", pages.opening_of(stock, page) if page else None)
    if page is None:
        return StockLine(stock, "no-page")
    opening = pages.opening_of(stock, page)
    if opening is None:
        return StockLine(stock, "no-wood")
    if opening.from_on > pages.on:
        return StockLine(stock, "wait", opening)
    if share_is_cut(stock, cuts.get(stock.plant)):
        return StockLine(stock, "taken", opening)
    if why := whys.get(stock.plant):
        return StockLine(stock, "cut", opening, why)
    return StockLine(stock, "open", opening)
