"""The stick sheet: one page (two at most, as a rule) to have beside the knife.

The answer first, then what is needed, then the steps with each caution where the hand is, beside the
drawn cane; then pots, days, and what it all rests on.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final, Literal

from slipwright.craft.said import Said, all_in_tongue
from slipwright.outputs._press import palette
from slipwright.outputs._press.cane_drawing import WIDTH_MM
from slipwright.outputs._press.cane_parts import CaneCutting, CaneDrawing
from slipwright.outputs._press.date_rule import Timeline
from slipwright.outputs._press.paper import Paper, Printed
from slipwright.outputs._press.paragraphs import Paragraph, paragraph
from slipwright.outputs._press.pot_drawing import PotDrawing
from slipwright.outputs._press.sheet_head import Head, TurnedHead, name_line, sheet_size_mm
from slipwright.outputs._press.sheet_parts import (
    GAP_MM,
    BesidePart,
    CanePart,
    CautionsPart,
    DatesPart,
    Part,
    Placed,
    PotPart,
    RestsOnPart,
    StackPart,
    StepPart,
    TextPart,
    rows_part,
)
from slipwright.outputs._press.typeface import Run
from slipwright.outputs.measures import First, day_text

__all__ = ["CaneCutting", "CaneDrawing", "PotDrawing", "Step", "StickSheet", "Timeline", "stick_sheet_pdf"]

MARGIN_MM: Final = 13.0
LEAST_DRAWING_MM: Final = 98.0
MOST_DRAWING_MM: Final = 178.0
STEP_SKIP_MM: Final = 1.7
POT_MM: Final = 40.0
"""Side of the drawing of a pot from above, beside the largest text."""
SIZES_PT: Final = (10.5, 10.0, 9.5, 9.0)
"""Sizes of text tried; of those with the fewest pages the largest is taken."""


@dataclass(frozen=True)
class Step:
    """One thing to do, and the caution that belongs to it."""

    text: str
    caution: str = ""
    lead: str = ""
    """First words of the step, in bold."""


@dataclass(frozen=True)
class Headings:
    """Words that stand on every sheet."""

    title: str = Said("Stick sheet: {name}")
    one_pot: str = Said("One pot: {name}")
    from_above: str = Said("From above")
    next: str = Said("What comes next")
    mind: str = Said("Mind")
    sources: str = Said("Sources")
    made: str = Said("made {day}")
    page: str = Said("stick sheet, page {n}")


@dataclass(frozen=True)
class StickSheet:
    """All that a stick sheet says, in words and numbers already made."""

    name_runs: tuple[tuple[str, bool], ...]
    answer: str
    steps: tuple[Step, ...]
    common_name: str = ""
    code: str = ""
    facts: tuple[tuple[str, str], ...] = ()
    cane: CaneDrawing | None = None
    pot: PotDrawing | None = None
    days: Timeline | None = None
    cautions: tuple[str, ...] = ()
    rests_on: str = ""
    own_records: bool = False
    sources: tuple[str, ...] = ()
    garden: str = ""
    made_on: date | None = None
    first: First = "metric"
    headings: Headings = Headings()


def stick_sheet_pdf(
    sheet: StickSheet,
    *,
    paper: Literal["a4", "letter"] = "a4",
    base: str = "",
    translate: Callable[[str], str] = str,
) -> Printed:
    """Return the stick sheet as PDF, on as few pages as text of 9 points or more allows.

    Parameters
    ----------
    sheet : StickSheet
        What it says and shows.
    paper : str
        a4 or letter.
    base : str
        Address before the code in the QR symbol; empty for the code alone.
    translate : callable
        Says the words in the tongue of the sheet.

    Returns
    -------
    Printed
        The PDF, its pages, and which characters could not be printed as written.

    Raises
    ------
    BadArgument
        If the paper is not known or there are no steps.

    References
    ----------
    The house's own drawing style (common practice, no source).

    Examples
    --------
    >>> sheet = StickSheet((("Salvia rosmarinus", True),), "Stick 12 today.", (Step("Wash the pots."),))
    >>> stick_sheet_pdf(sheet).n_pages
    1
    """
    size = sheet_size_mm(paper, sheet.steps)
    sheet = all_in_tongue(sheet, translate)
    smallest = SheetPlan(sheet, size, SIZES_PT[-1], base)
    larger = (SheetPlan(sheet, size, pt, base) for pt in SIZES_PT[:-1])
    plan = next((plan for plan in larger if len(plan.pages) <= len(smallest.pages)), smallest)
    return _printed(sheet, size, plan.pages, translate)


def _printed(
    sheet: StickSheet,
    size_mm: tuple[float, float],
    pages: Sequence[Sequence[Placed]],
    translate: Callable[[str], str],
) -> Printed:
    name = "".join(text for text, _ in sheet.name_runs)
    title = sheet.headings.title.format(name=name)
    paper = Paper(size_mm, title=title, subject=sheet.answer, translate=translate)
    made = sheet.headings.made.format(day=paper.told(day_text(sheet.made_on))) if sheet.made_on else ""
    for number, page in enumerate(pages, start=1):
        if number > 1:
            paper.next_page()
        for placed in page:
            placed.part.draw(paper, placed.x, placed.top)
        y = size_mm[1] - 8.0
        paper.text([(sheet.garden, "regular")], MARGIN_MM, y, 8, palette.INK2)
        paper.text_right([(made, "regular")], size_mm[0] - MARGIN_MM, y, 8, palette.INK2)
    return paper.finish()


class SheetPlan:
    """A sheet set at one size of text: its parts, measured, and the page and place of each."""

    def __init__(self, sheet: StickSheet, size_mm: tuple[float, float], pt: float, base: str) -> None:
        self.sheet, self.pt = sheet, pt
        self.width = size_mm[0] - 2 * MARGIN_MM
        self.foot = size_mm[1] - MARGIN_MM - 1.0
        self.pages: list[list[Placed]] = [[]]
        self._top = MARGIN_MM
        for part in (Head(sheet, self.width, base), _intro(sheet, self.width, pt)):
            self._place(part)
        self._place_steps(_tail(sheet, self.width, pt))

    def _place(self, part: Part, gap: float = GAP_MM) -> None:
        self.pages[-1].append(Placed(MARGIN_MM, self._top, part))
        self._top += part.height_mm + gap

    def _turn(self) -> None:
        """Begin a page with a heading that says what it belongs to."""
        page: Run = ("  " + self.sheet.headings.page.format(n=len(self.pages) + 1), "regular")
        words = paragraph([*name_line(self.sheet.name_runs), page], size_pt=11, width_mm=self.width)
        self.pages.append([])
        self._top = MARGIN_MM
        self._place(TurnedHead(words, self.width), gap=4.0)

    def _place_steps(self, tail: list[Part]) -> None:
        """Place steps on the left with the cane on their right; over the page they take the whole width."""
        beside = bool(self.sheet.cane)
        steps_mm = self.width - WIDTH_MM - 5.0 if beside else self.width
        steps = [_step(i, step, self.pt, steps_mm) for i, step in enumerate(self.sheet.steps, start=1)]
        foot = 0.0
        if self.sheet.cane:
            height = self._drawing_mm(sum(step.height_mm for step in steps), tail)
            cane = CanePart(self.sheet.cane, height, self.sheet.first)
            self.pages[-1].append(Placed(MARGIN_MM + self.width - WIDTH_MM, self._top, cane))
            foot = self._top + height + GAP_MM
        for i, (step, narrow) in enumerate(zip(self.sheet.steps, steps, strict=True), start=1):
            part = narrow if foot or not beside else _step(i, step, self.pt, self.width)
            if self._top + part.height_mm - STEP_SKIP_MM > self.foot:
                self._turn()
                foot, part = 0.0, _step(i, step, self.pt, self.width)
            self._place(part, gap=0.0)
        self._top = max(self._top + GAP_MM, foot)
        self._place_tail(tail)

    def _drawing_mm(self, steps: float, tail: list[Part]) -> float:
        """Height for the cane: what the steps and such later parts as fit this page leave free."""
        least = max(steps, LEAST_DRAWING_MM)
        free = self.foot - self._top - least
        for part in tail:
            if part.height_mm + GAP_MM <= free:
                free -= part.height_mm + GAP_MM
        return min(least + max(free, 0.0), MOST_DRAWING_MM, self.foot - self._top)

    def _place_tail(self, tail: list[Part]) -> None:
        """Place each later part on the first page with room; later ones may go before it."""
        waiting = list(tail)
        while waiting:
            part = next((part for part in waiting if self._top + part.height_mm <= self.foot + 0.01), None)
            if part is None and len(self.pages[-1]) > 1:
                self._turn()
                continue
            part = part or waiting[0]  # higher than a page: there is no better place for it
            waiting.remove(part)
            self._place(part)


def _intro(sheet: StickSheet, width: float, pt: float) -> StackPart:
    answer = TextPart(paragraph(sheet.answer, size_pt=pt + 3.5, width_mm=width, face="bold", leading=1.25))
    half = (len(sheet.facts) + 1) // 2
    column = (width - 6.0) / 2
    columns = [
        (shift, rows_part(rows, size_pt=pt, width_mm=column, label_mm=21.0))
        for shift, rows in ((0.0, sheet.facts[:half]), (column + 6.0, sheet.facts[half:]))
        if rows
    ]
    return StackPart((answer, BesidePart(tuple(columns))) if columns else (answer,), gap=2.2)


def _step(number: int, step: Step, pt: float, width: float) -> StepPart:
    lead: list[Run] = [(step.lead + " ", "bold")] if step.lead else []
    text = paragraph([*lead, (step.text, "regular")], size_pt=pt, width_mm=width - 7.0)
    caution = paragraph(step.caution, size_pt=pt - 0.8, width_mm=width - 7.0 - 8.0) if step.caution else None
    return StepPart(number, text, caution, width)


def _tail(sheet: StickSheet, width: float, pt: float) -> list[Part]:
    rows = [_pots_and_days(sheet, width, pt), _cautions_and_grounds(sheet, width, pt)]
    return [row for row in rows if row is not None]


def _heading(text: str, width: float, pt: float) -> Paragraph:
    return paragraph(text, size_pt=pt + 1.5, width_mm=width, face="bold")


def _pots_and_days(sheet: StickSheet, width: float, pt: float) -> Part | None:
    parts: list[tuple[float, Part]] = []
    pot_mm = 0.0
    if sheet.pot:
        beside, side = sheet.days is None, POT_MM * pt / SIZES_PT[0]
        pot_mm = width if beside else POT_MM + 18.0
        words_mm = width - side - 4.0 if beside else pot_mm
        says = tuple(paragraph(line, size_pt=pt - 0.5, width_mm=words_mm) for line in sheet.pot.says)
        heading = _heading(sheet.headings.from_above, pot_mm, pt)
        parts.append((0.0, PotPart(sheet.pot, heading, says, side, sheet.first, beside)))
    if sheet.days:
        left = pot_mm + 5.0 if sheet.pot else 0.0
        wide = width - left
        rows = rows_part(sheet.days.says, size_pt=pt, width_mm=wide, label_mm=19.0, bold="label")
        parts.append((left, DatesPart(sheet.days, _heading(sheet.headings.next, wide, pt), rows, wide)))
    return BesidePart(tuple(parts)) if parts else None


def _cautions_and_grounds(sheet: StickSheet, width: float, pt: float) -> Part | None:
    both = bool(sheet.cautions) and bool(sheet.rests_on or sheet.sources)
    column = (width - 5.0) / 2 if both else width
    parts: list[tuple[float, Part]] = []
    if sheet.cautions:
        lines = tuple(paragraph(line, size_pt=pt - 0.8, width_mm=column - 14.0) for line in sheet.cautions)
        parts.append((0.0, CautionsPart(lines, column, _heading(sheet.headings.mind, column - 14.0, pt))))
    grounds: list[Part] = []
    if sheet.rests_on:
        text = paragraph(sheet.rests_on, size_pt=pt - 0.8, width_mm=column - 15.0)
        grounds.append(RestsOnPart(text, column, sheet.own_records))
    if sheet.sources:
        said = paragraph("; ".join(sheet.sources) + ".", size_pt=7.5, width_mm=column)
        grounds.append(
            TextPart(said, paragraph(sheet.headings.sources, size_pt=8, width_mm=column, face="bold"))
        )
    if grounds:
        parts.append((column + 5.0 if both else 0.0, StackPart(tuple(grounds), gap=1.6)))
    return BesidePart(tuple(parts)) if parts else None
