"""The season report: what was wanted and came, what was lost and why, what a plant cost, what was learned."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import accumulate
from typing import Final, Literal

from slipwright.craft.errors import BadArgument
from slipwright.craft.figures import money, plain
from slipwright.craft.said import all_in_tongue, cased, in_tongue
from slipwright.outputs._press import palette
from slipwright.outputs._press.how_to_parts import HowHead
from slipwright.outputs._press.paper import PAPERS_MM, Paper, Printed
from slipwright.outputs._press.paragraphs import Paragraph, paragraph
from slipwright.outputs._press.report_parts import BulletsPart, SvgPart, TablePart
from slipwright.outputs._press.sheet_head import TurnedHead
from slipwright.outputs._press.sheet_parts import BesidePart, Part, Placed, RestsOnPart, StackPart, TextPart
from slipwright.outputs.measures import day_text
from slipwright.outputs.season_told import (
    MOST_WANTS,
    SeasonReport,
    came_to_chart,
    losses_chart,
    wants_chart,
)

MARGIN_MM: Final = 12.0
GAP_MM: Final = 4.0
BETWEEN_MM: Final = 7.0
PT: Final = 9.5
#: rows of a table on paper; what is more is told as a number, and where it stands
MOST_PLANTS: Final = 120
#: fewer rows than this are not left at the foot of a page
_LEAST_ROWS: Final = 3


def season_report_pdf(
    report: SeasonReport, *, paper: Literal["a4", "letter"] = "a4", translate: Callable[[str], str] = str
) -> Printed:
    """Return a season report as PDF.

    Parameters
    ----------
    report : SeasonReport
        What it says.
    paper : {'a4', 'letter'}
        Which paper.
    translate : callable
        Says the words in the tongue of the paper.

    Returns
    -------
    Printed
        The PDF, its pages, and which characters could not be printed as written.

    Raises
    ------
    BadArgument
        If the paper is not known.

    References
    ----------
    The house's own drawing style (common practice, no source).

    Examples
    --------
    >>> from datetime import date
    >>> report = SeasonReport("2026", date(2026, 1, 1), date(2026, 12, 31), "Garden", "Nothing was stuck.")
    >>> season_report_pdf(report).n_pages
    1
    """
    if paper not in PAPERS_MM:
        raise BadArgument("paper", "be a4 or letter", paper)
    size = PAPERS_MM[paper]
    report = all_in_tongue(report, translate)
    title = f"{report.words.kind} {report.season}"
    sheet = Paper(size, title=title, subject=report.answer, translate=translate)
    plan = _Pages(report, size, translate)
    made = report.words.made.format(day=sheet.told(day_text(report.made_on))) if report.made_on else ""
    for number, page in enumerate(plan.pages, start=1):
        if number > 1:
            sheet.next_page()
        for placed in page:
            placed.part.draw(sheet, placed.x, placed.top)
        y = size[1] - 6.5
        sheet.text([(report.garden, "regular")], MARGIN_MM, y, 8, palette.INK2)
        sheet.text_right([(made, "regular")], size[0] - MARGIN_MM, y, 8, palette.INK2)
    return sheet.finish()


class _Pages:
    """The report's parts, each placed on the first page that has room for it."""

    def __init__(
        self, report: SeasonReport, size_mm: tuple[float, float], translate: Callable[[str], str]
    ) -> None:
        self.report, self._translate = report, translate
        self.width = size_mm[0] - 2 * MARGIN_MM
        self.foot = size_mm[1] - MARGIN_MM - 1.0
        self.pages: list[list[Placed]] = [[]]
        self._top = MARGIN_MM
        head = HowHead(((f"{report.season}", False),), report.words.kind, report.garden, self.width)
        answer = TextPart(_words(report.answer, PT + 4, self.width, bold=True))
        parts: list[Part] = [head, answer, *self._parts()]
        for part in parts:
            self._place(part)
        if report.plants:
            self._place_plants()
        for remark in report.remarks:
            words = _words(remark, PT - 0.5, self.width - 15.0)
            self._place(RestsOnPart(words, self.width, True))

    def _place(self, part: Part) -> None:
        if self._top + part.height_mm > self.foot and len(self.pages[-1]) > 1:
            self._turn()
        self._add(part)

    def _turn(self) -> None:
        """Go on on a new page."""
        turned = f"{self.report.garden}, " + self.report.words.page.format(n=len(self.pages) + 1)
        self.pages.append([])
        self._top = MARGIN_MM
        self._add(TurnedHead(_words(turned, 11, self.width), self.width))

    def _add(self, part: Part) -> None:
        self.pages[-1].append(Placed(MARGIN_MM, self._top, part))
        self._top += part.height_mm + GAP_MM

    def _parts(self) -> list[Part]:
        report, words, width = self.report, self.report.words, self.width
        half = (width - BETWEEN_MM) / 2
        found: list[Part] = []
        left: list[Part] = []
        right: list[Part] = []
        if chart := came_to_chart(report):
            left.append(self._charted(words.came_to, "", chart, half))
        if report.losses:
            left.append(self._charted(words.losses, report.losses_said, losses_chart(report), half))
        if report.wants:
            right.append(self._charted(words.wants, report.wants_said, wants_chart(report), half))
            if (more := len(report.wants) - MOST_WANTS) > 0:
                right.append(TextPart(_words(words.more.format(n=more), PT, half)))
        columns: list[tuple[float, Part]] = []
        if left:
            columns.append((0.0, StackPart(tuple(left), GAP_MM)))
        if right:
            columns.append((half + BETWEEN_MM if left else 0.0, StackPart(tuple(right), GAP_MM)))
        if columns:
            found.append(BesidePart(tuple(columns)))
        if report.costs or report.costs_said:
            found.append(self._costs())
        if report.findings or report.findings_said:
            found.append(self._learned())
        return found

    def _charted(self, heading: str, said: str, chart: str, width: float) -> StackPart:
        parts: list[Part] = [TextPart(_words(heading, PT + 2, width, bold=True))]
        if said:
            parts.append(TextPart(_words(said, PT, width)))
        return StackPart((*parts, SvgPart(chart, width)), 1.2)

    def _place_plants(self) -> None:
        """Set the plants row after row, on as many pages as they take."""
        words, whole = self.report.words, self._plants()
        rows = whole.rows
        heading = words.plants
        while rows:
            head = TextPart(_words(heading, PT + 2, self.width, bold=True))
            room = self.foot - self._top - head.height_mm - 1.2 - whole.heads_mm
            n = _n_that_fit([whole.row_mm(row) for row in rows], room)
            if n < min(_LEAST_ROWS, len(rows)) and len(self.pages[-1]) > 1:
                self._turn()
                continue
            n = max(n, 1)
            self._add(StackPart((head, replace(whole, rows=rows[:n])), 1.2))
            rows, heading = rows[n:], words.plants_more
        if (more := len(self.report.plants) - MOST_PLANTS) > 0:
            self._place(TextPart(_words(words.more_plants.format(n=more), PT, self.width)))

    def _plants(self) -> TablePart:
        report, words = self.report, self.report.words
        heads = [words.plant, words.wood, words.batches, words.stuck, words.rooted, words.lost, words.waiting]
        shares = [0.29, 0.15, 0.08, 0.095, 0.105, 0.085, 0.09, 0.105]
        is_any_gone = any(one.n_removed for one in report.plants)
        if is_any_gone:
            heads.append(words.removed)
            shares = [0.235, 0.14, 0.075, 0.09, 0.1, 0.08, 0.085, 0.09, 0.105]
        rows = tuple(
            (
                one.taxon,
                one.wood,
                self._number(one.n_batches),
                self._number(one.n_stuck),
                self._number(one.n_rooted),
                self._number(one.n_lost),
                self._number(one.n_waiting),
                *([self._number(one.n_removed)] if is_any_gone else []),
                "" if one.of_ten is None else f"{one.of_ten:.0f}",
            )
            for one in report.plants[:MOST_PLANTS]
        )
        heads = [cased(head, "capital") for head in (*heads, words.of_ten)]
        return TablePart(tuple(heads), rows, tuple(shares), self.width, PT - 0.5, n_words=2)

    def _told(self, text: str) -> str:
        return in_tongue(text, self._translate)

    def _number(self, n: int) -> str:
        return self._told(plain(n, 0))

    def _costs(self) -> StackPart:
        report, words = self.report, self.report.words
        parts: list[Part] = [TextPart(_words(words.costs, PT + 2, self.width, bold=True))]
        if report.costs_said:
            parts.append(TextPart(_words(report.costs_said, PT, self.width)))
        if report.costs:
            heads = (words.want, words.number, words.cost_each, words.price_each, words.difference)
            rows = tuple(
                (
                    one.want,
                    self._number(one.n_plants),
                    self._told(money(one.each)),
                    self._told(money(one.price_each)),
                    one.said,
                )
                for one in report.costs
            )
            parts.append(
                TablePart(heads, rows, (0.40, 0.12, 0.15, 0.15, 0.18), self.width, PT - 0.5, n_words=1)
            )
        if report.costs_left_out:
            parts.append(TextPart(_words(report.costs_left_out, PT - 1, self.width)))
        return StackPart(tuple(parts), 1.2)

    def _learned(self) -> StackPart:
        report = self.report
        parts: list[Part] = [TextPart(_words(report.words.learned, PT + 2, self.width, bold=True))]
        if report.findings_said:
            parts.append(TextPart(_words(report.findings_said, PT, self.width)))
        if report.findings:
            lines = tuple(_words(line, PT, self.width - 5.0) for line in report.findings)
            parts.append(BulletsPart(lines))
        return StackPart(tuple(parts), 1.2)


def _n_that_fit(heights_mm: Sequence[float], room_mm: float) -> int:
    """Return how many rows stand one under the other in so much room."""
    return sum(foot <= room_mm for foot in accumulate(heights_mm))


def _words(text: str, size_pt: float, width_mm: float, *, bold: bool = False) -> Paragraph:
    return paragraph(
        text, size_pt=size_pt, width_mm=width_mm, face="bold" if bold else "regular", leading=1.26
    )
