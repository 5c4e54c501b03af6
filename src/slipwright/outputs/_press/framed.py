"""What to mind and what may not be done, in frames with their signs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from slipwright.outputs._press import palette
from slipwright.outputs._press.paper import Paper
from slipwright.outputs._press.paragraphs import Paragraph, paragraph
from slipwright.outputs._press.sheet_head import name_line
from slipwright.outputs._press.signs import draw_caution_sign
from slipwright.outputs._press.typeface import Run


@dataclass(frozen=True)
class Refused:
    """A plant that may not be multiplied, and why."""

    name_runs: tuple[tuple[str, bool], ...]
    why: str
    plant: str = ""


@dataclass(frozen=True)
class Warned:
    """A caution and what it is about."""

    text: str
    about: str = ""


@dataclass(frozen=True)
class WarnedPart:
    """Cautions in a frame: what each is about in bold, then the words."""

    lines: tuple[Paragraph, ...]
    width_mm: float

    @property
    def height_mm(self) -> float:
        """Frame and all [mm]."""
        return sum(line.height_mm for line in self.lines) + 0.8 * (len(self.lines) - 1) + 2.4

    def draw(self, paper: Paper, x: float, top: float) -> None:
        """Draw frame, sign and lines."""
        paper.box(
            x,
            top,
            self.width_mm,
            self.height_mm,
            fill=palette.BRASSWASH,
            stroke=palette.BRASSTEXT,
            corner=0.8,
            width_pt=0.8,
        )
        y = top + 1.2
        for line in self.lines:
            draw_caution_sign(paper, x + 4.0, y + line.size_pt * 0.25, 1.7)
            y = line.draw(paper, x + 8.0, y) + 0.8


@dataclass(frozen=True)
class RefusedPart:
    """What may not be cut, framed twice with an eight-sided sign; no number stands in it."""

    heading: Paragraph
    lines: tuple[Paragraph, ...]
    width_mm: float

    @property
    def height_mm(self) -> float:
        """Frame and all [mm]."""
        return self.heading.height_mm + sum(line.height_mm + 0.6 for line in self.lines) + 4.6

    def draw(self, paper: Paper, x: float, top: float) -> None:
        """Draw frame, sign, heading and lines."""
        paper.box(
            x, top, self.width_mm, self.height_mm, stroke=palette.MADDER, width_pt=2.2, fill=palette.SHEET
        )
        r, middle = 3.4, (x + 6.6, top + 6.4)
        corners = [
            (
                middle[0] + r * math.cos(math.pi / 8 + k * math.pi / 4),
                middle[1] + r * math.sin(math.pi / 8 + k * math.pi / 4),
            )
            for k in range(8)
        ]
        paper.shape(corners, fill=palette.MADDER, stroke=palette.INK, width_pt=0.8)
        paper.line(
            [(middle[0] - 1.8, middle[1]), (middle[0] + 1.8, middle[1])], width_pt=2.6, colour=palette.SHEET
        )
        y = self.heading.draw(paper, x + 12.5, top + 2.0) + 0.4
        for line in self.lines:
            y = line.draw(paper, x + 12.5, y) + 0.6


def warned_part(warned: Sequence[Warned], width_mm: float, size_pt: float) -> WarnedPart:
    """Return cautions as one part of a sheet.

    Parameters
    ----------
    warned : sequence of Warned
        The cautions, at least one.
    width_mm : float
        Width of the frame [mm].
    size_pt : float
        Size of the letters [pt].

    Returns
    -------
    WarnedPart
        The part, measured.

    References
    ----------
    The house's own drawing style (common practice, no source).

    Examples
    --------
    >>> len(warned_part([Warned("Gloves on.", "rose-gate")], 180, 9).lines)
    1
    """
    lines = []
    for one in warned:
        about: list[Run] = [(f"{one.about}: ", "bold")] if one.about else []
        lines.append(paragraph([*about, (one.text, "regular")], size_pt=size_pt, width_mm=width_mm - 10.0))
    return WarnedPart(tuple(lines), width_mm)


def refused_part(refused: Sequence[Refused], heading: str, width_mm: float, size_pt: float) -> RefusedPart:
    """Return what may not be multiplied as one part of a sheet.

    Parameters
    ----------
    refused : sequence of Refused
        The plants, at least one.
    heading : str
        What may not be done.
    width_mm : float
        Width of the frame [mm].
    size_pt : float
        Size of the letters [pt].

    Returns
    -------
    RefusedPart
        The part, measured.

    References
    ----------
    The house's own drawing style (common practice, no source).

    Examples
    --------
    >>> len(refused_part([Refused((("Rosa", True),), "Protected.")], "Not to be cut", 180, 9).lines)
    1
    """
    wide = width_mm - 15.0
    lines = []
    for one in refused:
        plant: list[Run] = [(f"  {one.plant}", "bold")] if one.plant else []
        runs: list[Run] = [*name_line(one.name_runs), *plant, (f"  {one.why}", "regular")]
        lines.append(paragraph(runs, size_pt=size_pt, width_mm=wide))
    head = paragraph(heading, size_pt=size_pt + 2.5, width_mm=wide, face="bold")
    return RefusedPart(head, tuple(lines), width_mm)
