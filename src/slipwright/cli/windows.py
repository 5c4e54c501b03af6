"""When the wood of every stock plant is right."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from slipwright.cli.answer import DAY, as_json, refusing, say
from slipwright.cli.answer import today as this_day
from slipwright.cli.bar import Bar
from slipwright.cli.garden import open_garden, with_garden

if TYPE_CHECKING:
    from slipwright.craft.wood import Window
    from slipwright.records.answers.windows import PlantWindows


@click.command()
@click.option("--on", type=DAY, help="The day; today if left out.")
@with_garden
@as_json
@refusing()
def windows(on: date | None, garden_file: Path | None, in_garden: str | None, *, json_wanted: bool) -> None:
    """When the wood of every stock plant is right, and when it flowers.

    From the handbook's months, what was seen of each plant, and the garden's weather; each answer says
    what it rests on. The shoot in your hand decides.

    \b
    Example
        slipwright windows --on 2026-06-12
    """
    garden = open_garden(garden_file, in_garden)
    from slipwright.handbook import load_handbook
    from slipwright.records.answers.windows import windows_of_garden

    day = on or this_day()
    bar = Bar()
    try:
        plants = windows_of_garden(garden, load_handbook(), on=day, progress=bar)
    finally:
        bar.close()
    say({"plants": [plant.as_json() for plant in plants]}, _in_words(plants, day), json_wanted=json_wanted)


def _in_words(plants: list[PlantWindows], on: date) -> str:
    if not plants:
        return "No stock plant is written down."
    lines = []
    for plant in plants:
        lines.append(f"{plant.plant}  {plant.taxon}")
        if plant.refused:
            lines.append(f"   not to be stuck: {plant.refused}")
        lines += [f"   {window.wood:<14} {_days(window, on)}" for window in plant.windows]
        if plant.bloom:
            middle, low, high = plant.bloom.p50, plant.bloom.p10, plant.bloom.p90
            lines.append(f"   {'first flower':<14} {middle}, 8 times in 10 from {low} to {high}")
        lines += [f"   rests on       {plant.rests_on}", ""]
    lines.append(
        "Days are those on which a wood is right more often than not; sure: 9 times in 10. They are weeks "
        "wide; the shoot in your hand decides."
    )
    return "\n".join(lines)


def _days(window: Window, on: date) -> str:
    days = f"{window.opens_on} to {window.closes_on}"
    sure = f", sure {window.sure_from} to {window.sure_to}" if window.sure_from else ""
    here = window.opens_on <= on <= window.closes_on
    return f"{days}{sure}{f'; right now, chance {window.p_open:.0%}' if here else ''}"
