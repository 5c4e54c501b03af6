"""The sun of a day, and the light that reaches cuttings."""

from __future__ import annotations

from datetime import UTC, date, datetime, time
from functools import reduce
from typing import TYPE_CHECKING, ParamSpec, TypeVar

import click

from slipwright.cli.answer import DAY, BadInput, as_json, refusing, say, today

if TYPE_CHECKING:
    from collections.abc import Callable

P = ParamSpec("P")
R = TypeVar("R")
_WHERE_AND_WHEN = (
    click.option("--lat", "lat_deg", type=float, required=True, help="Latitude, south below 0."),
    click.option(
        "--lon", "lon_deg", type=float, default=0.0, show_default=True, help="Longitude, west below 0."
    ),
    click.option("--on", "on", type=DAY, help="The day; today unless given."),
)


def _with_day(command: Callable[P, R]) -> Callable[P, R]:
    return reduce(lambda made, option: option(made), reversed(_WHERE_AND_WHEN), command)


def _moment(on: date, text: str) -> datetime:
    """Return UTC for a time of a day, or a moment with its own date; UTC unless an offset stands there."""
    try:
        given = datetime.fromisoformat(text) if "-" in text[:5] else None
        at = given or datetime.combine(on, time.fromisoformat(text))
    except ValueError:
        raise BadInput(f"--at is {text!r}; give a time such as 09:00 (UTC) or 11:00+02:00") from None
    return (at if at.tzinfo else at.replace(tzinfo=UTC)).astimezone(UTC).replace(tzinfo=None)


@click.command("sun")
@_with_day
@click.option(
    "--at", "at_text", metavar="TIME", help="Time as 09:00, in UTC, or with its offset: 11:00+02:00."
)
@as_json
@refusing()
def sun(lat_deg: float, lon_deg: float, on: date | None, at_text: str | None, *, json_wanted: bool) -> None:
    """How long the day is and how high the sun stands.

    \b
    Example: midsummer at 52° north, 5° east, at eleven
        slipwright craft sun --lat 52 --lon 5 --on 2026-06-21 --at 11:00
    """
    from slipwright.craft.sun import (
        day_length_h,
        elevation_deg,
        extraterrestrial_mj_m2,
        noon_elevation_deg,
    )

    day = on or today()
    at = _moment(day, at_text) if at_text else None
    data = {
        "day_length_h": float(day_length_h(lat_deg, day, lon_deg=lon_deg)),
        "elevation_deg": None if at is None else float(elevation_deg(lat_deg, lon_deg, at)),
        "noon_elevation_deg": float(noon_elevation_deg(lat_deg, day, lon_deg)),
        "extraterrestrial_mj_m2": float(extraterrestrial_mj_m2(lat_deg, day)),
    }
    lines = [_day_words(float(data["day_length_h"] or 0))]
    lines.append(f"At its highest the sun stands {data['noon_elevation_deg']:.0f}° above the level.")
    if at is not None:
        lines.append(f"At {at:%H:%M} UTC it stands at {data['elevation_deg']:.1f}°.")
    lines.append("Level ground and open sky: a hill, a wall or a tree takes its own part.")
    say(data, "\n".join(lines), json_wanted=json_wanted)


def _day_words(hours: float) -> str:
    if hours <= 0:
        return "The sun does not rise."
    if hours >= 24:
        return "The sun does not set."
    minutes = round(hours * 60)
    return f"The sun is up for {minutes // 60} h {minutes % 60:02d} min."


@click.command("light")
@_with_day
@click.option("--sunshine-h", type=float, help="Hours the sun shone: the best guide after a meter.")
@click.option("--cloud-fraction", type=float, help="Share of the sky under cloud over the day, 0 to 1.")
@click.option("--radiation-mj-m2", type=float, help="Radiation of the day as a meter read it.")
@click.option("--tmin-c", type=float, help="Lowest temperature of the day, with --tmax-c.")
@click.option("--tmax-c", type=float, help="Highest temperature of the day, with --tmin-c.")
@click.option("--shade-percent", type=float, default=0.0, show_default=True, help="Shade of the cloth.")
@click.option(
    "--cover-transmission",
    type=float,
    default=1.0,
    show_default=True,
    help="Share of light that comes through glass, film or tent.",
)
@click.option(
    "--target-mol", type=float, default=10.0, show_default=True, help="Most light wanted in a day, mol/m²."
)
@as_json
@refusing()
def light(
    lat_deg: float,
    lon_deg: float,
    on: date | None,
    sunshine_h: float | None,
    cloud_fraction: float | None,
    radiation_mj_m2: float | None,
    tmin_c: float | None,
    tmax_c: float | None,
    shade_percent: float,
    cover_transmission: float,
    target_mol: float,
    *,
    json_wanted: bool,
) -> None:
    """The light of a day that cuttings can use, and the shade it asks for.

    \b
    Example: ten hours of sun in June, under 50 % cloth
        slipwright craft light --lat 41 --on 2026-06-21 --sunshine-h 10 --shade-percent 50
    """
    from slipwright.craft import light as sums

    day = on or today()
    if (tmin_c is None) != (tmax_c is None):
        raise BadInput("--tmin-c and --tmax-c go together")
    known: dict[str, Callable[[], object]] = {}
    if radiation_mj_m2 is not None:
        known["radiation"] = lambda: radiation_mj_m2
    if sunshine_h is not None:
        known["sunshine"] = lambda: sums.from_sunshine(sunshine_h, lat_deg, day)
    if cloud_fraction is not None:
        known["cloud"] = lambda: sums.from_cloud(cloud_fraction, lat_deg, day)
    if tmin_c is not None and tmax_c is not None:
        known["temperatures"] = lambda: sums.from_temperatures(tmin_c, tmax_c, lat_deg, day)
    if len(known) != 1:
        raise BadInput(
            "give one of --sunshine-h, --cloud-fraction, --radiation-mj-m2, or --tmin-c with --tmax-c"
        )
    ((way, worked_out),) = known.items()
    method, shade = sums.METHODS[way], shade_percent / 100
    radiation = float(worked_out())  # type: ignore[arg-type]
    dli = sums.dli_range(radiation, method.day_share, shade, cover_transmission)
    needed = float(sums.shade_needed(radiation, target_mol, cover_transmission))
    data = {
        "radiation_mj_m2": radiation,
        "dli_mol_m2": {"low": float(dli.low), "mid": float(dli.mid), "high": float(dli.high)},
        "shade_percent_needed": 100 * needed,
    }
    lines = [
        f"About {dli.mid:.0f} mol/m² for the cuttings, likely {dli.low:.0f} to {dli.high:.0f}.",
        f"To keep to {target_mol:g} mol/m²: {100 * needed:.0f} % shade in all.",
    ]
    if said := sums.cloth_said(radiation, shade, cover_transmission):
        lines.append(said)
    lines.append(
        f"Rests on {method.says}: 8 days in 10 lie within {100 * method.day_share:.0f} %, a week nearer."
        " A cloth may be 5 points off what it is sold as."
    )
    say(data, "\n".join(lines), json_wanted=json_wanted)
