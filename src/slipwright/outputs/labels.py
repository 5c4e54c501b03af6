"""Labels as PDF: on sheets, as stakes to cut out and bury half, or one to a page from a roll."""

from __future__ import annotations

import math
from collections.abc import Sequence
from contextlib import nullcontext
from dataclasses import dataclass, replace
from typing import Final

from slipwright.outputs._press.paper import HAIRLINE_PT, Paper, Printed
from slipwright.outputs.label_text import Block, Label, label_block
from slipwright.outputs.qr import (
    DOT_MM,
    LEAST_DOTS,
    MOST_DOTS,
    QrSymbol,
    on_dots,
    qr_symbol,
    qr_text,
)
from slipwright.outputs.stock import LEAST_TEXT_MM, PADDING_MM, Stock, StockError, least_roll_mm

__all__ = ["Label", "Place", "label_place", "labels_pdf"]

MOST_COPIES: Final = 10_000
CHECK_RULE_MM: Final = 50
MEDIUM_LINE_MM: Final = 54.0
"""Where the medium's surface meets a stake, from its blunt end."""
POINT_MM: Final = 84.5
"""Where a stake begins to taper, from its blunt end."""
_BURIED_MM: Final = (58.0, 86.0)
_ROOMY_MM: Final = (44.0, 25.0)
"""Text box in which the usual letters sit comfortably; a larger one gets larger letters."""


@dataclass(frozen=True)
class Place:
    """Where things go on a label, in mm from its top left corner."""

    symbol: tuple[float, float, float]
    """Left, top and side of the QR symbol with its quiet zone."""
    text: tuple[float, float, float, float]
    """Left, top, width and height of the box for the text."""


def labels_pdf(
    labels: Sequence[Label], stock: Stock, *, title: str, garden: str, base: str = "", skip: int = 0
) -> Printed:
    """Return the labels as PDF pages to be printed at full size.

    Parameters
    ----------
    labels : sequence of Label
        What stands on each, and in how many copies.
    stock : Stock
        What they are printed on.
    title : str
        Heading of the sheets.
    garden : str
        The garden's name, for the foot of the sheets.
    base : str
        Address before the code in the QR symbol; empty for the code alone.
    skip : int
        Labels already used on the first sheet [1].

    Returns
    -------
    Printed
        The PDF, its pages and labels, and what had to be cut or could not be printed as written.

    Raises
    ------
    StockError
        If a QR symbol or a code does not fit the stock.
    ValueError
        If there is nothing to print, or a number of copies or of skipped labels makes no sense.

    References
    ----------
    ISO/IEC 18004:2015 (QR symbols); International Code of Nomenclature for Cultivated Plants
    (names); sizes of letters: common practice, no source.

    Examples
    --------
    >>> from slipwright.outputs.stock import parse_stock
    >>> label = Label((("Salvia rosmarinus", True),), "D4HW2RK6", copies=2)
    >>> labels_pdf([label], parse_stock("stake"), title="Labels", garden="Saltmarsh Lane").n_labels
    2
    """
    _check(labels, stock, skip)
    printed = [label for label in labels for _ in range(label.copies)]
    paper = Paper(stock.paper_mm, title=title, subject=f"Labels, {stock.name}")
    n_pages = math.ceil((len(printed) + skip) / stock.n_on_paper)
    corners = list(stock.corners_mm())
    for i, label in enumerate(printed, start=skip):
        page, position = divmod(i, stock.n_on_paper)
        if i == skip or position == 0:
            if i > skip:
                paper.next_page()
            _furnish(paper, stock, title, garden, page + 1, n_pages)
        with paper.turned(0, paper.height_mm, 90) if stock.turned else nullcontext():
            _draw(paper, stock, label, corners[position], base)
    return paper.finish(len(printed))


def _check(labels: Sequence[Label], stock: Stock, skip: int) -> None:
    if not labels:
        raise ValueError("labels must hold at least one label, not none")
    for label in labels:
        if not 1 <= label.copies <= MOST_COPIES:
            raise ValueError(f"copies must be from 1 to {MOST_COPIES:,}, not {label.copies} ({label.code})")
    if not 0 <= skip < stock.n_on_paper:
        raise ValueError(f"skip must be from 0 to {stock.n_on_paper - 1} on this stock, not {skip}")


