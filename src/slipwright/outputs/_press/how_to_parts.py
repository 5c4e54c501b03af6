"""Parts of a how-to: steps with a drawing each, and rows of pictures to hold the real thing against."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from slipwright.outputs._press import palette
from slipwright.outputs._press.paper import Paper
from slipwright.outputs._press.paragraphs import Paragraph, paragraph
from slipwright.outputs._press.sheet_head import NAME_SIZES_PT, RULE_MM, draw_brass_rule, name_line
from slipwright.outputs._press.sheet_parts import BesidePart, StackPart, shortest_cut
from slipwright.outputs._press.signs import draw_caution_sign
from slipwright.outputs._press.svg_drawing import draw_svg, drawing_size
from slipwright.outputs._press.typeface import PT_PER_MM, Run

DRAWING_MM: Final = 13.0
NUMBER_MM: Final = 6.0
BETWEEN_CAUTIONS_MM: Final = 0.9
#: a caution's frame takes so much of its width
SIGN_MM: Final = 7.6


@dataclass(frozen=True)
class Picture:
    """A drawing and its words; ``right`` says whether it is the one to look for."""

    svg: str
    words: str
    right: bool | None = None


@dataclass(frozen=True)
class HowHead:
    """What kind of paper it is, the name, what people call it, and the brass rule."""

    name_runs: tuple[tuple[str, bool], ...]
    kind: str
    common_name: str
    width_mm: float

    @property
    def _name(self) -> Paragraph:
        runs = name_line(self.name_runs)
        sizes = [paragraph(runs, size_pt=pt, width_mm=self.width_mm, leading=1.12) for pt in NAME_SIZES_PT]
        return next((name for name in sizes if len(name.lines) == 1), sizes[2])

    @property
    def height_mm(self) -> float:
        """Down to the foot of the rule [mm]."""
        return 4.6 + self._name.height_mm + (5.2 if self.common_name else 0.6) + RULE_MM

    def draw(self, paper: Paper, x: float, top: float) -> None:
        """Draw it from its top left corner."""
        paper.text([(self.kind, "bold")], x, top + 3.2, 11, palette.INK2)
        below = self._name.draw(paper, x, top + 4.6)
        if self.common_name:
            paper.text([(self.common_name, "regular")], x, below + 3.4, 12)
        draw_brass_rule(paper, x, top + self.height_mm - RULE_MM, self.width_mm)


@dataclass(frozen=True)
class DoingPart:
    """A step: its number, its drawing, what to do, and each caution where the hand is."""

    number: int
    drawing: str
    says: tuple[Paragraph, ...]
    cautions: tuple[Paragraph, ...]
    width_mm: float

    @staticmethod
    def indent_of(drawing: str) -> float:
        """Return where the words begin [mm]."""
        return NUMBER_MM + (DRAWING_MM + 2.2 if drawing else 0.0)

    @property
    def height_mm(self) -> float:
        """Words or the drawing, and the cautions beneath both [mm]."""
        return self._doing_mm + (self._framed_mm + 0.8 if self.cautions else 0.0)

    @property
    def _framed_mm(self) -> float:
        """The frame about its cautions [mm]."""
        between = BETWEEN_CAUTIONS_MM * (len(self.cautions) - 1)
        return sum(part.height_mm for part in self.cautions) + between + 1.4

    @property
    def _doing_mm(self) -> float:
        words = sum(part.height_mm for part in self.says) + 0.4 * max(len(self.says) - 1, 0)
        return max(words, DRAWING_MM if self.drawing else 0.0)

    def draw(self, paper: Paper, x: float, top: float) -> None:
        """Draw number, drawing, words and cautions."""
        size = self.says[0].size_pt
        number: list[Run] = [(str(self.number), "bold")]
        paper.text_right(number, x + 4.4, top + size * 0.91 / PT_PER_MM, size + 2)
        indent = self.indent_of(self.drawing)
        if self.drawing:
            draw_svg(paper, self.drawing, x + NUMBER_MM, top + 0.2, DRAWING_MM)
        y = top
        for part in self.says:
            y = part.draw(paper, x + indent, y) + 0.4
        left, wide, y = x + NUMBER_MM, self.width_mm - NUMBER_MM, top + self._doing_mm
        if not self.cautions:
            return
        paper.box(
            left, y + 0.4, wide, self._framed_mm,
            fill=palette.BRASSWASH, stroke=palette.BRASSTEXT, corner=0.8, width_pt=0.7,
        )  # fmt: skip
        y += 1.1
        for n, part in enumerate(self.cautions):
            if n:
                line = y - BETWEEN_CAUTIONS_MM / 2
                paper.line(
                    [(left + 6.2, line), (left + wide - 1.5, line)], width_pt=0.4, colour=palette.BRASSTEXT
                )
            draw_caution_sign(paper, left + 3.0, y + part.height_mm / 2, 1.6)
            y = part.draw(paper, left + 6.2, y) + BETWEEN_CAUTIONS_MM


@dataclass(frozen=True)
class PicturesPart:
    """Pictures side by side under a heading, each with its words beneath."""

    heading: Paragraph
    pictures: tuple[Picture, ...]
    each_mm: float
    size_pt: float
    most_mm: float = 21.0

    def _side(self, picture: Picture) -> tuple[float, float]:
        """Return width and height of a drawing [mm]."""
        wide, high = drawing_size(picture.svg)
        scale = min((self.each_mm - 3.0) / wide, self.most_mm / max(wide, high))
        return wide * scale, high * scale

    def _words(self, picture: Picture) -> Paragraph:
        room = self.each_mm - (5.4 if picture.right is not None else 2.0)
        face = "bold" if picture.right else "regular"
        return paragraph(picture.words, size_pt=self.size_pt, width_mm=room, face=face, leading=1.18)  # type: ignore[arg-type]

    @property
    def _drawn_mm(self) -> float:
        return max(self._side(picture)[1] for picture in self.pictures)

    @property
    def height_mm(self) -> float:
        """Heading, drawings and words [mm]."""
        return self.heading.height_mm + 1.2 + self._drawn_mm + 1.4 + self._words_mm + 0.6

    @property
    def _words_mm(self) -> float:
        return max(self._words(picture).height_mm for picture in self.pictures)

    def draw(self, paper: Paper, x: float, top: float) -> None:
        """Draw the heading, then each drawing on one foot with its words under it."""
        top = self.heading.draw(paper, x, top) + 1.2
        foot = top + self._drawn_mm
        for n, picture in enumerate(self.pictures):
            left = x + n * self.each_mm
            wide, high = self._side(picture)
            words = self._words(picture)
            if picture.right:
                paper.box(
                    left, top - 0.8, self.each_mm - 1.2, self._drawn_mm + self._words_mm + 2.8,
                    stroke=palette.ENAMEL, width_pt=1.6, corner=1.0,
                )  # fmt: skip
            draw_svg(paper, picture.svg, left + (self.each_mm - 1.2 - wide) / 2, foot - high, wide)
            at = left + 1.0
            if picture.right is not None:
                (_tick if picture.right else _cross)(paper, left + 2.4, foot + 2.9)
                at = left + 4.6
            words.draw(paper, at, foot + 1.2)


def _tick(paper: Paper, x: float, y: float) -> None:
    points = [(x - 1.2, y - 0.1), (x - 0.3, y + 0.9), (x + 1.3, y - 1.3)]
    paper.line(points, width_pt=1.8, colour=palette.ENAMEL)


def _cross(paper: Paper, x: float, y: float) -> None:
    for lean in (1, -1):
        paper.line(
            [(x - 0.9, y - 0.9 * lean), (x + 0.9, y + 0.9 * lean)], width_pt=1.5, colour=palette.MADDER
        )


def columns_of(parts: Sequence[DoingPart], shift_mm: float, gap_mm: float) -> BesidePart:
    """Return steps in two columns, read down the first and then down the second.

    Parameters
    ----------
    parts : sequence of DoingPart
        The steps in their order.
    shift_mm : float
        Where the second column begins [mm].
    gap_mm : float
        Between a step and the next [mm].

    Returns
    -------
    BesidePart
        Parted where the longer column is shortest.

    References
    ----------
    Our own layout.

    Examples
    --------
    >>> step = DoingPart(1, "", (paragraph("Wash.", size_pt=9, width_mm=60),), (), 60)
    >>> [len(column.parts) for _, column in columns_of([step, step, step], 70, 2).parts]
    [2, 1]
    """
    cut = shortest_cut(parts, gap_mm)
    columns = ((0.0, parts[:cut]), (shift_mm, parts[cut:]))
    return BesidePart(tuple((left, StackPart(tuple(some), gap_mm)) for left, some in columns if some))
