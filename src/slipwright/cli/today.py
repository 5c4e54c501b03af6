"""Today's round."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from slipwright.cli.answer import DAY, as_json, refusing, say
from slipwright.cli.answer import today as this_day
from slipwright.cli.bar import Bar
from slipwright.cli.garden import open_garden, with_garden

if TYPE_CHECKING:
    from slipwright.advice.round import ActName
    from slipwright.outputs.measures import First
    from slipwright.records.answers.today_parts import Card, PlaceToday, TodayRound
    from slipwright.records.answers.told import ToldAct
    from slipwright.records.models import Garden

ACT_WORDS: dict[ActName, str] = {
    "cut": "Cut",
    "stick": "Stick",
    "look": "Look",
    "weigh": "Weigh the pot",
    "shade": "Shade",
    "protect": "Protect from frost",
    "pot_up": "Pot up",
    "give_up": "Give up?",
}
#: what nobody wants, and stands right
MAY_CUT = "May be cut"
#: a round of more cards than this is told with the first few of each place, at least so many
SHORT, AT_LEAST = 30, 3
#: the days a look's likely number is told ahead
_WEEK = 7


@click.command()
@click.option("--on", type=DAY, help="The day; today if left out.")
@click.option("--all", "all_wanted", is_flag=True, help="Everything at each place, however long it gets.")
@with_garden
@as_json
@refusing()
def today(
    on: date | None,
    garden_file: Path | None,
    in_garden: str | None,
    *,
    all_wanted: bool,
    json_wanted: bool,
) -> None:
    """Today's round, in walking order: where to go, what to do there, and why.

    Of a long round the first few of each place are told, what cannot wait before what can; --all and --json
    tell everything.

    \b
    Example
        slipwright today --on 2026-09-10
    """
    garden = open_garden(garden_file, in_garden)
    from slipwright.handbook import load_handbook

    bar, handbook, on = Bar(), load_handbook(), on or this_day()
    try:
        if json_wanted:
            from slipwright.records.answers.round import round_of

            data = round_of(garden, handbook, on=on, progress=bar).as_json()
            text = ""
        else:
            from slipwright.records.answers.today import told_round

            data = {}
            told = told_round(garden, handbook, on=on, waits=bar)
            text = _in_words(garden, told, all_wanted=all_wanted)
    finally:
        bar.close()
    say(data, text, json_wanted=json_wanted)


def _in_words(garden: Garden, told: TodayRound, *, all_wanted: bool) -> str:
    from slipwright.outputs.measures import temperature_text

    cards = [card for place in told.places for card in place.cards]
    lines = [f"{garden.name}, {told.on:%A} {told.on.day} {told.on:%B %Y}: {_sum(cards) or 'nothing to do'}."]
    if told.weather:
        made_on = told.weather.made_on
        first: First = "us" if garden.units == "us" else "metric"
        warmth = temperature_text(float(told.weather.tmin_c), float(told.weather.tmax_c), first=first)
        lines.append(f"{warmth} ({'observed' if made_on is None else f'forecast of {made_on}'}).")
    most = len(cards)
    if len(cards) > SHORT and not all_wanted:
        most = max(SHORT // len(told.places), AT_LEAST)
    for place in told.places:
        lines += _at(place, most)
    if any(len(place.cards) > most for place in told.places):
        lines += ["", "Everything at each place: slipwright today --all"]
    if any(card.curve and card.curve.ahead for card in cards):
        lines += [
            "",
            "Likely numbers are 8 times in 10, from the handbook, your records and each batch's own looks.",
        ]
    return "\n".join(lines)


def _at(place: PlaceToday, most: int) -> list[str]:
    """Tell a place with its first cards, and what else is to be done there."""
    lines = ["", f"{place.number}. {place.place or 'No place written down'}"]
    for card in place.cards[:most]:
        lines += _lines(card)
    if more := place.cards[most:]:
        lines.append(f"   … {len(more):,} more here: {_sum(more)}")
    return lines


def _sum(cards: Iterable[Card]) -> str:
    counts = Counter(_word(act) for card in cards for act in card.acts)
    words = (*ACT_WORDS.values(), MAY_CUT)
    return ", ".join(f"{word.rstrip('?').lower()} {counts[word]:,}" for word in words if counts[word])


def _word(act: ToldAct) -> str:
    return ACT_WORDS[act.act] if act.is_asked else MAY_CUT


def _lines(card: Card) -> list[str]:
    from slipwright.records.codes import shown

    named = shown(card.batch.batch) if card.batch else card.plant
    what = "  ".join(part for part in (named, card.taxon) if part)
    lines = []
    for act in card.acts:
        head = f"   {_word(act):<18}"
        why = f"{act.why}{_in_a_week(card)}" if act.act == "look" else act.why
        lines += [f"{head} {what}" if what else head.rstrip(), f"{' ' * 22}{why}"]
    return lines


def _in_a_week(card: Card) -> str:
    """Say how many will likely have rooted in a week, where any may."""
    curve, days = card.curve, card.days
    if curve is None or days is None or days + _WEEK not in curve.ahead:
        return ""
    at = curve.ahead.index(days + _WEEK)
    return f"; rooted in a week: {curve.p10[at]:,} to {curve.p90[at]:,}" if curve.p90[at] else ""
