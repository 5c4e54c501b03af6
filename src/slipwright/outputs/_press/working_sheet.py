"""What the sheets of a programme share: their words, head, weeks, steps, and the foot of each page."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Final

from slipwright.craft.days import day_in_words
from slipwright.craft.figures import plain
from slipwright.craft.said import Said, in_tongue, joined
from slipwright.outputs._press import palette
from slipwright.outputs._press.paging import Pages
from slipwright.outputs._press.paper import Paper, Printed
from slipwright.outputs._press.paragraphs import Paragraph, paragraph
from slipwright.outputs._press.sheet_head import RULE_MM, draw_brass_rule
from slipwright.outputs._press.sheet_parts import StepPart
from slipwright.outputs._press.typeface import Run
from slipwright.outputs.measures import day_text
from slipwright.outputs.sheet import Step

MARGIN_MM: Final = 13.0
FOOT_MM: Final = 2.0
#: "Sun" is what shines too: here it is a day, which other tongues shorten in their own way
WEEKDAYS: Final = (
    Said("Mon"),
    Said("Tue"),
    Said("Wed"),
    Said("Thu"),
    Said("Fri"),
    Said("Sat"),
    Said("Sun{short}", short=""),
)
_BAR_MM: Final = (56.0, 4.4)


def weekday_text(day: date) -> str:
    """Return a day with its weekday, such as "Wed 16 Sep".

    Parameters
    ----------
    day : datetime.date
        The day.

    Returns
    -------
    str
        Weekday, day and month in short; without the year, which the week above it has.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> weekday_text(date(2026, 9, 16))
    'Wed 16 Sep'
    """
    return Said("{weekday} {day}", weekday=WEEKDAYS[day.weekday()], day=day_in_words(day, beside=day))


def nodes_text(n_low: int, n_high: int) -> str:
    """Return how many nodes a cutting has, in words.

    Parameters
    ----------
    n_low, n_high : int
        The fewest and the most [1].

    Returns
    -------
    str
        Such as "3 to 4 nodes".

    References
    ----------
    Our own wording.

    Examples
    --------
    >>> nodes_text(3, 4), nodes_text(1, 1)
    ('3 to 4 nodes', '1 node')
    """
    if n_low == n_high:
        return counted(n_low, Said("1 node"), Said("{n} nodes"))
    return Said("{low} to {high} nodes", low=n_low, high=n_high)


def counted(n: int, one: str, many: str) -> str:
    """Return a number of things in words, such as "1 plant" and "12 plants".

    Parameters
    ----------
    n : int
        The number [1].
    one, many : str
        What is said of one, and of several with ``{n}`` in it.

    Returns
    -------
    str
        The words.

    References
    ----------
    Our own wording.
    """
    return one if n == 1 else Said(many, n=plain(n, 0))


def made_text(programme_on: date | None, made_on: date | None) -> str:
    """Return when a programme was made and a sheet of it printed.

    Parameters
    ----------
    programme_on, made_on : datetime.date, optional
        The days.

    Returns
    -------
    str
        In words; empty where neither is known.

    References
    ----------
    Our own wording.
    """
    of = Said("programme of {day}", day=day_text(programme_on)) if programme_on else ""
    printed = Said("printed {day}", day=day_text(made_on)) if made_on else ""
    return joined([of, printed], ", ")


def step_part(number: int, step: Step, width_mm: float, size_pt: float) -> StepPart:
    """Return a step with its caution as one part of a sheet.

    Parameters
    ----------
    number : int
        Its place among the steps [1].
    step : Step
        What to do.
    width_mm : float
        Width of the column [mm].
    size_pt : float
        Size of the letters [pt].

    Returns
    -------
    StepPart
        The part, measured.

    References
    ----------
    The house's own drawing style (common practice, no source).
    """
    lead: list[Run] = [(step.lead + " ", "bold")] if step.lead else []
    text = paragraph([*lead, (step.text, "regular")], size_pt=size_pt, width_mm=width_mm - 7.0)
    caution = (
        paragraph(step.caution, size_pt=size_pt - 0.8, width_mm=width_mm - 7.0 - 8.0)
        if step.caution
        else None
    )
    return StepPart(number, text, caution, width_mm)


@dataclass(frozen=True)
class TitlePart:
    """Title, what the sheet is about in a sentence, and the brass rule."""

    title: str
    sentence: Paragraph
    width_mm: float

    @property
    def height_mm(self) -> float:
        """Title, sentence and rule [mm]."""
        return 9.5 + self.sentence.height_mm + 2.0 + RULE_MM

    def draw(self, paper: Paper, x: float, top: float) -> None:
        """Draw it from its top left corner."""
        paper.text([(self.title, "bold")], x, top + 7.0, 22)
        below = self.sentence.draw(paper, x, top + 9.5)
        draw_brass_rule(paper, x, below + 2.0, self.width_mm)


@dataclass(frozen=True)
class TurnedTitle:
    """Head of a further page."""

    title: str
    width_mm: float

    @property
    def height_mm(self) -> float:
        """One line [mm]."""
        return 4.5

    def draw(self, paper: Paper, x: float, top: float) -> None:
        """Draw the title in small."""
        paper.text([(self.title, "bold")], x, top + 3.2, 10, palette.INK2)


@dataclass(frozen=True)
class Load:
    """Hours there are and hours it takes, and what is said of them."""

    used: float
    room: float
    words: str


@dataclass(frozen=True)
class WeekHead:
    """The week, what it comes to, and its hours against those there are."""

    words: str
    sums: Paragraph
    width_mm: float
    load: Load | None = None

    @property
    def height_mm(self) -> float:
        """Rule, week and sums [mm]."""
        return 9.0 + self.sums.height_mm

    def draw(self, paper: Paper, x: float, top: float) -> None:
        """Draw a heavy rule, the week, the bar of hours at its right."""
        paper.line([(x, top), (x + self.width_mm, top)], width_pt=2.2)
        paper.text([(self.words, "bold")], x, top + 6.6, 16)
        if self.load:
            self._bar(paper, self.load, x + self.width_mm - _BAR_MM[0], top + 1.6)
        self.sums.draw(paper, x, top + 8.4)

    def _bar(self, paper: Paper, load: Load, x: float, top: float) -> None:
        """Draw the hours: solid within those there are, slanting stripes beyond."""
        wide, high = _BAR_MM
        whole = max(load.used, load.room, 1e-9)
        within = wide * min(load.used, load.room) / whole
        paper.box(x, top, wide, high, fill=palette.SHEET, stroke=None)
        paper.box(x, top, within, high, fill=palette.INK2, stroke=None)
        if load.used > load.room:
            with paper.inside(
                [(x + within, top), (x + wide, top), (x + wide, top + high), (x + within, top + high)]
            ):
                for k in range(math.ceil((wide - within + high) / 1.6)):
                    left = x + within + 1.6 * k
                    paper.line([(left - high, top + high), (left, top)], width_pt=0.8)
        paper.box(x, top, wide, high, width_pt=0.9)
        mark = x + wide * load.room / whole
        paper.line([(mark, top - 0.8), (mark, top + high + 0.8)], width_pt=1.6)
        paper.text_right([(load.words, "regular")], x + wide, top + high + 4.0, 9)


def print_pages(
    pages: Pages,
    size_mm: tuple[float, float],
    *,
    title: str,
    subject: str,
    garden: str,
    made: str,
    translate: Callable[[str], str],
) -> Printed:
    """Return placed pages as PDF, each with its number at the foot.

    Parameters
    ----------
    pages : Pages
        The pages, placed.
    size_mm : (float, float)
        Width and height [mm].
    title : str
        Title of the document.
    subject : str
        What it is about.
    garden : str
        Name of the garden, at the foot.
    made : str
        When it was made, at the foot.
    translate : callable
        Says the words of drawings in the tongue of the sheet.

    Returns
    -------
    Printed
        The PDF and its pages.

    References
    ----------
    The house's own drawing style (common practice, no source).
    """
    paper = Paper(size_mm, title=title, subject=subject, translate=translate)
    for number, page in enumerate(pages.pages, start=1):
        if number > 1:
            paper.next_page()
        for placed in page:
            placed.part.draw(paper, placed.x, placed.top)
        y = size_mm[1] - 8.0
        paper.text([(garden, "regular")], MARGIN_MM, y, 8, palette.INK2)
        paper.text_centred([(made, "regular")], size_mm[0] / 2, y, 8, palette.INK2)
        of = in_tongue(Said("page {n} of {of}", n=number, of=len(pages.pages)), translate)
        paper.text_right([(of, "bold")], size_mm[0] - MARGIN_MM, y, 9, palette.INK)
    return paper.finish()
