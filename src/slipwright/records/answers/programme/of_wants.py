"""What the programme in use says of each want: what it promises, and what is still to be stuck for it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from slipwright.records.answers.programme.lines_now import LineNow, lines_as_they_stand
from slipwright.records.answers.programme.wants_now import IsWanted, is_other
from slipwright.records.answers.sayings import said_again
from slipwright.records.models import Garden
from slipwright.records.selectors import WantNow
from slipwright.records.selectors.season_stuck import InUse, programme_in_use

#: wants on one page of the season
WANTS = 10
#: what can be promised
GOOD = ("likely", "met")
_RANK = {"short": 0, "near": 1}
_TO_DO = ("late", "now", "later")


@dataclass(frozen=True, slots=True)
class PlannedWant:
    """A want as the programme in use has it."""

    plan: int
    #: its place among the wants of the season
    place: int
    #: all that the programme tells of it
    told: Mapping[str, Any]
    #: its batches still to be stuck, those that are late first
    to_do: Sequence[LineNow]
    n_done: int
    #: batches whose wood is over, and were not stuck
    n_missed: int
    #: what was changed of it in the programme; empty where it was planned as it is
    change: Mapping[str, Any]

    @property
    def is_good(self) -> bool:
        """Whether all of it can be promised as surely as wished."""
        return self.told["state"] in GOOD

    @property
    def stops(self) -> str:
        """What stops it first, where it falls short; else nothing."""
        why = next((one["why"] for one in self.told.get("stopped_by", ())), "")
        return "" if self.is_good or not why else said_again(why)


def planned_wants(garden: Garden, wants: Iterable[WantNow], *, on: date) -> dict[str, PlannedWant] | None:
    """Return those wants that the programme in use was made for, by name; None where no programme is in use.

    A want that came after it, or that is another by now, is left out. ``garden`` must have just been read,
    with its programme. At most two queries, none where lines and what was stuck are remembered.
    """
    in_use = programme_in_use(garden)
    if in_use is None:
        return None
    known = _known(in_use, wants, on)
    if not known:
        return {}
    lines: dict[str, list[LineNow]] = {}
    for line in lines_as_they_stand(garden, in_use, on=on):
        lines.setdefault(line.told["want"], []).append(line)
    told = {one["want"]: one for one in in_use.wants}
    change = in_use.change
    places = {one["want"]: place for place, one in enumerate(wants_in_order(in_use.wants, on))}
    return {
        name: PlannedWant(
            in_use.plan,
            places[name],
            told[name],
            sorted((one for one in lines.get(name, ()) if one.standing in _TO_DO), key=lambda one: one.week),
            sum(one.standing == "done" for one in lines.get(name, ())),
            sum(one.standing == "missed" for one in lines.get(name, ())),
            change if change.get("want") == name else {},
        )
        for name in known
    }


def known_wants(garden: Garden, wants: Iterable[IsWanted], *, on: date) -> frozenset[str]:
    """Return the names of those wants that the programme in use was made for; none where none is in use.

    ``garden`` must have just been read, with its programme. No query where the lines were read before.
    """
    in_use = programme_in_use(garden)
    return frozenset(_known(in_use, wants, on)) if in_use else frozenset()


def _known(in_use: InUse, wants: Iterable[IsWanted], on: date) -> list[str]:
    told = {one["want"]: one for one in in_use.wants if not is_past(one, on)}
    return [
        want.want
        for want in wants
        if want.want in told and not is_other(told[want.want], want, in_use.change)
    ]


def is_past(want: Mapping[str, Any], on: date) -> bool:
    """Return whether the day of a want is past: when the programme was made, or since."""
    return want["state"] == "past" or date.fromisoformat(want["ready_by"]) < on


def wants_in_order(wants: Iterable[Mapping[str, Any]], on: date) -> list[Mapping[str, Any]]:
    """Return the wants of a programme whose day is to come, the soonest first.

    Where there are more than one page of them, those that fall short come first.
    """
    found = sorted(
        (want for want in wants if not is_past(want, on)), key=lambda want: (want["ready_by"], want["want"])
    )
    if len(found) > WANTS:
        found.sort(key=lambda want: _RANK.get(want["state"], 2))
    return found
