"""Parts of a report: charts of the pages, tables of figures, findings as points."""

from __future__ import annotations

from dataclasses import dataclass

from slipwright.outputs._press import palette
from slipwright.outputs._press.lines import wrapped
from slipwright.outputs._press.paper import Paper
from slipwright.outputs._press.paragraphs import Paragraph, paragraph
from slipwright.outputs._press.svg_drawing import draw_svg, drawing_size
from slipwright.outputs._press.typeface import ASCENT, PT_PER_MM, Run, typographic

_PAD_MM = 0.8


@dataclass(frozen=True)
class SvgPart:
    """A chart of the pages, as wide as told."""

    svg: str
    width_mm: float

    @property
    def height_mm(self) -> float:
        """Its height at that width [mm]."""
        wide, high = drawing_size(self.svg)
        return high * self.width_mm / wide

    def draw(self, paper: Paper, x: float, top: float) -> None:
        """Draw it from its top left corner."""
        draw_svg(paper, self.svg, x, top, self.width_mm)


@dataclass(frozen=True)
class TablePart:
    """A table: the first columns words, the others figures set to the right."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    #: widths of the columns as shares of the whole
    shares: tuple[float, ...]
    width_mm: float
    size_pt: float
    n_words: int

    def row_mm(self, row: tuple[str, ...]) -> float:
        """Height of a row: its words go on in a next line where they must [mm]."""
        n_lines = max(len(self._cell(n, cell)) for n, cell in enumerate(row))
        return n_lines * self._line_mm + 2 * _PAD_MM

    @property
    def heads_mm(self) -> float:
        """Height of the heads [mm]."""
        return max(head.height_mm for head in self._heads()) + 1.0

    @property
    def _line_mm(self) -> float:
        return self.size_pt * 1.2 / PT_PER_MM

    def _cell(self, n: int, cell: str) -> tuple[tuple[Run, ...], ...]:
        """Return the lines of a cell: words wrap, a figure stands in one."""
        runs: list[Run] = [(typographic(cell), "regular")]
        wide = self.shares[n] * self.width_mm - 1.5
        most = None if n < self.n_words else 1
        return wrapped(runs, size_pt=self.size_pt, width_mm=wide, max_lines=most).lines

    def _heads(self) -> tuple[Paragraph, ...]:
        return tuple(
            paragraph(
                head,
                size_pt=self.size_pt - 0.5,
                width_mm=share * self.width_mm - 1.5,
                face="bold",
                leading=1.12,
            )
            for head, share in zip(self.heads, self.shares, strict=True)
        )

    @property
    def height_mm(self) -> float:
        """Heads and rows [mm]."""
        return self.heads_mm + sum(map(self.row_mm, self.rows))

    def draw(self, paper: Paper, x: float, top: float) -> None:
        """Draw the heads, then row after row over hairlines."""
        heads = self._heads()
        deep = max(head.height_mm for head in heads)
        left = x
        for n, (head, share) in enumerate(zip(heads, self.shares, strict=True)):
            wide = share * self.width_mm
            if n < self.n_words:
                head.draw(paper, left, top + deep - head.height_mm)
            else:
                self._heads_right(paper, head, left + wide - 1.5, top + deep - head.height_mm)
            left += wide
        y = top + deep + 1.0
        paper.line([(x, y), (x + self.width_mm, y)], width_pt=0.9)
        for row in self.rows:
            self._row(paper, row, x, y)
            y += self.row_mm(row)
            paper.line([(x, y), (x + self.width_mm, y)], width_pt=0.5, colour=palette.HAIR)

    def _heads_right(self, paper: Paper, head: Paragraph, right: float, top: float) -> None:
        step = head.size_pt * head.leading / PT_PER_MM
        baseline = top + head.size_pt * (ASCENT + (head.leading - 1.0) / 2) / PT_PER_MM
        for line in head.lines:
            paper.text_right(line, right, baseline, head.size_pt)
            baseline += step

    def _row(self, paper: Paper, row: tuple[str, ...], x: float, y: float) -> None:
        baseline = y + _PAD_MM + self.size_pt * 0.88 / PT_PER_MM
        left = x
        for n, (cell, share) in enumerate(zip(row, self.shares, strict=True)):
            wide = share * self.width_mm
            if not cell:
                left += wide
                continue
            for k, line in enumerate(self._cell(n, cell)):
                down = baseline + k * self._line_mm
                if n < self.n_words:
                    paper.text(line, left, down, self.size_pt)
                else:
                    paper.text_right(line, left + wide - 1.5, down, self.size_pt)
            left += wide


@dataclass(frozen=True)
class BulletsPart:
    """Sentences one under the other, each with a point before it."""

    lines: tuple[Paragraph, ...]

    @property
    def height_mm(self) -> float:
        """All of them [mm]."""
        return sum(line.height_mm + 0.9 for line in self.lines)

    def draw(self, paper: Paper, x: float, top: float) -> None:
        """One after the other."""
        for line in self.lines:
            paper.circle(x + 1.6, top + line.size_pt * 0.64 / PT_PER_MM, 0.55, fill=palette.INK, stroke=None)
            top = line.draw(paper, x + 4.5, top) + 0.9
