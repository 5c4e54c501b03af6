"""What the pages for a look and for potting up start from, and whether what was counted adds up."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any, cast

import numpy as np

from slipwright.advice.growing import growing_rests_on, is_learned
from slipwright.advice.rooted import stands_rooted
from slipwright.advice.round import acts_for
from slipwright.advice.timing import is_south
from slipwright.advice.walk import BatchOnRound, patience_of_batch, rule_of
from slipwright.handbook import Handbook
from slipwright.handbook.pages import COMMON_PRACTICE, PotUpRule, Wood, WoodLeaf
from slipwright.records import selectors, sums
from slipwright.records.answers.growth import growth_of
from slipwright.records.answers.today import whole_walk
from slipwright.records.answers.today_parts import Card
from slipwright.records.answers.walk import SEED, batches_on_round, learned_for, round_days
from slipwright.records.models import (
    ENTRY_MODELS,
    Container,
    Garden,
    Look,
    Medium,
    Place,
    Potting,
    Sticking,
)
from slipwright.records.selectors import BatchNow
from slipwright.rooting.dates import give_up_on, next_look_on
from slipwright.rooting.grow_prior import NO_PAGE_WEANING, Points
from slipwright.rooting.potting import DayRange, may_pot_from

#: days after potting when a cover is first loosened: common practice, no source
LOOSEN_AFTER_DAYS = 3
#: sooner than so many days, or than this share of the handbook's days for the first in 10, a cutting
#: counted as rooted is asked about.  Common practice, no source
FIRST_ROOTS_DAYS = 3
FIRST_ROOTS_SHARE = 0.25


@dataclass(frozen=True, slots=True)
class Start:
    """A batch as a page to record something about it starts from."""

    sticking: Sticking
    now: BatchNow
    #: days since it was stuck
    day: int
    #: the last look that counts, None where there was none
    last: Look | None
    #: rooted cuttings ever counted that have not died
    n_alive_rooted: int
    gives_up_on: date
    patience_is_out: bool

    @property
    def after(self) -> str:
        """The id of what a new look follows: the last look, or the sticking where there was none."""
        return (self.last or self.sticking).entry_id


@dataclass(frozen=True, slots=True)
class OnRound:
    """Where a batch comes in the round of a day, and what comes after it."""

    n: int
    m: int
    next_batch: str = ""
    next_taxon: str = ""
    next_place: str = ""
    next_act: str = ""


@dataclass(frozen=True, slots=True)
class Doubt:
    """Why the counts of a look would not add up: ``kind``, how many there were, how many were said."""

    kind: str
    n_there: int = 0
    n_said: int = 0

    @property
    def n_over(self) -> int:
        """How many more were said than there were."""
        return max(self.n_said - self.n_there, 0)


@dataclass(frozen=True, slots=True)
class Afterwards:
    """When a batch may be potted, and what comes after: days with their spreads."""

    rule: PotUpRule
    why: str
    #: since when rooted ones stand unpotted, as Today's round takes it; None where none does
    since: date | None
    #: the first day it may be disturbed; today or before where nothing holds it
    may_from: DayRange
    must_wait: bool
    loosen_on: date
    weaned_on: DayRange
    weaned_after: tuple[int, int]
    ready_on: DayRange | None
    #: of ten potted, how many live to it: likely, low, high; None where the handbook does not say
    live_in_ten: tuple[int, int, int] | None
    from_page: bool
    #: days to wean, months until ready and how many live: what each rests on
    rests_on: tuple[tuple[str, str], ...] = ()


def start_of(garden: Garden, handbook: Handbook, code: str, *, on: date) -> Start:
    """Return a batch as a page to record about it starts from."""
    sticking = selectors.batch_by_code(garden, code)
    (now,) = selectors.states_of_batches(garden, [sticking])
    (batch,) = batches_on_round(garden, handbook, [now], for_forecasts=False)
    looks = selectors.looks_of(garden, [now.pk]).get(now.pk, [])
    gives_up_on = give_up_on(now.stuck_on, patience_of_batch(batch))
    return Start(
        sticking=sticking,
        now=now,
        day=(on - now.stuck_on).days,
        last=looks[-1] if looks else None,
        n_alive_rooted=now.n_rooted - now.n_lost_rooted,
        gives_up_on=gives_up_on,
        patience_is_out=on >= gives_up_on and now.n_waiting > 0,
    )


def on_round(garden: Garden, handbook: Handbook, batch: str, *, on: date) -> OnRound | None:
    """Return where a batch comes among the cards of Today; None where it is not on the round.

    A batch that was due and is done today is counted as walked past, before the cards of its place, so
    the count does not run away while one walks. What comes next is at the same place while there is any.
    """
    garden.refresh_from_db(fields=["last_number", "last_edit"])
    to_do = whole_walk(garden, handbook, on=on)
    cards = {place.place: place.cards for place in to_do}
    left = {card.batch.batch for place in to_do for card in place.cards if card.batch}
    stops = {(place.order is None, place.order or 0, place.place) for place in to_do}
    done: dict[str, list[str]] = {}
    for now in _done_on(garden, handbook, on, left):
        done.setdefault(now.place, []).append(now.batch)
        stops.add((now.walk_order is None, now.walk_order or 0, now.place))
    walk: list[tuple[str, str, Card | None]] = []
    for *_, name in sorted(stops, key=lambda stop: (not stop[2], *stop)):
        walk += [(name, code, None) for code in done.get(name, ())]
        walk += [(name, card.batch.batch if card.batch else "", card) for card in cards.get(name, ())]
    here = next((k for k, (_, code, _card) in enumerate(walk) if code == batch), None)
    if here is None:
        return None
    ahead = [*walk[here + 1 :], *walk[:here]]
    ahead.sort(key=lambda stop: stop[0] != walk[here][0])
    for place, code, card in ahead:
        if card is not None and card.batch is not None:
            act = card.acts[0].act
            return OnRound(here + 1, len(walk), code, card.taxon, place, act)
    return OnRound(here + 1, len(walk))


def _done_on(garden: Garden, handbook: Handbook, on: date, left: set[str]) -> list[BatchNow]:
    """Return the batches that were due on a day and ask for nothing more: looked at, or potted."""
    potted = set(
        Potting.rows.of(garden).standing().filter(on=on).values_list("batch__batch", flat=True).distinct()
    )
    seen = [
        now
        for now in selectors.states_of_all_batches(garden)
        if now.batch not in left and (now.batch in potted or (now.last_look_on == on and now.n_looks))
    ]
    walked = zip(seen, batches_on_round(garden, handbook, seen, for_forecasts=False), strict=True)
    days = round_days(garden)
    done = {now.batch for now, batch in walked if now.batch in potted or _was_due(batch, days, on)}
    others = [now for now in seen if now.batch not in done]
    done |= _were_due_early(garden, batches_on_round(garden, handbook, others), on)
    return [now for now in seen if now.batch in done]


def _was_due(batch: BatchOnRound, days: int, on: date) -> bool:
    """Return whether a look was due before those of the day: a place noted in passing was not."""
    before = batch.counts.until(on - timedelta(days=1))
    last = before.looks[-1] if before.looks else None
    due_on = next_look_on(
        last.on if last else before.stuck_on, round_days=days, rot_seen=bool(last and last.rot_seen)
    )
    return on >= min(due_on, give_up_on(before.stuck_on, patience_of_batch(batch)))


def _were_due_early(garden: Garden, batches: Sequence[BatchOnRound], on: date) -> set[str]:
    """Return those that, as far as was known the day before, likely had rooted ones to pot on a day."""
    before = [replace(one, counts=one.counts.until(on - timedelta(days=1))) for one in batches]
    if not before:
        return set()
    acts = acts_for(
        before,
        on=on,
        generator=np.random.default_rng(SEED),
        south=is_south(float(garden.latitude_deg)),
        round_days=round_days(garden),
        learned=learned_for(garden, before),
    )
    return {act.batch for act in acts if act.batch and act.act in ("look", "give_up")}


def is_kept(garden: Garden, kind: str, entry_id: str) -> bool:
    """Return whether an entry of this kind and id is there already: a second press of the same button."""
    model: Any = next(model for model in ENTRY_MODELS if model.kind == kind)
    return bool(model.rows.of(garden).filter(entry_id=entry_id).exists())


def looked_before(garden: Garden, sticking: Sticking, entry_id: str, *, on: date) -> str:
    """Return the id of what a new look follows: none if that is of a later day."""
    if not entry_id:
        return ""
    if entry_id == sticking.entry_id:
        return entry_id if sticking.stuck_on <= on else ""
    known = Look.rows.of(garden).filter(entry_id=entry_id, batch=sticking, on__gt=on).exists()
    return "" if known else entry_id


def doubts_of_look(
    garden: Garden, handbook: Handbook, sticking: Sticking, look: sums.LookSeen
) -> list[Doubt]:
    """Return why the counts would not add up, or hardly can be, if this look were kept; else empty."""
    looks = [_seen(kept) for kept in Look.rows.of(garden).standing().filter(batch=sticking)]
    pottings = [
        sums.PottedUp(potting.on, potting.number, potting.n_potted)
        for potting in Potting.rows.of(garden).standing().filter(batch=sticking)
    ]
    number = 1 + max((kept.number for kept in looks), default=0)
    # counted beside a look made after the same thing, not in its place: so a stale form is asked about
    new = replace(look, number=number, after="")
    then = sums.standing(sticking.n_stuck, sticking.stuck_on, [*looks, new], pottings)
    doubts = []
    if look.on < sticking.stuck_on:
        doubts.append(Doubt("before-sticking"))
    elif look.n_rooted and (day := (look.on - sticking.stuck_on).days) < first_roots(handbook, sticking):
        doubts.append(Doubt("rooted-early", day, look.n_rooted))
    said = sum(count or 0 for count in (look.n_rooted, look.n_lost, look.n_removed))
    there = max(then.n_waiting + said, 0)
    if said and then.n_waiting < 0:
        doubts.append(Doubt("more-than-waiting", there, said))
    died = look.n_lost_rooted or 0
    if died and then.n_to_pot < 0:
        doubts.append(Doubt("more-than-rooted", max(then.n_to_pot + died, 0), died))
    tried = look.n_tried or 0
    if not said and tried > max(there + then.n_to_pot, 0):
        doubts.append(Doubt("tried-more", max(there + then.n_to_pot, 0), tried))
    return doubts


def first_roots(handbook: Handbook, sticking: Sticking) -> int:
    """Return the days after sticking before which hardly any cutting of this wood can have rooted."""
    page = handbook.page_of(sticking.taxon.taxon)
    leaf = page.woods.get(cast(Wood, sticking.wood)) if page else None
    soonest = min(spread.p10 for spread in leaf.weeks_to_root) if leaf else 0.0
    return max(FIRST_ROOTS_DAYS, round(7 * soonest * FIRST_ROOTS_SHARE))


def doubts_of_potting(now: BatchNow, n_potted: int, on: date) -> list[Doubt]:
    """Return why a potting would not add up; empty where it does."""
    doubts = []
    if on < now.stuck_on:
        doubts.append(Doubt("before-sticking"))
    there = max(now.n_to_pot, 0) + max(now.n_waiting, 0)
    if n_potted > there:
        doubts.append(Doubt("potted-more", there, n_potted))
    return doubts


def afterwards(garden: Garden, handbook: Handbook, now: BatchNow, *, on: date) -> Afterwards:
    """Return when a batch may be potted up, and the days that follow a potting of ``on``."""
    (batch,) = batches_on_round(garden, handbook, [now])
    leaf: WoodLeaf | None = batch.page.woods.get(batch.wood) if batch.page else None
    rule, south = rule_of(batch), is_south(float(garden.latitude_deg))
    stands = stands_rooted(batch, on=on, south=south)
    known = growth_of(garden, handbook, on=on).of(now.taxon, batch.page)
    weaning = known.days("weaned", now.wood) or NO_PAGE_WEANING
    days = (round(weaning[0]), round(weaning[1]), round(weaning[2]))
    finished = known.days("finished", now.wood)
    survive = batch.page.survive_percent if batch.page else None
    lives = survive is not None or is_learned(known, "survive")
    return Afterwards(
        rule=rule,
        why=leaf.pot_up_note.text if leaf else "",
        since=stands.since if stands else None,
        may_from=stands.may_from if stands else may_pot_from(on, rule, south),
        must_wait=not stands.is_let(on) if stands else may_pot_from(on, rule, south).p50 != on,
        loosen_on=on + timedelta(days=min(LOOSEN_AFTER_DAYS, days[0])),
        weaned_on=_after(on, days, "weaned"),
        weaned_after=(days[0], days[2]),
        ready_on=_ready(finished, now.stuck_on, on) if finished else None,
        live_in_ten=_in_ten(known.living()) if lives else None,
        from_page=leaf is not None,
        rests_on=tuple(
            (what, growing_rests_on(known, what, origin.words if origin else COMMON_PRACTICE))
            for what, origin in (
                ("weaned", leaf.weaning_days.origin if leaf else None),
                ("finished", leaf.months_to_finished.origin if leaf else None),
                ("survive", survive.origin if survive else None),
            )
            if is_learned(known, what)
        ),
    )


@dataclass(frozen=True, slots=True)
class IntoWhat:
    """What a garden has to pot into, and where it can stand them."""

    containers: tuple[Container, ...]
    media: tuple[Medium, ...]
    places: tuple[Place, ...]


def into_what(garden: Garden) -> IntoWhat:
    """Return the garden's containers that hold one plant, its media and its places."""
    return IntoWhat(
        tuple(Container.rows.of(garden).order_by("volume_ml", "container")),
        tuple(Medium.rows.of(garden).order_by("medium")),
        tuple(Place.rows.of(garden).order_by("walk_order", "place")),
    )


