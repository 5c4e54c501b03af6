"""A straight answer for one plant."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from slipwright.cli.answer import DAY, BadInput, as_json, refusing, say, today, with_place
from slipwright.cli.garden import open_garden, with_garden

if TYPE_CHECKING:
    from slipwright.advice.answer import Advice
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
@with_garden
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
    garden_file: Path | None,
    in_garden: str | None,
    *,
    json_wanted: bool,
) -> None:
    """May I cut this plant today, which wood, how many, how?

    TAXON is a common, botanical or older name. The answer is the handbook's alone; with --garden or --in it
    rests on what that garden learned too, and on where it is.

    \b
    Examples: five roses from spent shoots, with a clear bag; one more in a garden that keeps records
        slipwright advise "climbing rose" --on 2026-10-20 --at 41.0,-72.5 \\
            --shoot spent --have tent --want 5
        slipwright advise rosemary --in "Saltmarsh Lane Community Garden"
    """
    asked: dict[str, Any] = {
        "want": want,
        "assurance": assurance,
        "shoot": shoot,
        "have": have,
        "rights": rights,
        "licence": licence,
        "price_each": price_each,
    }
    if garden_file or in_garden:
        if latitude_deg is not None:
            raise BadInput("--at means nothing with a garden, which knows where it is; leave it out")
        answer = _in_garden(taxon, on, weather_path, garden_file, in_garden, asked)
    else:
        from slipwright.advice.advise import advise as answer_for
        from slipwright.handbook import load_handbook

        on = on or today()
        seen = _in_weather(weather_path, on)
        answer = answer_for(load_handbook(), taxon, on=on, latitude_deg=latitude_deg, seen=seen, **asked)
    say(answer.as_json(), answer.as_text(), json_wanted=json_wanted)


def _in_garden(
    taxon: str,
    on: date | None,
    weather_path: str | None,
    garden_file: Path | None,
    in_garden: str | None,
    asked: dict[str, Any],
) -> Advice:
    """Answer from what a garden learned, where it is."""
    garden = open_garden(garden_file, in_garden)
    from slipwright.handbook import load_handbook
    from slipwright.records.answers.straight import advice_in

    on = on or today()
    seen = _in_weather(weather_path, on)
    north = float(garden.latitude_deg)
    answer = advice_in(garden, load_handbook(), taxon, on=on, latitude_deg=north, seen=seen, **asked)
    if answer.plan and answer.asked.learned is None:
        return replace(answer, notes=(*answer.notes, "To learn from them: slipwright learn."))
    return answer


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
