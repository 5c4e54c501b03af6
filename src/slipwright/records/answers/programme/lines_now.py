"""The lines of a programme as they stand on a day: stuck, to be stuck this week, late, missed."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any, Literal

from slipwright.craft.days import monday_of
from slipwright.records.answers.programme.rest import rest_of, shared_out
from slipwright.records.answers.remembered import Remembered, as_of
from slipwright.records.models import Garden
from slipwright.records.selectors.season_stuck import InUse, StuckForWant, programme_in_use, stuck_since
from slipwright.records.selectors.season_wanted import wanted_now

#: a line of which this share was stuck is done
DONE = 0.8
#: a line that does not say how long its wood is right may be stuck so much later
_GRACE = timedelta(days=21)

Standing = Literal["done", "late", "missed", "now", "later"]

#: what was stuck since the programme in use was begun
_STUCK: Remembered[tuple[StuckForWant, ...]] = Remembered()
#: what is wanted, and why its plant may not be multiplied; empty where it may be
_WANTED: Remembered[Mapping[str, str]] = Remembered()


@dataclass(slots=True)
class LineNow:
    """One batch of the programme, and what was stuck of it."""

    told: Mapping[str, Any]
    week: date
    closes_on: date
    standing: Standing = "later"
    stuck: list[StuckForWant] = field(default_factory=list)

    @property
    def n(self) -> int:
        """Its place in the programme, by which it is named."""
        return int(self.told["n"])

    @property
    def stick_on(self) -> date:
        """The day it is planned for."""
        on = self.told.get("stick_on")
        return date.fromisoformat(on) if on else self.week

    @property
    def n_stuck(self) -> int:
        """Cuttings stuck of it."""
        return sum(one.n_stuck for one in self.stuck)

    @property
    def n_left(self) -> int:
        """Cuttings still to be stuck."""
        return max(int(self.told["n_to_stick"]) - self.n_stuck, 0)

    @property
    def left_of_plants(self) -> Mapping[str, int]:
        """Cuttings still to be stuck from each of its plants; empty where their shoots are not known."""
        shoots = {one["plant"]: one.get("n_shoots") or 0 for one in self.told.get("shoots") or ()}
        if not shoots or not all(shoots.values()):
            return {}
        left = shared_out(int(self.told["n_to_stick"]), shoots)
        for one in self.stuck:
            if one.plant in left:
                left[one.plant] = max(left[one.plant] - one.n_stuck, 0)
        # what was stuck too many of one plant, or from one that is not named, need not come from the others
        return shared_out(self.n_left, left)

    @property
    def rest(self) -> Mapping[str, Any]:
        """The line as it is told, for what is left of it."""
        return rest_of(self.told, self.n_left, self.left_of_plants)

    @property
    def stuck_on(self) -> date | None:
        """When the last of it was stuck."""
        return self.stuck[-1].stuck_on if self.stuck else None


@dataclass(frozen=True, slots=True)
class CuttingsOfWeek:
    """What the programme in use asks for this week and what is late of it, done lines left out."""

    plan: int
    lines: Sequence[LineNow]


def lines_now(
    lines: Iterable[Mapping[str, Any]], stuck: Iterable[StuckForWant], *, on: date
) -> list[LineNow]:
    """Return the lines of a programme as they stand on a day, with the batches stuck of each.

    A batch counts for the line of its want and wood that is nearest to it: of its plant and way, if one
    is, then by week. What is more than that line has left counts for the next nearest; without one, for it.
    """
    found = [_line(told) for told in lines]
    by_want: dict[tuple[str, str], list[LineNow]] = {}
    for line in found:
        by_want.setdefault((line.told["want"], line.told["wood"]), []).append(line)
    for batch in stuck:
        near = [line for line in by_want.get((batch.want, batch.wood), ()) if not _is_done(line)]
        near.sort(key=lambda line: _distance(line, batch))
        _put(batch, near)
    monday = monday_of(on)
    for line in found:
        line.standing = _standing(line, on, monday)
    return found


def cuttings_of_week(garden: Garden, *, on: date) -> CuttingsOfWeek | None:
    """Return what the programme in use asks for this week; None where it asks for nothing.

    What nobody wants any more is left out, and what may not be multiplied on that day. ``garden`` must have
    just been read, with its programme. Two queries where something may fall due and neither what was stuck
    nor what is wanted is remembered, else none; one more where the lines were never read.
    """
    in_use = programme_due(garden, on=on)
    if in_use is None:
        return None
    wanted = _WANTED.get(garden.garden, _wanted_rests_on(garden, on))
    if wanted is None:
        wanted = {one.want: one.why_not for one in wanted_now(garden, on=on)}
        keep_wanted(garden, wanted, on=on)
    due = [
        line
        for line in lines_as_they_stand(garden, in_use, on=on)
        if line.standing in ("late", "now") and wanted.get(line.told["want"]) == ""
    ]
    return CuttingsOfWeek(in_use.plan, due) if due else None


def lines_as_they_stand(garden: Garden, in_use: InUse, *, on: date) -> list[LineNow]:
    """Return all lines of the programme in use as they stand on a day.

    ``garden`` must have just been read. One query, or none where what was stuck is remembered.
    """
    stuck = _STUCK.get(garden.garden, _rests_on(garden, in_use))
    if stuck is None:
        stuck = tuple(stuck_since(garden, in_use.number))
        keep_stuck(garden, in_use, stuck)
    return lines_now(in_use.lines, stuck, on=on)


def programme_due(garden: Garden, *, on: date) -> InUse | None:
    """Return the programme in use where something of it may fall due in the week of a day.

    ``garden`` must have just been read, with its programme. No query, one where the lines were never read.
    """
    in_use = programme_in_use(garden)
    if in_use is None or not any(_may_be_due(line, on) for line in map(_line, in_use.lines)):
        return None
    return in_use


def keep_stuck(garden: Garden, in_use: InUse, stuck: tuple[StuckForWant, ...]) -> None:
    """Remember what was stuck since a programme was begun, read with something else."""
    _STUCK.keep(garden.garden, _rests_on(garden, in_use), stuck)


def keep_wanted(garden: Garden, wanted: Mapping[str, str], *, on: date) -> None:
    """Remember what is wanted on a day and why not to be multiplied, read with something else."""
    _WANTED.keep(garden.garden, _wanted_rests_on(garden, on), wanted)


def _wanted_rests_on(garden: Garden, on: date) -> Hashable:
    return as_of(garden.last_number, garden.last_edit, on)


def _rests_on(garden: Garden, in_use: InUse) -> Hashable:
    return (as_of(garden.last_number, garden.last_edit), in_use.plan, in_use.number)


def _line(told: Mapping[str, Any]) -> LineNow:
    week = date.fromisoformat(told["week"])
    window = told.get("window") or {}
    closes = window.get("closes_on")
    return LineNow(told, week, date.fromisoformat(closes) if closes else week + _GRACE)


def _may_be_due(line: LineNow, on: date) -> bool:
    return _standing(line, on, monday_of(on)) in ("now", "late")


def _is_done(line: LineNow) -> bool:
    return line.n_stuck >= DONE * int(line.told["n_to_stick"])


def _put(batch: StuckForWant, near: Sequence[LineNow]) -> None:
    """Put a batch to lines, the nearest first: to each as much as it has left, to the last what is over."""
    n = batch.n_stuck
    for i, line in enumerate(near):
        here = n if i == len(near) - 1 else min(n, line.n_left)
        line.stuck.append(batch._replace(n_stuck=here))
        n -= here
        if not n:
            return


def _distance(line: LineNow, batch: StuckForWant) -> tuple[bool, bool, int]:
    plants = {one["plant"] for one in line.told.get("shoots") or () if one["plant"]}
    plants |= {line.told["plant"]} if line.told.get("plant") and not plants else set()
    return (
        bool(plants) and batch.plant not in plants,
        line.told.get("method", "") != batch.method,
        abs((line.week - batch.stuck_on).days),
    )


def _standing(line: LineNow, on: date, monday: date) -> Standing:
    if _is_done(line):
        return "done"
    if line.week > monday:
        return "later"
    if line.week == monday:
        return "now"
    return "late" if line.closes_on >= on else "missed"
