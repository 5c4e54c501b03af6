"""The trade's knowledge: one page a kind of plant, every value with its source or mark."""

from slipwright.handbook._entries import HandbookError
from slipwright.handbook.finding import Handbook, Match
from slipwright.handbook.pages import (
    COMMON_PRACTICE,
    FROM_MEMORY,
    MARKS,
    WOODS,
    Amount,
    BloomRule,
    Cutting,
    Dose,
    Leaves,
    Origin,
    Page,
    PotUpRule,
    Range,
    Season,
    Source,
    Spread,
    Statement,
    Wood,
    WoodLeaf,
)
from slipwright.handbook.reading import load_handbook, read_handbook

__all__ = [
    "COMMON_PRACTICE",
    "FROM_MEMORY",
    "MARKS",
    "WOODS",
    "Amount",
    "BloomRule",
    "Cutting",
    "Dose",
    "Handbook",
    "HandbookError",
    "Leaves",
    "Match",
    "Origin",
    "Page",
    "PotUpRule",
    "Range",
    "Season",
    "Source",
    "Spread",
    "Statement",
    "Wood",
    "WoodLeaf",
    "load_handbook",
    "read_handbook",
]
