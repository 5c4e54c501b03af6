"""The garden's year on the wall: when the wood of its plants is right, by all that is known today."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from statistics import fmean

from slipwright.advice.timing import is_south
from slipwright.craft.names import NotAPlantName, plant_name
from slipwright.craft.said import Said, joined
from slipwright.handbook import Handbook
from slipwright.handbook.pages import Page
from slipwright.outputs.year_sheet import YearBar, YearRow, YearSheet
from slipwright.records import selectors
from slipwright.records.answers.own_page import page_of_stock
from slipwright.records.answers.plant_year import year_of
from slipwright.records.answers.plants_seen import Reading
from slipwright.records.answers.stock import flowers_of
from slipwright.records.errors import NotFound
from slipwright.records.models import Garden
from slipwright.records.selectors import Stock
from slipwright.records.tables.progress import Progress, quiet

#: years a sheet is made of
YEARS = (1900, 2199)
#: plants of a taxon whose edges lie so near each other stand in one row
ALIKE_DAYS = 21
#: plants named where a name was not known
_MOST_NAMED = 12


@dataclass(frozen=True, slots=True)
class _Row:
    """A row before plants alike are put together: whose it is, and what it shows."""

    stock: Stock
    row: YearRow
    repeats: bool


def year_sheet_of(
    garden: Garden,
    handbook: Handbook,
    *,
    year: int,
    on: date,
    named: Sequence[str] = (),
    each_plant: bool = False,
    tongue: str = "en",
    progress: Progress = quiet,
) -> YearSheet:
    """Return the year sheet of a garden's stock plants, or of those ``named`` by plant, taxon or genus.

    Plants of a taxon whose edges lie within three weeks of each other stand in one row, at the middle of
    theirs; with ``each_plant`` each stands in its own.
    """
    stocks = _chosen(selectors.stock_plants(garden, on=on), named)
    names = [stock.plant for stock in stocks] if named else None
    reading = Reading(garden, handbook, selectors.seasons_kept(garden, on=on), on, names)
    south = is_south(float(garden.latitude_deg))
    rows = []
    for n, stock in enumerate(stocks):
        progress(n, len(stocks), "the year of each plant")
        rows.append(_row_of(stock, page_of_stock(handbook, stock), reading, year, south, tongue))
    return YearSheet(
        year=year,
        rows=tuple(_put_together(rows, each_plant=each_plant)),
        garden=garden.name,
        made_on=on,
        notes=_notes(rows, south),
    )


def _chosen(stocks: Sequence[Stock], named: Sequence[str]) -> list[Stock]:
    """Return the plants by taxon and name; of names not known the first is refused."""
    asked = [name.strip() for name in named if name.strip()]
    for name in asked:
        if not any(_is_called(stock, name) for stock in stocks):
            known = ", ".join(sorted({stock.taxon for stock in stocks})[:_MOST_NAMED])
            raise NotFound(
                Said(
                    "there is no stock plant and no taxon called {name} here; there are {known}",
                    name=name,
                    known=known or Said("none"),
                )
            )
    chosen = [one for one in stocks if not asked or any(_is_called(one, name) for name in asked)]
    if not chosen:
        raise NotFound(Said("no stock plant is written down, so there is no year to show"))
    return sorted(chosen, key=lambda stock: (stock.taxon.casefold(), stock.plant.casefold()))


def _is_called(stock: Stock, named: str) -> bool:
    name, taxon = named.casefold(), stock.taxon.casefold()
    return name in (stock.plant.casefold(), taxon, taxon.partition(" '")[0], taxon.partition(" ")[0])


def _row_of(stock: Stock, page: Page | None, reading: Reading, year: int, south: bool, tongue: str) -> _Row:
    runs, cultivar = _name_of(stock.taxon)
    second = cultivar or _called(stock, page, tongue)
    row = YearRow(runs, second)
    if page is None:
        note = Said("the handbook has no page for it, and does not guess")
        return _Row(stock, replace(row, note=note), repeats=False)
    seen, flowers = reading.seen(stock.plant), flowers_of(stock)
    months = (date(year, 1, 1), date(year, 12, 31))
    told = year_of(page, reading.on, south=south, flowers=flowers, seen=seen, months=months)
    row = replace(
        row,
        own_records=seen.tells_of_wood or seen.tells_of_bloom,
        bloom=(*told.bloom, (months[1], told.bloom[-1][1])),
        too_near=told.too_near,
        bars=tuple(YearBar(run.wood, run.opens_on, run.closes_on) for run in told.windows),
    )
    if not stock.rights.allowed:
        note = Said("not to be stuck: {why:first}", why=stock.rights.reason)
        row = replace(row, bars=(), note=note)
    return _Row(stock, row, repeats=(flowers or page.bloom.flowers) == "repeat")


def _called(stock: Stock, page: Page | None, tongue: str) -> str:
    book = page.common_name(stock.taxon, tongue) if page else ""
    own = stock.common_name
    return (own or book) if tongue == "en" else (book or own)


def _name_of(taxon: str) -> tuple[tuple[tuple[str, bool], ...], str]:
    """Return the name without its cultivar, and the cultivar."""
    plain, quote, rest = taxon.partition(" '")
    cultivar = quote.strip() + rest
    try:
        return plant_name(plain).runs(), cultivar
    except NotAPlantName:
        return ((taxon, False),), ""


def _put_together(rows: Sequence[_Row], *, each_plant: bool) -> list[YearRow]:
    """Put plants of a taxon whose years are nearly the same in one row; say which is which of several."""
    of_taxon: dict[str, list[list[_Row]]] = {}
    for one in rows:
        groups = of_taxon.setdefault(one.stock.taxon, [])
        alike = None if each_plant else next((some for some in groups if _are_alike(some[0], one)), None)
        if alike is None:
            groups.append([one])
        else:
            alike.append(one)
    return [_one_row(some, is_only=len(groups) == 1) for groups in of_taxon.values() for some in groups]


def _are_alike(one: _Row, other: _Row) -> bool:
    """Return whether two plants have the same woods on nearly the same days, known in the same way."""
    a, b = one.row, other.row
    if (a.own_records, a.note) != (b.own_records, b.note):
        return False
    if [bar.wood for bar in a.bars] != [bar.wood for bar in b.bars] or len(a.too_near) != len(b.too_near):
        return False
    edges = zip(_edges(a), _edges(b), strict=True)
    return all(abs((x - y).days) <= ALIKE_DAYS for x, y in edges)


def _edges(row: YearRow) -> list[date]:
    return [day for bar in row.bars for day in (bar.opens_on, bar.closes_on)] + [
        day for span in row.too_near for day in span
    ]


def _one_row(some: Sequence[_Row], *, is_only: bool) -> YearRow:
    """Return the row of plants alike: each edge at the middle of theirs."""
    first = some[0].row
    plants = [one.stock.plant for one in some]
    which = ""
    if not is_only:
        which = joined(plants[:2], ", ")
        if len(plants) > 2:
            which = Said("{plants} and {n} more", plants=which, n=len(plants) - 2)
    elif len(plants) > 1:
        which = Said("{n} plants", n=len(plants))
    rows = [one.row for one in some]
    return replace(
        first,
        second=joined([first.second, which], ", "),
        bars=tuple(
            YearBar(
                bar.wood,
                _middle([row.bars[i].opens_on for row in rows]),
                _middle([row.bars[i].closes_on for row in rows]),
            )
            for i, bar in enumerate(first.bars)
        ),
        too_near=tuple(
            (_middle([row.too_near[i][0] for row in rows]), _middle([row.too_near[i][1] for row in rows]))
            for i in range(len(first.too_near))
        ),
        bloom=tuple((day, fmean(row.bloom[i][1] for row in rows)) for i, (day, _) in enumerate(first.bloom)),
    )


def _middle(days: Sequence[date]) -> date:
    return date.fromordinal(round(fmean(day.toordinal() for day in days)))


def _notes(rows: Sequence[_Row], south: bool) -> tuple[str, ...]:
    notes: list[str] = []
    if any(one.repeats and one.row.bars for one in rows):
        notes.append(
            Said(
                "Plants that flower again and again are hardly ever clear of bloom: take a shoot whose "
                "flower is over."
            )
        )
    if south:
        notes.append(Said("Seasons of the south: the garden lies below the equator."))
    return (joined(notes),) if notes else ()
