"""Parts of a stick sheet: each knows its height before it is drawn, so the page can be planned."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal, Protocol

from slipwright.outputs._press import palette
from slipwright.outputs._press.cane_drawing import draw_cane
from slipwright.outputs._press.cane_parts import CaneDrawing
from slipwright.outputs._press.date_rule import HEIGHT_MM, Timeline, draw_date_rule
from slipwright.outputs._press.paper import Paper
from slipwright.outputs._press.paragraphs import Paragraph, paragraph
from slipwright.outputs._press.pot_drawing import LEGEND_MM, PotDrawing, draw_pot
from slipwright.outputs._press.signs import draw_caution_sign, draw_notebook, draw_open_book
from slipwright.outputs._press.typeface import PT_PER_MM, Face
from slipwright.outputs.measures import First

GAP_MM: Final = 3.2
"""Between one part and the next."""


class Part(Protocol):
    """Something that stands on a sheet."""

    @property
    def height_mm(self) -> float:
        """What it takes downwards [mm]."""

    def draw(self, paper: Paper, x: float, top: float) -> None:
        """Draw it from its top left corner."""


@dataclass(frozen=True)
class Placed:
    """A part and its top left corner on a page [mm]."""

    x: float
    top: float
    part: Part


@dataclass(frozen=True)
class CanePart:
    """The drawn cane, in the height it is given."""

    cane: CaneDrawing
    height_mm: float
    first: First = "metric"

    def draw(self, paper: Paper, x: float, top: float) -> None:
        """Draw the cane and one of its cuttings."""
        draw_cane(paper, self.cane, x, top, self.height_mm, self.first)


@dataclass(frozen=True)
class StackPart:
    """Parts beneath each other."""

    parts: tuple[Part, ...]
    gap: float = GAP_MM

    @property
    def height_mm(self) -> float:
        """All of them and the gaps between [mm]."""
        return sum(part.height_mm for part in self.parts) + self.gap * max(len(self.parts) - 1, 0)

    def draw(self, paper: Paper, x: float, top: float) -> None:
        """One after the other."""
        for part in self.parts:
            part.draw(paper, x, top)
            top += part.height_mm + self.gap


@dataclass(frozen=True)
class BesidePart:
    """Parts side by side, each with its distance from the left."""

    parts: tuple[tuple[float, Part], ...]

    @property
    def height_mm(self) -> float:
        """The highest of them [mm]."""
        return max((part.height_mm for _, part in self.parts), default=0.0)

    def draw(self, paper: Paper, x: float, top: float) -> None:
        """All from the same height."""
        for shift, part in self.parts:
            part.draw(paper, x + shift, top)


def shortest_cut(parts: Sequence[Part], gap_mm: float = 0.0) -> int:
    """Return how many parts stand in the first of two columns, so that the longer column is shortest.

    Parameters
    ----------
    parts : sequence of Part
        In the order they are read, down the first column and then down the second; at least one.
    gap_mm : float
        Between a part and the next [mm].

    Returns
    -------
    int
        At least one; of two ways as good the one with more in the first column.

    References
    ----------
    Our own layout.

    Examples
    --------
    >>> rule = RowsPart((), 20.0, 80.0)
    >>> shortest_cut([rule, rule, rule], 2.0)
    2
    """

    def high(some: Sequence[Part]) -> float:
        return StackPart(tuple(some), gap_mm).height_mm

    return min(range(len(parts), 0, -1), key=lambda i: max(high(parts[:i]), high(parts[i:])))


@dataclass(frozen=True)
class TextPart:
    """A paragraph, with a heading if it has one."""

    text: Paragraph
    heading: Paragraph | None = None

    @property
    def height_mm(self) -> float:
        """Heading and text [mm]."""
        return self.text.height_mm + (self.heading.height_mm + 0.6 if self.heading else 0.0)

    def draw(self, paper: Paper, x: float, top: float) -> None:
        """Heading above text."""
        if self.heading:
            top = self.heading.draw(paper, x, top) + 0.6
        self.text.draw(paper, x, top)


@dataclass(frozen=True)
class RowsPart:
    """Facts: what on the left, how much on the right, a hairline between rows."""

    rows: tuple[tuple[Paragraph, Paragraph], ...]
    label_mm: float
    width_mm: float
    pad: float = 0.9

    @property
    def height_mm(self) -> float:
        """All rows [mm]."""
        return sum(self._row_mm(row) for row in self.rows)

    def _row_mm(self, row: tuple[Paragraph, Paragraph]) -> float:
        return max(part.height_mm for part in row) + 2 * self.pad

    def draw(self, paper: Paper, x: float, top: float) -> None:
        """Row after row."""
        for row in self.rows:
            paper.line([(x, top), (x + self.width_mm, top)], width_pt=0.5, colour=palette.HAIR)
            row[0].draw(paper, x, top + self.pad)
            row[1].draw(paper, x + self.label_mm, top + self.pad)
            top += self._row_mm(row)


@dataclass(frozen=True)
class StepPart:
    """One step: its number, what to do, and the caution where the hand is."""

    number: int
    text: Paragraph
    caution: Paragraph | None
    width_mm: float

    indent: float = 7.0

    @property
    def height_mm(self) -> float:
        """Step, caution and the room after it [mm]."""
        return self.text.height_mm + (self.caution.height_mm + 3.0 if self.caution else 0.0) + 1.7

    def draw(self, paper: Paper, x: float, top: float) -> None:
        """Draw number, text and caution."""
        size = self.text.size_pt
        baseline = top + size * 0.91 / PT_PER_MM
        paper.text_right([(str(self.number), "bold")], x + 4.6, baseline, size + 1.5)
        below = self.text.draw(paper, x + self.indent, top)
        if self.caution:
            left, wide = x + self.indent, self.width_mm - self.indent
            paper.box(
                left,
                below + 0.7,
                wide,
                self.caution.height_mm + 1.6,
                fill=palette.BRASSWASH,
                stroke=palette.BRASSTEXT,
                corner=0.8,
                width_pt=0.7,
            )
            draw_caution_sign(paper, left + 3.0, below + 0.7 + (self.caution.height_mm + 1.6) / 2, 1.7)
            self.caution.draw(paper, left + 6.2, below + 1.5)


@dataclass(frozen=True)
class CautionsPart:
    """All cautions together, framed."""

    lines: tuple[Paragraph, ...]
    width_mm: float
    heading: Paragraph

    @property
    def height_mm(self) -> float:
        """Frame and all [mm]."""
        return self.heading.height_mm + sum(line.height_mm + 0.9 for line in self.lines) + 5.0

    def draw(self, paper: Paper, x: float, top: float) -> None:
        """Draw a frame, a sign, a heading and the lines."""
        paper.box(
            x,
            top,
            self.width_mm,
            self.height_mm,
            fill=palette.BRASSWASH,
            stroke=palette.BRASSTEXT,
            corner=1.0,
            width_pt=1.6,
        )
        draw_caution_sign(paper, x + 5.5, top + 2.5 + self.heading.height_mm / 2, 2.3)
        top = self.heading.draw(paper, x + 10, top + 2.5) + 0.4
        for line in self.lines:
            if len(self.lines) > 1:
                paper.circle(
                    x + 6.2, top + line.size_pt * 0.65 / PT_PER_MM, 0.55, fill=palette.INK, stroke=None
                )
            top = line.draw(paper, x + 10, top) + 0.9


@dataclass(frozen=True)
class RestsOnPart:
    """What the figures rest on: an open book for the handbook, a ruled notebook for own records."""

    text: Paragraph
    width_mm: float
    own_records: bool = False

    @property
    def height_mm(self) -> float:
        """Strip and all [mm]."""
        return max(self.text.height_mm, 7.0) + 4.0

    def draw(self, paper: Paper, x: float, top: float) -> None:
        """Draw a pale strip under a dashed line."""
        paper.box(x, top, self.width_mm, self.height_mm, fill=palette.INSET, stroke=None)
        paper.line([(x, top), (x + self.width_mm, top)], width_pt=0.7, colour=palette.EDGE, dash=(2, 2))
        middle = top + self.height_mm / 2
        (draw_notebook if self.own_records else draw_open_book)(paper, x + 6.0, middle)
        self.text.draw(paper, x + 12.0, middle - self.text.height_mm / 2)


@dataclass(frozen=True)
class PotPart:
    """The container from above, and what to say of it."""

    pot: PotDrawing
    heading: Paragraph
    says: tuple[Paragraph, ...]
    side_mm: float
    first: First = "metric"
    beside: bool = True

    @property
    def _drawn_mm(self) -> float:
        wide, long = self.pot.size_mm
        legend = LEGEND_MM if self.pot.nearest() else 0.0
        return long * min(self.side_mm / max(wide, long), 1.0) + legend

    @property
    def height_mm(self) -> float:
        """Heading, drawing and words [mm]."""
        words = sum(line.height_mm + 0.6 for line in self.says)
        drawn = max(self._drawn_mm, words) if self.beside else self._drawn_mm + 1.5 + words
        return self.heading.height_mm + 1.2 + drawn

    def draw(self, paper: Paper, x: float, top: float) -> None:
        """Draw the container, the words beside or beneath it."""
        top = self.heading.draw(paper, x, top) + 1.2
        foot = draw_pot(paper, self.pot, x, top, self.side_mm, self.first)
        left, top = (x + self.side_mm + 4.0, top + 0.5) if self.beside else (x, foot + 1.5)
        for line in self.says:
            top = line.draw(paper, left, top) + 0.6


@dataclass(frozen=True)
class DatesPart:
    """The days on the rule, and in words beneath."""

    days: Timeline
    heading: Paragraph
    rows: RowsPart
    width_mm: float

    @property
    def height_mm(self) -> float:
        """Heading, rule and rows [mm]."""
        return self.heading.height_mm + HEIGHT_MM + 2.0 + self.rows.height_mm

    def draw(self, paper: Paper, x: float, top: float) -> None:
        """Heading, rule, rows."""
        top = self.heading.draw(paper, x, top)
        draw_date_rule(paper, self.days, x, top, self.width_mm)
        self.rows.draw(paper, x, top + HEIGHT_MM + 2.0)


def rows_part(
    rows: Sequence[tuple[str, str]],
    *,
    size_pt: float,
    width_mm: float,
    label_mm: float,
    bold: Literal["label", "words"] = "words",
) -> RowsPart:
    """Return facts as rows: a label on the left, the words on the right.

    Parameters
    ----------
    rows : sequence of (str, str)
        Label and words of each.
    size_pt : float
        Size of the letters [pt].
    width_mm : float
        Width of both columns [mm].
    label_mm : float
        Width of the labels [mm].
    bold : str
        Which of the two is bold: label or words.

    Returns
    -------
    RowsPart
        The rows, measured.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> rows_part([("Dip", "none")], size_pt=9, width_mm=80, label_mm=20).height_mm > 3
    True
    """
    faces: tuple[Face, Face] = ("bold", "regular") if bold == "label" else ("regular", "bold")
    return RowsPart(
        tuple(
            (
                paragraph(label, size_pt=size_pt, width_mm=label_mm - 2.0, face=faces[0]),
                paragraph(words, size_pt=size_pt, width_mm=width_mm - label_mm, face=faces[1]),
            )
            for label, words in rows
        ),
        label_mm,
        width_mm,
    )
