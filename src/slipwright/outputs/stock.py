"""Label stock: sheets of labels by their dimensions, stakes to cut out, and labels from a roll."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal

from slipwright.outputs._press.paper import A4_MM, LETTER_MM
from slipwright.outputs.qr import qr_symbol

Kind = Literal["sheet", "stake", "roll"]

PADDING_MM: Final = 1.5
"""White left inside the edge of a label: no printer or knife is exact."""
LEAST_TEXT_MM: Final = (23.5, 13.0)
"""Least width and height for a code, a line of name and a date that can be read at arm's length."""
MOST_MM: Final = 300.0
UPRIGHT: Final = 1.6
"""A label this many times as high as wide is printed turned, its text running up its length."""
_ROLL: Final = re.compile(r"(\d{1,4}(?:\.\d{1,2})?)\s*[x×]\s*(\d{1,4}(?:\.\d{1,2})?)\s*mm", re.IGNORECASE)


class StockError(ValueError):
    """A label stock that will not do; carries the value."""

    def __init__(self, value: str, rule: str) -> None:
        super().__init__(f"stock {value!r}: {rule}")
        self.value = value


@dataclass(frozen=True)
class Stock:
    """Labels of one size on paper of one size; all lengths in mm, from the top left corner."""

    name: str
    kind: Kind
    paper_mm: tuple[float, float]
    label_mm: tuple[float, float]
    n_across: int = 1
    n_down: int = 1
    first_mm: tuple[float, float] = (0.0, 0.0)
    pitch_mm: tuple[float, float] = (0.0, 0.0)
    turned: bool = False
    """The label stands upright on its paper: text runs up its length, ``label_mm`` is as read."""

    @property
    def n_on_paper(self) -> int:
        """Labels on one sheet [1]."""
        return self.n_across * self.n_down

    def corners_mm(self) -> Iterator[tuple[float, float]]:
        """Top left corner of each label on a sheet, row by row [mm]."""
        for row in range(self.n_down):
            for column in range(self.n_across):
                yield (
                    self.first_mm[0] + column * self.pitch_mm[0],
                    self.first_mm[1] + row * self.pitch_mm[1],
                )


A4_SHEET: Final = Stock(
    name="a4",
    kind="sheet",
    paper_mm=A4_MM,
    label_mm=(63.5, 33.9),
    n_across=3,
    n_down=8,
    first_mm=(7.25, 12.9),
    pitch_mm=(66.0, 33.9),
)
LETTER_SHEET: Final = Stock(
    name="letter",
    kind="sheet",
    paper_mm=LETTER_MM,
    label_mm=(66.675, 25.4),
    n_across=3,
    n_down=10,
    first_mm=(4.7625, 12.7),
    pitch_mm=(69.85, 25.4),
)
# All stakes lie where A4 and US Letter overlap, so the page prints at full size on either.
STAKES: Final = Stock(
    name="stake",
    kind="stake",
    paper_mm=A4_MM,
    label_mm=(96.0, 28.0),
    n_across=2,
    n_down=8,
    first_mm=(7.5, 23.0),
    pitch_mm=(99.0, 30.5),
)
STOCKS: Final = {stock.name: stock for stock in (A4_SHEET, LETTER_SHEET, STAKES)}


def parse_stock(text: str) -> Stock:
    """Return the label stock of a name, or of dimensions such as ``100x25mm``.

    Parameters
    ----------
    text : str
        ``a4`` (24 labels of 63.5 × 33.9 mm to a sheet), ``letter`` (30 of 2⅝ × 1 in), ``stake``
        (16 stakes of 96 × 28 mm to an A4 sheet) or width × height of one label from a roll, such
        as ``100x25mm``.

    Returns
    -------
    Stock
        Dimensions of paper and labels.

    Raises
    ------
    StockError
        If the text is none of these, or the label is too small for a code that can be read.

    References
    ----------
    Common practice, no source (dimensions of label sheets as sold).

    Examples
    --------
    >>> parse_stock("100x25mm").label_mm
    (100.0, 25.0)
    >>> parse_stock("a4").n_on_paper
    24
    """
    name = text.strip().lower()
    if name in STOCKS:
        return STOCKS[name]
    match = _ROLL.fullmatch(name)
    if not match:
        raise StockError(text, "give a4, letter, stake, or width x height such as 100x25mm")
    width, height = float(match[1]), float(match[2])
    if max(width, height) > MOST_MM:
        raise StockError(text, f"a side may be at most {MOST_MM:g} mm")
    turned = height >= UPRIGHT * width and _fits_beside(height, width)
    if not turned and not _fits(width, height):
        need = least_roll_mm()
        raise StockError(
            text,
            f"too small for a QR code of half-millimetre modules with a name beside or beneath it; "
            f"give at least {need[0][0]:g}x{need[0][1]:g}mm, or {need[1][0]:g}x{need[1][1]:g}mm",
        )
    return Stock(
        name=f"{width:g}x{height:g}mm",
        kind="roll",
        paper_mm=(width, height),
        label_mm=(height, width) if turned else (width, height),
        turned=turned,
    )


def least_roll_mm(symbol_mm: float | None = None) -> tuple[tuple[int, int], tuple[int, int]]:
    """Return the smallest labels that hold a code: with the text beside it, and with it beneath.

    Parameters
    ----------
    symbol_mm : float, optional
        Side of the QR symbol with its quiet zone [mm]; that of a code alone if not given.

    Returns
    -------
    tuple of two (int, int)
        Width and height of either [mm].

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> least_roll_mm()
    ((42, 18), (27, 31))
    """
    side = qr_symbol("0" * 8).side_mm() if symbol_mm is None else symbol_mm
    text_w, text_h = LEAST_TEXT_MM
    both = 2 * PADDING_MM
    return (
        (_up(side + text_w + both), _up(max(side, text_h) + both)),
        (_up(max(side, text_w) + both), _up(side + text_h + both)),
    )


def _fits_beside(width: float, height: float) -> bool:
    least_w, least_h = least_roll_mm()[0]
    return width >= least_w and height >= least_h


def _fits(width: float, height: float) -> bool:
    return any(width >= w and height >= h for w, h in least_roll_mm())


def _up(mm: float) -> int:
    return -int(-mm // 1)
