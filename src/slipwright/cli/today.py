"""Today's round."""

from __future__ import annotations

from datetime import date
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, cast

import click

from slipwright.cli.answer import DAY, as_json, refusing, say
from slipwright.cli.answer import today as this_day
from slipwright.cli.bar import Bar
from slipwright.cli.garden import open_garden, with_garden

if TYPE_CHECKING:
    from slipwright.advice.round import Act
    from slipwright.outputs.measures import First
    from slipwright.records.answers.round import Round
    from slipwright.records.models import Garden

ACT_WORDS = {
    "cut": "Cut",
    "stick": "Stick",
    "look": "Look",
    "weigh": "Weigh the pot",
    "shade": "Shade",
    "protect": "Protect from frost",
    "pot_up": "Pot up",
    "give_up": "Give up?",
}


@click.command()
@click.option("--on", type=DAY, help="The day; today if left out.")
@with_garden
@as_json
@refusing()
def today(on: date | None, garden_file: Path | None, in_garden: str | None, *, json_wanted: bool) -> None:
    """Today's round, in walking order: where to go, what to do there, and why.

    \b
    Example
        slipwright today --on 2026-09-10
    """
    garden = open_garden(garden_file, in_garden)
    from slipwright.handbook import load_handbook
    from slipwright.records.answers.round import round_of

    bar = Bar()
    try:
        answer = round_of(garden, load_handbook(), on=on or this_day(), progress=bar)
    finally:
        bar.close()
    say(answer.as_json(), _in_words(garden, answer), json_wanted=json_wanted)


def _in_words(garden: Garden, answer: Round) -> str:
    from slipwright.outputs.measures import temperature_text

    acts = answer.acts
    lines = [f"{garden.name}, {answer.on:%A} {answer.on.day} {answer.on:%B %Y}: {_sum(acts)}."]
    if answer.weather:
        told = "observed" if answer.weather["made_on"] is None else f"forecast of {answer.weather['made_on']}"
        tmin_c, tmax_c = (cast(float, answer.weather[name]) for name in ("tmin_c", "tmax_c"))
        first: First = "us" if garden.units == "us" else "metric"
        lines.append(f"{temperature_text(tmin_c, tmax_c, first=first)} ({told}).")
    for number, (place, found) in enumerate(groupby(acts, key=lambda act: act.place or ""), 1):
        lines += ["", f"{number}. {place or 'No place written down'}"]
        lines += [_line(act) for act in found]
    if any(act.forecast for act in acts):
        lines += [
            "",
            "Likely numbers are 8 times in 10, from the handbook, your records and each batch's own looks.",
        ]
    return "\n".join(lines)


def _sum(acts: tuple[Act, ...]) -> str:
    if not acts:
        return "nothing to do"
    said = []
    for act, word in ACT_WORDS.items():
        number = sum(found.act == act for found in acts)
        if number:
            said.append(f"{word.rstrip('?').lower()} {number}")
    return ", ".join(said)


def _line(act: Act) -> str:
    from slipwright.records.codes import shown

    head = f"   {ACT_WORDS[act.act]:<18}"
    what = "  ".join(part for part in (shown(act.batch) if act.batch else act.plant, act.taxon) if part)
    text = f"{head} {what}" if what else head.rstrip()
    line = f"{text}\n{' ' * 22}{act.why}"
    if act.act == "look" and act.forecast and len(act.forecast.days) > 1:
        week = act.forecast.days[1].rooted
        if week.p90:
            line += f"; rooted in a week: {week.p10:,} to {week.p90:,}"
    return line
