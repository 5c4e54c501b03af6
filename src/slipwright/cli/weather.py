"""Weather into the garden: from a file, or fetched now."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from slipwright.cli.answer import DAY, BadInput, as_json, counted, refusing, say, today
from slipwright.cli.garden import open_garden, with_garden

if TYPE_CHECKING:
    from slipwright.craft.weather import Weather
    from slipwright.records.models import Garden
    from slipwright.records.services.weather import WeatherKept

#: so many bad lines are told in words
TOLD = 20


@click.command()
@click.argument("file", required=False, type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--fetch", is_flag=True, help="Ask the service that SLIPWRIGHT_WEATHER names.")
@click.option("--from", "from_on", type=DAY, help="Leave out days of a station's file before this one.")
@with_garden
@as_json
@refusing()
@click.pass_context
def weather(
    ctx: click.Context,
    file: Path | None,
    from_on: date | None,
    garden_file: Path | None,
    in_garden: str | None,
    *,
    fetch: bool,
    json_wanted: bool,
) -> None:
    """Take daily weather into the garden: weather.csv, or a station's GHCN-Daily file.

    The same file again changes nothing. Values that failed a check of quality are left out and counted.
    Days that nobody saw stay open; where a sum needs them they stand as they usually are, and it says so.

    \b
    Example
        slipwright weather USW00024233.dly --from 2010-01-01
        SLIPWRIGHT_WEATHER=open-meteo slipwright weather --fetch
    """
    if (file is None) != fetch:
        raise BadInput("give either FILE or --fetch")
    garden = open_garden(garden_file, in_garden)
    from slipwright.records import selectors

    data, lines = _fetched(garden) if file is None else _taken_in(garden, file, from_on)
    if data["n_rejected"]:
        if json_wanted:
            say(data, "", json_wanted=True)
        else:
            click.echo("\n".join(lines), err=True)
        ctx.exit(2)
    known = selectors.weather_known(garden, on=today())
    gaps = known.gaps()
    data["n_gaps"] = len(gaps)
    say(data, "\n".join([*lines, *_known_words(known)]), json_wanted=json_wanted)


def _taken_in(garden: Garden, file: Path, from_on: date | None) -> tuple[dict[str, Any], list[str]]:
    from slipwright.records.services.weather import keep_weather_file
    from slipwright.records.tables.loading import LoadFailed

    try:
        kept = keep_weather_file(
            garden=garden, by=None, now=datetime.now(UTC), content=file.read_bytes(), only_from=from_on
        )
    except LoadFailed as error:
        raise click.ClickException(str(error)) from error
    data = _data(kept)
    report = kept.report
    if report.n_rejected:
        told = [f"bad: {one}" for one in report.rejected[:TOLD]]
        return data, [*told, f"Nothing was taken in: {counted(report.n_rejected, 'bad line')}."]
    lines = [f"{counted(report.accepted, 'day')} taken in, {report.unchanged:,} were there already."]
    if kept.n_flagged or kept.n_beyond:
        lines.append(
            f"Left out: {counted(kept.n_flagged, 'value')} that failed a check of quality, "
            f"{kept.n_beyond:,} that no weather has."
        )
    if kept.n_half:
        lines.append(f"Only a lowest or only a highest, so not taken: {counted(kept.n_half, 'day')}.")
    return data, lines


def _fetched(garden: Garden) -> tuple[dict[str, Any], list[str]]:
    from slipwright.records.keeping.weather import fetch
    from slipwright.records.services.weather import WeatherKept
    from slipwright.records.tables.loading import LoadFailed
    from slipwright.records.tables.report import LoadReport
    from slipwright.records.weather_fetch import CREDIT, FetchFailed

    try:
        n_new = fetch(garden, now=datetime.now(UTC))
    except (FetchFailed, LoadFailed) as error:
        raise click.ClickException(str(error)) from error
    data = _data(WeatherKept(LoadReport(garden=str(garden.garden)))) | {"accepted": n_new}
    data["credit"] = {"name": CREDIT.name, "address": CREDIT.address, "licence": CREDIT.licence}
    return data, [
        f"New or changed: {counted(n_new, 'day')}. {CREDIT.name} ({CREDIT.licence}), {CREDIT.address}"
    ]


def _data(kept: WeatherKept) -> dict[str, Any]:
    told = kept.report.as_json()
    return {
        "garden": told["garden"],
        "accepted": told["accepted"],
        "unchanged": told["unchanged"],
        "n_rejected": told["n_rejected"],
        "rejected": told["rejected"],
        "station": kept.station,
        "n_flagged": kept.n_flagged,
        "n_beyond": kept.n_beyond,
        "n_half": kept.n_half,
        "n_gaps": 0,
        "credit": None,
    }


def _known_words(known: Weather) -> list[str]:
    if not len(known):
        return ["The garden knows no weather yet."]
    seen = known.on[~known.is_forecast]
    lines = []
    if len(seen):
        lines.append(f"Seen: {counted(len(seen), 'day')}, {seen[0]} to {seen[-1]}.")
    if gaps := len(known.gaps()):
        first = ", ".join(str(day) for day in known.gaps()[:5])
        lines.append(f"Not known between: {counted(gaps, 'day')} ({first}{' …' if gaps > 5 else ''}).")
    if n := int(known.is_forecast.sum()):
        lines.append(f"Forecast: {counted(n, 'day')}, to {known.on[-1]}.")
    return lines
