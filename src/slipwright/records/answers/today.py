"""Today as its page shows it: places in the order of the walk, a card for each thing to do."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import cast
from zoneinfo import ZoneInfo

import numpy as np

from slipwright.advice.heat_and_frost import HOT_AIR_C, is_near_frost
from slipwright.advice.round import Act, acts_for
from slipwright.advice.timing import is_south
from slipwright.advice.walk import BatchOnRound, PlaceOnRound, WeatherOnRound
from slipwright.handbook import Handbook
from slipwright.handbook.pages import Wood
from slipwright.records import selectors
from slipwright.records.answers.cuts import cuts_on
from slipwright.records.answers.findings.own_rules import keep_rules
from slipwright.records.answers.programme.lines_now import keep_stuck, keep_wanted, programme_due
from slipwright.records.answers.remembered import Remembered, as_of
from slipwright.records.answers.sky import sky_on
from slipwright.records.answers.today_parts import Card, PlaceToday, TodayRound
from slipwright.records.answers.told import Told, ToldAct, told_batches
from slipwright.records.answers.walk import SEED
from slipwright.records.models import Garden, WeatherDay
from slipwright.records.selectors import BatchNow
from slipwright.records.selectors.done import done_on
from slipwright.records.selectors.listing import young_pots_by_place
from slipwright.records.tables.progress import Progress
from slipwright.rooting.counts import BatchCounts

#: cards on one page; where there are more, each place shows its first few and all of them by itself
CARDS = 30
#: when a danger comes, the soonest first
_SOONEST = ("now", "today", "tonight", "tomorrow", None)
#: batches named in a fold; the list of batches has the rest
NAMED = 30


@dataclass(frozen=True, slots=True)
class _Walk:
    """The whole round, before it is cut to a page."""

    to_do: list[PlaceToday]
    done_places: tuple[PlaceToday, ...]
    n_open: int
    n_working: int
    quiet: list[BatchNow]
    n_looked: int
    n_potted: int
    n_stuck: int
    weather: WeatherDay | None
    by_weather: list[Act]
    n_plants_working: int
    plants_told_on: date | None
    #: some batches are told by what was learned before the last time
    tells_older: bool


_WALKS: Remembered[_Walk] = Remembered()


def told_round(
    garden: Garden,
    handbook: Handbook,
    *,
    on: date,
    place: str | None = None,
    start: int = 0,
    now: datetime | None = None,
    waits: Progress | None = None,
) -> TodayRound:
    """Return what the round of a day asks for; of one ``place``, from its card ``start`` on.

    For somebody who ``waits`` it is whole: nothing is left to be worked out later, no card is left out.

    ``garden`` must have just been read: as long as its counters and the day stay as they are, nothing
    was written, and the round is remembered. Else seven queries, nine on a day of frost. With ``now``,
    one query more says where instruments read heat within the last three hours.
    """
    hot = _hot_places(garden, now)
    walk = _walk_of(garden, handbook, on, hot) if waits is None else _walk(garden, handbook, on, hot, waits)
    n_need = sum(one.n_to_do for one in walk.to_do)
    chosen = [one for one in walk.to_do if place in (None, one.place)]
    return TodayRound(
        on=on,
        places=tuple(chosen if waits else _cut(chosen, n_need) if place is None else _alone(chosen, start)),
        done_places=walk.done_places,
        n_open=walk.n_open,
        n_need=n_need,
        n_wait=len(walk.quiet),
        n_working=walk.n_working,
        n_plants_working=walk.n_plants_working,
        plants_told_on=walk.plants_told_on,
        quiet=tuple(walk.quiet[:NAMED]),
        n_looked=walk.n_looked,
        n_potted=walk.n_potted,
        n_stuck=walk.n_stuck,
        weather=walk.weather,
        heat=tuple(sorted((act for act in walk.by_weather if act.act == "shade"), key=_soonest)),
        frost=tuple(act for act in walk.by_weather if act.act == "protect"),
    )


def whole_walk(garden: Garden, handbook: Handbook, *, on: date) -> list[PlaceToday]:
    """Return the places with something to do as one walks, each with all of its cards in their order.

    ``garden`` must have just been read, as for ``told_round``.
    """
    return _walk_of(garden, handbook, on, {}).to_do


def _hot_places(garden: Garden, now: datetime | None) -> dict[str, float]:
    read = selectors.air_now(garden, now) if now else {}
    return {place: air_c for place, air_c in read.items() if air_c >= HOT_AIR_C}


def _walk_of(garden: Garden, handbook: Handbook, on: date, hot: Mapping[str, float]) -> _Walk:
    counters = as_of(garden.last_number, garden.last_edit, on)
    rests_on = (counters, garden.fit_id, garden.plan_id, tuple(sorted(hot.items())))
    walk = _WALKS.get(garden.garden, rests_on)
    if walk is None:
        walk = _walk(garden, handbook, on, hot)
        working = walk.n_working or walk.n_plants_working or walk.tells_older
        if not working and walk.plants_told_on is None:
            _WALKS.keep(garden.garden, rests_on, walk)
    return walk


def _walk(
    garden: Garden, handbook: Handbook, on: date, hot: Mapping[str, float], waits: Progress | None = None
) -> _Walk:
    batches = selectors.states_of_open_batches(garden)
    told = told_batches(garden, handbook, batches, on=on, waits=waits)
    in_use = programme_due(garden, on=on)
    done = done_on(garden, on, batches, stuck_after=in_use.number if in_use else None)
    keep_rules(garden, done.rules)
    if in_use:
        keep_stuck(garden, in_use, done.stuck)
        keep_wanted(garden, done.wanted, on=on)
    clock = ZoneInfo(garden.time_zone)
    looked = {pk: at.astimezone(clock) for pk, at in done.looked.items()}
    weather, sky = sky_on(garden, on)
    by_weather = _weather_acts(garden, batches, sky, on, hot)
    places: dict[str, PlaceToday] = {}

    def here(name: str, order: int | None) -> PlaceToday:
        return places.setdefault(name, PlaceToday(name, order=order))

    for act, order in by_weather:
        told_act = ToldAct(act.act, act.why, urgent=act.when != "tomorrow")
        here(act.place or "", order).cards.append(Card((told_act,)))
    quiet = _put_batches(here, batches, told, looked, on)
    cuts = cuts_on(garden, handbook, batches, told, on, waits=waits)
    for plant_act, order in cuts.acts:
        acts = (ToldAct(plant_act.act, plant_act.why, is_asked=plant_act.is_asked),)
        card = Card(acts, plant_act.taxon or "", None, plant_act.plant or "")
        here(plant_act.place or "", order).cards.append(card)
    walked = sorted(places.values(), key=_in_walking_order)
    to_do = [one for one in walked if one.cards]
    for number, one in enumerate(to_do, 1):
        one.number, one.n_to_do = number, len(one.cards)
        # what cannot wait comes first, then what is due; the sort is stable
        one.cards.sort(key=_rank)
        one.looked.sort(key=lambda seen: seen[1], reverse=True)
    return _Walk(
        to_do,
        tuple(one for one in walked if not one.n_to_do and one.looked),
        len(batches),
        len(batches) - len(told),
        quiet,
        len(looked),
        done.n_potted,
        sum(batch.stuck_on == on for batch in batches),
        weather,
        [act for act, _ in by_weather],
        cuts.n_working,
        cuts.told_on,
        any(one.is_older for one in told.values()),
    )


def to_note_at(garden: Garden, handbook: Handbook, place: str, *, on: date) -> list[str]:
    """Return the codes of the batches at a place that ask for nothing and were not looked at today."""
    found = told_round(garden, handbook, on=on, place=place).places
    return [code for one in found for code in one.to_note]


def _put_batches(
    here: Callable[[str, int | None], PlaceToday],
    batches: Sequence[BatchNow],
    told: Mapping[int, Told],
    looked: Mapping[int, datetime],
    on: date,
) -> list[BatchNow]:
    """Put batches with their cards to their places; return those that ask for nothing."""
    quiet = []
    for batch in batches:
        place = here(batch.place, batch.walk_order)
        place.n_here += 1
        place.has_mist = place.has_mist or batch.place_cover == "mist"
        known = told.get(batch.pk)
        if known is None:
            continue
        if known.acts:
            place.n_batches_to_do += 1
            days = (on - batch.stuck_on).days
            place.cards.append(Card(known.acts, batch.taxon, batch, "", days, known.curve))
        if batch.pk in looked:
            place.looked.append((batch, looked[batch.pk]))
            continue
        if known.acts:
            continue
        quiet.append(batch)
        if batch.stuck_on < on:
            place.to_note.append(batch.batch)
        else:
            place.n_new += 1
    return quiet


def _in_walking_order(place: PlaceToday) -> tuple[bool, bool, int, str]:
    return (not place.place, place.order is None, place.order or 0, place.place)


def _alone(places: Sequence[PlaceToday], start: int) -> list[PlaceToday]:
    """Return the one place there is with the cards of one page."""
    return [
        replace(one, start=(first := min(start, one.n_to_do)), cards=one.cards[first : first + CARDS])
        for one in places
    ]


def _cut(places: Sequence[PlaceToday], n_cards: int) -> list[PlaceToday]:
    """Return each place with its first cards, as many as a page can show."""
    if n_cards <= CARDS:
        return list(places)
    each = max(CARDS // len(places), 1)
    return [replace(one, cards=one.cards[:each]) for one in places]


def _rank(card: Card) -> int:
    return card.rank


def _soonest(act: Act) -> tuple[int, float]:
    return _SOONEST.index(act.when), -(act.c or 0)


# --- weather ------------------------------------------------------------------------------------------


def _weather_acts(
    garden: Garden,
    batches: Sequence[BatchNow],
    sky: WeatherOnRound | None,
    on: date,
    hot: Mapping[str, float],
) -> list[tuple[Act, int | None]]:
    """Return what the weather asks for, place by place, each with its place in the walk."""
    if sky is None and not hot:
        return []
    places = {
        batch.place: PlaceOnRound(
            batch.place,
            batch.place_kind,
            batch.place_cover,
            batch.walk_order,
            air_c=hot.get(batch.place),
            shade_percent=None if batch.place_shade_percent is None else float(batch.place_shade_percent),
        )
        for batch in batches
        if batch.place
    }
    if sky is not None and is_near_frost(sky):
        for pots in young_pots_by_place(garden, on=on):
            bare = PlaceOnRound(pots.place, pots.kind, pots.cover, pots.walk_order)
            places[pots.place] = replace(places.get(pots.place, bare), n_young_pots=pots.n)
    waiting = {(batch.place, batch.cover_now): batch for batch in batches if batch.n_waiting > 0}
    acts = acts_for(
        [_stand_in(batch, on) for batch in waiting.values()],
        on=on,
        generator=np.random.default_rng(SEED),
        places=places.values(),
        south=is_south(float(garden.latitude_deg)),
        weather=sky,
    )
    return [(act, places[act.place].walk_order) for act in acts if act.place]


def _stand_in(batch: BatchNow, on: date) -> BatchOnRound:
    """Return cuttings under a cover at a place that ask for nothing of their own: stuck tomorrow."""
    counts = BatchCounts(on + timedelta(days=1), batch.n_waiting)
    return BatchOnRound(
        batch.batch, batch.taxon, cast(Wood, batch.wood), counts, batch.place, "", batch.cover_now
    )
