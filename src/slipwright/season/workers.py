"""Processes of their own for listing and solving, so that neither weighs on the one that asks."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from itertools import islice
from multiprocessing import get_context
from types import TracebackType
from typing import TypeVar

Asked = TypeVar("Asked")
Found = TypeVar("Found")

#: packets of work that wait for each process, so that draws of all wants are never held at once
_AHEAD = 3


class Workers:
    """So many processes, started when there is work or they are woken; with 0 all is done in this one.

    Examples
    --------
    >>> with Workers(0) as workers:
    ...     list(workers.each(abs, [-1, 2]))
    [1, 2]
    """

    def __init__(self, n: int) -> None:
        self._n = n
        self._pool: ProcessPoolExecutor | None = None

    def __enter__(self) -> Workers:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._pool is not None:
            self._pool.shutdown(wait=kind is None, cancel_futures=True)
            self._pool = None

    def wake(self) -> None:
        """Let a process start while something else is done."""
        if self._n:
            self._started().submit(os.getpid)

    def one(self, work: Callable[[Asked], Found], asked: Asked) -> Found:
        """Do one piece of work."""
        return work(asked) if self._n == 0 else self._started().submit(work, asked).result()

    def each(self, work: Callable[[Asked], Found], asked: Iterable[Asked]) -> Iterator[Found]:
        """Do pieces of work; the answers come in the order they were asked."""
        if self._n == 0:
            yield from map(work, asked)
            return
        pool, rest = self._started(), iter(asked)
        waiting: list[Future[Found]] = [pool.submit(work, one) for one in islice(rest, self._n * _AHEAD)]
        while waiting:
            found = waiting.pop(0).result()
            waiting += [pool.submit(work, one) for one in islice(rest, 1)]
            yield found

    def _started(self) -> ProcessPoolExecutor:
        if self._pool is None:
            self._pool = ProcessPoolExecutor(self._n, get_context("spawn"), initializer=_begin)
        return self._pool


def _begin() -> None:
    """Keep what HiGHS prints from the output of the one that asks, and HiGHS to one thread.

    It takes as many threads as it finds processors when it first runs: let it find one.
    """
    from slipwright.season._solving import solved_nothing

    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.close(nowhere)
    if hasattr(os, "sched_setaffinity"):
        allowed = os.sched_getaffinity(0)
        os.sched_setaffinity(0, {min(allowed)})
        solved_nothing()
        os.sched_setaffinity(0, allowed)
