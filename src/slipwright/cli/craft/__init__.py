"""Sums of the trade at the bench. Nothing here opens a garden."""

from __future__ import annotations

import click

from slipwright.cli.craft.counting import cane, stick_count


@click.group()
def craft() -> None:
    """Sums of the trade."""


for command in (stick_count, cane):
    craft.add_command(command)
