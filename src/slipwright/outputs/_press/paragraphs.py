"""Paragraphs: text set to a width, with the height it will take known before it is drawn."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from slipwright.outputs._press import palette
from slipwright.outputs._press.lines import FIRM, wrapped
from slipwright.outputs._press.paper import Paper
from slipwright.outputs._press.typeface import ASCENT, PT_PER_MM, Face, Run, typographic

# A figure and its unit are read together, so they are not parted at the end of a line.
_UNITS = (
    r"(?:mm|cm|m|in|ft|ml|L|°C|°F|mg/L|mg/kg|s|min|h"
    r"|days?|weeks?|months?|pots?|US|días?|semanas?|meses|macetas?)"
)
_FIGURE = re.compile(rf"(?<=[\d¼½¾⅛⅜⅝⅞]) (?={_UNITS}\b)")


@dataclass(frozen=True)
class Paragraph:
    """Lines of one size."""

    lines: tuple[tuple[Run, ...], ...]
    size_pt: float
    leading: float = 1.3

    @property
    def height_mm(self) -> float:
        """From the top of the first line to the foot of the last one's leading [mm]."""
        return len(self.lines) * self.size_pt * self.leading / PT_PER_MM

    def draw(self, paper: Paper, x: float, top: float, colour: str = palette.INK) -> float:
        """Write the lines from (x, top); returns where the next thing may begin [mm]."""
        step = self.size_pt * self.leading / PT_PER_MM
        baseline = top + self.size_pt * (ASCENT + (self.leading - 1.0) / 2) / PT_PER_MM
        for line in self.lines:
            paper.text(line, x, baseline, self.size_pt, colour)
            baseline += step
        return top + self.height_mm


def paragraph(
    text: str | Sequence[Run],
    *,
    size_pt: float,
    width_mm: float,
    face: Face = "regular",
    leading: float = 1.3,
) -> Paragraph:
    """Return a text as a paragraph of a width.

    Parameters
    ----------
    text : str or sequence of (str, str)
        Plain text, or pieces of text each with its face; straight quotes are made typographic.
    size_pt : float
        Size of the letters [pt].
    width_mm : float
        Width no line exceeds [mm].
    face : str
        Face of plain text.
    leading : float
        Height of a line as a share of the size [-].

    Returns
    -------
    Paragraph
        Its lines; none for an empty text.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> len(paragraph("Wash the pots.", size_pt=10, width_mm=100).lines)
    1
    """
    runs: Sequence[Run] = [(text, face)] if isinstance(text, str) else text
    firm = [(_FIGURE.sub(FIRM, typographic(part)), wished) for part, wished in runs]
    return Paragraph(wrapped(firm, size_pt=size_pt, width_mm=width_mm).lines, size_pt, leading)