def batch_of_saved(garden: Garden, entries: Iterable[tuple[str, str]]) -> str:
    """Return the batch that entries just saved are about; nothing where it is none or they stuck it."""
    for kind, entry_id in entries:
        model: Any = next((model for model in ENTRY_MODELS if model.kind == kind), None)
        if model is None or kind == "sticking" or not hasattr(model, "batch_id"):
            continue
        entry = model.rows.of(garden).select_related("batch").filter(entry_id=entry_id).first()
        if entry is not None and entry.batch is not None:
            return str(entry.batch.batch)
    return ""


def _seen(look: Look) -> sums.LookSeen:
    return sums.LookSeen(
        look.entry_id,
        look.on,
        look.number,
        look.after,
        look.n_rooted,
        look.n_lost,
        look.n_waiting,
        look.n_removed,
        look.n_lost_rooted,
        look.n_tried,
        look.n_tried_rooted,
    )


def _ready(points: Points, stuck_on: date, on: date) -> DayRange:
    """Days a plant is finished, counted from sticking, and never before it is potted."""
    days = [max(round(day), (on - stuck_on).days) for day in points]
    return _after(stuck_on, days, "finished")


def _after(on: date, days: Sequence[int], rule: str) -> DayRange:
    low, middle, high = (on + timedelta(days=n) for n in days)
    return DayRange(low, middle, high, rule)


def _in_ten(shares: Points) -> tuple[int, int, int]:
    return round(10 * shares[1]), round(10 * shares[0]), round(10 * shares[2])
