"""The values of ``data/physics-values.csv``, by their ids."""

from __future__ import annotations

import csv
import math
from decimal import Decimal
from pathlib import Path
from typing import NamedTuple

FILE = Path(__file__).parent / "data" / "physics-values.csv"
with FILE.open(encoding="utf-8", newline="") as lines:
    ROWS = {row["id"]: row for row in csv.DictReader(lines)}

FIGURES = 6  # values with so many figures were rounded to them


class Published(NamedTuple):
    """A value and how far ours may lie from it, both in the value's own unit."""

    value: float
    tolerance: float


def published(value_id: str) -> Published:
    """Return a value; a row that is for reference only has no tolerance (nan)."""
    row = ROWS[value_id]
    value = Decimal(row["value"])
    return Published(float(value), _tolerance(row["tolerance"], float(value)) + _rounding(value))


def _tolerance(text: str, value: float) -> float:
    if text == "reference only":
        return math.nan
    number, _, kind = text.partition(" ")
    share = {"": 1.0, "%": abs(value) / 100, "relative": abs(value)}[kind]
    return float(number) * share


def _rounding(value: Decimal) -> float:
    figures = value.as_tuple()
    return 0.5 * 10.0 ** int(figures.exponent) if len(figures.digits) == FIGURES else 0.0
