"""What stands on a crew sheet, in words and numbers already made."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from slipwright.outputs._press.framed import Refused, Warned
from slipwright.outputs._press.small_cutting import SmallCutting
from slipwright.outputs.measures import First
from slipwright.outputs.sheet import Step


@dataclass(frozen=True)
class CrewLine:
    """One batch to stick; ``litres``, ``dip_ml`` and ``hours`` are not told where they are not known."""

    number: int
    name_runs: tuple[tuple[str, bool], ...]
    day: date
    n_to_stick: int
    n_containers: int
    container: str
    n_per_container: int
    litres: float | None
    n_labels: int
    common_name: str = ""
    plant: str = ""
    want: str = ""
    dip_ml: float | None = None
    hormone: str = ""
    """In a word, where it is not measured out by volume."""
    hours: float | None = None
    length_mm: tuple[float, float] | None = None
    n_nodes: tuple[int, int] | None = None


@dataclass(frozen=True)
class Way:
    """A way of making cuttings: its title, its steps with their cautions, and the lines made by it."""

    title: str
    steps: tuple[Step, ...]
    lines: tuple[CrewLine, ...]
    cutting: SmallCutting | None = None


@dataclass(frozen=True)
class Mix:
    """A medium to mix for a week, and its parts."""

    medium: str
    litres: float
    parts: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True)
class CrewWeek:
    """A week: its ways, what is mixed, and all hours of it with those there are."""

    week: date
    ways: tuple[Way, ...] = ()
    mixes: tuple[Mix, ...] = ()
    mixing_cautions: tuple[Warned, ...] = ()
    refused: tuple[Refused, ...] = ()
    hours: float | None = None
    hours_room: float | None = None

    @property
    def lines(self) -> tuple[CrewLine, ...]:
        """The lines of all its ways."""
        return tuple(line for way in self.ways for line in way.lines)


@dataclass(frozen=True)
class CrewSheet:
    """All that a crew sheet says, in words and numbers already made."""

    weeks: tuple[CrewWeek, ...]
    garden: str = ""
    programme_on: date | None = None
    made_on: date | None = None
    first: First = "metric"