def label_place(stock: Stock, symbol: QrSymbol) -> Place:
    """Return where the QR symbol and the text go on a label.

    Parameters
    ----------
    stock : Stock
        The stock.
    symbol : QrSymbol
        The symbol, for its number of modules.

    Returns
    -------
    Place
        Symbol on the left with the text beside it, or above the text on a narrow label.

    Raises
    ------
    StockError
        If the symbol does not fit beside or above the least text.

    References
    ----------
    ISO/IEC 18004:2015, 5.3.8 (quiet zone).

    Examples
    --------
    >>> from slipwright.outputs.stock import parse_stock
    >>> round(label_place(parse_stock("100x25mm"), qr_symbol("K7Q2M9T3")).symbol[2], 2)
    19.64
    """
    width, height = stock.label_mm
    if stock.kind == "stake":
        width = MEDIUM_LINE_MM
    (beside_w, beside_h), (above_w, above_h) = least_roll_mm(symbol.side_mm())
    pad = PADDING_MM
    if width >= beside_w and height >= beside_h:
        side = _side(symbol, min(height - 2 * pad, max(0.36 * width, symbol.side_mm())))
        left = pad + side
        return Place((pad, (height - side) / 2, side), (left, pad, width - pad - left, height - 2 * pad))
    if width >= above_w and height >= above_h:
        side = _side(symbol, min(width - 2 * pad, height - 2 * pad - 1.6 * LEAST_TEXT_MM[1]))
        top = pad + side
        box = (pad + 0.5, top, width - 2 * pad - 1.0, height - pad - top)
        return Place(((width - side) / 2, pad, side), box)
    raise StockError(
        stock.name,
        f"the QR symbol of a code with this address is {symbol.side_mm():.1f} mm wide and leaves no room for "
        f"the name; a shorter address, or labels of at least {beside_w}x{beside_h}mm, will do",
    )


def _side(symbol: QrSymbol, most_mm: float) -> float:
    fitting = [symbol.side_mm(dots) for dots in range(LEAST_DOTS, MOST_DOTS + 1)]
    return max([side for side in fitting if side <= most_mm], default=symbol.side_mm())


def _draw(paper: Paper, stock: Stock, label: Label, corner: tuple[float, float], base: str) -> None:
    text = qr_text(label.code, base)
    symbol = qr_symbol(text)
    place = label_place(stock, symbol)
    x, y = _on_dots(stock, corner, place.symbol)
    paper.stamp(text, symbol.marks, symbol.n_units, x, y, place.symbol[2])
    _text(paper, label, corner, place)
    if stock.kind == "stake":
        _stake(paper, stock, label, corner)


def _on_dots(
    stock: Stock, corner: tuple[float, float], symbol: tuple[float, float, float]
) -> tuple[float, float]:
    """Move a symbol to whole dots from the page's top left: no module is wider than its neighbour."""
    x, y = corner[0] + symbol[0], corner[1] + symbol[1]
    if not stock.turned:
        return on_dots(x), on_dots(y)
    # Turned, a label's left is the foot of the page: what is whole must be the symbol's far side.
    far = stock.paper_mm[1] - symbol[2]
    return far - on_dots(far - x - DOT_MM), on_dots(y)


def _text(paper: Paper, label: Label, corner: tuple[float, float], place: Place) -> None:
    left, top, width, height = place.text
    scale = min(max(1.0, min(width / _ROOMY_MM[0], height / _ROOMY_MM[1])), 2.5)
    block = label_block(replace(label, copies=1), width - DOT_MM, height, scale)
    _write(paper, block, corner[0] + left + DOT_MM, corner[1] + top + (height - block.height_mm) / 2)


def _write(paper: Paper, block: Block, x: float, top: float) -> None:
    for baseline, line in block.baselines(top):
        paper.text(line.runs, x, baseline, line.size_pt)
    for note in block.notes:
        paper.note(note)


