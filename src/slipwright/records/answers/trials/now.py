"""Where a trial stands: which pots have had the count that is judged by, and which wait for it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Literal

from slipwright.records.answers.trials.plan import Arm, Plan, plan_of
from slipwright.records.errors import NotFound
from slipwright.records.models import Garden
from slipwright.records.selectors.trials import TrialPot, TrialRow, trial_of_batches, trial_pots, trial_rows
from slipwright.rooting.counts import GIVEN_UP, LookCounts

#: days after its own that a pot is waited for, before the verdict is drawn without it; one counted later
#: had longer to root than the others: common practice, no source
GRACE_DAYS = 14

PotState = Literal["counted", "due", "waits"]
TrialState = Literal["planned", "running", "due", "done"]


@dataclass(frozen=True, slots=True)
class PotNow:
    """A pot of a trial now.

    ``n_rooted`` of ``n_tried`` are what is judged by: what had rooted by the end of the first day, from that
    the plan fixed on, on which it was counted, or all where nothing waited any more; of what was stuck and
    not taken away. None as long as it was not counted. ``n_seen`` is what was seen rooted up to now.
    ``n_given_up`` were given up before the day: they count as not rooted.
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
    n_given_up: int = 0

    @property
    def is_late(self) -> bool:
        """Whether it was counted so late that it had longer to root than the others."""
        days = (self.counted_on - self.due_on).days if self.counted_on and self.due_on else 0
        return days > GRACE_DAYS


@dataclass(frozen=True, slots=True)
class TrialNow:
    """A trial now: its row, its plan, and its pots as they stand, block by block."""

    row: TrialRow
    plan: Plan
    pots: tuple[PotNow, ...]
    state: TrialState
    on: date

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
    def waits_until(self) -> date | None:
        """The last day on which pots whose day has come are waited for; None where there are none."""
        days = [pot.due_on for pot in self.pots if pot.state == "due" and pot.due_on]
        return max(days) + timedelta(days=GRACE_DAYS) if days else None

    @property
    def may_judge(self) -> bool:
        """Whether the rule lets the trial be judged.

        The day has come for every pot, and all were counted, or those that were not have been waited for.
        """
        if self.state == "done":
            return True
        if self.state != "due" or (self.due_on and self.on < self.due_on):
            return False
        until = self.waits_until
        return until is not None and self.on > until and all(pot.state != "waits" for pot in self.pots)

    @property
    def n_units(self) -> int:
        """Pots of each way: as fixed, else as the table has it."""
        return self.plan.n_units or self.row.units_per_arm

    @property
    def n_per_unit(self) -> int:
        """Cuttings in each pot: as fixed, else as the table has it."""
        return self.plan.n_per_unit or self.row.n_per_unit

    @property
    def is_planned_late(self) -> bool:
        """Whether the plan was written after the first pot was stuck."""
        planned_on, stuck_on = self.row.planned_on, self.stuck_on
        return planned_on is not None and stuck_on is not None and planned_on > stuck_on

    @property
    def n_late(self) -> int:
        """Pots that were counted so late that they had longer to root than the others."""
        return sum(pot.is_late for pot in self.counted)

    @property
    def n_given_up(self) -> int:
        """Cuttings given up before their day."""
        return sum(pot.n_given_up for pot in self.counted)

    @property
    def n_of_no_way(self) -> int:
        """Pots that name no way of the trial: nothing is told of them."""
        return sum(pot.arm is None for pot in self.pots)

    @property
    def blocks(self) -> tuple[tuple[PotNow, ...], ...]:
        """The pots block by block."""
        found: dict[int, list[PotNow]] = {}
        for pot in self.pots:
            found.setdefault(pot.block, []).append(pot)
        return tuple(tuple(found[block]) for block in sorted(found))


