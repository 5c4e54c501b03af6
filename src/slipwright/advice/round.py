"""Today's round: what each batch, place and stock plant asks for, in the order one walks."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any, Literal

import numpy as np

from slipwright.advice._wording import day_in_words
from slipwright.advice.heat_and_frost import When, dangers_at
from slipwright.advice.plant_season import season_of_plant
from slipwright.advice.rooted import stands_rooted
from slipwright.advice.timing import Opening
from slipwright.advice.walk import (
    BatchOnRound,
    PlaceOnRound,
    PlantOnRound,
    WeatherOnRound,
    has_page,
    patience_of_batch,
    record_of_batch,
    rule_of,
)
from slipwright.craft.said import Said
from slipwright.handbook.pages import Wood
from slipwright.rooting.counts import BatchCounts
from slipwright.rooting.dates import LEAST_ROUND_DAYS, ROUND_DAYS, give_up_on, next_look_on
from slipwright.rooting.forecast import Forecast, ForecastDay, forecast_batch
from slipwright.rooting.learned import Learned, before_records

ActName = Literal["cut", "stick", "look", "weigh", "shade", "protect", "pot_up", "give_up"]

#: days after which a tied pot is weighed again, and after which one that felt lighter is
WEIGH_DAYS = 14
WEIGH_LIGHT_DAYS = 3
#: a plant nobody asked for is named in its first sure week and in its last three
NEW_DAYS = 7
LAST_DAYS = 21
_WOODS: dict[Wood, Said] = {
    "softwood": Said("softwood"),
    "semi-hardwood": Said("semi-hardwood"),
    "hardwood": Said("hardwood"),
}


@dataclass(frozen=True, slots=True)
class Act:
    """One thing to do: a verb, where, and why in ten words at most.

    What the weather asks for says when the danger comes and the temperature it rests on [°C].
    """

    act: ActName
    why: str
    batch: str | None = None
    plant: str | None = None
    taxon: str | None = None
    place: str | None = None
    forecast: Forecast | None = None
    when: When | None = None
    c: float | None = None
    #: False where a plant may be cut, and nobody wants it
    is_asked: bool = True

    def as_json(self) -> dict[str, Any]:
        """Plain data, as ``docs/contract/today.json`` has it."""
        told: dict[str, Any] = {}
        if self.forecast:
            told = {
                "days": [day.as_json() for day in self.forecast.days],
                "rests_on": self.forecast.rests_on.as_json(),
            }
        return {
            "batch": self.batch,
            "plant": self.plant,
            "taxon": self.taxon,
            "place": self.place,
            "act": self.act,
            "why": self.why,
            "forecast": told,
        }


@dataclass(slots=True)
class _Round:
    """What holds for the whole walk, with windows worked out once a page."""

    on: date
    south: bool
    round_days: int
    seed: int
    learned: Learned
    forecasts: Mapping[str, Forecast]
    openings: dict[tuple[str, str | None, float, float], Opening | None] = field(default_factory=dict)

    def opening_of(self, plant: PlantOnRound) -> Opening | None:
        page = plant.page
        if plant.season is not None or page is None:
            return plant.season.best if plant.season else None
        rule = page.bloom
        key = (page.key, plant.flowers, rule.gap_before_days.value, rule.gap_after_days.value)
        if key not in self.openings:
            season = season_of_plant(page, self.on, south=self.south, flowers=plant.flowers)
            self.openings[key] = season.best
        return self.openings[key]

    def forecast(self, batch: BatchOnRound) -> Forecast:
        if batch.batch in self.forecasts:
            return self.forecasts[batch.batch]
        patience = patience_of_batch(batch)
        left = (give_up_on(batch.counts.stuck_on, patience) - self.on).days
        return forecast_batch(
            self.learned,
            record_of_batch(batch, south=self.south),
            on=self.on,
            # a generator of its own: a batch is told alike whichever others stand beside it
            generator=np.random.default_rng(self.seed),
            patience_days=patience,
            from_page=has_page(batch),
            ahead=[0, 7, *([left] if left > 7 else [])],
            pot_up=rule_of(batch),
            south=self.south,
            round_days=self.round_days,
        )


def acts_for(
    batches: Iterable[BatchOnRound],
    *,
    on: date,
    generator: np.random.Generator,
    plants: Iterable[PlantOnRound] = (),
    places: Iterable[PlaceOnRound] = (),
    south: bool = False,
    round_days: int = ROUND_DAYS,
    weather: WeatherOnRound | None = None,
    learned: Learned | None = None,
    forecasts: Mapping[str, Forecast] | None = None,
) -> tuple[Act, ...]:
    """Return today's acts in walking order.

    Parameters
    ----------
    batches : iterable of BatchOnRound
        Batches under way; those with nothing waiting and nothing to pot ask for nothing.
    on : date
        Today.
    generator : numpy.random.Generator
        Where the draws of the forecasts come from.
    plants : iterable of PlantOnRound
        Stock plants.
    places : iterable of PlaceOnRound
        Places in any order; one that is not listed comes last.
    south : bool
        Whether the garden lies south of the equator.
    round_days : int
        Days between looks [days].
    weather : WeatherOnRound, optional
        Extremes and light of today and tomorrow; without them nothing is said of shade and frost.
    learned : Learned, optional
        What records taught of rooting; the handbook alone unless given.
    forecasts : mapping of str to Forecast, optional
        Forecasts of the day already made, by batch, a week ahead among their days.

    Returns
    -------
    tuple of Act
        By place as one walks: the place itself, its batches, its stock plants.

    Notes
    -----
    Look: ``round_days`` after the last look or sticking, 5 days where rot was seen, from the 5th day on
    sooner where rooted ones likely stand unpotted (`slipwright.rooting.forecast.forecast_batch`). Pot up:
    three rooted and unpotted, or a third of those alive if that is more (three will do once they stand 14
    days), or one of a lot of three or fewer, as soon as the handbook's rule for the plant lets; plants that
    must stand until spring or new growth are not pressed before. Give up: patience has run out and
    something still waits, or a look is due and hardly any will likely root; never unseen: where nobody looked
    for 14 days, or some have likely rooted uncounted, a look comes first. Weigh: tents, 14 days after the
    last time, 3 if it felt lighter.
    Shade and protect: `slipwright.advice.heat_and_frost`.  Cut: the wood is by the plant's
    own season likelier right than not, and the plant is wanted, newly sure, or closing within three weeks;
    or a programme asks for it.

    References
    ----------
    The thresholds are our own: common practice, no source.

    Examples
    --------
    >>> batch = BatchOnRound("K7Q2M9T3", "Rosa", "hardwood", BatchCounts(date(2026, 11, 20), 12))
    >>> acts = acts_for([batch], on=date(2026, 11, 27), generator=np.random.default_rng(1))
    >>> [(act.act, act.why) for act in acts]
    [('look', 'first look, 7 days after sticking')]
    """
    walk = _Round(
        on, south, round_days, int(generator.integers(2**31)), learned or before_records(), forecasts or {}
    )
    batches, plants = list(batches), list(plants)
    by_place = {place.place: place for place in places}
    acts = [act for batch in batches for act in _batch_acts(walk, batch)]
    acts += [act for plant in plants for act in _plant_acts(walk, plant)]
    acts = [*_weather_acts(by_place, batches, weather or WeatherOnRound()), *acts]

    def walking(act: Act) -> tuple[bool, bool, int, str]:
        place = by_place.get(act.place or "")
        order = place.walk_order if place else None
        return (not act.place, order is None, order or 0, act.place or "")

    # the sort is stable: within a place the place itself, then batches, then plants, as given
    return tuple(sorted(acts, key=walking))


# --- a batch ------------------------------------------------------------------------------------------


def _batch_acts(walk: _Round, batch: BatchOnRound) -> Iterator[Act]:
    known = batch.counts.until(walk.on)
    if walk.on < known.stuck_on or (known.n_waiting == 0 and known.n_to_pot == 0):
        return
    whys: list[tuple[ActName, str]] = []
    told: Forecast | None = None
    if why := _why_pot_up(walk, batch):
        whys.append(("pot_up", why))
    if known.n_waiting and walk.on >= give_up_on(known.stuck_on, patience_of_batch(batch)):
        told = walk.forecast(batch)
        if not told.to_look_first:
            words = Said("{n} still waiting, long past its time; scratch the bark", n=known.n_waiting)
            whys.append(("give_up", words))
    if not whys and known.n_waiting and walk.on >= _last_on(known) + timedelta(days=LEAST_ROUND_DAYS):
        told = told or walk.forecast(batch)
        whys += _look_or_give_up(walk, known, told)
    if all(act != "give_up" for act, _ in whys) and (why := _why_weigh(walk, batch, known)):
        whys.append(("weigh", why))
    if not whys:
        return
    told = told or walk.forecast(batch)
    for act, why in whys:
        if (
            act == "look"
            and known.n_rooted == 0
            and told.unseen_days is None
            and not _rot(known)
            and _in_a_week(told, walk.on).rooted.p50 > 0
        ):
            why = Said("first roots likely this week")
        yield Act(act, why, batch.batch, batch.plant or None, batch.taxon, batch.place or None, told)


def _in_a_week(told: Forecast, on: date) -> ForecastDay:
    return next((day for day in told.days if (day.on - on).days >= ROUND_DAYS), told.days[-1])


def _rot(known: BatchCounts) -> bool:
    return bool(known.looks) and known.looks[-1].rot_seen


def _last_on(known: BatchCounts) -> date:
    return known.looks[-1].on if known.looks else known.stuck_on


def _look_or_give_up(walk: _Round, known: BatchCounts, told: Forecast) -> Iterator[tuple[ActName, str]]:
    if told.look_next_on > walk.on:
        return
    if told.give_up_on <= walk.on and not told.to_look_first:
        words = Said("{n} waiting, hardly any likely to root; scratch the bark", n=known.n_waiting)
        yield "give_up", words
    else:
        yield "look", _why_look(walk, known, told)


def _why_look(walk: _Round, known: BatchCounts, told: Forecast) -> str:
    last = _last_on(known)
    if told.unseen_days is not None:
        return _unseen(known, told, told.unseen_days)
    if walk.on < next_look_on(last, round_days=walk.round_days, rot_seen=_rot(known)):
        return Said("about {n} more likely rooted by now", n=max(told.days[0].rooted.p50 - known.n_rooted, 1))
    if _rot(known):
        return Said("rot seen at the last look; it spreads")
    days = (walk.on - last).days
    if known.looks:
        return Said("{n} days since the last look", n=days)
    return Said("first look, {n} days after sticking", n=days)


def _unseen(known: BatchCounts, told: Forecast, days: int) -> str:
    by_now = told.days[0].rooted
    said = {"days": days, "low": by_now.p10, "high": by_now.p90, "of": known.n_stuck}
    if by_now.p90 <= known.n_rooted:
        return Said("unseen {days} days", **said)
    if by_now.p10 == by_now.p90:
        return Said("unseen {days} days; likely {high} of {of} rooted", **said)
    return Said("unseen {days} days; likely {low} to {high} of {of} rooted", **said)


def _why_pot_up(walk: _Round, batch: BatchOnRound) -> str:
    stands = stands_rooted(batch, on=walk.on, south=walk.south)
    if stands is None or not stands.may_pot(walk.on):
        return ""
    if stands.not_ready_on:
        days = (walk.on - stands.not_ready_on).days
        return Said("{n} rooted; not ready to pot {days} days ago", n=stands.n, days=days)
    if stands.grows:
        return Said("{n} rooted and new growth seen", n=stands.n)
    if stands.rule == "undisturbed-until-spring":
        return Said("{n} rooted, and spring growth is due", n=stands.n)
    if stands.rule == "after-new-growth":
        return Said("{n} rooted, and new growth is due", n=stands.n)
    days = (walk.on - stands.since).days
    if not days:
        return Said("{n} rooted and unpotted", n=stands.n)
    since_on = day_in_words(stands.since, beside=walk.on)
    if days == 1:
        return Said("{n} rooted since {day}, unpotted 1 day", n=stands.n, day=since_on)
    return Said("{n} rooted since {day}, unpotted {days} days", n=stands.n, day=since_on, days=days)


def _why_weigh(walk: _Round, batch: BatchOnRound, known: BatchCounts) -> str:
    if batch.cover != "tent" or not known.n_waiting:
        return ""
    weighed = [look for look in known.looks if look.pot_weight]
    last = weighed[-1].on if weighed else known.stuck_on
    lighter = bool(weighed) and weighed[-1].pot_weight == "lighter"
    days = (walk.on - last).days
    if days < (WEIGH_LIGHT_DAYS if lighter else WEIGH_DAYS):
        return ""
    if lighter:
        return Said("felt lighter {n} days ago; water if still light", n=days)
    if weighed:
        return Said("{n} days since it was weighed", n=days)
    return Said("{n} days tied and not yet weighed", n=days)


# --- stock plants, weather ----------------------------------------------------------------------------


def _plant_acts(walk: _Round, plant: PlantOnRound) -> Iterator[Act]:
    if not plant.may_stick:
        return
    if plant.planned:
        yield Act("cut", plant.planned, None, plant.plant, plant.taxon, plant.place or None)
    if plant.planned or plant.n_wanted == 0:
        return
    opening = walk.opening_of(plant)
    if opening is None or opening.from_on != walk.on:
        return
    window = opening.window
    left = (window.closes_on - walk.on).days
    sure_for = (walk.on - window.sure_from).days if window.sure_from else -1
    closing = left <= LAST_DAYS
    if plant.n_wanted is None and not closing and not 0 <= sure_for < NEW_DAYS:
        return
    why = _why_cut(opening.wood, left if closing else None, window.p_open)
    if plant.n_wanted:
        why = Said("{n} more rooted wanted; {rest}", n=plant.n_wanted, rest=why)
    is_asked = plant.n_wanted is not None
    yield Act("cut", why, None, plant.plant, plant.taxon, plant.place or None, is_asked=is_asked)


def _why_cut(name: Wood, left: int | None, p_open: float) -> str:
    """Say how the wood stands; ``left`` days before it closes, if that is near."""
    wood = _WOODS[name]
    if left is None:
        return (
            Said("{wood} is right now", wood=wood)
            if p_open >= 0.9
            else Said("{wood} is likely right", wood=wood)
        )
    weeks = round(left / 7)
    if not weeks:
        return Said("{wood} closes within days", wood=wood)
    if weeks == 1:
        return Said("{wood} closes in about 1 week", wood=wood)
    return Said("{wood} closes in about {weeks} weeks", wood=wood, weeks=weeks)


def _weather_acts(
    by_place: dict[str, PlaceOnRound], batches: Sequence[BatchOnRound], weather: WeatherOnRound
) -> Iterator[Act]:
    for name in dict.fromkeys([*by_place, *(batch.place for batch in batches)]):
        if not name:
            continue
        place = by_place.get(name, PlaceOnRound(name))
        here = [batch for batch in batches if batch.place == name and batch.counts.n_waiting]
        tented = any((batch.cover or place.cover) == "tent" for batch in here)
        for one in dangers_at(place, weather, is_tented=tented, has_cuttings=bool(here)):
            yield Act(one.act, one.why, place=name, when=one.when, c=one.c)
