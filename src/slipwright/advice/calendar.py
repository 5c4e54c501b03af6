"""The garden's days for a calendar: looks, potting up, giving up, and when wood may be cut."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date, timedelta
from urllib.parse import quote

import numpy as np

from slipwright.advice._wording import counted
from slipwright.advice.plant_season import season_of_plant
from slipwright.advice.walk import (
    BatchOnRound,
    PlantOnRound,
    has_page,
    patience_of_batch,
    record_of_batch,
    rule_of,
)
from slipwright.outputs.calendar import Event
from slipwright.rooting.counts import BatchCounts
from slipwright.rooting.dates import ROUND_DAYS, give_up_on, next_look_on
from slipwright.rooting.forecast import Forecast, forecast_batch
from slipwright.rooting.learned import Learned, before_records

#: looks of one batch put ahead into the calendar
N_LOOKS = 4
#: the potting day is looked for in steps of so many days
STEP_DAYS = 3
_LOOK = "Take out what is black or mouldy. Weigh the pot in the hand. New leaves are not roots."
_GIVE_UP = "Scratch the bark first: green beneath is alive."
_CUT = "The shoot decides: no bud and no flower on it."


def calendar_events(
    batches: Iterable[BatchOnRound] = (),
    plants: Iterable[PlantOnRound] = (),
    *,
    on: date,
    generator: np.random.Generator,
    south: bool = False,
    round_days: int = ROUND_DAYS,
    n_looks: int = N_LOOKS,
    domain: str = "slipwright",
    learned: Learned | None = None,
) -> tuple[Event, ...]:
    """Return the days of a garden as calendar events.

    Parameters
    ----------
    batches : iterable of BatchOnRound
        Batches under way.
    plants : iterable of PlantOnRound
        Stock plants; those that may not be stuck, or of which none is wanted, are left out.  Of a
        plant nobody wrote a want for only the best wood is listed, as on the round.
    on : date
        Today: nothing earlier is listed but a window under way.
    generator : numpy.random.Generator
        Where the draws of the forecasts come from.
    south : bool
        Whether the garden lies south of the equator.
    round_days : int
        Days between looks [days].
    n_looks : int
        Looks ahead of each batch [1].
    domain : str
        What stands after the @ of every UID: the garden's own, so that two gardens do not meet.
    learned : Learned, optional
        What records taught of rooting; the handbook alone unless given.

    Returns
    -------
    tuple of Event
        Each with a UID that stays when its day moves: the number of the look, the potting up, the
        giving up of a batch; the plant, the wood, the year and the turn in it of a window.

    References
    ----------
    RFC 5545 3.8.4.7 (UID).

    Examples
    --------
    >>> batch = BatchOnRound("K7Q2M9T3", "Rosa", "hardwood", BatchCounts(date(2026, 11, 20), 12))
    >>> events = calendar_events([batch], on=date(2026, 11, 20), generator=np.random.default_rng(1))
    >>> events[0].uid, events[0].on.isoformat()
    ('K7Q2M9T3-look-1@slipwright', '2026-11-27')
    """
    knows = learned or before_records()
    events: list[Event] = []
    for batch in batches:
        known = batch.counts.until(on)
        if known.n_waiting or known.n_to_pot:
            events += _batch_events(batch, known, on, generator, knows, south, round_days, n_looks, domain)
    for plant in plants:
        if plant.page and plant.may_stick and plant.n_wanted != 0:
            events += _cut_events(plant, on, south, domain)
    return tuple(events)


def _batch_events(
    batch: BatchOnRound,
    known: BatchCounts,
    on: date,
    generator: np.random.Generator,
    learned: Learned,
    south: bool,
    round_days: int,
    n_looks: int,
    domain: str,
) -> Iterator[Event]:
    limit = give_up_on(known.stuck_on, patience_of_batch(batch))
    told = _told(batch, known, on, generator, learned, south, limit, round_days)
    name = f"{batch.taxon} ({batch.batch})"
    where = f" Place: {batch.place}." if batch.place else ""

    def event(what: str, day: date, summary: str, text: str, until: date | None = None) -> Event:
        uid = f"{quote(batch.batch, safe='')}-{what}@{domain}"
        said = f"{text}{where}".strip()
        return Event(uid, day, f"{summary}: {name}", until, said, categories=(summary,))

    if known.n_waiting:
        for number, day in _looks(known, told, limit, round_days, n_looks):
            yield event(f"look-{number}", day, "Look", _LOOK)
        # past its time it is looked at before it is given up
        if told.give_up_on > on or not told.to_look_first:
            yield event("give-up", max(told.give_up_on, on), "Give up?", _GIVE_UP)
    pot_up = told.pot_up_on
    if pot_up.p10:
        first = max(pot_up.p10, on)
        last = max(pot_up.p90, first) if pot_up.p90 else None
        if told.pot_after_look:
            text = "After a look: roots that nobody counted are likely, and not sure."
        elif last == on:
            text = f"Due now: {counted(known.n_to_pot, 'cutting')} rooted and unpotted."
        else:
            text = "Likely in these days, 8 times in 10." if last else "Likely from here on, or not at all."
        yield event("pot-up", first, "Pot up", text, last)


def _looks(
    known: BatchCounts, told: Forecast, limit: date, round_days: int, n_looks: int
) -> Iterator[tuple[int, date]]:
    day = told.look_next_on
    for number in range(len(known.looks) + 1, len(known.looks) + 1 + n_looks):
        if number > len(known.looks) + 1 and day > limit:
            return
        yield number, day
        day = next_look_on(day, round_days=round_days)


def _told(
    batch: BatchOnRound,
    known: BatchCounts,
    on: date,
    generator: np.random.Generator,
    learned: Learned,
    south: bool,
    limit: date,
    round_days: int,
) -> Forecast:
    today = max(on, known.stuck_on)
    left = max((limit - today).days, STEP_DAYS)
    return forecast_batch(
        learned,
        record_of_batch(replace(batch, counts=known), south=south),
        on=today,
        generator=generator,
        patience_days=patience_of_batch(batch),
        from_page=has_page(batch),
        ahead=range(0, left + STEP_DAYS, STEP_DAYS),
        pot_up=rule_of(batch),
        south=south,
        round_days=round_days,
    )


def _cut_events(plant: PlantOnRound, on: date, south: bool, domain: str) -> Iterator[Event]:
    if plant.page is None:
        return
    season = plant.season or season_of_plant(plant.page, on, south=south, flowers=plant.flowers)
    openings = listed = season.openings
    if not plant.n_wanted:
        listed = (season.best,) if season.best else ()
    nth: dict[tuple[str, int], int] = {}
    for opening in openings:
        window = opening.window
        if window.opens_on - on > timedelta(days=365):
            continue
        first = max(window.opens_on, opening.from_on if opening.delay else window.opens_on)
        year = (opening.wood, window.opens_on.year)
        nth[year] = nth.get(year, 0) + 1
        if opening not in listed:
            continue
        uid = f"cut-{quote(plant.plant, safe='')}-{opening.wood}-{year[1]}-{nth[year]}@{domain}"
        wanted = f" {plant.n_wanted} wanted." if plant.n_wanted else ""
        yield Event(
            uid,
            first,
            f"Cut {opening.wood}: {plant.taxon} ({plant.plant})",
            window.closes_on,
            f"Rests on {season.rests_on}. {_CUT}{wanted}",
            categories=("Cut",),
        )
