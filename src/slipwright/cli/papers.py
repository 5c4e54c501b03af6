"""Labels, the stick sheet, the calendar."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

import click

from slipwright.cli.answer import DAY, BadInput, as_json, counted, refusing, say, today
from slipwright.cli.files import write_whole
from slipwright.cli.garden import open_garden, with_garden

_OUT = click.option(
    "--out", type=click.Path(dir_okay=False, path_type=Path), required=True, help="File to write."
)


def _pages(n: int) -> str:
    return "1 page" if n == 1 else f"{n} pages"


@click.command()
@click.argument("batches", nargs=-1)
@click.option("--since", type=DAY, help="Every batch stuck since that day.")
@click.option(
    "--stock", default="a4", show_default=True, help="a4, letter, stake, or the label's size as 100x25mm."
)
@click.option("--one-each", is_flag=True, help="One label a batch, not two a container.")
@click.option("--skip", type=int, default=0, help="Labels already used on the first sheet.")
@_OUT
@with_garden
@as_json
@refusing()
def labels(
    batches: tuple[str, ...],
    since: date | None,
    stock: str,
    skip: int,
    out: Path,
    garden_file: Path | None,
    in_garden: str | None,
    *,
    one_each: bool,
    json_wanted: bool,
) -> None:
    """Labels for BATCHES, for those stuck --since a day, or for all that have not ended.

    Two a container: one to stand in it, one to bury or tie on, for sun and slugs take the other.

    \b
    Examples
        slipwright labels K7Q2 T5NR --stock stake --out labels.pdf
        slipwright labels --since 2026-09-01 --stock a4 --out labels.pdf
    """
    garden = open_garden(garden_file, in_garden)
    from django.conf import settings

    from slipwright.outputs.labels import labels_pdf
    from slipwright.outputs.stock import parse_stock
    from slipwright.records.answers.labels import labels_for

    found, left_out = labels_for(garden, batches, since=since, on=today(), one_each=one_each)
    if not found:
        why = "\n".join(left_out) or "there is no such batch to label; name one, or give an earlier --since"
        raise BadInput(why)
    printed = labels_pdf(
        found,
        parse_stock(stock),
        title=f"Labels, {today():%d %B %Y}".replace(", 0", ", "),
        garden=garden.name,
        base=settings.LABEL_BASE,
        skip=skip,
    )
    write_whole(out, printed.pdf)
    data = {
        "file": str(out),
        "n_labels": printed.n_labels,
        "n_pages": printed.n_pages,
        "batches": [label.code for label in found],
        "warnings": [*left_out, *printed.warnings],
    }
    of_batches = counted(len(found), "batch", "batches")
    text = f"{counted(printed.n_labels, 'label')} for {of_batches} on {_pages(printed.n_pages)}: {out}"
    say(data, "\n".join([text, "Print at full size.", *left_out, *printed.warnings]), json_wanted=json_wanted)


@click.command()
@click.argument("named", metavar="WANT|BATCH")
@click.option("--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True)
@click.option("--on", type=DAY, help="The day; today if left out.")
@_OUT
@with_garden
@as_json
@refusing()
def sheet(
    named: str,
    paper: str,
    on: date | None,
    out: Path,
    garden_file: Path | None,
    in_garden: str | None,
    *,
    json_wanted: bool,
) -> None:
    """Print the sheet to take to the bench: for a want, or for a batch.

    \b
    Example
        slipwright sheet "Gate roses 2016" --out sheet.pdf
    """
    garden = open_garden(garden_file, in_garden)
    from django.conf import settings

    from slipwright.handbook import load_handbook
    from slipwright.outputs.sheet import stick_sheet_pdf
    from slipwright.records.answers.papers import sheet_for

    filled = sheet_for(garden, load_handbook(), named, on=on or today())
    printed = stick_sheet_pdf(filled, paper="letter" if paper == "letter" else "a4", base=settings.LABEL_BASE)
    write_whole(out, printed.pdf)
    data = {"file": str(out), "n_pages": printed.n_pages, "warnings": list(printed.warnings)}
    say(
        data,
        "\n".join([f"{filled.answer} {_pages(printed.n_pages)}: {out}", *printed.warnings]),
        json_wanted=json_wanted,
    )


@click.command()
@click.option("--on", type=DAY, help="The day; today if left out.")
@_OUT
@with_garden
@as_json
@refusing()
def calendar(
    on: date | None, out: Path, garden_file: Path | None, in_garden: str | None, *, json_wanted: bool
) -> None:
    """Write the days to look, pot up, give up and cut as a calendar other programs can follow.

    With the weeks of the programme in use, if there is one.

    \b
    Example
        slipwright calendar --out rounds.ics
    """
    garden = open_garden(garden_file, in_garden)
    from slipwright.handbook import load_handbook
    from slipwright.outputs.calendar import calendar_feed
    from slipwright.records.answers.papers import events_of

    events = events_of(garden, load_handbook(), on=on or today())
    write_whole(out, calendar_feed(events, name=garden.name, stamp=datetime.now(UTC)))
    data = {"file": str(out), "n_events": len(events)}
    say(data, f"{counted(len(events), 'day')}: {out}", json_wanted=json_wanted)
