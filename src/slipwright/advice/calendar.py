"""The garden's days for a calendar: looks, potting up, giving up, and when wood may be cut."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date, timedelta
from urllib.parse import quote

import numpy as np

from slipwright.advice._wording import counted
from slipwright.advice.plant_season import season_of_plant
from slipwright.advice.walk import BatchOnRound, PlantOnRound, clocks_of_batch, rule_of
from slipwright.outputs.calendar import Event
from slipwright.rooting.clocks import Clocks
from slipwright.rooting.counts import BatchCounts
from slipwright.rooting.dates import ROUND_DAYS, give_up_on, next_look_on
from slipwright.rooting.forecast import Forecast, forecast_batch, standard_draws
from slipwright.rooting.ranges import Array

#: looks of one batch put ahead into the calendar
N_LOOKS = 4
N_DRAWS = 400
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
    draws = standard_draws(generator, N_DRAWS)
    events: list[Event] = []
    for batch in batches:
        known = batch.counts.until(on)
        if known.n_waiting or known.n_to_pot:
            events += _batch_events(batch, known, on, generator, draws, south, round_days, n_looks, domain)
    for plant in plants:
        if plant.page and plant.may_stick and plant.n_wanted != 0:
            events += _cut_events(plant, on, south, domain)
    return tuple(events)


def _batch_events(
    batch: BatchOnRound,
    known: BatchCounts,
    on: date,
    generator: np.random.Generator,
    draws: Array,
    south: bool,
    round_days: int,
    n_looks: int,
    domain: str,
) -> Iterator[Event]:
    clocks = clocks_of_batch(batch)
    limit = give_up_on(known.stuck_on, clocks.patience_days)
    name = f"{batch.taxon} ({batch.batch})"
    where = f" Place: {batch.place}." if batch.place else ""

    def event(what: str, day: date, summary: str, text: str, until: date | None = None) -> Event:
        uid = f"{quote(batch.batch, safe='')}-{what}@{domain}"
        said = f"{text}{where}".strip()
        return Event(uid, day, f"{summary}: {name}", until, said, categories=(summary,))

    if known.n_waiting:
        for number, day in _looks(known, on, limit, round_days, n_looks):
            yield event(f"look-{number}", day, "Look", _LOOK)
        yield event("give-up", max(limit, on), "Give up?", _GIVE_UP)
    pot_up = _told(clocks, batch, known, on, generator, draws, south, limit).pot_up_on
    if pot_up.p10:
        first = max(pot_up.p10, on)
        last = max(pot_up.p90, first) if pot_up.p90 else None
        if last == on:
            text = f"Due now: {counted(known.n_to_pot, 'cutting')} rooted and unpotted."
        else:
            text = "Likely in these days, 8 times in 10." if last else "Likely from here on, or not at all."
        yield event("pot-up", first, "Pot up", text, last)


def _looks(
    known: BatchCounts, on: date, limit: date, round_days: int, n_looks: int
) -> Iterator[tuple[int, date]]:
    last = known.looks[-1] if known.looks else None
    day = next_look_on(
        last.on if last else known.stuck_on,
        round_days=round_days,
        rot_seen=bool(last and last.rot_seen),
        on=on,
    )
    for number in range(len(known.looks) + 1, len(known.looks) + 1 + n_looks):
        if number > len(known.looks) + 1 and day > limit:
            return
        yield number, day
        day = next_look_on(day, round_days=round_days)


def _told(
    clocks: Clocks,
    batch: BatchOnRound,
    known: BatchCounts,
    on: date,
    generator: np.random.Generator,
    draws: Array,
    south: bool,
    limit: date,
) -> Forecast:
    today = max(on, known.stuck_on)
    left = max((limit - today).days, STEP_DAYS)
    return forecast_batch(
        clocks,
        known,
        on=today,
        generator=generator,
        draws=draws,
        ahead=range(0, left + STEP_DAYS, STEP_DAYS),
        pot_up=rule_of(batch),
        south=south,
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
