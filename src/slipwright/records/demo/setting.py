"""What the demonstration garden stands on: its day, its seed, and the tables written by hand."""

from __future__ import annotations

import csv
import io
from datetime import date, timedelta
from functools import cache
from importlib import resources
from typing import Final

import numpy as np

#: a row as it stands in a table's file
Row = dict[str, str]

#: the day its clock stands at, and the first day of its records
STANDS_ON: Final = date(2015, 6, 12)
BEGINS_ON: Final = date(2012, 7, 1)
SEED: Final = 20_150_612

#: tables that stand as files beside this module, in the order they are read
BY_HAND: Final = (
    "garden",
    "members",
    "taxa",
    "places",
    "containers",
    "media",
    "wants",
    "plants",
    "hours",
    "costs",
    "weather",
)


@cache
def rows_by_hand(table: str) -> tuple[Row, ...]:
    """Return the rows of a table that was written by hand."""
    text = resources.files(__package__).joinpath("tables", f"{table}.csv").read_text("utf-8")
    return tuple(csv.DictReader(io.StringIO(text)))


@cache
def warmest() -> dict[date, float]:
    """Return the highest temperature of every day [°C]."""
    return {date.fromisoformat(row["on"]): float(row["tmax_c"]) for row in rows_by_hand("weather")}


@cache
def coldest() -> dict[date, float]:
    """Return the lowest temperature of every day [°C]."""
    return {date.fromisoformat(row["on"]): float(row["tmin_c"]) for row in rows_by_hand("weather")}


class Luck:
    """Draws of one kind of event, always the same: ``name`` and ``number`` say which."""

    def __init__(self, name: str, number: int = 0) -> None:
        self.generator = np.random.default_rng([SEED, number, *name.encode()])

    def happens(self, chance: float) -> bool:
        """Return whether something of this chance happens."""
        return bool(self.generator.random() < chance)

    def whole(self, low: int, high: int) -> int:
        """Return a whole number from ``low`` to ``high``, both included."""
        return low + int(self.generator.random() * (high - low + 1))

    def near(self, low: float, high: float) -> float:
        """Return a number between two."""
        return low + float(self.generator.random()) * (high - low)

    def one(self, weighted: dict[str, float]) -> str:
        """Return one of the words, each as likely as its weight says."""
        at = self.generator.random() * sum(weighted.values())
        for word, weight in weighted.items():
            at -= weight
            if at < 0:
                return word
        return next(reversed(weighted))

    def choice(self, seq: str, /) -> str:
        """Return one character, as codes are drawn."""
        return seq[self.whole(0, len(seq) - 1)]


def days_between(first: date, last: date) -> list[date]:
    """Return every day from one to another, both included."""
    return [first + timedelta(days=n) for n in range((last - first).days + 1)]


def season_of(on: date) -> int:
    """Return the year in which the season of a day began; seasons run from July to June."""
    return on.year if on.month >= BEGINS_ON.month else on.year - 1
