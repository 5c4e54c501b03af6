"""The give-away card as PDF: A6, black on white, so that a plant keeps its name and its history."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from slipwright.craft.said import Said, all_in_tongue, in_tongue
from slipwright.outputs._press.lines import line_width_mm
from slipwright.outputs._press.paper import Paper, Point, Printed
from slipwright.outputs._press.paragraphs import Paragraph, paragraph
from slipwright.outputs._press.typeface import Run, typographic
from slipwright.outputs.label_text import code_text
from slipwright.outputs.qr import MOST_DOTS, QUIET_MODULES, on_dots, qr_symbol, qr_text

A6_MM: Final = (105.0, 148.0)
MOST_CARDS: Final = 200
CARE: Final = ("light", "water", "planting", "cutting", "winter")
"""The lines of care, in their order."""
_HEADS: Final = {
    "light": Said("Light:"),
    "water": Said("Water:"),
    "planting": Said("Plant:"),
    "cutting": Said("Cut:"),
    "winter": Said("First winter:"),
}
NOT_A_PASSPORT: Final = (
    Said("Not an official plant passport."),
    Said("Those who sell plants may need one."),
)
_MARGIN: Final = 6.5
_BLACK: Final = "#000000"
_SYMBOL_MM: Final = 24.0
_LEGAL_PT: Final = 7.0
#: lines of care are set no wider apart than this
_WIDEST_GAP_MM: Final = 14.0
_CARE_SIZES: Final = (20.0, 18.0, 16.5, 15.0, 14.0, 13.0, 12.0, 11.0, 10.5, 9.5, 8.5, 7.5, 6.5)


@dataclass(frozen=True)
class CareLine:
    """One line of care: which, and what to do."""

    line: str
    text: str


@dataclass(frozen=True)
class GiveAwayCard:
    """What stands on a card; ``name_runs`` are pieces of the name, True for those in italics."""

    name_runs: tuple[tuple[str, bool], ...]
    code: str
    common_name: str = ""
    origin: str = ""
    care: tuple[CareLine, ...] = ()
    rights: str = ""
    garden: str = ""
    gift: str = ""


def card_pdf(
    card: GiveAwayCard, *, n_cards: int = 1, base: str = "", translate: Callable[[str], str] = str
) -> Printed:
    """Return a give-away card as PDF, one to a page of A6.

    Parameters
    ----------
    card : GiveAwayCard
        What stands on it.
    n_cards : int
        How many are printed [1].
    base : str
        Address before the code in the QR symbol; empty for the code alone.
    translate : callable
        Says the words in the tongue of the card.

    Returns
    -------
    Printed
        The PDF and its pages; what had to be cut is told.

    Raises
    ------
    ValueError
        If the number of cards makes no sense, or there is no code.

    References
    ----------
    ISO/IEC 18004:2015 (QR symbols); International Code of Nomenclature for Cultivated Plants (names);
    layout our own.

    Examples
    --------
    >>> card_pdf(GiveAwayCard((("Salvia rosmarinus", True),), "D4HW2RK6"), n_cards=2).n_pages
    2
    """
    if not 1 <= n_cards <= MOST_CARDS:
        raise ValueError(f"n_cards must be from 1 to {MOST_CARDS}, not {n_cards}")
    card = all_in_tongue(card, translate)
    name, subject = "".join(text for text, _ in card.name_runs), in_tongue(Said("Give-away card"), translate)
    paper = Paper(A6_MM, title=name, subject=subject, translate=translate)
    for i in range(n_cards):
        if i:
            paper.next_page()
        _draw(paper, card, base)
    return paper.finish(n_cards)


def _draw(paper: Paper, card: GiveAwayCard, base: str) -> None:
    right = paper.width_mm - _MARGIN
    foot = paper.height_mm - 6.0
    paper.plain(card.garden, _MARGIN, foot, 8)
    paper.text_right([(card.gift, "regular")], right, foot, 8)
    y = _head(paper, card, base, right)
    y = _origin(paper, card, y, right)
    top = _framed(paper, card, foot - 6.0, right)
    _care(paper, card.care, y + 3.0, top - 3.0, right)


def _head(paper: Paper, card: GiveAwayCard, base: str, right: float) -> float:
    """Name and common name, the symbol beside them; returns where the rule beneath them stands."""
    text = qr_text(card.code, base)
    symbol = qr_symbol(text)
    dots = max(n for n in range(3, MOST_DOTS + 1) if n == 3 or symbol.side_mm(n) <= _SYMBOL_MM)
    side = symbol.side_mm(dots)
    quiet = side * QUIET_MODULES / (symbol.n_modules + 2 * QUIET_MODULES)
    left = right + quiet - side
    top = _MARGIN - quiet
    paper.stamp(text, symbol.marks, symbol.n_units, on_dots(left - 0.2), on_dots(max(top, 0.0)), side)
    width = left - _MARGIN
    runs: list[Run] = [(part, "bold-italic" if italic else "bold") for part, italic in card.name_runs]
    name = _fitting(runs, width, (18, 16, 14, 12, 10), most_lines=2)
    y = name.draw(paper, _MARGIN, _MARGIN - 1.0, _BLACK)
    if card.common_name:
        common = _fitting([(card.common_name, "bold")], width, (11.5, 10, 8.5), most_lines=2)
        y = common.draw(paper, _MARGIN, y + 0.5, _BLACK)
    y = max(y, _MARGIN - 2 * quiet + side) + 2.5
    paper.line([(_MARGIN, y), (right, y)], width_pt=1.4, colour=_BLACK)
    return y


def _origin(paper: Paper, card: GiveAwayCard, y: float, right: float) -> float:
    width = right - _MARGIN
    y += 1.6
    if card.origin:
        y = paragraph(card.origin, size_pt=9.5, width_mm=width).draw(paper, _MARGIN, y, _BLACK)
    batch: list[Run] = [(paper.told(Said("Batch")) + " ", "regular"), (code_text(card.code), "mono-bold")]
    y = paragraph(batch, size_pt=9.5, width_mm=width).draw(paper, _MARGIN, y, _BLACK)
    y += 1.8
    paper.line([(_MARGIN, y), (right, y)], width_pt=1.4, colour=_BLACK)
    return y


def _framed(paper: Paper, card: GiveAwayCard, foot: float, right: float) -> float:
    """Rights and what the card is not, framed together so that neither is trimmed off; returns its top."""
    inner, width = _MARGIN + 13.0, right - _MARGIN - 16.0
    rights: list[Run] = [(paper.told(Said("Rights:")) + " ", "bold"), (typographic(card.rights), "regular")]
    passport: list[Run] = [
        (paper.told(NOT_A_PASSPORT[0]) + " ", "bold"),
        (paper.told(NOT_A_PASSPORT[1]), "regular"),
    ]
    parts = [
        paragraph(runs, size_pt=_LEGAL_PT, width_mm=width)
        for runs in ((rights, passport) if card.rights else (passport,))
    ]
    height = sum(part.height_mm for part in parts) + 4.0
    top = foot - height
    paper.box(_MARGIN, top, right - _MARGIN, height, width_pt=1.4, stroke=_BLACK)
    _lock(paper, _MARGIN + 6.0, top + height / 2 - 1.0)
    y = top + 2.0
    for part in parts:
        y = part.draw(paper, inner, y, _BLACK)
    return top


def _care(paper: Paper, care: Sequence[CareLine], top: float, foot: float, right: float) -> None:
    left = _MARGIN + 13.0
    width = right - left
    for size in _CARE_SIZES:
        done = [_care_line(paper.told(_HEADS[one.line]), one.text, size, width) for one in care]
        gap = 2.6 if size > 9 else 1.6
        if sum(max(part.height_mm, 8.4) + gap for part in done) <= foot - top:
            break
    spare = foot - top - sum(max(part.height_mm, 8.4) + gap for part in done) if care else 0.0
    if spare > 0.0:
        wider = min(spare / (len(care) + 1), _WIDEST_GAP_MM - gap)
        gap, top = gap + wider, top + wider
    y = top
    for one, part in zip(care, done if care else (), strict=True):
        height = max(part.height_mm, 8.4)
        if y + height > foot + 0.5:
            paper.note(f"left out, there is no room for it: {_HEADS[one.line]} {one.text}")
            continue
        _SIGNS[one.line](paper, _MARGIN + 5.0, y + height / 2)
        part.draw(paper, left, y + (height - part.height_mm) / 2, _BLACK)
        y += height + gap


def _care_line(head: str, text: str, size_pt: float, width: float) -> Paragraph:
    runs: list[Run] = [(head + " ", "bold"), (typographic(text), "regular")]
    return paragraph(runs, size_pt=size_pt, width_mm=width, leading=1.22)


def _fitting(runs: list[Run], width: float, sizes: Sequence[float], *, most_lines: int) -> Paragraph:
    for size in sizes:
        done = paragraph(runs, size_pt=size, width_mm=width, leading=1.1)
        widest = max(line_width_mm([(word, face)], size) for text, face in runs for word in text.split())
        if len(done.lines) <= most_lines and widest <= width:
            break
    return done


# -- signs, drawn in ink about a middle ------------------------------------------------------------------


def _strokes(paper: Paper, x: float, y: float, lines: Sequence[Sequence[Point]]) -> None:
    for line in lines:
        paper.line([(x + dx, y + dy) for dx, dy in line], width_pt=1.3, colour=_BLACK)


def _sun(paper: Paper, x: float, y: float) -> None:
    paper.circle(x, y, 1.8, width_pt=1.3, stroke=_BLACK)
    for dx, dy in ((1, 0), (0.707, 0.707), (0, 1), (-0.707, 0.707)):
        for way in (-1, 1):
            _strokes(paper, x, y, [[(way * dx * 2.8, way * dy * 2.8), (way * dx * 3.9, way * dy * 3.9)]])


def _drop(paper: Paper, x: float, y: float) -> None:
    paper.curve(
        (x, y - 3.6),
        [
            ((x + 1.2, y - 1.6), (x + 2.4, y - 0.4), (x + 2.4, y + 1.2)),
            ((x + 2.4, y + 2.7), (x + 1.3, y + 3.6), (x, y + 3.6)),
            ((x - 1.3, y + 3.6), (x - 2.4, y + 2.7), (x - 2.4, y + 1.2)),
            ((x - 2.4, y - 0.4), (x - 1.2, y - 1.6), (x, y - 3.6)),
        ],
        width_pt=1.3,
        stroke=_BLACK,
    )


def _rooted(paper: Paper, x: float, y: float) -> None:
    _strokes(paper, x, y, [[(0, -3.4), (0, 3.6)], [(-3.8, 0.6), (-1.2, 0.6)], [(1.2, 0.6), (3.8, 0.6)]])
    _strokes(paper, x, y, [[(0, 1.0), (-2.0, 3.4)], [(0, 1.0), (2.0, 3.4)]])
    _strokes(
        paper,
        x,
        y,
        [[(0, -0.8), (-2.4, -2.0), (-2.2, -3.6), (0, -1.6)], [(0, -1.4), (2.2, -2.6), (2.4, -3.8)]],
    )


def _shears(paper: Paper, x: float, y: float) -> None:
    _strokes(paper, x, y, [[(0, -0.6), (0, 3.8)], [(0, 0.6), (-2.2, -1.4)], [(0, -0.6), (2.2, -2.6)]])
    _strokes(paper, x, y, [[(-3.6, -0.8), (-1.0, -2.2)], [(0.9, -3.6), (3.8, -2.2)]])


def _star(paper: Paper, x: float, y: float) -> None:
    _strokes(paper, x, y, [[(0, -3.6), (0, 3.6)], [(-3.1, -1.8), (3.1, 1.8)], [(-3.1, 1.8), (3.1, -1.8)]])


def _lock(paper: Paper, x: float, y: float) -> None:
    paper.box(x - 2.3, y - 0.6, 4.6, 4.0, width_pt=1.5, stroke=_BLACK)
    paper.curve(
        (x - 1.5, y - 0.6),
        [((x - 1.5, y - 3.9), (x + 1.5, y - 3.9), (x + 1.5, y - 0.6))],
        width_pt=1.5,
        stroke=_BLACK,
    )


_SIGNS: Final[dict[str, Callable[[Paper, float, float], None]]] = {
    "light": _sun,
    "water": _drop,
    "planting": _rooted,
    "cutting": _shears,
    "winter": _star,
}
