"""A process of its own in which programmes are made: learning and forecasts go on at their own pace.

It is started when one is asked for, and ends when none was for half an hour.
"""

from __future__ import annotations

import os
import signal
import sys
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from multiprocessing import get_context
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from slipwright.records.keeping.making import Outcome

#: how long it waits for the next before it ends
IDLE_S = 30 * 60.0
#: pages come first where there are few processors
_NICE = 5
_LOOK_S, _END_S = 0.2, 2.0
#: how often is told that it is still at it
_ALIVE_S = 2.0


class OwnProcess:
    """The process, started when there is something to make; whoever set ``stop`` ends it."""

    def __init__(self, stop: threading.Event) -> None:
        self._stop = stop
        self._process: BaseProcess | None = None
        self._line: Connection | None = None
        self._used_at = time.monotonic()

    def make(self, pk: int, taken: int, *, alive: Callable[[], object] = lambda: None) -> Outcome:
        """Make a programme that was taken for the so manieth time; ``alive`` is called now and then."""
        from slipwright.records.keeping.making import Outcome

        try:
            line = self._started()
            line.send((pk, taken))
            next_alive = time.monotonic() + _ALIVE_S
            while not line.poll(_LOOK_S):
                if self._stop.is_set():
                    self.close()
                    return Outcome(stopped=True)
                if time.monotonic() >= next_alive:
                    alive()
                    next_alive = time.monotonic() + _ALIVE_S
            outcome: Outcome = line.recv()
        except (EOFError, OSError):
            self.close()
            # told to stop, both may have been told at once
            is_stopped = self._stop.wait(_LOOK_S)
            return Outcome(stopped=is_stopped, broke_off=not is_stopped)
        self._used_at = time.monotonic()
        return outcome

    def rest(self) -> None:
        """End it where it was not needed for long."""
        if self._process is not None and time.monotonic() - self._used_at > IDLE_S:
            self.close()

    def close(self) -> None:
        """End it, whatever it is at."""
        if self._line is not None:
            self._line.close()
        if self._process is not None:
            self._process.terminate()
            self._process.join(_END_S)
            if self._process.is_alive():
                self._process.kill()
                self._process.join(_END_S)
        self._line = self._process = None

    def _started(self) -> Connection:
        if self._process is not None and not self._process.is_alive():
            self.close()
        if self._line is None:
            here, there = get_context("spawn").Pipe()
            self._process = get_context("spawn").Process(target=_serve, args=(there,), name="planning")
            self._process.start()
            there.close()
            self._line = here
            self._used_at = time.monotonic()
        return self._line


def _serve(line: Connection) -> None:
    """Make what is asked for over a line until it is closed."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    # told to end, it ends what it started too
    signal.signal(signal.SIGTERM, lambda number, frame: sys.exit(0))
    if hasattr(os, "nice"):
        os.nice(_NICE)
    import django

    django.setup()
    from django.db import connections

    from slipwright.handbook import load_handbook
    from slipwright.records.keeping.making import make

    handbook = load_handbook()
    with suppress(EOFError, OSError):
        while True:
            pk, taken = line.recv()
            outcome = make(pk, handbook, taken=taken)
            # a garden put back from a backup is another file: the next opens what is there then
            connections.close_all()
            line.send(outcome)
