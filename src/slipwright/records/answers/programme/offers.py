"""Single changes that are worth trying: more room or hours, another number, day, assurance or cover."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from slipwright.advice._wording import tenths
from slipwright.craft.days import day_in_words
from slipwright.craft.said import Said, cased
from slipwright.outputs.measures import area_text
from slipwright.records.answers.garden_words import first_of
from slipwright.records.answers.programme.given import Given
from slipwright.records.answers.programme.lines import LineFacts
from slipwright.records.answers.programme.load import cover_of
from slipwright.records.answers.programme.planning import GardenProgramme
from slipwright.records.answers.programme.promised import counts_by, state_of
from slipwright.records.answers.programme.stops import gains_in_words
from slipwright.records.answers.programme.told import ProgrammeTold, WantTold
from slipwright.records.answers.programme.ways import ways_to_meet
from slipwright.records.answers.sayings import put_away
from slipwright.season.programme import Loosened

#: so many are offered, and so many of one kind of change to wants
MOST, _OF_A_KIND = 6, 2
#: a want may come so much later
_LATER = timedelta(weeks=8)
#: hours a week more, and draws that a later day is judged by
_MORE_H, _DRAWS = 2.0, 4_000
#: a chance that is offered in place of the one wished is worth having, and said in steps
_LEAST, _STEP = 0.3, 0.1
#: a later day that brings less is not worth a word
_A_LITTLE = 0.05


@dataclass(frozen=True, slots=True)
class Offer:
    """One change to try, as ``SeasonPlan.change`` has it, and what is known of it beforehand."""

    key: str
    label: str
    change: dict[str, Any]
    why: str
    expected: str | None = None

    def as_json(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "key": self.key,
            "label": put_away(self.label),
            "change": self.change,
            "why": put_away(self.why),
            "expected": None if self.expected is None else put_away(self.expected),
        }


def told_offers(
    found: GardenProgramme, told: ProgrammeTold, facts: Sequence[LineFacts]
) -> list[dict[str, Any]]:
    """Return at most six changes: first what more room brings, then wants by what they fall short."""
    offers = list(_of_room(found))[: MOST // 2]
    lines: dict[str, list[LineFacts]] = {}
    for one in facts:
        lines.setdefault(one.want.want, []).append(one)
    short = [one for one in told.wants if state_of(one) in ("near", "short")]
    short.sort(key=lambda one: -(one.value_each or 0.0) * one.short_by)
    each = [list(_of_want(found, one, lines.get(one.want.want, ()))) for one in short[: 2 * MOST]]
    while len(offers) < MOST and any(each):
        for of_want in each:
            # not all alike: of each kind of change few
            kinds = Counter(str(offer.change["kind"]) for offer in offers)
            of_want[:] = [offer for offer in of_want if kinds[offer.change["kind"]] < _OF_A_KIND]
            if of_want:
                offers.append(of_want.pop(min(range(len(of_want)), key=lambda k: _rank(kinds, of_want[k]))))
    once = {offer.key: offer for offer in offers}
    return [offer.as_json() for offer in list(once.values())[:MOST]]


def _rank(kinds: Counter[str], offer: Offer) -> tuple[int, bool]:
    return kinds[offer.change["kind"]], offer.expected is None


def _of_room(found: GardenProgramme) -> Iterator[Offer]:
    rows = {load.row: load for load in found.programme.loads}
    garden = found.problem.garden
    for one in found.programme.loosened:
        load = rows[one.row]
        if load.kind == "hours":
            yield Offer(
                "hours",
                Said("{h:g} more hours a week", h=_MORE_H),
                {"kind": "hours", "more_h": _MORE_H},
                Said("Hours bind."),
                _gains(one, garden.currency),
            )
        elif load.kind == "shoots":
            yield Offer(
                f"shoots:{load.place}",
                Said("{n:.0f} more shoots of {plant}", n=one.by, plant=load.place),
                {"kind": "shoots", "plant": load.place, "more": round(one.by)},
                Said("The share of its shoots that may be cut binds."),
                cased(gains_in_words(one, garden.currency), "capital"),
            )
        elif load.kind in ("bench", "nursery"):
            cover = cover_of(load)
            more = _a_place(found.problem.given, cover or "nursery")
            yield Offer(
                f"room:{cover or load.kind}",
                Said(_ONE_MORE[cover or load.kind].template, area=area_text(more, first=first_of(garden))),
                {"kind": "room", "place": cover or "nursery", "more_m2": more},
                Said("Room there binds."),
                _gains(one, garden.currency),
            )


#: one place more, by cover
_ONE_MORE = {
    "mist": Said("One more mist bench, {area}", area=""),
    "tent": Said("One more tent, {area}", area=""),
    "open": Said("One more frame, {area}", area=""),
    "nursery": Said("One more nursery bed, {area}", area=""),
}


def _gains(one: Loosened, currency: str) -> str:
    """Say what was found for a little more, which is less than the whole change brings."""
    return Said("A step of it alone {gains}", gains=gains_in_words(one, currency))


def _a_place(given: Given, word: str) -> float:
    """Return the room of the smallest place of its kind, as one more of them would have [m2]."""
    rooms = [
        one.room_m2
        for one in given.rooms
        if one.room_m2 and word == ("nursery" if one.kind == "nursery" else one.cover)
    ]
    return min(rooms, default=1.0)


def _of_want(found: GardenProgramme, told: WantTold, lines: Sequence[LineFacts]) -> Iterator[Offer]:
    want = told.want
    if told.short_by and told.planned:
        yield Offer(
            f"want_n:{want.want}",
            Said("{want}: {n} instead of {wanted}", want=want.want, n=told.planned, wanted=want.n_wanted),
            {"kind": "want_n", "want": want.want, "n": told.planned},
            Said("So many are planned for as it is."),
            Said("{n} with {p}", n=told.planned, p=tenths(told.promised_planned)),
        )
    yield from _other_cover(found, told)
    yield from _later(found, told, lines)
    least = int(told.promised / _STEP + 1e-9) * _STEP
    if _LEAST <= least < float(want.assurance) - 0.01 and tenths(least) != tenths(float(want.assurance)):
        yield Offer(
            f"want_assurance:{want.want}",
            Said(
                "{want}: content with {p} instead of {wished}",
                want=want.want,
                p=tenths(least),
                wished=tenths(float(want.assurance)),
            ),
            {"kind": "want_assurance", "want": want.want, "p": round(least, 2)},
            Said("So much is promised for all {n} as it is.", n=want.n_wanted),
            Said("all {n} with {p}", n=want.n_wanted, p=tenths(told.promised)),
        )


def _later(found: GardenProgramme, told: WantTold, lines: Sequence[LineFacts]) -> Iterator[Offer]:
    want, on = told.want, found.problem.given.on
    later: date = want.ready_by + _LATER
    # the year of both, where one of them lies in another than this
    year = None if later.year != on.year or want.ready_by.year != on.year else on
    expected = None
    if lines or want.want in {one.want for one in found.problem.standing}:
        (ready,) = counts_by(found, want.want, lines, [later], _DRAWS)
        p = float((ready >= want.n_wanted).mean())
        if p > told.promised + _A_LITTLE:
            expected = Said("all {n} with {p} by then, from the same batches", n=want.n_wanted, p=tenths(p))
    limits = {one.limit for one in told.stopped_by}
    if expected is None and not limits & {"no_option", "chance", "hours", "bench"}:
        # wood that is short today is as short eight weeks on
        return
    if "no_option" in limits and not ways_to_meet(found.problem.given, replace(want, ready_by=later)).ways:
        # nothing is ready then either
        return
    yield Offer(
        f"want_by:{want.want}",
        Said(
            "{want}: by {later} instead of {day}",
            want=want.want,
            later=day_in_words(later, beside=year),
            day=day_in_words(want.ready_by, beside=year),
        ),
        {"kind": "want_by", "want": want.want, "on": later.isoformat()},
        Said("Cuttings stuck in time would have eight weeks more."),
        expected,
    )


def _other_cover(found: GardenProgramme, told: WantTold) -> Iterator[Offer]:
    given, want = found.problem.given, told.want
    ways = [way for (name, _), way in found.problem.stuckable.items() if name == want.want]
    used = {way.made.cover for way in ways if way.made.cuttings.leaves != "none"}
    limits = {one.limit for one in told.stopped_by}
    if len(used) != 1 or not limits & {"bench", "chance"}:
        return
    has = {one.cover for one in given.rooms if one.kind != "nursery"}
    (now,) = used
    for cover in ("mist", "tent"):
        if cover in has and cover != now:
            yield Offer(
                f"cover:{want.taxon}:{cover}",
                Said("{want}: {cover}", want=want.want, cover=_UNDER[cover]),
                {"kind": "cover", "taxon": want.taxon, "cover": cover},
                Said("As it is, its leafy cuttings go {now}.", now=_UNDER[now]),
            )


#: where leafy cuttings stand
_UNDER = {"mist": Said("under mist"), "tent": Said("under a tent"), "open": Said("in the open")}
