"""A garden's tables, in and out."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from slipwright.cli.answer import as_json, counted, refusing, say
from slipwright.cli.bar import Bar
from slipwright.cli.garden import open_garden, start_django, with_garden

if TYPE_CHECKING:
    from slipwright.records.tables.report import LoadReport, Remark

#: so many remarks of a kind are told in words; --json tells the first thousand
TOLD = 40


@click.command()
@click.argument("tables", type=click.Path(exists=True, path_type=Path))
@with_garden
@as_json
@refusing()
@click.pass_context
def load(
    ctx: click.Context, tables: Path, garden_file: Path | None, in_garden: str | None, *, json_wanted: bool
) -> None:
    """Read the tables of a garden from a folder or a .zip: all of them, or nothing.

    Loading the same tables again changes nothing. Every bad line is named with its file, line,
    column, value and rule, and then nothing is written (exit status 2).

    \b
    Example
        slipwright load examples/saltmarsh-lane
    """
    start_django(garden_file)
    from slipwright.records.keeping.diary import leave
    from slipwright.records.keeping.schema import create_if_absent
    from slipwright.records.tables.loading import LoadFailed
    from slipwright.records.tables.loading import load as take_in

    create_if_absent()
    bar = Bar()
    try:
        report = take_in(tables, now=datetime.now(UTC), within=in_garden or "", progress=bar)
    except LoadFailed as error:
        raise click.ClickException(str(error)) from error
    finally:
        bar.close()
    if report.accepted and not report.n_rejected:
        leave("copy-asked")
        leave("learn-asked")
    if report.n_rejected and not json_wanted:
        click.echo(_in_words(report), err=True)
    else:
        say(report.as_json(), _in_words(report), json_wanted=json_wanted)
    if report.n_rejected:
        ctx.exit(2)


def _in_words(report: LoadReport) -> str:
    lines = []
    if report.n_warnings:
        lines += _told("warning", report.warnings, report.n_warnings)
    if report.n_rejected:
        lines += _told("bad", report.rejected, report.n_rejected)
        lines.append(
            f"Nothing was loaded: {counted(report.n_rejected, 'bad line')}. "
            f"Mend {'it' if report.n_rejected == 1 else 'them'} and load again."
        )
        return "\n".join(lines)
    for name, count in report.tables.items():
        if count.rows or count.added:
            added = f"{count.added:>9,} named elsewhere and added" if count.added else ""
            lines.append(f"{name:<12}{count.accepted:>9,} taken in{count.unchanged:>9,} unchanged{added}")
    if report.n_warnings:
        lines.append(
            "What is warned of is written down. To correct it: slipwright withdraw ID, then load anew."
        )
    lines.append(f"{counted(report.accepted, 'row')} taken in, {report.unchanged:,} were there already.")
    return "\n".join(lines)


def _told(kind: str, remarks: list[Remark], n: int) -> list[str]:
    lines = [f"{kind}: {remark}" for remark in remarks[:TOLD]]
    if n > TOLD:
        lines.append(f"… and {n - TOLD:,} more ({kind}); --json tells the first 1,000.")
    return lines


@click.command()
@click.argument("to", type=click.Path(path_type=Path))
@with_garden
@as_json
@refusing(OSError)
def dump(to: Path, garden_file: Path | None, in_garden: str | None, *, json_wanted: bool) -> None:
    """Write every table of a garden into a folder, or into one file if TO ends in .zip.

    \b
    Example
        slipwright dump saltmarsh-lane.zip
    """
    garden = open_garden(garden_file, in_garden)
    from slipwright.records.tables.dumping import dump as write_out

    bar = Bar()
    counts = write_out(garden, to, progress=bar)
    bar.close()
    total = sum(counts.values())
    say(
        {"file": str(to), "tables": counts},
        f"{counted(total, 'row')} of {counted(len(counts), 'table')}: {to}",
        json_wanted=json_wanted,
    )
