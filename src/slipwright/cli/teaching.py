"""Papers for the wall and for learners: the year sheet, how-tos, the season report."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Literal, cast

import click

from slipwright.cli.answer import DAY, as_json, counted, refusing, say, today
from slipwright.cli.bar import Bar
from slipwright.cli.files import write_whole
from slipwright.cli.garden import open_garden, start_django, with_garden

if TYPE_CHECKING:
    from slipwright.outputs.measures import First
    from slipwright.outputs.year_sheet import Printed

Stock = Literal["a4", "letter"]

_OUT = click.option(
    "--out", type=click.Path(dir_okay=False, path_type=Path), required=True, help="File to write."
)
_STOCK = click.option(
    "--stock",
    type=click.Choice(["a4", "letter"]),
    help="Paper: that of the garden's measures unless said, letter where they are US.",
)
_TONGUE = click.option(
    "--tongue", type=click.Choice(["en", "es"]), default="en", show_default=True, help="Language of it."
)


@contextmanager
def _in(tongue: str) -> Iterator[Callable[[str], str]]:
    """Give the words of a tongue."""
    from django.utils import translation

    with translation.override(tongue):
        yield translation.gettext


def _stock(stock: str | None, units: str) -> Stock:
    return cast("Stock", stock or ("letter" if units == "us" else "a4"))


def _pages(n: int) -> str:
    return "1 page" if n == 1 else f"{n} pages"


def _written(out: Path, printed: Printed, **more: object) -> dict[str, object]:
    write_whole(out, printed.pdf)
    return {"file": str(out), **more, "n_pages": printed.n_pages, "warnings": list(printed.warnings)}


@click.command("year-sheet")
@click.argument("named", metavar="[TAXON|PLANT]...", nargs=-1)
@click.option("--year", type=click.IntRange(1900, 2199), help="Which year; this one if left out.")
@click.option("--on", type=DAY, help="By all that is known on that day; today if left out.")
@click.option("--each-plant", is_flag=True, help="A row for each plant, though plants of a taxon are alike.")
@_STOCK
@_TONGUE
@_OUT
@with_garden
@as_json
@refusing()
def year_sheet(
    named: tuple[str, ...],
    year: int | None,
    on: date | None,
    stock: str | None,
    tongue: str,
    out: Path,
    garden_file: Path | None,
    in_garden: str | None,
    *,
    each_plant: bool,
    json_wanted: bool,
) -> None:
    """Print the year for the wall: when the wood of each stock plant is right, and when it flowers.

    Nine to twelve plants stand on a page. Name taxa, genera or plants for a sheet of those alone.

    \b
    Examples
        slipwright year-sheet --year 2027 --out year.pdf
        slipwright year-sheet Rosa "Salvia rosmarinus" --year 2027 --stock letter --out year.pdf
    """
    garden = open_garden(garden_file, in_garden)
    from slipwright.handbook import load_handbook
    from slipwright.outputs.year_sheet import year_sheet_pdf
    from slipwright.records.answers.year_sheet import year_sheet_of

    bar = Bar()
    day = on or today()
    try:
        sheet = year_sheet_of(
            garden,
            load_handbook(),
            year=year or day.year,
            on=day,
            named=named,
            each_plant=each_plant,
            tongue=tongue,
            progress=bar,
        )
    finally:
        bar.close()
    with _in(tongue) as words:
        printed = year_sheet_pdf(sheet, paper=_stock(stock, garden.units), translate=words)
    data = _written(out, printed, year=sheet.year, n_rows=len(sheet.rows))
    text = f"{sheet.year}: {counted(len(sheet.rows), 'row')} on {_pages(printed.n_pages)}: {out}"
    say(data, "\n".join([text, *printed.warnings]), json_wanted=json_wanted)


@click.command("how-to")
@click.argument("named", metavar="PLANT|WOOD")
@click.option(
    "--wood",
    type=click.Choice(["softwood", "semi-hardwood", "hardwood"]),
    help="Which wood of the plant; the one that roots best by the handbook if left out.",
)
@click.option("--on", type=DAY, help="A day near the season it is for; today if left out.")
@click.option("--south", is_flag=True, help="South of the equator: seasons six months later.")
@click.option(
    "--stock", type=click.Choice(["a4", "letter"]), help="Paper: a4 unless said, letter with --units us."
)
@_TONGUE
@click.option(
    "--units",
    type=click.Choice(["metric", "us"]),
    default="metric",
    show_default=True,
    help="Which measure comes first.",
)
@_OUT
@as_json
@refusing()
def how_to(
    named: str,
    wood: str | None,
    on: date | None,
    stock: str | None,
    tongue: str,
    units: First,
    out: Path,
    *,
    south: bool,
    json_wanted: bool,
) -> None:
    """Print two pages for apprentices and home gardeners: how cuttings of a plant or a wood are made.

    Everything in it is the handbook's, with its sources; no garden is needed.

    \b
    Examples
        slipwright how-to rosemary --out rosemary.pdf
        slipwright how-to hardwood --units us --tongue es --out hardwood.pdf
    """
    start_django(None)
    from slipwright.handbook import load_handbook
    from slipwright.handbook.pages import WOODS
    from slipwright.outputs.how_to import how_to_pdf
    from slipwright.records.answers.papers_offered import how_to_asked

    is_wood = named.strip().lower() in WOODS
    told = how_to_asked(
        load_handbook(),
        "" if is_wood else named,
        named.strip().lower() if is_wood else wood or "",
        on=on or today(),
        latitude_deg=-40.0 if south else None,
        first=units,
        tongue=tongue,
    )
    with _in(tongue) as words:
        printed = how_to_pdf(told, paper=_stock(stock, units), translate=words)
    name = "".join(text for text, _ in told.name_runs)
    data = _written(out, printed, of=name)
    text = f"{told.answer} {_pages(printed.n_pages)}: {out}"
    say(data, "\n".join([text, *printed.warnings]), json_wanted=json_wanted)


@click.command("season-report")
@click.option("--season", metavar="YEAR", help="Which season; the newest in which anything was stuck.")
@_STOCK
@_TONGUE
@click.option("--out", type=click.Path(dir_okay=False, path_type=Path), help="PDF to write.")
@with_garden
@as_json
@refusing()
def season_report(
    season: str | None,
    stock: str | None,
    tongue: str,
    out: Path | None,
    garden_file: Path | None,
    in_garden: str | None,
    *,
    json_wanted: bool,
) -> None:
    """How a season went: wants met, losses by cause, what a plant cost, what the records taught.

    By all that is written down today. Told here in words, and as a PDF where --out names a file.

    \b
    Example
        slipwright season-report --season 2026 --out season.pdf
    """
    garden = open_garden(garden_file, in_garden)
    from slipwright.outputs.season_report import season_report_pdf
    from slipwright.records.answers.report.season_report import season_report_of, seasons_of_garden

    there = seasons_of_garden(garden)
    chosen = season or (there[0] if there else str(today().year))
    report = season_report_of(garden, season=chosen, on=today())
    data: dict[str, object] = report.as_json()
    lines = report.in_words()
    if out is not None:
        with _in(tongue) as words:
            printed = season_report_pdf(report, paper=_stock(stock, garden.units), translate=words)
        data |= _written(out, printed)
        lines += [f"{_pages(printed.n_pages)}: {out}", *printed.warnings]
    say(data, "\n".join(lines), json_wanted=json_wanted)
