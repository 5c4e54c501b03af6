"""Today as its page shows it: places in the order of the walk, a card for each thing to do."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from functools import partial
from typing import cast
from zoneinfo import ZoneInfo

import numpy as np

from slipwright.advice.round import PROTECT_C, Act, acts_for
from slipwright.advice.timing import is_south
from slipwright.advice.walk import BatchOnRound, PlaceOnRound, WeatherOnRound
from slipwright.handbook import Handbook
from slipwright.handbook.pages import Wood
from slipwright.records import selectors
from slipwright.records.answers.cuts import cuts_on
from slipwright.records.answers.told import Curve, Told, ToldAct, told_batches
from slipwright.records.answers.walk import SEED
from slipwright.records.models import Garden, WeatherDay
from slipwright.records.selectors import BatchNow
from slipwright.records.selectors.listing import done_on, young_pots_by_place
from slipwright.rooting.counts import BatchCounts

#: cards on one page; where there are more, each place shows its first few and all of them by itself
CARDS = 36
#: batches named in a fold; the list of batches has the rest
NAMED = 40


@dataclass(frozen=True, slots=True)
class Card:
    """A batch, a stock plant or the place itself, and what it asks for today."""

    acts: tuple[ToldAct, ...]
    taxon: str = ""
    batch: BatchNow | None = None
    plant: str = ""
    days: int | None = None
    curve: Curve | None = None

    @property
    def rank(self) -> int:
        """0 where it cannot wait, 1 where it is due, 2 where it is calm."""
        if any(act.urgent for act in self.acts):
            return 0
        return 1 if any(act.act in ("pot_up", "cut") for act in self.acts) else 2


@dataclass(slots=True)
class PlaceToday:
    """A place on the walk: the cards shown, and what else stands there."""

    place: str
    number: int = 0
    cards: list[Card] = field(default_factory=list)
    #: cards of this place, shown or not
    n_to_do: int = 0
    #: batches that stand here
    n_here: int = 0
    #: batches with a card
    n_batches_to_do: int = 0
    #: where the cards shown begin, and whether there are more before or after them
    start: int = 0
    #: batches not looked at today that a look without counts would do justice to
    to_note: list[str] = field(default_factory=list)
    #: batches looked at today and when that was received by the garden's clock, the last one first
    looked: list[tuple[BatchNow, datetime]] = field(default_factory=list)
    order: int | None = None

    @property
    def n_looked(self) -> int:
        """Batches looked at today."""
        return len(self.looked)

    @property
    def n_to_note(self) -> int:
        """Batches that a look without counts would do justice to."""
        return len(self.to_note)

    @property
    def last_received(self) -> datetime | None:
        """When the last look of today was received."""
        return max((at for _, at in self.looked), default=None)

    @property
    def n_hidden(self) -> int:
        """Cards that are not shown."""
        return self.n_to_do - len(self.cards)

    @property
    def next_start(self) -> int | None:
        """Where the next cards begin; None after the last."""
        after = self.start + len(self.cards)
        return after if after < self.n_to_do else None


@dataclass(frozen=True, slots=True)
class TodayRound:
    """The round of a day, as far as one page shows it."""

    on: date
    #: places with something to do, as one walks
    places: tuple[PlaceToday, ...]
    #: places where nothing is left to do and something was looked at
    done_places: tuple[PlaceToday, ...]
    n_open: int
    n_need: int
    n_wait: int
    #: batches whose forecast is still being worked out
    n_working: int
    #: batches that ask for nothing, the first few
    quiet: tuple[BatchNow, ...]
    n_looked: int
    n_potted: int
    n_stuck: int
    weather: WeatherDay | None
    heat: tuple[Act, ...]
    frost: tuple[Act, ...]

    @property
    def has_more_quiet(self) -> bool:
        """Whether more batches ask for nothing than are named."""
        return self.n_wait > len(self.quiet)


def told_round(
    garden: Garden, handbook: Handbook, *, on: date, place: str | None = None, start: int = 0
) -> TodayRound:
    """Return what the round of a day asks for; of one ``place``, from its card ``start`` on. Nine queries.

    Four more on a day of frost and with forecasts that are not kept yet.
    """
    batches = selectors.states_of_open_batches(garden)
    told = told_batches(garden, handbook, batches, on=on)
    done = done_on(garden, on, batches)
    clock = ZoneInfo(garden.time_zone)
    looked = {pk: at.astimezone(clock) for pk, at in done.looked.items()}
    weather = selectors.weather_on(garden, on)
    by_weather = _weather_acts(garden, batches, weather, on)
    places: dict[str, PlaceToday] = {}

    def here(name: str, order: int | None) -> PlaceToday:
        return places.setdefault(name, PlaceToday(name, order=order))

    for act, order in by_weather:
        here(act.place or "", order).cards.append(Card((ToldAct(act.act, act.why, urgent=True),)))
    quiet = _put_batches(here, batches, told, looked, on)
    for plant_act, order in cuts_on(garden, handbook, batches, told, on):
        card = Card(
            (ToldAct(plant_act.act, plant_act.why),), plant_act.taxon or "", None, plant_act.plant or ""
        )
        here(plant_act.place or "", order).cards.append(card)
    walked = sorted(places.values(), key=_walk)
    to_do = [one for one in walked if one.cards]
    for number, one in enumerate(to_do, 1):
        one.number, one.n_to_do = number, len(one.cards)
        one.looked.sort(key=lambda seen: seen[1], reverse=True)
    n_need = sum(one.n_to_do for one in to_do)
    if place is not None:
        to_do = [one for one in to_do if one.place == place]
    _cut(to_do, place, start, n_need)
    return TodayRound(
        on=on,
        places=tuple(to_do),
        done_places=tuple(one for one in walked if not one.n_to_do and one.looked),
        n_open=len(batches),
        n_need=n_need,
        n_wait=len(quiet),
        n_working=len(batches) - len(told),
        quiet=tuple(quiet[:NAMED]),
        n_looked=len(looked),
        n_potted=done.n_potted,
        n_stuck=sum(batch.stuck_on == on for batch in batches),
        weather=weather,
        heat=tuple(act for act, _ in by_weather if act.act == "shade"),
        frost=tuple(act for act, _ in by_weather if act.act == "protect"),
    )


def to_note_at(garden: Garden, handbook: Handbook, place: str, *, on: date) -> list[str]:
    """Return the codes of the batches at a place that a look without counts would do justice to."""
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
        if not known.acts:
            quiet.append(batch)
        if batch.stuck_on < on and all(act.act == "look" and not act.urgent for act in known.acts):
            place.to_note.append(batch.batch)
    return quiet


def _walk(place: PlaceToday) -> tuple[bool, bool, int, str]:
    return (not place.place, place.order is None, place.order or 0, place.place)


def _cut(places: Sequence[PlaceToday], alone: str | None, start: int, n_cards: int) -> None:
    """Leave on each place the cards one page can show: what cannot wait comes before what is calm."""
    if alone is not None:
        for one in places:
            one.start = min(start, one.n_to_do)
            one.cards = one.cards[one.start : one.start + CARDS]
        return
    if n_cards <= CARDS:
        return
    each = max(CARDS // len(places), 1)
    for one in places:
        first = sorted(range(len(one.cards)), key=partial(_before, one.cards))[:each]
        one.cards = [one.cards[k] for k in sorted(first)]


def _before(cards: Sequence[Card], k: int) -> tuple[int, int]:
    return cards[k].rank, k


# --- weather ------------------------------------------------------------------------------------------


def _weather_acts(
    garden: Garden, batches: Sequence[BatchNow], weather: WeatherDay | None, on: date
) -> list[tuple[Act, int | None]]:
    """Return what the weather asks for, place by place, each with its place in the walk."""
    if weather is None:
        return []
    places = {
        batch.place: PlaceOnRound(batch.place, batch.place_kind, batch.place_cover, batch.walk_order)
        for batch in batches
        if batch.place
    }
    if weather.tmin_c <= PROTECT_C:
        for pots in young_pots_by_place(garden, on=on):
            places[pots.place] = PlaceOnRound(pots.place, pots.kind, pots.cover, pots.walk_order, pots.n)
    waiting = {(batch.place, batch.cover_now): batch for batch in batches if batch.n_waiting > 0}
    acts = acts_for(
        [_stand_in(batch, on) for batch in waiting.values()],
        on=on,
        generator=np.random.default_rng(SEED),
        places=places.values(),
        south=is_south(float(garden.latitude_deg)),
        weather=WeatherOnRound(float(weather.tmin_c), float(weather.tmax_c)),
    )
    return [(act, places[act.place].walk_order) for act in acts if act.place]


def _stand_in(batch: BatchNow, on: date) -> BatchOnRound:
    """Return cuttings under a cover at a place that ask for nothing of their own: stuck tomorrow."""
    counts = BatchCounts(on + timedelta(days=1), batch.n_waiting)
    return BatchOnRound(
        batch.batch, batch.taxon, cast(Wood, batch.wood), counts, batch.place, "", batch.cover_now
    )
