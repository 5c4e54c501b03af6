"""Programs run beside each other: started together, told together, stopped together."""

from __future__ import annotations

import os
import signal
import subprocess
import threading
import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from typing import Any

#: seconds between two looks at the children, and to let them end
LOOK_S, END_S = 0.5, 10.0
#: seconds after which a child that has not ended is told again
AGAIN_S = 1.5


@contextmanager
def stopping() -> Iterator[threading.Event]:
    """Give an event that Ctrl-C, SIGTERM and a closed window set, instead of ending where it stands."""
    event = threading.Event()

    def stop(number: int, frame: Any) -> None:
        event.set()

    caught = [signal.SIGINT, signal.SIGTERM, *([signal.SIGHUP] if hasattr(signal, "SIGHUP") else [])]
    before = {number: signal.signal(number, stop) for number in caught}
    try:
        yield event
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def run_together(
    children: Mapping[str, Sequence[str]],
    env: Mapping[str, str],
    *,
    own: Mapping[str, Mapping[str, str]] | None = None,
    anew: Mapping[str, Callable[[], bool]] | None = None,
) -> str:
    """Run commands until one ends or we are told to stop; then stop all and return which ended by itself.

    ``own`` is more of the environment, for one of them; ``anew`` says when one must read its files again.
    """
    # in groups of their own: Ctrl-C reaches us alone, and each child is told once
    apart: dict[str, Any] = {} if os.name == "nt" else {"process_group": 0}
    running: dict[str, subprocess.Popen[bytes]] = {}
    ended = ""

    def start(name: str) -> None:
        told = {**env, **(own or {}).get(name, {})}
        running[name] = subprocess.Popen(children[name], env=told, **apart)  # noqa: S603  (our own)

    with stopping() as stop:
        try:
            for name in children:
                start(name)
            while not ended and not stop.wait(LOOK_S):
                for name, is_due in (anew or {}).items():
                    if is_due():
                        if os.name == "nt":
                            _end((running[name],))
                            start(name)
                        else:
                            running[name].send_signal(signal.SIGHUP)
                ended = next((name for name, child in running.items() if child.poll() is not None), "")
        finally:
            _end(tuple(running.values()))
    return ended


def _end(children: Iterable[subprocess.Popen[bytes]]) -> None:
    """Stop children and all they started; one that was only just starting may need to be told again."""
    for child in children:
        _tell(child, signal.SIGTERM)
    give_up = time.monotonic() + END_S
    for child in children:
        while child.poll() is None:
            try:
                child.wait(AGAIN_S)
            except subprocess.TimeoutExpired:
                late = os.name == "nt" or time.monotonic() > give_up
                _tell(child, getattr(signal, "SIGKILL", signal.SIGTERM) if late else signal.SIGTERM)


def _tell(child: subprocess.Popen[bytes], number: int) -> None:
    """Send a signal to a child and to those it started, which outlive it where it broke."""
    if os.name == "nt":
        child.terminate()
        return
    with suppress(ProcessLookupError):
        os.killpg(child.pid, number)
