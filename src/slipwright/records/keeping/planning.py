"""Making the programmes that pages ask for, beside whatever else the helper does.

A thread of its own looks twice a second whether one is asked for, and has it made in a process of its own.
That reads and writes in short steps, and what takes long is arithmetic: neither pages nor forecasts wait.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Hashable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from importlib import import_module
from uuid import UUID

from django.db import OperationalError, close_old_connections, connection

from slipwright.craft.said import Said
from slipwright.handbook import Handbook
from slipwright.records.keeping.making import in_a_line, make
from slipwright.records.keeping.opening import vendor
from slipwright.records.keeping.own_process import OwnProcess
from slipwright.records.models import Garden, SeasonPlan
from slipwright.records.selectors import garden_day, wants
from slipwright.records.selectors.plans import plans_running, was_plan_asked
from slipwright.records.services.plans import (
    ask_plan,
    fail_plan,
    put_plan_back,
    take_plan,
    tell_alive,
)

#: how often it is looked whether a programme is asked for
LOOK_S = 0.4
#: one of which no sign came for so long was left by a helper that is gone
LEFT_S = 20.0
#: how long the helper, told to stop, waits for a programme to be put back
_END_S = 3.0
#: before the first programme of a garden is made, nothing must have been written to it for so long
QUIET = timedelta(seconds=10)
BROKE_OFF = "its making broke off once"

Told = Callable[[str], None]


@dataclass
class Planning:
    """Makes programmes, one after the other; ``told`` is given each fault in a line."""

    told: Told
    handbook: Callable[[], Handbook]
    #: how long nothing must have been written before the first programme
    quiet_for: timedelta = QUIET
    stop: threading.Event = field(default_factory=threading.Event)
    #: whether they are made in a process of their own as long as ``beside`` lasts
    apart: bool = False
    clock: Callable[[], float] = time.monotonic
    _apart: OwnProcess | None = None
    #: the last sign of programmes that another makes, and since when it is the last
    _others: dict[int, tuple[Hashable, float]] = field(default_factory=dict)
    _seen: dict[UUID, tuple[Hashable, datetime]] = field(default_factory=dict)
    _settled: dict[UUID, Hashable] = field(default_factory=dict)

    # --- the first of a garden ------------------------------------------------------------------------

    def ask_first(self, garden: Garden, *, now: datetime) -> bool:
        """Ask for a garden's first programme once it has wants to come and is quiet; tell whether it was.

        ``garden`` must have just been read; one in which nothing was written costs no query.
        """
        on = garden_day(garden, now)
        stands_at = (garden.last_number, garden.last_edit, on)
        if self._settled.get(garden.garden) == stands_at:
            return False
        seen, since = self._seen.get(garden.garden, (None, now))
        if seen != stands_at:
            since = now
            self._seen[garden.garden] = (stands_at, now)
        if now - since < self.quiet_for:
            return False
        self._settled[garden.garden] = stands_at
        if was_plan_asked(garden) or all(want.ready_by < on for want in wants(garden)):
            return False
        ask_plan(garden, on=on, now=now, by=None)
        return True

    # --- making ---------------------------------------------------------------------------------------

    def one_pass(self) -> int:
        """Make all programmes that are asked for, and return how many were made."""
        made = 0
        while not self.stop.is_set():
            plan = take_plan()
            if plan is None:
                self._look_after_others()
                if not (plan := take_plan()):
                    break
            made += self._make(plan)
        return made

    @contextmanager
    def beside(self) -> Iterator[None]:
        """Make programmes in a thread of its own as long as this lasts."""
        thread = threading.Thread(target=self._work, name="planning", daemon=True)
        self._apart = OwnProcess(self.stop) if self.apart else None
        thread.start()
        try:
            yield
        finally:
            self.stop.set()
            thread.join(_END_S)
            if self._apart is not None:
                self._apart.close()
                self._apart = None

    def _work(self) -> None:
        fault = ""
        while not self.stop.wait(LOOK_S):
            try:
                self.one_pass()
                if self._apart is not None:
                    self._apart.rest()
                fault = ""
            except Exception as error:  # the next look may go well: the garden was held, or is being put back
                again, fault = fault, in_a_line(error)
                if fault != again:
                    self.told(f"programmes: {fault}")
                connection.close()
            finally:
                # a garden put back from a backup is another file: the next look opens what is there then
                if vendor() == "sqlite":
                    connection.close()
                else:
                    close_old_connections()
        connection.close()

    def _make(self, plan: SeasonPlan) -> bool:
        if self._apart is not None:
            outcome = self._apart.make(plan.pk, plan.taken, alive=lambda: _tell_alive(plan))
        else:
            outcome = make(plan.pk, self.handbook(), taken=plan.taken, stop=self.stop, clock=self.clock)
        if outcome.stopped:
            put_plan_back(plan, plan.wrong)
        elif outcome.broke_off:
            self._broke_off(plan)
        elif outcome.wrong:
            if outcome.fault:
                self.told(f"programme of {plan.garden.name}: {outcome.fault}")
            fail_plan(plan, outcome.wrong, now=datetime.now(UTC))
        return outcome.is_made

    def _broke_off(self, plan: SeasonPlan) -> None:
        """Let a programme be made once more whose making broke off; twice is enough."""
        if plan.wrong and not self.stop.is_set():
            why = Said("Its making broke off twice: perhaps there is too little memory.")
            self.told(f"programme of {plan.garden.name}: {why}")
            # what it takes of the arithmetic is loaded only here
            planned = import_module("slipwright.records.answers.programme.planned")
            fail_plan(plan, planned.words_to_keep(why), now=datetime.now(UTC))
        else:
            put_plan_back(plan, plan.wrong if self.stop.is_set() else BROKE_OFF)

    def _look_after_others(self) -> None:
        """Let programmes be taken again of which no sign comes any more: whoever made them is gone."""
        now, running = self.clock(), plans_running()
        self._others = {plan.pk: self._others[plan.pk] for plan in running if plan.pk in self._others}
        for plan in running:
            stands_at = (plan.taken, plan.told_at)
            seen, since = self._others.get(plan.pk, (None, now))
            if seen != stands_at:
                since = now
            self._others[plan.pk] = (stands_at, since)
            if now - since >= LEFT_S:
                self._broke_off(plan)


def _tell_alive(plan: SeasonPlan) -> None:
    try:
        tell_alive(plan)
    except OperationalError:
        # somebody writes much at once: it is told later
        connection.close()
