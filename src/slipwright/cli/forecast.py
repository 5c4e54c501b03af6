"""What a batch will likely do."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import click
from click.core import ParameterSource

from slipwright.cli.answer import DAY, BadInput, as_json, refusing, say, today, with_place
from slipwright.cli.garden import open_garden, with_garden

if TYPE_CHECKING:
    from slipwright.advice.asked import NotKnown
    from slipwright.handbook.pages import Page
    from slipwright.rooting.forecast import Band, Forecast

WOODS = ("softwood", "semi-hardwood", "hardwood")
#: options that speak of a batch not yet stuck only, and of one outside any garden only
_OF_NEW = {"wood": "--wood", "n_stuck": "--stuck", "latitude_deg": "--at"}
_OF_NO_GARDEN = {"latitude_deg": "--at"}


@click.command()
@click.argument("batch", required=False)
@click.option("--new", "taxon", metavar="TAXON", help="A batch not yet stuck, of this plant.")
@click.option("--wood", type=click.Choice(WOODS), help="Its wood.")
@click.option("--stuck", "n_stuck", type=int, default=24, show_default=True, help="How many are stuck.")
@click.option("--on", type=DAY, help="The day; today if left out.")
@with_place
@with_garden
@as_json
@refusing()
def forecast(
    batch: str | None,
    taxon: str | None,
    wood: str | None,
    n_stuck: int,
    on: date | None,
    latitude_deg: float | None,
    garden_file: Path | None,
    in_garden: str | None,
    *,
    json_wanted: bool,
) -> None:
    """Rooted, lost and waiting by date, for BATCH or for a batch not yet stuck.

    A batch stands in its garden, and its garden knows where it is. One not yet stuck is told by the handbook
    alone and by --at; with --garden or --in, by what that garden learned.

    \b
    Examples
        slipwright forecast K7Q2
        slipwright forecast --new rosemary --wood softwood --stuck 30 --at 41.0,-72.5
        slipwright forecast --new rosemary --wood softwood --in "Saltmarsh Lane Community Garden"
    """
    if (batch is None) == (taxon is None):
        raise BadInput("give either a batch's code, or --new TAXON with --wood")
    if taxon is not None and (garden_file or in_garden):
        _refuse_of_other("with a garden, which knows where it is", _OF_NO_GARDEN)
        title, answer = _of_new_in_garden(taxon, wood, n_stuck, on, garden_file, in_garden)
    elif taxon is not None:
        title, answer = _of_new(taxon, wood, n_stuck, on or today(), latitude_deg)
    else:
        _refuse_of_other("with a batch's code", _OF_NEW)
        title, answer = _of_batch(str(batch), on, garden_file, in_garden)
    say(answer.as_json(), _in_words(title, answer), json_wanted=json_wanted)


def _refuse_of_other(beside: str, options: dict[str, str]) -> None:
    """Refuse options that would be left unread: what was typed was meant."""
    ctx = click.get_current_context()
    for name, option in options.items():
        if ctx.get_parameter_source(name) is ParameterSource.COMMANDLINE:
            raise BadInput(f"{option} means nothing {beside}; leave it out")


def _of_new(
    words: str, wood: str | None, n_stuck: int, on: date, latitude_deg: float | None
) -> tuple[str, Forecast]:
    from dataclasses import replace

    import numpy as np

    from slipwright.advice.advise import SEED
    from slipwright.advice.asked import NotKnown, plant_named
    from slipwright.advice.kinds import kind_of
    from slipwright.advice.timing import is_south
    from slipwright.handbook import load_handbook
    from slipwright.rooting.counts import BatchCounts
    from slipwright.rooting.forecast import forecast_batch
    from slipwright.rooting.history import BatchRecord
    from slipwright.rooting.learned import before_records
    from slipwright.rooting.page_prior import usual_cuttings

    named = plant_named(load_handbook(), words)
    if isinstance(named, NotKnown):
        raise BadInput(_no_page(named))
    known = ", ".join(named.page.woods)
    if wood is None:
        raise BadInput(f"--wood: say which wood; the handbook has {known} of {named.taxon}")
    leaf = next((leaf for name, leaf in named.page.woods.items() if name == wood), None)
    if leaf is None:
        raise BadInput(f"--wood: the handbook has no {wood} of {named.taxon}, only {known}")
    south = is_south(latitude_deg)
    kind = kind_of(named.taxon, leaf, leaf.wood, on, south=south)
    answer = forecast_batch(
        before_records(),
        BatchRecord(usual_cuttings(leaf, leaf.wood), kind, BatchCounts(on, n_stuck)),
        on=on,
        generator=np.random.default_rng(SEED),
        patience_days=leaf.patience_days.value,
        pot_up=leaf.pot_up,
        south=south,
    )
    if latitude_deg is None:
        text = f"{answer.rests_on.text} No latitude given: the northern calendar is assumed."
        answer = replace(answer, rests_on=replace(answer.rests_on, text=text))
    return _title(named.taxon, wood, n_stuck, on, named.remark), _with_season(
        answer, named.page, wood, on, south=south
    )


def _with_season(answer: Forecast, page: Page | None, wood: str, on: date, *, south: bool) -> Forecast:
    """Say of wood that is out of season on its day when it is right."""
    from dataclasses import replace

    from slipwright.advice.timing import windows_of_page

    windows = [one for one in windows_of_page(page, on, south=south) if one.wood == wood] if page else []
    if not windows or any(one.opens_on <= on <= one.closes_on for one in windows):
        return answer
    days = " and ".join(f"from {one.opens_on} to {one.closes_on}" for one in windows)
    text = (
        f"{answer.rests_on.text} Out of season on {on}: by the handbook {wood} is right {days}; "
        "the numbers are those of wood that is right."
    )
    return replace(answer, rests_on=replace(answer.rests_on, text=text))


def _title(taxon: str, wood: str, n_stuck: int, on: date, remark: str) -> str:
    cuttings = "cutting" if n_stuck == 1 else "cuttings"
    title = f"{n_stuck:,} {wood} {cuttings} of {taxon}, if stuck on {on}"
    return f"{title}\n{remark}" if remark else title


def _of_new_in_garden(
    words: str,
    wood: str | None,
    n_stuck: int,
    on: date | None,
    garden_file: Path | None,
    in_garden: str | None,
) -> tuple[str, Forecast]:
    garden = open_garden(garden_file, in_garden)
    from dataclasses import replace

    from slipwright.advice.asked import NotKnown
    from slipwright.advice.timing import is_south
    from slipwright.handbook import load_handbook
    from slipwright.handbook.pages import WOODS
    from slipwright.records.answers.not_stuck import forecast_of_new, plant_to_stick

    handbook = load_handbook()
    plant = plant_to_stick(garden, handbook, words)
    if isinstance(plant, NotKnown):
        raise BadInput(f"{garden.name} has no plant {words}, and {_no_page(plant)}")
    asked = next((one for one in WOODS if one == wood), None)
    if asked is None:
        known = f"; the handbook has {', '.join(plant.page.woods)} of {plant.taxon}" if plant.page else ""
        raise BadInput(f"--wood: say which wood{known}")
    on = on or today()
    answer, is_learned = forecast_of_new(garden, handbook, plant, asked, n_stuck, on=on)
    if not is_learned:
        text = f"{answer.rests_on.text} Nothing is learned from this garden's looks yet: slipwright learn."
        answer = replace(answer, rests_on=replace(answer.rests_on, text=text))
    south = is_south(float(garden.latitude_deg))
    return _title(plant.taxon, asked, n_stuck, on, plant.remark), _with_season(
        answer, plant.page, asked, on, south=south
    )


def _no_page(name: NotKnown) -> str:
    near = f"; near it: {', '.join(name.near)}" if name.near else ""
    return f"the handbook has no page for {name.words}{near}"


def _of_batch(
    code: str, on: date | None, garden_file: Path | None, in_garden: str | None
) -> tuple[str, Forecast]:
    garden = open_garden(garden_file, in_garden)
    from dataclasses import replace

    from slipwright.handbook import load_handbook
    from slipwright.records.answers.round import forecast_of_batch
    from slipwright.records.codes import shown
    from slipwright.records.selectors import batch_by_code, states_of_batches
    from slipwright.records.selectors.fits import fit_now

    sticking = batch_by_code(garden, code)
    on = on or today()
    if on < sticking.stuck_on:
        raise BadInput(
            f"--on: {shown(sticking.batch)} was stuck on {sticking.stuck_on}, so nothing waited on {on}; "
            "give that day or a later one"
        )
    (now,) = states_of_batches(garden, [sticking])
    title = (
        f"{shown(now.batch)}  {now.taxon}, {now.n_stuck:,} stuck {now.stuck_on}\n"
        f"So far: {now.n_rooted:,} rooted, {now.n_lost:,} lost, {now.n_removed:,} removed, "
        f"{max(now.n_waiting, 0):,} waiting, {now.n_potted:,} potted"
    )
    answer = forecast_of_batch(garden, load_handbook(), sticking, on=on)
    fit = fit_now(garden, with_found=False)
    up_to = fit and fit.is_of_this_model and fit.learned_up_to.astimezone(ZoneInfo(garden.time_zone)).date()
    if up_to and on < up_to:
        text = f"{answer.rests_on.text} Other batches were learned from up to {up_to}."
        answer = replace(answer, rests_on=replace(answer.rests_on, text=text))
    return title, answer


def _in_words(title: str, answer: Forecast) -> str:
    days = answer.days
    shown = [days[i] for i in range(0, len(days), 14)]
    if shown[-1] is not days[-1]:
        shown.append(days[-1])
    rows = [("by", "rooted", "lost", "waiting")]
    rows += [(day.on.isoformat(), _band(day.rooted), _band(day.lost), _band(day.waiting)) for day in shown]
    wide = max(14, *(len(cell) + 2 for _, *cells in rows for cell in cells))
    lines = [title, ""]
    lines += [f"{by:<12}" + "".join(f"{cell:>{wide}}" for cell in cells) for by, *cells in rows]
    lines += ["", "The middle, and in brackets 8 times in 10.", *_dates(answer), answer.rests_on.text]
    return "\n".join(lines)


def _dates(answer: Forecast) -> list[str]:
    """Say the days that follow; what is past its patience or long unseen is looked at today."""
    today_, pot = answer.days[0], answer.pot_up_on
    if pot.p10 is None:
        span = "not likely before patience runs out"
    elif pot.p90 is None:
        span = f"{pot.p10} at the earliest; not at all about {_times(pot.p_never)}"
    else:
        span = str(pot.p10) if pot.p10 == pot.p90 else f"{pot.p10} to {pot.p90}"
    if not answer.n_waiting:
        return ["Nothing waits any more.", *([f"Pot up      {span}"] if pot.p10 else [])]
    over = today_.on > answer.give_up_on
    give_up = f"patience ran out on {answer.give_up_on}" if over else f"not before {answer.give_up_on}"
    unseen = [_unseen(answer, answer.unseen_days)] if answer.unseen_days is not None else []
    first = "look and scratch the bark first" if over and answer.to_look_first else "scratch the bark first"
    return [
        *unseen,
        f"Look next   {answer.look_next_on}",
        f"Pot up      {'after a look: ' if answer.pot_after_look else ''}{span}",
        f"Give up     {give_up}; {first}",
    ]


def _unseen(answer: Forecast, days: int) -> str:
    """Say how long nobody looked, and what has likely become of it since."""
    band, n = answer.days[0].rooted, answer.n_stuck
    if band.p90 <= answer.n_rooted:
        return f"Not looked at for {days} days: look."
    likely = f"{band.p10:,}" if band.p10 == band.p90 else f"{band.p10:,} to {band.p90:,}"
    return f"Not looked at for {days} days; by now likely {likely} of {n:,} have rooted: look."


def _times(share: float) -> str:
    number = max(round(share * 10), 1)
    return "1 time in 10" if number == 1 else f"{number} times in 10"


def _band(band: Band) -> str:
    return f"{band.p50:,} ({band.p10:,}-{band.p90:,})"
