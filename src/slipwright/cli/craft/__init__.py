"""Sums of the trade at the bench. Nothing here opens a garden."""

from __future__ import annotations

import click

from slipwright.cli.craft.air import air
from slipwright.cli.craft.counting import cane, stick_count
from slipwright.cli.craft.medium import dip, drain_test_command, mix
from slipwright.cli.craft.mist import mist
from slipwright.cli.craft.sky import light, sun
from slipwright.cli.craft.tent import tent
from slipwright.cli.craft.warmth import chill, degree_days


@click.group()
def craft() -> None:
    """Sums of the trade."""


for command in (
    stick_count,
    cane,
    mist,
    tent,
    mix,
    drain_test_command,
    dip,
    air,
    sun,
    light,
    degree_days,
    chill,
):
    craft.add_command(command)
