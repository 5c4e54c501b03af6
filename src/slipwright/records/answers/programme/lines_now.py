"""The lines of a programme as they stand on a day: stuck, to be stuck this week, late, missed."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any, Literal

from slipwright.records.answers.remembered import Remembered, as_of
from slipwright.records.models import Garden
from slipwright.records.selectors.season_stuck import InUse, StuckForWant, programme_in_use, stuck_since

#: a line of which this share was stuck is done
DONE = 0.8
#: a line that does not say how long its wood is right may be stuck so much later
_GRACE = timedelta(days=21)

Standing = Literal["done", "late", "missed", "now", "later"]

#: what was stuck since the programme in use was begun
_STUCK: Remembered[tuple[StuckForWant, ...]] = Remembered()


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
    def stuck_on(self) -> date | None:
        """When the last of it was stuck."""
        return self.stuck[-1].stuck_on if self.stuck else None


@dataclass(frozen=True, slots=True)
class CuttingsOfWeek:
    """What the programme in use asks for this week and what is late of it, done lines left out."""

    plan: int
    lines: Sequence[LineNow]


def monday_of(on: date) -> date:
    """Return the Monday of a day's week."""
    return on - timedelta(days=on.weekday())


def lines_now(
    lines: Iterable[Mapping[str, Any]], stuck: Iterable[StuckForWant], *, on: date
) -> list[LineNow]:
    """Return the lines of a programme as they stand on a day, with the batches stuck of each.

    A batch counts for the line of its want and wood that is nearest to it: of its plant and way, if one
    is, then by week.
    """
    found = [_line(told) for told in lines]
    by_want: dict[tuple[str, str], list[LineNow]] = {}
    for line in found:
        by_want.setdefault((line.told["want"], line.told["wood"]), []).append(line)
    for batch in stuck:
        near = [line for line in by_want.get((batch.want, batch.wood), ()) if not _is_done(line)]
        if near:
            min(near, key=lambda line: _distance(line, batch)).stuck.append(batch)
    monday = monday_of(on)
    for line in found:
        line.standing = _standing(line, on, monday)
    return found


def cuttings_of_week(garden: Garden, *, on: date) -> CuttingsOfWeek | None:
    """Return what the programme in use asks for this week; None where it asks for nothing.

    ``garden`` must have just been read, with its programme. One query where something may fall due and what
    was stuck is not remembered, else none; one more where the lines were never read.
    """
    in_use = programme_due(garden, on=on)
    if in_use is None:
        return None
    due = [line for line in lines_as_they_stand(garden, in_use, on=on) if line.standing in ("late", "now")]
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


def _distance(line: LineNow, batch: StuckForWant) -> tuple[bool, bool, int]:
    plant = line.told.get("plant") or ""
    return (
        bool(plant) and plant != batch.plant,
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