def _stake(paper: Paper, stock: Stock, label: Label, corner: tuple[float, float]) -> None:
    """Cut line, medium line, and the second copy upside down beneath it."""
    (x, y), (width, height) = corner, stock.label_mm
    outline = [(0, 0), (POINT_MM, 0), (width, height / 2), (POINT_MM, height), (0, height)]
    paper.shape([(x + dx, y + dy) for dx, dy in outline], width_pt=HAIRLINE_PT)
    line = x + MEDIUM_LINE_MM
    paper.line([(line, y + 1.2), (line, y + height - 1.2)], width_pt=1.1, dash=(3, 2))
    with paper.turned(line + 1.2, y + height / 2, -90):
        paper.text_centred([("push in to here", "regular")], 0, 0, 6.5)
    buried = replace(label, common_name="", treatment="", place="", copies=1)
    block = label_block(buried, _BURIED_MM[1] - _BURIED_MM[0], height - 2 * PADDING_MM - 2)
    with paper.turned(x + _BURIED_MM[1], y + height / 2, 180):
        _write(paper, block, 0, -block.height_mm / 2)


def _furnish(paper: Paper, stock: Stock, title: str, garden: str, page: int, n_pages: int) -> None:
    """Heading, foot and cut marks of a sheet; a label from a roll has none."""
    if stock.kind == "roll":
        return
    count = f"page {page} of {n_pages}" if n_pages > 1 else ""
    if stock.kind == "stake":
        _stake_heading(paper, stock, title, count)
    else:
        _crop_marks(paper, stock)
        paper.text([(title, "bold")], stock.first_mm[0] + 2, 8.8, 9)
        paper.text_right([(count, "regular")], paper.width_mm - stock.first_mm[0] - 2, 8.8, 8)
    _foot(paper, stock, garden)


def _stake_heading(paper: Paper, stock: Stock, title: str, count: str) -> None:
    left, right = stock.first_mm[0], paper.width_mm - stock.first_mm[0]
    paper.text([(title, "bold")], left, 15, 15)
    paper.text_right([(count, "regular")], right, 15, 9)
    paper.line([(left, 18.5), (right, 18.5)], width_pt=1.2)


def _crop_marks(paper: Paper, stock: Stock) -> None:
    """Hairlines beside the labels, never on them: right for sticky sheets and for scissors alike."""
    (x0, y0), (px, py), (w, h) = stock.first_mm, stock.pitch_mm, stock.label_mm
    xs = sorted({round(x0 + i * px + d, 3) for i in range(stock.n_across) for d in (0.0, w)})
    ys = sorted({round(y0 + i * py + d, 3) for i in range(stock.n_down) for d in (0.0, h)})
    tick = min(3.0, x0 - 1.5)
    for x in xs:
        for top in (y0 - tick - 0.5, ys[-1] + 0.5):
            paper.line([(x, top), (x, top + tick)], width_pt=HAIRLINE_PT)
    for y in ys:
        for left in (x0 - tick - 0.5, xs[-1] + 0.5):
            paper.line([(left, y), (left + tick, y)], width_pt=HAIRLINE_PT)


def _foot(paper: Paper, stock: Stock, garden: str) -> None:
    """Draw a rule to check the size by, and the garden's name."""
    left, right = stock.first_mm[0] + 2, paper.width_mm - stock.first_mm[0] - 2
    y = stock.first_mm[1] + (stock.n_down - 1) * stock.pitch_mm[1] + stock.label_mm[1] + 7.5
    if stock.kind == "stake":
        left, right, y = left - 2, right + 2, y + 8
        said = "Cut out, and push in to the dashed line: sun fades the top copy, the buried copy keeps."
        paper.text([(said, "regular")], left, y - 8, 9.5)
    end = _check_rule(paper, left, y)
    said = f"Print at full size (100 %): this rule then measures {CHECK_RULE_MM} mm."
    paper.text([(said, "regular")], end + 3, y, 8)
    paper.text_right([(garden, "regular")], right, y, 8)


def _check_rule(paper: Paper, x: float, y: float) -> float:
    paper.line([(x, y), (x + CHECK_RULE_MM, y)], width_pt=0.6)
    for mm in range(0, CHECK_RULE_MM + 1, 5):
        paper.line([(x + mm, y), (x + mm, y - (2.6 if mm % 10 == 0 else 1.5))], width_pt=0.6)
    return x + CHECK_RULE_MM
