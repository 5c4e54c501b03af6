"""What stands on a collecting sheet, in words and numbers already made."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from slipwright.craft.cane import BUNDLE
from slipwright.craft.said import Said
from slipwright.outputs._press.framed import Refused, Warned
from slipwright.outputs._press.stem import Wood
from slipwright.outputs.measures import First
from slipwright.outputs.sheet import Step


@dataclass(frozen=True)
class Shoots:
    """What is cut from one plant; ``n_shoots`` is not known where nobody counted what a shoot gives."""

    plant: str
    name_runs: tuple[tuple[str, bool], ...]
    bring_in_by: date
    n_shoots: int | None
    n_cuttings: int
    wood: Wood = "semi-hardwood"
    common_name: str = ""
    place: str = ""
    length_mm: tuple[float, float] | None = None
    n_nodes: tuple[int, int] | None = None
    numbers: tuple[int, ...] = ()
    """Of the lines of the crew sheet it is for."""


@dataclass(frozen=True)
class CollectingWeek:
    """A week: what is cut in it, what may not be, and what to mind."""

    week: date
    shoots: tuple[Shoots, ...] = ()
    refused: tuple[Refused, ...] = ()
    cautions: tuple[Warned, ...] = ()


@dataclass(frozen=True)
class CollectingSheet:
    """All that a collecting sheet says, in words and numbers already made."""

    weeks: tuple[CollectingWeek, ...]
    steps: tuple[Step, ...] = ()
    garden: str = ""
    programme_on: date | None = None
    made_on: date | None = None
    n_each: int = BUNDLE
    first: First = "metric"
    wood_words: tuple[tuple[str, str], ...] = (
        ("softwood", Said("softwood")),
        ("semi-hardwood", Said("semi-hardwood")),
        ("hardwood", Said("hardwood")),
    )
