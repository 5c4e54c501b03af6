"""Warmth and cold added up from daily weather."""

from __future__ import annotations

import csv
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import click

from slipwright.cli.answer import DAY, BadInput, as_json, counted, refusing, say

if TYPE_CHECKING:
    from slipwright.craft.weather import Weather

_FILE = click.Path(exists=True, dir_okay=False, path_type=Path)
_WEATHER = click.option(
    "--weather", "weather_file", type=_FILE, help="A table weather.csv, or a station's GHCN-Daily file."
)
_LAT = click.option("--lat", "lat_deg", type=click.FloatRange(-90, 90), help="Latitude, north above 0.")
_FROM = click.option("--from", "from_on", type=DAY, help="First day; else the first of the file.")
_TO = click.option("--to", "to_on", type=DAY, help="Last day; else the last of the file.")


@click.command("degree-days")
@_WEATHER
@click.option("--tmin-c", type=float, help="Lowest of one day, instead of a file.")
@click.option("--tmax-c", type=float, help="Highest of one day.")
@click.option("--base-c", type=float, required=True, help="Below this nothing counts.")
@click.option("--upper-c", type=float, help="Above this more warmth adds nothing.")
@click.option(
    "--method",
    type=click.Choice(["sine", "average", "triangle", "hourly"]),
    default="sine",
    show_default=True,
    help="Course of the day; hourly needs --lat, and with one day --on.",
)
@_LAT
@click.option("--on", type=DAY, help="The one day, for --method hourly.")
@_FROM
@_TO
@as_json
@refusing()
def degree_days(
    weather_file: Path | None,
    tmin_c: float | None,
    tmax_c: float | None,
    base_c: float,
    upper_c: float | None,
    method: str,
    lat_deg: float | None,
    on: date | None,
    from_on: date | None,
    to_on: date | None,
    *,
    json_wanted: bool,
) -> None:
    """Degree-days: how far above a base, for how long.

    \b
    Example: a record of years above 5 °C, and one day
        slipwright craft degree-days --weather examples/saltmarsh-lane/weather.csv --base-c 5
        slipwright craft degree-days --tmin-c 5 --tmax-c 20 --base-c 10
    """
    import numpy as np

    from slipwright.craft.heat import degree_days_c

    if (weather_file is None) == (tmin_c is None or tmax_c is None):
        raise BadInput("give --weather FILE, or both --tmin-c and --tmax-c")
    if method == "hourly" and (lat_deg is None or (weather_file is None and on is None)):
        raise BadInput("--method hourly needs --lat, and with one day --on")
    course = {"upper_c": upper_c, "method": method, "lat_deg": lat_deg}
    if weather_file is None:
        one = degree_days_c(tmin_c, tmax_c, base_c, on=on, **course)  # type: ignore[arg-type]
        if one != one:
            raise BadInput("--tmin-c and --tmax-c must be temperatures")
        data = {"degree_days_c": float(one), "by_year": {}, "n_days": 1, "n_filled": 0}
        say(data, f"{float(one):.1f} degree-days above {base_c:g} °C.", json_wanted=json_wanted)
        return
    days = _days(weather_file, from_on, to_on)
    each = degree_days_c(days.tmin_c, days.tmax_c, base_c, on=days.on, **course)  # type: ignore[arg-type]
    years = days.on.astype("datetime64[Y]").astype(str)
    by_year = {str(year): float(each[years == year].sum()) for year in np.unique(years)}
    n_filled = int(days.is_filled.sum())
    data = {
        "degree_days_c": float(each.sum()),
        "by_year": by_year,
        "n_days": len(days),
        "n_filled": n_filled,
    }
    lines = [f"{year}  {summed:8,.0f} degree-days above {base_c:g} °C" for year, summed in by_year.items()]
    if len(by_year) > 1:
        lines.append(f"all   {sum(by_year.values()):8,.0f} in {counted(len(days), 'day')}")
    lines += _filled_words(n_filled, len(days))
    lines.append("Rests on the lowest and highest of each day; ways of adding up differ by some per cent.")
    say(data, "\n".join(lines), json_wanted=json_wanted)