def trials_now(garden: Garden, trials: Collection[str], *, on: date) -> list[TrialNow]:
    """Return some trials of a garden: what needs a count first, what was stuck last first. Five queries."""
    pots = trial_pots(garden, trials=trials)
    found = [_now(row, pots.get(row.trial, []), on) for row in trial_rows(garden, trials=trials)]
    order = {"due": 0, "running": 1, "planned": 2, "done": 3}
    return sorted(
        found, key=lambda one: (order[one.state], -(one.stuck_on or date.min).toordinal(), one.row.trial)
    )


def trial_now(garden: Garden, trial: str, *, on: date) -> TrialNow:
    """Return one trial; raise where there is none of this name. Five queries."""
    rows = trial_rows(garden, trials=[trial])
    if not rows:
        raise NotFound(f"there is no trial {trial!r} in this garden")
    return _now(rows[0], trial_pots(garden, trials=[trial]).get(trial, []), on)


def days_to_count(garden: Garden) -> dict[str, int]:
    """Return by code of a pot of a trial how many days after sticking it is counted. Four queries, or one."""
    trials = trial_of_batches(garden)
    if not trials:
        return {}
    after = {row.trial: plan_of(row).count_after for row in trial_rows(garden, trials=set(trials.values()))}
    return {batch: days for batch, trial in trials.items() if (days := after.get(trial))}


def _now(row: TrialRow, pots: Sequence[TrialPot], on: date) -> TrialNow:
    if row.plan_taken_back and not pots:
        # no pot was stuck by it
        row = replace(row, plan="", planned_at=None, planned_by="", planned_on=None, plan_taken_back=False)
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
    return TrialNow(row, plan, tuple(found), _state(found, on), on)


def _numbers(blocks: Iterable[str]) -> dict[str, int]:
    """Return a number for each block: its own where all are numbers, else in the order they were stuck."""
    names = list(dict.fromkeys(blocks))
    if all(name.isascii() and name.isdigit() and int(name) for name in names):
        return {name: int(name) for name in names}
    return {name: at for at, name in enumerate(names, 1)}


def _pot(
    pot: TrialPot, arm: Arm | None, block: int, position: int, count_after: int | None, on: date
) -> PotNow:
    due_on = pot.stuck_on + timedelta(days=count_after) if count_after else None
    seen = [look for look in pot.looks if look.on <= on]
    first = next((look for look in seen if _is_the_count(look, due_on)), None)
    # what was found later on the same day belongs to the count
    last = max(at for at, look in enumerate(seen) if look.on == first.on) if first else None
    n_seen, n_lost = (sum(getattr(look, name) or 0 for look in seen) for name in ("n_rooted", "n_lost"))
    if last is None and pot.n_waiting == 0 and seen:
        last = len(seen) - 1
    if last is None:
        state: PotState = "due" if due_on and on >= due_on else "waits"
        return PotNow(pot, arm, block, position, state, due_on, n_seen, n_lost)
    counted = seen[: last + 1]
    n_tried = pot.n_stuck - sum(look.n_removed or 0 for look in counted)
    n_rooted = min(sum(look.n_rooted or 0 for look in counted), n_tried)
    given_up = [look.n_lost or 0 for look in counted if look.cause == GIVEN_UP and _is_early(look, due_on)]
    return PotNow(
        pot,
        arm,
        block,
        position,
        "counted",
        due_on,
        n_seen,
        n_lost,
        n_rooted,
        n_tried,
        counted[-1].on,
        sum(given_up),
    )


def _is_early(look: LookCounts, due_on: date | None) -> bool:
    return due_on is not None and look.on < due_on


def _is_the_count(look: LookCounts, due_on: date | None) -> bool:
    """Return whether a look is one to judge by: on the day or after it, and counted, be it none."""
    return due_on is not None and look.on >= due_on and look.n_rooted is not None


def _state(pots: Sequence[PotNow], on: date) -> TrialState:
    if not pots:
        return "planned"
    if all(pot.state == "counted" for pot in pots):
        # a trial whose pots came to their end sooner waits for its day all the same
        return "running" if any(pot.due_on and on < pot.due_on for pot in pots) else "done"
    return "due" if any(pot.state == "due" for pot in pots) else "running"
