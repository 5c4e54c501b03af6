"""Rows to work through with a pen: a number, what to do, and boxes to write in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from slipwright.outputs._press import palette
from slipwright.outputs._press.paper import Paper
from slipwright.outputs._press.paragraphs import Paragraph, paragraph

NUMBER_MM: Final = 9.0
"""Width of the number a row begins with."""
HEAD_PT: Final = 8.0
LEAST_BOX_MM: Final = 9.0
"""A box is at least so high: room for a figure written with a cold hand."""
_PAD_MM: Final = 1.2
_SKIP_MM: Final = 0.6


@dataclass(frozen=True)
class Column:
    """A column: its heading, its width, and whether it is a box to write in."""

    heading: str
    width_mm: float
    is_box: bool = False


def _words_mm(column: Column) -> float:
    return column.width_mm - 2.0


@dataclass(frozen=True)
class GridHead:
    """The headings of the columns."""

    columns: tuple[Column, ...]
    width_mm: float
    number: str = ""

    def _words(self) -> list[Paragraph]:
        return [
            paragraph(column.heading, size_pt=HEAD_PT, width_mm=_words_mm(column), leading=1.15)
            for column in self.columns
        ]

    @property
    def height_mm(self) -> float:
        """The highest heading and room about it [mm]."""
        return max(words.height_mm for words in self._words()) + 2 * _SKIP_MM

    def draw(self, paper: Paper, x: float, top: float) -> None:
        """Draw the headings on a pale strip."""
        paper.box(x, top, self.width_mm, self.height_mm, fill=palette.INSET, stroke=None)
        number = paragraph(self.number, size_pt=HEAD_PT, width_mm=NUMBER_MM - 1.0, leading=1.15)
        number.draw(paper, x + 0.6, top + _SKIP_MM)
        left = x + NUMBER_MM
        for column, words in zip(self.columns, self._words(), strict=True):
            words.draw(paper, left, top + _SKIP_MM)
            left += column.width_mm


@dataclass(frozen=True)
class GridRow:
    """One row: its number, a line over the cells, the cells, and the boxes."""

    number: Paragraph
    lead: Paragraph
    cells: tuple[Paragraph, ...]
    columns: tuple[Column, ...]
    width_mm: float

    @property
    def height_mm(self) -> float:
        """Lead, cells and room about them [mm]."""
        cells = max((cell.height_mm for cell in self.cells), default=0.0)
        words = max(self.lead.height_mm + _SKIP_MM + cells, self.number.height_mm)
        return max(words, LEAST_BOX_MM) + 2 * _PAD_MM

    def draw(self, paper: Paper, x: float, top: float) -> None:
        """Draw the row under a hairline."""
        paper.line([(x, top), (x + self.width_mm, top)], width_pt=0.6, colour=palette.EDGE)
        y = top + _PAD_MM
        self.number.draw(paper, x, y)
        below = self.lead.draw(paper, x + NUMBER_MM, y) + _SKIP_MM
        left, words = x + NUMBER_MM, iter(self.cells)
        for column in self.columns:
            if column.is_box:
                high = self.height_mm - 2 * _PAD_MM
                paper.box(left + 0.6, y, column.width_mm - 1.2, high, width_pt=0.8, fill=palette.SHEET)
            else:
                next(words).draw(paper, left, below)
            left += column.width_mm


def wide_columns(columns: Sequence[Column], width_mm: float) -> tuple[Column, ...]:
    """Return columns that fill a width: what they leave goes to the widest that is not a box.

    Parameters
    ----------
    columns : sequence of Column
        The columns, beside the number a row begins with.
    width_mm : float
        Width of the page between its margins [mm].

    Returns
    -------
    tuple of Column
        The same, one of them wider.

    References
    ----------
    The house's own drawing style (common practice, no source).

    Examples
    --------
    >>> [one.width_mm for one in wide_columns([Column("Shoots", 40.0), Column("Cut", 15.0, True)], 100.0)]
    [76.0, 15.0]
    """
    rest = width_mm - NUMBER_MM - sum(column.width_mm for column in columns)
    widest = max((one for one in columns if not one.is_box), key=lambda one: one.width_mm)
    return tuple(
        Column(one.heading, one.width_mm + rest, one.is_box) if one is widest else one for one in columns
    )
