"""A straight answer for one plant, without a garden's records."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import click

from slipwright.cli.answer import DAY, BadInput, as_json, refusing, say, today, with_place

if TYPE_CHECKING:
    from slipwright.advice.seen import SeenPlant


@click.command()
@click.argument("taxon")
@click.option("--on", type=DAY, help="The day asked about; today if left out.")
@with_place
@click.option("--want", type=int, default=1, show_default=True, help="Rooted plants wanted.")
@click.option("--assurance", type=float, default=0.8, show_default=True, help="Probability wished.")
@click.option(
    "--shoot",
    type=click.Choice(["vegetative", "budded", "flowering", "spent"]),
    help="State of the shoot in hand.",
)
@click.option(
    "--weather",
    "weather_path",
    type=click.Path(exists=True, dir_okay=False),
    help="Daily weather of the place: weather.csv or a GHCN-Daily station file.",
)
@click.option(
    "--have",
    type=click.Choice(["tent", "mist", "open"]),
    help="The cover there is; a clear bag over the pot is a tent.",
)
@click.option(
    "--rights",
    type=click.Choice(["none", "unknown", "protected", "licensed"]),
    default="unknown",
    show_default=True,
    help="Plant breeder's right in this plant.",
)
@click.option("--licence", default="", help="Number of the licence held.")
@click.option("--price-each", type=float, help="Price of one bought plant, for the saving.")
@as_json
@refusing()
def advise(
    taxon: str,
    on: date | None,
    latitude_deg: float | None,
    want: int,
    assurance: float,
    shoot: str | None,
    weather_path: str | None,
    have: str | None,
    rights: str,
    licence: str,
    price_each: float | None,
    *,
    json_wanted: bool,
) -> None:
    """May I cut this plant today, which wood, how many, how?

    TAXON is a common, botanical or older name.

    \b
    Example: five roses from spent shoots, with a clear bag
        slipwright advise "climbing rose" --on 2026-10-20 --at 41.0,-72.5 \\
            --shoot spent --have tent --want 5
    """
    from slipwright.advice.advise import advise as answer_for
    from slipwright.handbook import load_handbook

    on = on or today()
    answer = answer_for(
        load_handbook(),
        taxon,
        on=on,
        latitude_deg=latitude_deg,
        want=want,
        assurance=assurance,
        shoot=shoot,
        have=have,
        rights=rights,
        licence=licence,
        price_each=price_each,
        seen=_in_weather(weather_path, on),
    )
    say(answer.as_json(), answer.as_text(), json_wanted=json_wanted)


def _in_weather(path: str | None, on: date) -> SeenPlant:
    """Return a plant of which nothing was seen but the weather it stands in."""
    from slipwright.advice.seen import NOTHING_SEEN, SeenPlant

    if path is None:
        return NOTHING_SEEN
    from slipwright.craft.weather import read_weather
    from slipwright.craft.years import weather_years

    years = weather_years(read_weather(path), on)
    if years is None:
        raise BadInput(f"{path}: no day with a lowest and a highest temperature up to {on}")
    return SeenPlant(weather=years)
