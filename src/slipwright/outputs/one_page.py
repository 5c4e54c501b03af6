"""One page and never two: the answer, the steps in two columns, the pot, the days, what to mind."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final, Literal

from slipwright.craft.said import all_in_tongue
from slipwright.outputs._press import palette
from slipwright.outputs._press.paper import Paper, Printed
from slipwright.outputs._press.paragraphs import Paragraph, paragraph
from slipwright.outputs._press.sheet_head import Head, sheet_size_mm
from slipwright.outputs._press.sheet_parts import (
    BesidePart,
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
    shortest_cut,
)
from slipwright.outputs._press.typeface import Run
from slipwright.outputs.measures import day_text
from slipwright.outputs.sheet import Step, StickSheet

MARGIN_MM: Final = 11.0
GAP_MM: Final = 2.4
BETWEEN_MM: Final = 6.0
"""Between the two columns of steps."""
POT_MM: Final = 30.0
"""Side of the drawing of the pot from above."""
SIZES_PT: Final = (10.5, 10.0, 9.5, 9.2, 9.0, 8.8, 8.6, 8.4, 8.2, 8.0, 7.8, 7.6, 7.4, 7.2)
"""Sizes of text tried: the largest with which all stands on one page is taken."""


def one_page_pdf(
    sheet: StickSheet, *, paper: Literal["a4", "letter"] = "a4", translate: Callable[[str], str] = str
) -> Printed:
    """Return a stick sheet as PDF of one page.

    Parameters
    ----------
    sheet : StickSheet
        What it says and shows; a drawn cane is left out.
    paper : {'a4', 'letter'}
        Which paper.
    translate : callable
        Says the words in the tongue of the page.

    Returns
    -------
    Printed
        The PDF, and which characters could not be printed as written.

    Raises
    ------
    BadArgument
        If the paper is not known or there are no steps.

    Notes
    -----
    The text is as large as one page allows, 10.5 points at most.

    References
    ----------
    The house's own drawing style (common practice, no source).

    Examples
    --------
    >>> one_page_pdf(StickSheet((("Rosa", True),), "Stick 9.", (Step("Wash the pot."),))).n_pages
    1
    """
    size = sheet_size_mm(paper, sheet.steps)
    sheet = all_in_tongue(sheet, translate)
    plans = (OnePagePlan(sheet, size, pt) for pt in SIZES_PT)
    plan = next((plan for plan in plans if plan.fits), OnePagePlan(sheet, size, SIZES_PT[-1]))
    name = "".join(text for text, _ in sheet.name_runs)
    title = sheet.headings.one_pot.format(name=name)
    page = Paper(size, title=title, subject=sheet.answer, translate=translate)
    for placed in plan.placed:
        placed.part.draw(page, placed.x, placed.top)
    if sheet.made_on:
        day = page.told(day_text(sheet.made_on))
        made: list[Run] = [(sheet.headings.made.format(day=day), "regular")]
        page.text_right(made, size[0] - MARGIN_MM, size[1] - 6.0, 8, palette.INK2)
    return page.finish()


class OnePagePlan:
    """A page set at one size of text: its parts and their places."""

    def __init__(self, sheet: StickSheet, size_mm: tuple[float, float], pt: float) -> None:
        self.pt = pt
        self.width = size_mm[0] - 2 * MARGIN_MM
        self.foot = size_mm[1] - MARGIN_MM
        self.placed: list[Placed] = []
        self.top = MARGIN_MM
        for part in (Head(sheet, self.width), *_intro(sheet, self.width, pt)):
            self._place(part)
        self._place_steps([_step(i, step, pt, self._column) for i, step in enumerate(sheet.steps, start=1)])
        for part in _tail(sheet, self.width, pt):
            self._place(part)

    @property
    def fits(self) -> bool:
        """Whether all of it stands on the page."""
        return self.top - GAP_MM <= self.foot

    @property
    def _column(self) -> float:
        return (self.width - BETWEEN_MM) / 2

    def _place(self, part: Part) -> None:
        self.placed.append(Placed(MARGIN_MM, self.top, part))
        self.top += part.height_mm + GAP_MM

    def _place_steps(self, steps: Sequence[StepPart]) -> None:
        """Place the steps down the left column, then down the right, where the longer is shortest."""
        cut = shortest_cut(steps)
        feet = []
        for column, some in enumerate((steps[:cut], steps[cut:])):
            top = self.top
            for step in some:
                self.placed.append(Placed(MARGIN_MM + column * (self._column + BETWEEN_MM), top, step))
                top += step.height_mm
            feet.append(top)
        self.top = max(feet) + GAP_MM


def _intro(sheet: StickSheet, width: float, pt: float) -> list[Part]:
    parts: list[Part] = [
        TextPart(paragraph(sheet.answer, size_pt=pt + 3.5, width_mm=width, face="bold", leading=1.2))
    ]
    half = (len(sheet.facts) + 1) // 2
    column = (width - BETWEEN_MM) / 2
    columns = tuple(
        (shift, rows_part(rows, size_pt=pt, width_mm=column, label_mm=19.0))
        for shift, rows in ((0.0, sheet.facts[:half]), (column + BETWEEN_MM, sheet.facts[half:]))
        if rows
    )
    return [*parts, BesidePart(columns)] if columns else parts


def _step(number: int, step: Step, pt: float, width: float) -> StepPart:
    lead: list[Run] = [(step.lead + " ", "bold")] if step.lead else []
    text = paragraph([*lead, (step.text, "regular")], size_pt=pt, width_mm=width - 7.0)
    caution = paragraph(step.caution, size_pt=pt - 0.4, width_mm=width - 7.0 - 8.0) if step.caution else None
    return StepPart(number, text, caution, width)


def _tail(sheet: StickSheet, width: float, pt: float) -> list[Part]:
    parts: list[Part] = []
    row: list[tuple[float, Part]] = []
    wide = width
    if sheet.pot:
        pot_mm = POT_MM + 14.0
        says = tuple(paragraph(line, size_pt=pt - 0.5, width_mm=pot_mm) for line in sheet.pot.says)
        head = _heading(sheet.headings.from_above, pot_mm, pt)
        row.append((0.0, PotPart(sheet.pot, head, says, POT_MM, sheet.first, beside=False)))
        wide = width - pot_mm - 4.0
    if sheet.days:
        rows = rows_part(sheet.days.says, size_pt=pt, width_mm=wide, label_mm=16.0, bold="label")
        row.append((width - wide, DatesPart(sheet.days, _heading(sheet.headings.next, wide, pt), rows, wide)))
    if row:
        parts.append(BesidePart(tuple(row)))
    half = (width - BETWEEN_MM) / 2 if sheet.cautions and sheet.rests_on else width
    last: list[tuple[float, Part]] = []
    if sheet.cautions:
        lines = tuple(paragraph(line, size_pt=pt - 0.4, width_mm=half - 14.0) for line in sheet.cautions)
        last.append((0.0, CautionsPart(lines, half, _heading(sheet.headings.mind, half - 14.0, pt))))
    if sheet.rests_on:
        text = paragraph(sheet.rests_on, size_pt=pt - 0.4, width_mm=half - 15.0)
        last.append((width - half, StackPart((RestsOnPart(text, half, sheet.own_records),))))
    if last:
        parts.append(BesidePart(tuple(last)))
    return parts


def _heading(text: str, width: float, pt: float) -> Paragraph:
    return paragraph(text, size_pt=pt + 1.5, width_mm=width, face="bold")
