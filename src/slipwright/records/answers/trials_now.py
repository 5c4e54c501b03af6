"""Where a trial stands: which pots have had the count that is judged by, and which wait for it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from slipwright.records.answers.trials_plan import Arm, Plan, plan_of
from slipwright.records.errors import NotFound
from slipwright.records.models import Garden
from slipwright.records.selectors.trials import TrialPot, TrialRow, trial_pots, trial_rows
from slipwright.rooting.counts import LookCounts

PotState = Literal["counted", "due", "waits"]
TrialState = Literal["planned", "running", "due", "done"]


@dataclass(frozen=True, slots=True)
class PotNow:
    """A pot of a trial now.

    ``n_rooted`` of ``n_tried`` are what is judged by: what had rooted by the first count on or after the day
    the plan fixed, or all where nothing waited any more; of what was stuck and not taken away. None as
    long as it was not counted. ``n_seen`` is what was seen rooted up to now.
    """

    pot: TrialPot
    arm: Arm | None
    block: int
    position: int
    state: PotState
    due_on: date | None
    n_seen: int
    n_lost: int
    n_rooted: int | None = None
    n_tried: int | None = None
    counted_on: date | None = None


@dataclass(frozen=True, slots=True)
class TrialNow:
    """A trial now: its row, its plan, and its pots as they stand, block by block."""

    row: TrialRow
    plan: Plan
    pots: tuple[PotNow, ...]
    state: TrialState

    @property
    def arms(self) -> tuple[Arm, ...]:
        """The ways that are compared, the first the one the others are told from."""
        return self.plan.arms

    @property
    def counted(self) -> tuple[PotNow, ...]:
        """The pots that are judged by."""
        return tuple(pot for pot in self.pots if pot.state == "counted" and pot.arm is not None)

    @property
    def n_due(self) -> int:
        """Pots whose day has come and that were not counted."""
        return sum(pot.state == "due" for pot in self.pots)

    @property
    def stuck_on(self) -> date | None:
        """The day the first pot was stuck."""
        return min((pot.pot.stuck_on for pot in self.pots), default=None)

    @property
    def due_on(self) -> date | None:
        """The day by which every pot is due to be counted; None where none was fixed."""
        days = [pot.due_on for pot in self.pots if pot.due_on]
        return max(days) if days and len(days) == len(self.pots) else None

    @property
    def may_judge(self) -> bool:
        """Whether the rule lets the trial be judged: its day has come for every pot, or all were counted."""
        return self.state == "done" or (
            self.state == "due" and all(pot.state != "waits" for pot in self.pots)
        )

    @property
    def blocks(self) -> tuple[tuple[PotNow, ...], ...]:
        """The pots block by block."""
        found: dict[int, list[PotNow]] = {}
        for pot in self.pots:
            found.setdefault(pot.block, []).append(pot)
        return tuple(tuple(found[block]) for block in sorted(found))


def trials_now(garden: Garden, *, on: date) -> list[TrialNow]:
    """Return every trial of a garden: what needs a count first, what was stuck last first. Four queries."""
    pots = trial_pots(garden)
    found = [_now(row, pots.get(row.trial, []), on) for row in trial_rows(garden)]
    order = {"due": 0, "running": 1, "planned": 2, "done": 3}
    return sorted(
        found, key=lambda one: (order[one.state], -(one.stuck_on or date.min).toordinal(), one.row.trial)
    )


def trial_now(garden: Garden, trial: str, *, on: date) -> TrialNow:
    """Return one trial; raise where there is none of this name. Four queries."""
    rows = trial_rows(garden, trial=trial)
    if not rows:
        raise NotFound(f"there is no trial {trial!r} in this garden")
    return _now(rows[0], trial_pots(garden, trial=trial).get(trial, []), on)


def _now(row: TrialRow, pots: Sequence[TrialPot], on: date) -> TrialNow:
    plan = plan_of(row)
    by_name = {name: arm for arm in plan.arms for name in (arm.name, arm.letter)}
    blocks = _numbers(pot.block for pot in pots)
    places: dict[int, int] = {}
    found = []
    for pot in pots:
        block = blocks[pot.block]
        places[block] = places.get(block, 0) + 1
        found.append(_pot(pot, by_name.get(pot.arm), block, places[block], plan.count_after, on))
    found.sort(key=lambda one: (one.block, one.position))
    return TrialNow(row, plan, tuple(found), _state(found))


def _numbers(blocks: Iterable[str]) -> dict[str, int]:
    """Return a number for each block: its own where all are numbers, else in the order they were stuck."""
    names = list(dict.fromkeys(blocks))
    if all(name.isdigit() and int(name) for name in names):
        return {name: int(name) for name in names}
    return {name: at for at, name in enumerate(names, 1)}


def _pot(
    pot: TrialPot, arm: Arm | None, block: int, position: int, count_after: int | None, on: date
) -> PotNow:
    due_on = pot.stuck_on + timedelta(days=count_after) if count_after else None
    seen = [look for look in pot.looks if look.on <= on]
    last = next((at for at, look in enumerate(seen) if _is_the_count(look, due_on)), None)
    n_seen, n_lost = (sum(getattr(look, name) or 0 for look in seen) for name in ("n_rooted", "n_lost"))
    if last is None and pot.n_waiting == 0 and seen:
        last = len(seen) - 1
    if last is None:
        state: PotState = "due" if due_on and on >= due_on else "waits"
        return PotNow(pot, arm, block, position, state, due_on, n_seen, n_lost)
    counted = seen[: last + 1]
    n_tried = pot.n_stuck - sum(look.n_removed or 0 for look in counted)
    n_rooted = min(sum(look.n_rooted or 0 for look in counted), n_tried)
    return PotNow(
        pot, arm, block, position, "counted", due_on, n_seen, n_lost, n_rooted, n_tried, counted[-1].on
    )


def _is_the_count(look: LookCounts, due_on: date | None) -> bool:
    """Return whether a look is one to judge by: on the day or after it, and counted, be it none."""
    return due_on is not None and look.on >= due_on and look.n_rooted is not None


def _state(pots: Sequence[PotNow]) -> TrialState:
    if not pots:
        return "planned"
    if all(pot.state == "counted" for pot in pots):
        return "done"
    return "due" if any(pot.state == "due" for pot in pots) else "running"
