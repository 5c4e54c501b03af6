"""One sending at a time, and none waits for long.

SQLite lets in whoever asks again soonest: of many that wait for it one could wait for very long, and each
that waits keeps a thread of the pages. So sendings take turns, in this process and across those that serve
the same file, and where much is ahead a long one is told to come again instead. A short one, what somebody
records at this moment, is always let in.
"""

from __future__ import annotations

import os
import random
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.db import connection

from slipwright.records.errors import Busy

try:
    import fcntl
except ImportError:  # only one process serves there
    fcntl = None  # type: ignore[assignment]

#: So many records are a short sending.
SHORT = 3
#: A long sending is let in while no more records than these are ahead of it.
MOST_AHEAD = 20
#: It comes again after so many seconds; all that were told so do not come at once.
AGAIN_S = (1, 4)
_TURN_S = 10
#: So often a process asks whether another one is done.
_ASK_S = 0.02
#: After a long sending the file is left alone for so long: whoever else waits to write asks for it again
#: every 100 ms at the least.
_PAUSE_S = 0.02


class _Turns:
    """Who is at it in this process, and how many records are ahead of whoever comes now."""

    def __init__(self) -> None:
        self._turn = threading.Lock()
        self._counting = threading.Lock()
        self._ahead = 0

    @contextmanager
    def announced(self, n: int) -> Iterator[None]:
        with self._counting:
            if n > SHORT and self._ahead > MOST_AHEAD:
                raise Busy(random.randint(*AGAIN_S))  # noqa: S311  (it only spreads them)
            self._ahead += n
        try:
            yield
        finally:
            with self._counting:
                self._ahead -= n

    @contextmanager
    def one(self) -> Iterator[None]:
        """Wait for those before, not for ever."""
        has_turn = self._turn.acquire(timeout=_TURN_S)
        try:
            yield
        finally:
            if has_turn:
                self._turn.release()


_turns = _Turns()


@contextmanager
def in_turn(n: int) -> Iterator[None]:
    """Wait for the turn to take in ``n`` records; raises ``Busy`` where too much is ahead of so many."""
    with _turns.announced(n), _turns.one(), _across_processes():
        yield
        if n > SHORT:
            time.sleep(_PAUSE_S)


@contextmanager
def _across_processes() -> Iterator[None]:
    """Hold the folder of the file; were the file itself opened and closed, SQLite would lose its locks."""
    folder = Path(str(connection.settings_dict["NAME"])).parent
    if connection.vendor != "sqlite" or fcntl is None or not folder.is_dir():
        yield
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        _lock(handle)
        yield
    finally:
        os.close(handle)


def _lock(handle: int) -> None:
    """Lock a folder; raise ``Busy`` where another process keeps it for longer than a turn lasts."""
    until = time.monotonic() + _TURN_S
    while True:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            if time.monotonic() >= until:
                raise Busy(random.randint(*AGAIN_S)) from None  # noqa: S311
            time.sleep(_ASK_S)
        except OSError:  # a file system that knows no such locks
            return
        else:
            return
