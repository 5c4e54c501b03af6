"""What a batch will likely do."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from slipwright.cli.answer import DAY, BadInput, as_json, refusing, say, today
from slipwright.cli.garden import open_garden, with_garden

if TYPE_CHECKING:
    from slipwright.rooting.forecast import Band, Forecast

WOODS = ("softwood", "semi-hardwood", "hardwood")


@click.command()
@click.argument("batch", required=False)
@click.option("--new", "taxon", metavar="TAXON", help="A batch not yet stuck, of this plant.")
@click.option("--wood", type=click.Choice(WOODS), help="Its wood.")
@click.option("--stuck", "n_stuck", type=int, default=24, show_default=True, help="How many are stuck.")
@click.option("--on", type=DAY, help="The day; today if left out.")
@with_garden
@as_json
@refusing()
def forecast(
    batch: str | None,
    taxon: str | None,
    wood: str | None,
    n_stuck: int,
    on: date | None,
    garden_file: Path | None,
    in_garden: str | None,
    *,
    json_wanted: bool,
) -> None:
    """Rooted, lost and waiting by date, for BATCH or for a batch not yet stuck.

    \b
    Examples
        slipwright forecast K7Q2
        slipwright forecast --new rosemary --wood softwood --stuck 30
    """
    if (batch is None) == (taxon is None):
        raise BadInput("give either a batch's code, or --new TAXON with --wood")
    day = on or today()
    if taxon is not None:
        title, answer = _of_new(taxon, wood, n_stuck, day)
    else:
        title, answer = _of_batch(str(batch), day, garden_file, in_garden)
    say(answer.as_json(), _in_words(title, answer), json_wanted=json_wanted)


def _of_new(words: str, wood: str | None, n_stuck: int, on: date) -> tuple[str, Forecast]:
    import numpy as np

    from slipwright.advice.advise import SEED
    from slipwright.advice.asked import NotKnown, plant_named
    from slipwright.handbook import load_handbook
    from slipwright.rooting.clocks import clocks_of_leaf
    from slipwright.rooting.counts import BatchCounts
    from slipwright.rooting.forecast import forecast_batch

    named = plant_named(load_handbook(), words)
    if isinstance(named, NotKnown):
        near = f"; near it: {', '.join(named.near)}" if named.near else ""
        raise BadInput(f"the handbook has no page for {words}{near}")
    known = ", ".join(named.page.woods)
    if wood is None:
        raise BadInput(f"--wood: say which wood; the handbook has {known} of {named.taxon}")
    leaf = next((leaf for name, leaf in named.page.woods.items() if name == wood), None)
    if leaf is None:
        raise BadInput(f"--wood: the handbook has no {wood} of {named.taxon}, only {known}")
    answer = forecast_batch(
        clocks_of_leaf(leaf),
        BatchCounts(on, n_stuck),
        on=on,
        generator=np.random.default_rng(SEED),
        pot_up=leaf.pot_up,
    )
    return f"{n_stuck} {wood} cuttings of {named.taxon}, if stuck on {on}", answer


def _of_batch(code: str, on: date, garden_file: Path | None, in_garden: str | None) -> tuple[str, Forecast]:
    garden = open_garden(garden_file, in_garden)
    from slipwright.handbook import load_handbook
    from slipwright.records.answers.round import forecast_of_batch
    from slipwright.records.codes import shown
    from slipwright.records.selectors import batch_by_code, states_of_batches

    sticking = batch_by_code(garden, code)
    (now,) = states_of_batches(garden, [sticking])
    title = (
        f"{shown(now.batch)}  {now.taxon}, {now.n_stuck} stuck {now.stuck_on}\n"
        f"So far: {now.n_rooted} rooted, {now.n_lost} lost, {now.n_removed} removed, "
        f"{max(now.n_waiting, 0)} waiting, {now.n_potted} potted"
    )
    return title, forecast_of_batch(garden, load_handbook(), sticking, on=on)


def _in_words(title: str, answer: Forecast) -> str:
    days = answer.days
    shown = [days[i] for i in range(0, len(days), 14)]
    if shown[-1] is not days[-1]:
        shown.append(days[-1])
    lines = [title, "", f"{'by':<12}{'rooted':>14}{'lost':>14}{'waiting':>14}"]
    lines += [
        f"{day.on.isoformat():<12}{_band(day.rooted):>14}{_band(day.lost):>14}{_band(day.waiting):>14}"
        for day in shown
    ]
    pot = answer.pot_up_on
    span = (
        " to ".join(str(point) for point in (pot.p10, pot.p90) if point)
        or "not likely before patience runs out"
    )
    lines += [
        "",
        "The middle, and in brackets 8 times in 10.",
        f"Look next   {answer.look_next_on}",
        f"Pot up      {span}",
        f"Give up     not before {answer.give_up_on}; scratch the bark first",
        answer.rests_on.text,
    ]
    return "\n".join(lines)


def _band(band: Band) -> str:
    return f"{band.p50} ({band.p10}-{band.p90})"
