"""Sums of the bench: what each asks, and what it answers, as data. A new sum is added to ``SUMS``."""

from __future__ import annotations

from typing import Final

from slipwright.advice.sums.asking import Blank as Blank
from slipwright.advice.sums.asking import Reckoned as Reckoned
from slipwright.advice.sums.asking import Sum as Sum
from slipwright.advice.sums.bed import MIST, TENT
from slipwright.advice.sums.counting import CANE, NUMBER
from slipwright.advice.sums.dips import DIP, TALC, WEIGH
from slipwright.advice.sums.media import DRAIN, MIX
from slipwright.advice.sums.pot_heights import HEIGHT
from slipwright.advice.sums.sky import AIR, LIGHT, SUN
from slipwright.advice.sums.warmth import DEGREE_DAYS

SUMS: Final = {
    one.name: one
    for one in (NUMBER, CANE, MIX, DRAIN, HEIGHT, DIP, WEIGH, TALC, AIR, LIGHT, SUN, DEGREE_DAYS, MIST, TENT)
}
"""Every sum by its name, in the order of the list."""
