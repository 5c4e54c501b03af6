"""The how-to: two pages from the shoot on the bush to the young plant, for whoever has never done it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Final, Literal

from slipwright.craft.errors import BadArgument
from slipwright.craft.said import Said, all_in_tongue
from slipwright.outputs._press import palette
from slipwright.outputs._press.cane_drawing import WIDTH_MM as CANE_MM
from slipwright.outputs._press.cane_parts import CaneDrawing
from slipwright.outputs._press.how_to_parts import (
    NUMBER_MM,
    SIGN_MM,
    DoingPart,
    HowHead,
    Picture,
    PicturesPart,
    columns_of,
)
from slipwright.outputs._press.paper import PAPERS_MM, Paper, Printed
from slipwright.outputs._press.paragraphs import Paragraph, paragraph
from slipwright.outputs._press.pot_drawing import PotDrawing
from slipwright.outputs._press.sheet_head import TurnedHead, name_line
from slipwright.outputs._press.sheet_parts import (
    BesidePart,
    CanePart,
    CautionsPart,
    Part,
    Placed,
    PotPart,
    RestsOnPart,
    StackPart,
    TextPart,
    rows_part,
)
from slipwright.outputs._press.typeface import Run
from slipwright.outputs.drawings.label import plant_label
from slipwright.outputs.measures import First, day_text

__all__ = ["HowStep", "HowTo", "Picture", "how_to_pdf"]

MARGIN_MM: Final = 10.0
GAP_MM: Final = 2.2
BETWEEN_MM: Final = 6.0
LEAST_CANE_MM: Final = 78.0
MOST_CANE_MM: Final = 150.0
POT_MM: Final = 33.0
#: steps of the cut that stay on the first page whatever happens
_LEAST_CUT: Final = 2
#: sizes of text tried: the largest with which all stands on two pages is taken
SIZES_PT: Final = (10.5, 10.2, 9.9, 9.6, 9.3, 9.0, 8.8, 8.6, 8.4, 8.2, 8.0, 7.8, 7.5, 7.2, 6.9, 6.6)
#: what must be read with wet hands is no smaller, unless nothing else fits
LEAST_PT: Final = 8.0
#: cautions of a step stand each by itself, unless the text had to be smaller than this
LEAST_APART_PT: Final = 8.2


@dataclass(frozen=True)
class HowStep:
    """What is done in one go: a drawing, one or more things to do, and what to mind while at it."""

    drawing: str
    #: first words in bold, and the rest
    says: tuple[tuple[str, str], ...]
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True)
class HowWords:
    """Words that stand on every how-to."""

    kind: str = Said("How to make cuttings")
    bend: str = Said("Bend it")
    tip: str = Said("Look at its tip")
    cut: str = Said("Cut")
    stick: str = Said("Stick, cover, shade")
    pot: str = Said("From above")
    label: str = Said("Label twice")
    roots: str = Said("Knock one out and look: new leaves are not roots")
    after: str = Said("What comes next")
    mind: str = Said("Mind")
    sources: str = Said("Where the figures come from")
    made: str = Said("made {day}")
    page: str = Said("how-to, page 2")


@dataclass(frozen=True)
class HowTo:
    """All that a how-to says, in words and drawings already made."""

    name_runs: tuple[tuple[str, bool], ...]
    answer: str
    cut: tuple[HowStep, ...]
    stick: tuple[HowStep, ...]
    common_name: str = ""
    facts: tuple[tuple[str, str], ...] = ()
    bends: tuple[Picture, ...] = ()
    tips: tuple[Picture, ...] = ()
    cane: CaneDrawing | None = None
    pot: PotDrawing | None = None
    #: what stands on the stake, line by line, and on its buried end
    label: tuple[str, ...] = ()
    label_under: str = ""
    label_says: str = ""
    roots: tuple[Picture, ...] = ()
    after: tuple[tuple[str, str], ...] = ()
    cautions: tuple[str, ...] = ()
    rests_on: str = ""
    own_records: bool = False
    sources: tuple[str, ...] = ()
    made_on: date | None = None
    garden: str = ""
    first: First = "metric"
    words: HowWords = field(default_factory=HowWords)


def how_to_pdf(
    how_to: HowTo, *, paper: Literal["a4", "letter"] = "a4", translate: Callable[[str], str] = str
) -> Printed:
    """Return a how-to as PDF of two pages.

    Parameters
    ----------
    how_to : HowTo
        What it says and shows.
    paper : {'a4', 'letter'}
        Which paper.
    translate : callable
        Says the words in the tongue of the paper.

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
    The text is as large as two pages allow, 10.5 points at most.  The first page is about the shoot and
    the cuts, the second about the pot and what comes after.

    References
    ----------
    The house's own drawing style (common practice, no source).

    Examples
    --------
    >>> step = HowStep("", (("Wash.", "Pots and knife."),))
    >>> how_to_pdf(HowTo((("Rosa", True),), "They root.", (step,), (step,))).n_pages
    2
    """
    if paper not in PAPERS_MM:
        raise BadArgument("paper", "be a4 or letter", paper)
    if not how_to.cut or not how_to.stick:
        raise BadArgument("cut", "hold at least one step, as must stick", how_to.cut)
    size = PAPERS_MM[paper]
    how_to = all_in_tongue(how_to, translate)
    plan = plan_of_how_to(how_to, size)
    name = "".join(text for text, _ in how_to.name_runs)
    sheet = Paper(size, title=f"{how_to.words.kind}: {name}", subject=how_to.answer, translate=translate)
    made = how_to.words.made.format(day=sheet.told(day_text(how_to.made_on))) if how_to.made_on else ""
    for number, page in enumerate(plan.pages, start=1):
        if number > 1:
            sheet.next_page()
        for placed in page:
            placed.part.draw(sheet, placed.x, placed.top)
        y = size[1] - 6.0
        sheet.text([(how_to.garden, "regular")], MARGIN_MM, y, 8, palette.INK2)
        sheet.text_right([(made, "regular")], size[0] - MARGIN_MM, y, 8, palette.INK2)
    return sheet.finish()


def plan_of_how_to(how_to: HowTo, size_mm: tuple[float, float]) -> HowToPlan:
    """Return the plan with the largest text: the last steps of the cut turn the page where that makes room.

    Parameters
    ----------
    how_to : HowTo
        What it says, in the tongue of the paper.
    size_mm : (float, float)
        Width and height of the paper [mm].

    Returns
    -------
    HowToPlan
        Of those that fit two pages the one in the largest text; else the smallest.

    References
    ----------
    Our own layout.

    Examples
    --------
    >>> step = HowStep("", (("Wash.", "Pots and knife."),))
    >>> plan_of_how_to(HowTo((("Rosa", True),), "They root.", (step,), (step,)), (210.0, 297.0)).pt
    10.5
    """
    ways = [
        replace(how_to, cut=how_to.cut[:n], stick=(*how_to.cut[n:], *how_to.stick))
        for n in range(len(how_to.cut), min(_LEAST_CUT, len(how_to.cut)) - 1, -1)
    ]
    plans = (
        HowToPlan(way, size_mm, pt, apart=apart)
        for apart in (True, False)
        for pt in SIZES_PT
        if pt >= LEAST_APART_PT or not apart
        for way in ways
    )
    return next((plan for plan in plans if plan.fits), HowToPlan(how_to, size_mm, SIZES_PT[-1], apart=False))


class HowToPlan:
    """Two pages set at one size of text: their parts, measured, and the place of each."""

    def __init__(self, how_to: HowTo, size_mm: tuple[float, float], pt: float, *, apart: bool = True) -> None:
        self.how_to, self.pt, self._apart = how_to, pt, apart
        self.width = size_mm[0] - 2 * MARGIN_MM
        self.foot = size_mm[1] - MARGIN_MM
        self.pages: list[list[Placed]] = [[], []]
        self._feet = [MARGIN_MM, MARGIN_MM]
        self._first_page()
        self._second_page()

    @property
    def fits(self) -> bool:
        """Whether all of it stands on the two pages."""
        return all(foot <= self.foot + 0.01 for foot in self._feet)

    def _place(self, page: int, part: Part, *, left: float = 0.0) -> None:
        self.pages[page].append(Placed(MARGIN_MM + left, self._feet[page], part))
        self._feet[page] += part.height_mm + GAP_MM

    # -- the shoot and the cuts ---------------------------------------------------------------

    def _first_page(self) -> None:
        how_to, pt, width = self.how_to, self.pt, self.width
        self._place(0, HowHead(how_to.name_runs, how_to.words.kind, how_to.common_name, width))
        self._place(0, TextPart(self._words(how_to.answer, pt + 3.0, width, bold=True)))
        if how_to.facts:
            half = (len(how_to.facts) + 1) // 2
            column = (width - BETWEEN_MM) / 2
            self._place(
                0,
                BesidePart(
                    tuple(
                        (shift, rows_part(rows, size_pt=pt, width_mm=column, label_mm=22.0))
                        for shift, rows in (
                            (0.0, how_to.facts[:half]),
                            (column + BETWEEN_MM, how_to.facts[half:]),
                        )
                        if rows
                    )
                ),
            )
        self._pictures()
        beside = how_to.cane is not None
        steps_mm = width - CANE_MM - 5.0 if beside else width
        top = self._feet[0]
        parts = [self._doing(number, step, steps_mm) for number, step in enumerate(how_to.cut, start=1)]
        for part in parts:
            self._place(0, part)
        if how_to.cane:
            height = min(max(self._feet[0] - top, LEAST_CANE_MM, self.foot - top), MOST_CANE_MM)
            cane = CanePart(how_to.cane, height, how_to.first)
            self.pages[0].append(Placed(MARGIN_MM + width - CANE_MM, top, cane))
            self._feet[0] = max(self._feet[0], top + min(height, LEAST_CANE_MM))

    def _pictures(self) -> None:
        how_to, width = self.how_to, self.width
        rows = [(how_to.words.bend, how_to.bends), (how_to.words.tip, how_to.tips)]
        shown = [(heading, pictures) for heading, pictures in rows if pictures]
        if not shown:
            return
        n = sum(len(pictures) for _, pictures in shown)
        each = (width - BETWEEN_MM * (len(shown) - 1)) / n
        left, parts = 0.0, []
        for heading, pictures in shown:
            part = PicturesPart(self._heading(heading, each * len(pictures)), pictures, each, self._small_pt)
            parts.append((left, part))
            left += each * len(pictures) + BETWEEN_MM
        self._place(0, BesidePart(tuple(parts)))

    # -- the pot and what comes after ---------------------------------------------------------

    def _second_page(self) -> None:
        how_to, pt, width = self.how_to, self.pt, self.width
        turned: Run = ("  " + how_to.words.page, "regular")
        words = paragraph([*name_line(how_to.name_runs), turned], size_pt=11, width_mm=width)
        self._place(1, TurnedHead(words, width))
        column = (width - BETWEEN_MM) / 2
        first = len(how_to.cut) + 1
        steps = [self._doing(number, step, column) for number, step in enumerate(how_to.stick, start=first)]
        self._place(1, columns_of(steps, column + BETWEEN_MM, GAP_MM))
        self._pot_and_label()
        if how_to.roots:
            each = width / max(len(how_to.roots), 3)
            heading = self._heading(how_to.words.roots, width)
            self._place(1, PicturesPart(heading, how_to.roots, each, pt - 0.4, most_mm=30.0))
        if how_to.after:
            rows = rows_part(how_to.after, size_pt=pt, width_mm=width, label_mm=24.0, bold="label")
            self._place(1, StackPart((TextPart(self._heading(how_to.words.after, width)), rows), gap=0.8))
        self._cautions_and_grounds()

    def _pot_and_label(self) -> None:
        how_to, pt = self.how_to, self.pt
        parts: list[tuple[float, Part]] = []
        left = 0.0
        half = (self.width - BETWEEN_MM) / 2
        if how_to.pot:
            says = tuple(self._words(line, pt - 0.3, half - POT_MM - 4.0) for line in how_to.pot.says)
            heading = self._heading(how_to.words.pot, half)
            parts.append((0.0, PotPart(how_to.pot, heading, says, POT_MM, how_to.first, beside=True)))
            left = half + BETWEEN_MM
        if how_to.label:
            picture = Picture(plant_label(how_to.label, how_to.label_under), how_to.label_says)
            heading = self._heading(how_to.words.label, half)
            parts.append((left, PicturesPart(heading, (picture,), half, pt - 0.3, most_mm=62.0)))
        if parts:
            self._place(1, BesidePart(tuple(parts)))

    def _cautions_and_grounds(self) -> None:
        how_to, pt = self.how_to, self.pt
        both = bool(how_to.cautions) and bool(how_to.rests_on or how_to.sources)
        column = (self.width - BETWEEN_MM) / 2 if both else self.width
        parts: list[tuple[float, Part]] = []
        if how_to.cautions:
            lines = tuple(self._words(line, self._small_pt, column - 14.0) for line in how_to.cautions)
            heading = self._heading(how_to.words.mind, column - 14.0)
            parts.append((0.0, CautionsPart(lines, column, heading)))
        grounds: list[Part] = []
        if how_to.rests_on:
            text = self._words(how_to.rests_on, self._small_pt, column - 15.0)
            grounds.append(RestsOnPart(text, column, how_to.own_records))
        if how_to.sources:
            small = min(7.5, pt)
            said = self._words("; ".join(how_to.sources) + ".", small, column)
            grounds.append(TextPart(said, self._words(how_to.words.sources, small + 0.5, column, bold=True)))
        if grounds:
            parts.append((column + BETWEEN_MM if both else 0.0, StackPart(tuple(grounds), gap=1.6)))
        if parts:
            self._place(1, BesidePart(tuple(parts)))

    # -- words --------------------------------------------------------------------------------

    @property
    def _small_pt(self) -> float:
        """Size of cautions and of what stands under pictures."""
        return min(max(self.pt - 0.8, LEAST_PT), self.pt)

    def _doing(self, number: int, step: HowStep, width: float) -> DoingPart:
        room = width - DoingPart.indent_of(step.drawing)
        says = []
        for lead, text in step.says:
            runs: list[Run] = [(lead + " ", "bold"), (text, "regular")]
            says.append(paragraph(runs, size_pt=self.pt, width_mm=room, leading=1.26))
        framed = width - NUMBER_MM - SIGN_MM
        lines = step.cautions if self._apart else filter(None, [" ".join(step.cautions)])
        cautions = tuple(self._words(line, self._small_pt, framed) for line in lines)
        return DoingPart(number, step.drawing, tuple(says), cautions, width)

    def _heading(self, text: str, width: float) -> Paragraph:
        return self._words(text, self.pt + 1.5, width, bold=True)

    def _words(self, text: str, size_pt: float, width_mm: float, *, bold: bool = False) -> Paragraph:
        return paragraph(
            text, size_pt=size_pt, width_mm=width_mm, face="bold" if bold else "regular", leading=1.24
        )