@click.command()
@click.option("--hourly", "hourly_file", type=_FILE, help="A temperature an hour: a column air_c.")
@_WEATHER
@_LAT
@_FROM
@_TO
@as_json
@refusing()
def chill(
    hourly_file: Path | None,
    weather_file: Path | None,
    lat_deg: float | None,
    from_on: date | None,
    to_on: date | None,
    *,
    json_wanted: bool,
) -> None:
    """Cold of a winter: hours from 0 to 7.2 °C, and chill portions.

    For information: what the plants of this trade need is mostly not known, and nothing here decides by it.

    \b
    Example: one winter of a record of days
        slipwright craft chill --weather examples/saltmarsh-lane/weather.csv --lat 41.3 \\
            --from 2014-10-01 --to 2015-03-31
    """
    from slipwright.craft.heat import chill_hours, chill_portions, hourly_c

    if (hourly_file is None) == (weather_file is None):
        raise BadInput("give either --hourly FILE or --weather FILE")
    n_filled, lines = 0, []
    if hourly_file is not None:
        hours = _hours(hourly_file)
    elif weather_file is not None and lat_deg is not None:
        days = _days(weather_file, from_on, to_on)
        n_filled = int(days.is_filled.sum())
        hours = hourly_c(days.tmin_c, days.tmax_c, lat_deg, days.on).ravel().tolist()
        lines = [
            *_filled_words(n_filled, len(days)),
            "Hours are reckoned from each day's lowest and highest.",
        ]
    else:
        raise BadInput("--weather needs --lat, for the length of the days")
    data = {
        "chill_hours": int(chill_hours(hours)),
        "chill_portions": float(chill_portions(hours)),
        "n_hours": len(hours),
        "n_filled": n_filled,
        "is_information_only": True,
    }
    text = [
        f"{data['chill_hours']:,} hours from 0 to 7.2 °C in {counted(len(hours), 'hour')}.",
        f"{data['chill_portions']:.1f} chill portions, for information only: they compare winters.",
        *lines,
    ]
    say(data, "\n".join(text), json_wanted=json_wanted)


def _days(file: Path, from_on: date | None, to_on: date | None) -> Weather:
    """Return the days asked for, every one known or as usual; refuse where not even that is known."""
    from slipwright.craft.weather import days_from, filled, read_weather

    weather = read_weather(file)
    if not len(weather):
        raise BadInput(f"{file} holds no day whose lowest and highest are both known")
    first, last = from_on or weather.on[0], to_on or weather.on[-1]
    wanted = days_from(first, last)
    if not len(wanted):
        raise BadInput(f"no day lies between {first} and {last}")
    days = filled(weather, days=wanted)
    if not days.is_known.all():
        unknown = days.on[~days.is_known]
        raise BadInput(
            f"{file} holds nothing near {unknown[0]} in any year: {len(unknown):,} days are not known; "
            "ask for other days by --from and --to"
        )
    return days


def _filled_words(n_filled: int, n: int) -> list[str]:
    if not n_filled:
        return []
    return [f"{n_filled:,} of {n:,} days are not in the file and stand as they usually are."]


def _hours(file: Path) -> list[float]:
    try:
        with file.open(encoding="utf-8-sig", newline="") as lines:
            table = csv.DictReader(lines)
            if "air_c" not in (table.fieldnames or []):
                raise BadInput(f"{file} has no column air_c: a temperature an hour")
            rows = list(table)
    except UnicodeDecodeError as error:
        raise BadInput(f"{file} is not text in UTF-8") from error
    except csv.Error as error:
        raise BadInput(f"{file} is not a table with commas ({error})") from error
    if not rows:
        raise BadInput(f"{file} holds no hour")
    found, before = [], None
    for line, row in enumerate(rows, 2):
        try:
            found.append(float(row["air_c"]))
            at = datetime.fromisoformat(row["at"]) if row.get("at") else None
            is_next = at is None or before is None or at - before == timedelta(hours=1)
        except (TypeError, ValueError):
            raise BadInput(f"{file} line {line}: air_c must be a number and at an instant") from None
        if not is_next:
            raise BadInput(f"{file} line {line}: {at} does not follow {before} by an hour")
        before = at
    return found
