"""The making of one programme, with how far it has come written down, and what came of it."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from concurrent.futures.process import BrokenProcessPool
from datetime import UTC, datetime
from importlib import import_module
from typing import NamedTuple

from django.db import OperationalError, connection

from slipwright.craft.said import Said
from slipwright.handbook import Handbook
from slipwright.records.errors import Refused
from slipwright.records.models import PlanState, SeasonPlan
from slipwright.records.services.plans import tell_progress

#: what people are told of a fault; whoever runs the program is told which it was
FAULT = Said("A fault of the program: whoever runs it finds it in the log.")
#: how often is written down how far one has come
TELL_S = 0.5


class Outcome(NamedTuple):
    """What came of it: made and kept; or ``wrong`` is why not, and ``fault`` what the helper is told of that.

    One that ``broke_off`` may be made again, one that was ``stopped`` is to be. All of that False and empty
    is one that was dropped meanwhile.
    """

    is_made: bool = False
    wrong: str = ""
    fault: str = ""
    broke_off: bool = False
    stopped: bool = False


class _Over(Exception):
    """Whoever asked for the programme dropped it, or another makes it."""


class _Stopped(Exception):
    """The helper is told to stop."""


def make(
    pk: int,
    handbook: Handbook,
    *,
    taken: int,
    stop: threading.Event | None = None,
    clock: Callable[[], float] = time.monotonic,
) -> Outcome:
    """Make a programme that was taken for the so manieth time; no fault leaves this."""
    # what it takes of the arithmetic is loaded only where a programme is made
    planned = import_module("slipwright.records.answers.programme.planned")
    try:
        rows = SeasonPlan.rows.select_related("garden", "before")
        plan = rows.filter(pk=pk, taken=taken, state=PlanState.RUNNING).first()
        if plan is None:
            return Outcome()
        telling = _Telling(plan, stop or threading.Event(), clock)
        return Outcome(planned.make_plan(plan, handbook, now=datetime.now(UTC), progress=telling))
    except _Over:
        return Outcome()
    except _Stopped:
        return Outcome(stopped=True)
    except (BrokenProcessPool, OperationalError):
        connection.close()
        return Outcome(broke_off=True)
    except Refused as error:
        return Outcome(wrong=planned.words_to_keep(error.reason))
    except Exception as error:
        connection.close()
        return Outcome(wrong=planned.words_to_keep(FAULT), fault=in_a_line(error))


class _Telling:
    """Writes down how far a programme has come, now and then, and ends its making where it is to end."""

    def __init__(self, plan: SeasonPlan, stop: threading.Event, clock: Callable[[], float]) -> None:
        self._plan, self._stop, self._clock = plan, stop, clock
        self._next = clock()

    def __call__(self, done: int, total: int, label: str) -> None:
        if self._stop.is_set():
            raise _Stopped
        now = self._clock()
        if now < self._next:
            return
        self._next = now + TELL_S
        try:
            is_mine = tell_progress(self._plan, done / total if total else 0.0, label)
        except OperationalError:
            # somebody writes much at once: it is told later
            connection.close()
            return
        if not is_mine:
            raise _Over


def in_a_line(error: Exception) -> str:
    """Return a fault as it is told."""
    return f"{type(error).__name__}: {error}".replace("\n", "; ")
