"""How far a load or a dump has come, told to whoever asked."""

from __future__ import annotations

from typing import Protocol


class Progress(Protocol):
    """Is told how far it has come.

    It is called often and from the start; one that draws a bar waits until two seconds have passed.
    """

    def __call__(self, done: int, total: int, label: str) -> None:
        """Take note that ``done`` of ``total`` rows of the step called ``label`` are done."""


def quiet(done: int, total: int, label: str) -> None:
    """Tell nobody."""
