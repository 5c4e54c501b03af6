"""A season told: its figures, its sentences, and its charts for page and paper."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any, Final, Literal

from slipwright.craft.figures import money, plain
from slipwright.craft.said import Said
from slipwright.outputs.charts.season import came_to_bar, losses_bars, wants_bars

State = Literal["met", "late", "short", "open"]
#: wants in the chart; what is more is told as a number
MOST_WANTS: Final = 14


@dataclass(frozen=True)
class WantLine:
    """A want, how many are there, and what is said of it."""

    want: str
    taxon: str
    n_wanted: int
    n_there: int
    ready_as: str
    ready_by: date
    state: State
    #: such as "met", "6 short", "due 1 Nov 2016"
    said: str


@dataclass(frozen=True)
class LossLine:
    """A cause, and how many were lost by it."""

    cause: str
    name: str
    n: int


@dataclass(frozen=True)
class PlantLine:
    """A wood of a taxon, and what its cuttings came to."""

    taxon: str
    wood: str
    n_batches: int
    n_stuck: int
    n_rooted: int
    n_lost: int
    n_waiting: int
    n_removed: int = 0

    @property
    def of_ten(self) -> float | None:
        """Of ten that rooted or were lost, how many rooted; None while nothing is decided."""
        decided = self.n_rooted + self.n_lost
        return 10 * self.n_rooted / decided if decided else None


@dataclass(frozen=True)
class CostLine:
    """What the plants of a want cost to make, beside what one is worth bought."""

    want: str
    n_plants: int
    spent: float
    each: float
    price_each: float
    #: such as "14.20 cheaper"
    said: str


@dataclass(frozen=True)
class ReportWords:
    """Words that stand on every report."""

    kind: str = Said("Season report")
    came_to: str = Said("What became of the cuttings")
    wants: str = Said("What was wanted")
    losses: str = Said("Why cuttings were lost")
    plants: str = Said("Plant by plant")
    plants_more: str = Said("Plant by plant, continued")
    costs: str = Said("What a plant cost")
    learned: str = Said("What the records taught")
    page: str = Said("season report, page {n}")
    made: str = Said("as of {day}")
    more: str = Said("and {n} more")
    more_plants: str = Said("And {n} more: the tables of the garden hold them all.")
    rooted: str = Said("rooted")
    waiting: str = Said("waiting")
    lost: str = Said("lost")
    removed: str = Said("taken away")
    plant: str = Said("Plant")
    wood: str = Said("Wood")
    batches: str = Said("Batches")
    stuck: str = Said("Stuck")
    of_ten: str = Said("Rooted of 10 decided")
    want: str = Said("Want")
    number: str = Said("Plants")
    cost_each: str = Said("Cost each")
    price_each: str = Said("Bought each")
    difference: str = Said("Difference")


@dataclass(frozen=True)
class SeasonReport:
    """All that a season report says, counted and put in words."""

    season: str
    first: date
    last: date
    garden: str
    answer: str
    n_stuck: int = 0
    n_rooted: int = 0
    n_lost: int = 0
    n_waiting: int = 0
    n_removed: int = 0
    wants: tuple[WantLine, ...] = ()
    wants_said: str = ""
    losses: tuple[LossLine, ...] = ()
    losses_said: str = ""
    plants: tuple[PlantLine, ...] = ()
    costs: tuple[CostLine, ...] = ()
    costs_said: str = ""
    costs_left_out: str = ""
    findings: tuple[str, ...] = ()
    findings_said: str = ""
    remarks: tuple[str, ...] = ()
    made_on: date | None = None
    words: ReportWords = field(default_factory=ReportWords)

    def as_json(self) -> dict[str, Any]:
        """Plain data, as ``docs/contract/season-report.json`` has it."""
        return {
            "season": self.season,
            "from_on": self.first.isoformat(),
            "to_on": self.last.isoformat(),
            "n_stuck": self.n_stuck,
            "n_rooted": self.n_rooted,
            "n_lost": self.n_lost,
            "n_waiting": self.n_waiting,
            "n_removed": self.n_removed,
            "wants": [
                {
                    "want": one.want,
                    "taxon": one.taxon,
                    "n_wanted": one.n_wanted,
                    "n_there": one.n_there,
                    "ready_as": str(one.ready_as),
                    "ready_by": one.ready_by.isoformat(),
                    "state": one.state,
                }
                for one in self.wants
            ],
            "losses": [{"cause": one.cause, "n": one.n} for one in self.losses],
            "plants": [
                {
                    "taxon": one.taxon,
                    "wood": str(one.wood),
                    "n_batches": one.n_batches,
                    "n_stuck": one.n_stuck,
                    "n_rooted": one.n_rooted,
                    "n_lost": one.n_lost,
                    "n_waiting": one.n_waiting,
                    "n_removed": one.n_removed,
                }
                for one in self.plants
            ],
            "costs": [
                {
                    "want": one.want,
                    "n_plants": one.n_plants,
                    "spent": round(one.spent, 2),
                    "cost_each": round(one.each, 2),
                    "price_each": round(one.price_each, 2),
                }
                for one in self.costs
            ],
            "findings": [str(line) for line in self.findings],
        }

    def in_words(self) -> list[str]:
        """Return it in sentences, line by line."""
        lines = [self.answer, self.wants_said]
        lines += [f"   {one.want}: {one.n_there} of {one.n_wanted}, {one.said}" for one in self.wants]
        lines.append(self.losses_said)
        lines += [f"   {one.name}: {one.n}" for one in self.losses]
        lines.append(self.costs_said)
        lines += [f"   {one.want}: {money(one.each)} each, {one.said}" for one in self.costs]
        lines += [self.costs_left_out, self.findings_said, *(f"   {line}" for line in self.findings)]
        return [line for line in (*lines, *self.remarks) if line]


def came_to_chart(report: SeasonReport) -> str:
    """Return the bar of what the cuttings of a season came to.

    Parameters
    ----------
    report : SeasonReport
        The season, its words in the tongue they are to be shown in.

    Returns
    -------
    str
        The drawing as SVG; empty where nothing was stuck.

    References
    ----------
    Our own drawing.

    Examples
    --------
    >>> came_to_chart(SeasonReport("2026", date(2026, 1, 1), date(2026, 12, 31), "Garden", "None."))
    ''
    """
    words = report.words
    parts = (
        ("rooted", words.rooted, report.n_rooted),
        ("waiting", words.waiting, report.n_waiting),
        ("lost", words.lost, report.n_lost),
        ("removed", words.removed, report.n_removed),
    )
    numbers = [plain(part[2], 0) for part in parts]
    return came_to_bar(parts, report.answer, words=numbers) if any(part[2] for part in parts) else ""


def losses_chart(report: SeasonReport) -> str:
    """Return the bars of why cuttings were lost.

    Parameters
    ----------
    report : SeasonReport
        The season, its words in the tongue they are to be shown in.

    Returns
    -------
    str
        The drawing as SVG; empty where nothing was lost.

    References
    ----------
    Our own drawing.

    Examples
    --------
    >>> losses_chart(SeasonReport("2026", date(2026, 1, 1), date(2026, 12, 31), "Garden", "None."))
    ''
    """
    rows = [(one.name, one.n) for one in report.losses]
    return losses_bars(rows, report.losses_said) if rows else ""


def wants_chart(report: SeasonReport) -> str:
    """Return the bars of how far each want was met.

    Parameters
    ----------
    report : SeasonReport
        The season, its words in the tongue they are to be shown in.

    Returns
    -------
    str
        The drawing as SVG; empty where nothing was wanted.

    References
    ----------
    Our own drawing.

    Examples
    --------
    >>> wants_chart(SeasonReport("2026", date(2026, 1, 1), date(2026, 12, 31), "Garden", "None."))
    ''
    """
    rows = [(one.want, one.n_there, one.n_wanted, one.said) for one in report.wants[:MOST_WANTS]]
    return wants_bars(rows, report.wants_said) if rows else ""
