"""How the process is set while a fit runs: no threads within the small matrices, no collector of circles."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from threading import Lock

from threadpoolctl import threadpool_limits

_lock = Lock()
_running = 0
_limits: threadpool_limits | None = None


@contextmanager
def one_thread_a_matrix() -> Iterator[None]:
    """Keep linear algebra from threads that would wait for each other, as long as any fit runs."""
    global _running, _limits
    with _lock:
        _running += 1
        if _running == 1:
            _limits = threadpool_limits(1, user_api="blas")
    try:
        yield
    finally:
        with _lock:
            _running -= 1
            if _limits is not None and not _running:
                _limits.restore_original_limits()
                _limits = None


@contextmanager
def uncollected() -> Iterator[None]:
    """Make many small objects without the collector of circles looking through them again and again."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
