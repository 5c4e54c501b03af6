"""The lines of a programme as papers have them: what is still to be stuck, when, and whether it may be."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, cast

from slipwright.advice.label import label_of_batch
from slipwright.advice.steps import cautions_of_page
from slipwright.craft.cautions import Caution, cautions_for
from slipwright.craft.days import monday_of
from slipwright.craft.said import Said
from slipwright.handbook import Handbook
from slipwright.handbook.pages import Page, Wood
from slipwright.records import selectors
from slipwright.records.answers.programme.lines_now import lines_now
from slipwright.records.errors import Refused
from slipwright.records.models import Garden, Taxon, Want
from slipwright.records.selectors.season_stuck import StuckForWant

_OPEN = ("late", "now", "later")


@dataclass(frozen=True, slots=True)
class PaperLine:
    """One batch of the programme on paper; ``why_not`` is empty where its plant may be multiplied."""

    told: Mapping[str, Any]
    week: date
    day: date
    why_not: str
    page: Page | None
    common_name: str
    cautions: tuple[Caution, ...]

    @property
    def number(self) -> int:
        """By which it is called on all papers: the first is 1."""
        return int(self.told["n"]) + 1

    @property
    def taxon(self) -> str:
        """Its botanical name."""
        return str(self.told["taxon"])

    @property
    def name_runs(self) -> tuple[tuple[str, bool], ...]:
        """Pieces of the name, True for those in italics."""
        return label_of_batch(code="", taxon=self.taxon).name_runs

    @property
    def wood(self) -> Wood:
        """The wood it is made of."""
        return cast(Wood, self.told["wood"])

    @property
    def length_mm(self) -> tuple[float, float] | None:
        """Length of a cutting, from and to [mm]."""
        ends = self.told.get("length_mm")
        return (float(ends[0]), float(ends[1])) if ends else None

    @property
    def n_nodes(self) -> tuple[int, int] | None:
        """Nodes of a cutting, from and to [1]."""
        ends = self.told.get("n_nodes")
        return (round(ends[0]), round(ends[1])) if ends else None

    @property
    def shoots(self) -> Sequence[Mapping[str, Any]]:
        """What it takes of each plant."""
        return cast(Sequence[Mapping[str, Any]], self.told.get("shoots") or ())


def paper_lines(
    garden: Garden,
    handbook: Handbook,
    content: Mapping[str, Any],
    *,
    on: date,
    week: date | None = None,
    stuck: Iterable[StuckForWant] = (),
    tongue: str = "en",
) -> tuple[PaperLine, ...]:
    """Return what is still to be stuck from a day on, or in one week, in order of the days. Two queries.

    What is late stands in the week of the day, what nobody wants any more is left out. Rights are looked
    up anew: they may have changed since the programme was made.
    """
    monday = monday_of(on)
    asked = None if week is None else monday_of(week)
    taxa = {taxon.taxon: taxon for taxon in Taxon.rows.of(garden)}
    wanted = set(Want.rows.of(garden).values_list("want", flat=True))
    found = []
    for line in lines_now(content.get("lines", ()), stuck, on=on):
        day, of = date.fromisoformat(line.told["stick_on"]), max(line.week, monday)
        if line.standing in _OPEN and asked in (None, of) and line.told["want"] in wanted:
            found.append(_line(handbook, taxa, line.rest, of, max(day, on), tongue))
    return tuple(sorted(found, key=lambda line: (line.week, line.day, line.number)))


def all_lines(garden: Garden, handbook: Handbook, content: Mapping[str, Any]) -> tuple[PaperLine, ...]:
    """Return every line of a programme, on the days it was planned for. One query."""
    taxa = {taxon.taxon: taxon for taxon in Taxon.rows.of(garden)}
    return tuple(
        _line(
            handbook,
            taxa,
            told,
            date.fromisoformat(told["week"]),
            date.fromisoformat(told["stick_on"]),
            "en",
        )
        for told in content.get("lines", ())
    )


def lines_to_print(lines: Sequence[PaperLine], *, week: date | None) -> Sequence[PaperLine]:
    """Return the lines; refuse where there is none: an empty sheet would say that nothing is to do."""
    if lines:
        return lines
    if week is None:
        raise Refused(Said("The programme has nothing more to stick."))
    raise Refused(Said("The programme has nothing to stick in that week."))


def _line(
    handbook: Handbook, taxa: Mapping[str, Taxon], told: Mapping[str, Any], week: date, day: date, tongue: str
) -> PaperLine:
    name, page = told["taxon"], handbook.page_of(told["taxon"])
    taxon = taxa.get(name)
    common = next(iter(page.names_of(name, tongue)), "") if page else ""
    if taxon is None:
        gone = Said("It stands no more among the garden's taxa.")
        return PaperLine(told, week, day, gone, page, common, ())
    rights = selectors.rights_of(taxon, on=day)
    cautions = _cautions(told, page, taxon.rights or "unknown")
    if rights.kind == "unknown":
        cautions += (Caution("rights", rights.reason, "stock plant"),)
    return PaperLine(told, week, day, "" if rights.allowed else rights.reason, page, common, cautions)


def _cautions(told: Mapping[str, Any], page: Page | None, rights: str) -> tuple[Caution, ...]:
    of_page = cautions_of_page(page, rights) if page else ()
    return of_page + cautions_for(
        wood=told["wood"],
        prickles=page.prickles if page else False,
        hazards=page.hazards if page else (),
        auxin_form=told.get("auxin_form") or "",
        parts=[part["name"] for part in told.get("parts") or ()],
        cover=told.get("cover") or "",
    )


def weeks_of(lines: Sequence[PaperLine]) -> dict[date, list[PaperLine]]:
    """Return lines by the Mondays of their weeks."""
    found: dict[date, list[PaperLine]] = {}
    for line in lines:
        found.setdefault(line.week, []).append(line)
    return found


def end_of(week: date) -> date:
    """Return the Sunday of a week."""
    return week + timedelta(days=6)
