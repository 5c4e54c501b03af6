"""A bar for whatever takes longer than two seconds."""

from __future__ import annotations

import sys
import time

import click

#: seconds before a bar is drawn, and between two drawings of it
PATIENCE_S = 2.0
EVERY_S = 0.2
EVERY_S_IN_A_FILE = 10.0
WIDTH = 30


class Bar:
    """Told how far something has come; draws itself on the standard error output once it takes long.

    >>> bar = Bar()
    >>> bar(1, 10, "reading looks")
    """

    def __init__(self) -> None:
        self._stream = sys.stderr
        self._on_screen = self._stream.isatty()
        self._begun = time.monotonic()
        self._next = self._begun + PATIENCE_S
        self._drawn = 0

    def __call__(self, done: int, total: int, label: str) -> None:
        """Take note that ``done`` of ``total`` of the step called ``label`` are done."""
        now = time.monotonic()
        if now < self._next:
            return
        self._next = now + (EVERY_S if self._on_screen else EVERY_S_IN_A_FILE)
        if total > 0:
            share = min(done / total, 1.0)
            filled = round(WIDTH * share)
            text = f"[{'=' * filled}{' ' * (WIDTH - filled)}] {share:4.0%}  {label}"
        else:
            text = f"{label}: {done:,}"
        if self._on_screen:
            click.echo("\r" + text.ljust(self._drawn), nl=False, file=self._stream)
            self._drawn = len(text)
        else:
            click.echo(text, file=self._stream)

    def told(self, label: str, done: int, total: int) -> None:
        """As a call, with the label first."""
        self(done, total, label)

    def close(self) -> None:
        """Wipe the bar."""
        if self._drawn:
            click.echo("\r" + " " * self._drawn + "\r", nl=False, file=self._stream)
            self._drawn = 0
