"""What a year sheet says: its plants, its words, its year."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from slipwright.craft.days import MONTHS
from slipwright.craft.said import Said
from slipwright.outputs._press.year_row import YearBar


@dataclass(frozen=True)
class YearRow:
    """One plant: its name, whether its days are the garden's own, and its year."""

    name_runs: tuple[tuple[str, bool], ...]
    #: what stands beneath the name: the cultivar, what people call it, which plants
    second: str = ""
    own_records: bool = False
    bars: tuple[YearBar, ...] = ()
    #: days and the chance of bloom on them
    bloom: tuple[tuple[date, float], ...] = ()
    too_near: tuple[tuple[date, date], ...] = ()
    #: why there is no bar, or what must be minded
    note: str = ""


@dataclass(frozen=True)
class YearWords:
    """Words that stand on every year sheet."""

    title: str = Said("When the wood is right, {year}")
    bend: str = Said("Bend a shoot before you cut: the wood decides, not the page.")
    made: str = Said("Forecast of {day}")
    made_book: str = Said("From the handbook, {day}")
    bars: Mapping[str, str] = field(
        default_factory=lambda: {
            "softwood": Said("soft"),
            "semi-hardwood": Said("semi"),
            "hardwood": Said("hard"),
            "bloom": Said("bloom"),
        }
    )
    key: Mapping[str, str] = field(
        default_factory=lambda: {
            "softwood": Said("softwood: snaps clean"),
            "semi-hardwood": Said("semi-hardwood: springs back"),
            "hardwood": Said("hardwood: stiff, at rest"),
            "bloom": Said("bloom"),
            "near": Said("too near bloom"),
            "own": Said("your own dates"),
            "book": Said("handbook, give or take 3 weeks"),
        }
    )
    page: str = Said("page {n} of {of}")
    months: tuple[str, ...] = MONTHS


@dataclass(frozen=True)
class YearSheet:
    """All that a year sheet says."""

    year: int
    rows: tuple[YearRow, ...]
    garden: str = ""
    made_on: date | None = None
    #: sentences beneath the key
    notes: tuple[str, ...] = ()
    words: YearWords = field(default_factory=YearWords)
