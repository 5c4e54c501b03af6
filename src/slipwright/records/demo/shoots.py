"""How many shoots the stock plants of the demonstration garden may still give."""

from __future__ import annotations

import math
from datetime import date, timedelta
from decimal import Decimal
from typing import Final

from slipwright.records.demo.setting import Row

#: the share of a plant's shoots that may go is counted within so many days
SEASON: Final = timedelta(days=365)


class Shoots:
    """The shoots that may still be cut of each stock plant, by its own largest share."""

    def __init__(self) -> None:
        self._cut: dict[str, list[tuple[date, int]]] = {}

    def left(self, plant: Row, on: date) -> int:
        """Return how many may still go on a day."""
        may_go = math.floor(int(plant["shoots_per_season"]) * Decimal(plant["max_share_taken"]))
        cut = self._cut.get(plant["plant"], ())
        return may_go - sum(n for day, n in cut if on - SEASON < day <= on)

    def cut(self, plant: str, on: date, n: int) -> None:
        """Note shoots that were cut."""
        self._cut.setdefault(plant, []).append((on, n))
