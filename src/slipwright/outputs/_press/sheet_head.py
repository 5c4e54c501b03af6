"""Head of a sheet: the name, the code, and the brass rule that closes it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Protocol

from slipwright.craft.errors import BadArgument
from slipwright.craft.said import Said
from slipwright.outputs._press import palette
from slipwright.outputs._press.paper import PAPERS_MM, Paper
from slipwright.outputs._press.paragraphs import Paragraph, paragraph
from slipwright.outputs._press.typeface import Face, Run, typographic
from slipwright.outputs.label_text import code_text
from slipwright.outputs.qr import DOT_MM, QrSymbol, on_dots, qr_symbol, qr_text

RULE_MM: Final = 3.0
NAME_SIZES_PT: Final = (24.0, 22.0, 20.0, 18.0, 16.0)


class Named(Protocol):
    """What a head needs to know of a sheet."""

    @property
    def name_runs(self) -> tuple[tuple[str, bool], ...]:
        """Pieces of the name, True for those in italics."""

    @property
    def common_name(self) -> str:
        """What people call it."""

    @property
    def code(self) -> str:
        """The batch's code, if there is one."""


def name_line(name_runs: tuple[tuple[str, bool], ...], face: Face = "bold") -> list[Run]:
    """Return a name as runs of print.

    Parameters
    ----------
    name_runs : tuple of (str, bool)
        Pieces of the name, True for those in italics.
    face : str
        bold or regular.

    Returns
    -------
    list of (str, str)
        Each piece with its face, straight quotes made typographic.

    References
    ----------
    International Code of Nomenclature for Cultivated Plants, 9th edition (italics and single
    quotation marks).

    Examples
    --------
    >>> name_line((("Rosa ", True), ("'Lantern Keeper'", False)))
    [('Rosa ', 'bold-italic'), ('‘Lantern Keeper’', 'bold')]
    """
    slanted: Face = "bold-italic" if face == "bold" else "italic"
    return [(typographic(text), slanted if italic else face) for text, italic in name_runs]


@dataclass(frozen=True)
class Head:
    """Name and common name on the left, code and its symbol on the right, the rule beneath."""

    sheet: Named
    width_mm: float
    base: str = ""

    @property
    def _symbol(self) -> QrSymbol | None:
        return qr_symbol(qr_text(self.sheet.code, self.base)) if self.sheet.code else None

    @property
    def _name(self) -> Paragraph:
        symbol = self._symbol
        room = self.width_mm - (symbol.side_mm() + 4.0 if symbol else 0.0)
        runs = name_line(self.sheet.name_runs)
        sizes = [paragraph(runs, size_pt=pt, width_mm=room, leading=1.12) for pt in NAME_SIZES_PT]
        return next((name for name in sizes if len(name.lines) == 1), sizes[2])

    @property
    def height_mm(self) -> float:
        """Down to the foot of the rule [mm]."""
        symbol = self._symbol
        words = 5.0 + self._name.height_mm + 6.0
        return max(words, symbol.side_mm() if symbol else 0.0) + 1.0 + RULE_MM

    def draw(self, paper: Paper, x: float, top: float) -> None:
        """Draw it from its top left corner."""
        paper.text([(paper.told(Said("Stick sheet")), "bold")], x, top + 3.0, 10, palette.INK2)
        below = self._name.draw(paper, x, top + 5.0)
        second: list[Run] = [(self.sheet.common_name, "regular")] if self.sheet.common_name else []
        if self.sheet.code:
            second += [("   " if second else "", "regular"), (code_text(self.sheet.code), "mono-bold")]
        paper.text(second, x, below + 3.8, 12)
        symbol = self._symbol
        if symbol:
            side = symbol.side_mm()
            left, up = on_dots(x + self.width_mm - side - DOT_MM), on_dots(top - 1.0)
            text = qr_text(self.sheet.code, self.base)
            paper.stamp(text, symbol.marks, symbol.n_units, left, up, side)
        draw_brass_rule(paper, x, top + self.height_mm - RULE_MM, self.width_mm)


@dataclass(frozen=True)
class TurnedHead:
    """Head of a further page."""

    words: Paragraph
    width_mm: float

    @property
    def height_mm(self) -> float:
        """Words and rule [mm]."""
        return self.words.height_mm + 1.5 + RULE_MM

    def draw(self, paper: Paper, x: float, top: float) -> None:
        """Draw the words and the rule beneath them."""
        draw_brass_rule(paper, x, self.words.draw(paper, x, top) + 1.5, self.width_mm)


def draw_brass_rule(paper: Paper, x: float, top: float, width_mm: float) -> None:
    """Draw the brass rule with ticks a centimetre and half a centimetre apart.

    Parameters
    ----------
    paper : Paper
        The page.
    x : float
        Left edge [mm].
    top : float
        Upper edge [mm].
    width_mm : float
        Its length [mm].

    References
    ----------
    The house's own drawing style (common practice, no source).
    """
    paper.box(x, top, width_mm, RULE_MM, fill=palette.BRASS, width_pt=0.9)
    for k in range(1, int(width_mm / 5) + 1):
        if k * 5 < width_mm - 0.5:
            deep = RULE_MM * (0.62 if k % 2 == 0 else 0.38)
            paper.line([(x + 5 * k, top), (x + 5 * k, top + deep)], width_pt=0.7)


def sheet_size_mm(paper: str, steps: Sequence[object]) -> tuple[float, float]:
    """Return the size of a sheet's paper.

    Parameters
    ----------
    paper : {'a4', 'letter'}
        Which paper.
    steps : sequence
        What the sheet tells to do.

    Returns
    -------
    tuple of float
        Width and height [mm].

    Raises
    ------
    BadArgument
        If the paper is not known or there are no steps.

    References
    ----------
    ISO 216 and North American paper sizes.

    Examples
    --------
    >>> sheet_size_mm("a4", ["Wash the pot."])
    (210.0, 297.0)
    """
    if paper not in PAPERS_MM:
        raise BadArgument("paper", "be a4 or letter", paper)
    if not steps:
        raise BadArgument("steps", "hold at least one step", steps)
    return PAPERS_MM[paper]
