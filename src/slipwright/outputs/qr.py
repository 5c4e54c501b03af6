"""QR codes for labels: ISO/IEC 18004 model 2, level Q, drawn on whole device dots.

A code is read wet, scratched and in poor light, so the error correction is level Q (a quarter of
the codewords may be wrong) and a module is never smaller than half a millimetre.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Final
from urllib.parse import quote

from slipwright.outputs._press.qr_mask import PAD, Both, grid, number, penalty, read_both

if TYPE_CHECKING:
    import segno

QUIET_MODULES: Final = 4
"""White modules around the symbol (ISO/IEC 18004:2015, 5.3.8)."""
DOT_MM: Final = 25.4 / 150
"""The grid of modules: one dot at 150 dpi is two at 300 dpi."""
LEAST_DOTS: Final = 3
"""3/150 inch is 0.508 mm, the least that is not under half a millimetre."""
MOST_DOTS: Final = 6
UNITS: Final = 1000
"""Steps of a drawn symbol to a module."""
MOST_WEIGHED: Final = 6
"""Versions above carry version information and more alignment patterns: left to the encoder."""

CODE: Final = re.compile(r"[0-9A-HJKMNP-TV-Z]{8}")
"""A code made by Slipwright: seven Crockford characters and a check character."""
_DARK_RUN: Final = re.compile("1+")


class QrError(ValueError):
    """A text that cannot be made a QR code for labels; carries the text."""

    def __init__(self, value: str, rule: str) -> None:
        super().__init__(f"{rule}: {value!r}")
        self.value = value


@dataclass(frozen=True)
class QrSymbol:
    """A symbol: its rows of modules, top to bottom, left to right, each a text of 1 (dark) and 0."""

    version: int
    rows: tuple[str, ...]

    @property
    def n_modules(self) -> int:
        """Modules along one side, without the quiet zone [1]."""
        return len(self.rows)

    def side_mm(self, n_dots: int = LEAST_DOTS) -> float:
        """Side of the square the symbol needs, quiet zone included [mm]."""
        return (self.n_modules + 2 * QUIET_MODULES) * n_dots * DOT_MM

    def rectangles(self) -> list[tuple[int, int, int, int]]:
        """Dark areas as few rectangles (x, y, width, height) in modules from the top left."""
        done: list[tuple[int, int, int, int]] = []
        growing: dict[tuple[int, int], int] = {}
        for y, row in enumerate((*self.rows, "")):
            runs = {run.span() for run in _DARK_RUN.finditer(row)}
            for start, end in growing.keys() - runs:
                top = growing.pop((start, end))
                done.append((start, top, end - start, y - top))
            for run in runs:
                growing.setdefault(run, y)
        return sorted(done)

    @property
    def n_units(self) -> int:
        """Side of the drawing of ``marks``, quiet zone included, in its units [1]."""
        return (self.n_modules + 2 * QUIET_MODULES) * UNITS

    def marks(self) -> str:
        """Return the symbol and its quiet zone as PDF marks, from the bottom left.

        Each rectangle is a unit smaller on every side: by the rules of PDF a dot that an edge only
        touches is painted too, and a dark module would grow by a dot into its light neighbour.
        """
        foot = self.n_modules + QUIET_MODULES
        places = [(x + QUIET_MODULES, foot - y - h, w, h) for x, y, w, h in self.rectangles()]
        marks = [
            f"{UNITS * x + 1} {UNITS * y + 1} {UNITS * w - 2} {UNITS * h - 2} re" for x, y, w, h in places
        ]
        return " ".join([*marks, "f"])


def on_dots(mm: float) -> float:
    """Return the next length that is a whole number of dots, so that no module is wider than its neighbour.

    Parameters
    ----------
    mm : float
        Distance from the left or upper edge of the page [mm].

    Returns
    -------
    float
        That distance or a little more, a multiple of 1/150 inch [mm].

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> round(on_dots(10.0), 3)
    10.16
    """
    return math.ceil(mm / DOT_MM - 1e-6) * DOT_MM


def qr_text(code: str, base: str = "") -> str:
    """Return what a label's QR code holds: the address of the batch, or its code alone.

    Parameters
    ----------
    code : str
        The batch's code or id.
    base : str
        Address in front of it, such as ``HTTPS://GARDEN.EXAMPLE/B/``; empty for the code alone.

    Returns
    -------
    str
        A code made by Slipwright and its base are upper case, which makes the symbol smaller (the
        alphanumeric mode); an id that came in by a table is kept as it is, percent-encoded behind
        a base.

    Raises
    ------
    QrError
        If there is no code, or the base is not plain ASCII without spaces.

    References
    ----------
    ISO/IEC 18004:2015, 7.4.4 alphanumeric mode; RFC 3986, 2.1 percent-encoding.

    Examples
    --------
    >>> qr_text("K7Q2M9T3", "https://garden.example/b/")
    'HTTPS://GARDEN.EXAMPLE/B/K7Q2M9T3'
    """
    if not code:
        raise QrError(code, "a label needs a code")
    if not (base.isascii() and base.isprintable()) or " " in base:
        raise QrError(base, "the address on labels must be plain ASCII without spaces")
    if CODE.fullmatch(code):
        return base.upper() + code
    return base.upper() + quote(code, safe="") if base else code


@lru_cache(maxsize=2048)
def qr_symbol(text: str) -> QrSymbol:
    """Return the QR symbol of a text, level Q, in the smallest version, with the data mask of least penalty.

    Parameters
    ----------
    text : str
        What the symbol holds.

    Returns
    -------
    QrSymbol
        Its version and modules.

    Raises
    ------
    QrError
        If the text is empty or too long for any version.

    Notes
    -----
    The eight data masks are weighed here with whole-number arithmetic on all modules at once,
    since weighing them one module at a time costs more than all else on a page of labels.

    References
    ----------
    ISO/IEC 18004:2015, 7.8 data masking, table 11 penalties N1 to N4; 7.9 format information.

    Examples
    --------
    >>> qr_symbol("K7Q2M9T3").version, qr_symbol("K7Q2M9T3").n_modules
    (1, 21)
    """
    first = _encoded(text, 0)
    size = len(first.matrix)
    if int(first.version) > MOST_WEIGHED:
        return QrSymbol(int(first.version), _rows(number(_encoded(text, None).matrix), size))
    of, seen = grid(size), read_both(first.matrix)
    bare = [(seen & of.data) ^ of.masks[0] ^ mask for mask in of.masks]
    marks = _function_patterns(int(first.version))
    best = min(range(8), key=lambda i: penalty(bare[i] | marks, of))
    fixed = _frame(int(first.version), best)
    return QrSymbol(int(first.version), _rows(bare[best].by_row | fixed, size))


@lru_cache(maxsize=64)
def _frame(version: int, mask: int) -> int:
    """Everything but the data, format information of a mask included, as the encoder writes it."""
    import segno

    code = segno.make("0", version=version, error="q", boost_error=False, micro=False, mask=mask)
    return number(code.matrix) & ~grid(len(code.matrix)).data.by_row


@lru_cache(maxsize=8)
def _function_patterns(version: int) -> Both:
    """Finders, timing and alignment: the format information is light while masks are weighed."""
    import segno

    code = segno.make("0", version=version, error="q", boost_error=False, micro=False, mask=0)
    n = len(code.matrix)
    kept = [
        [int(bit and not _is_format(i, j, n)) for j, bit in enumerate(row)]
        for i, row in enumerate(code.matrix)
    ]
    marks, of = read_both(kept), grid(n)
    return Both(marks.by_row & ~of.data.by_row, marks.by_column & ~of.data.by_column)


def _is_format(i: int, j: int, size: int) -> bool:
    beside = (i == 8 and (j < 9 or j >= size - 8)) or (j == 8 and (i < 9 or i >= size - 8))
    return beside and 6 not in (i, j)


def _encoded(text: str, mask: int | None) -> segno.QRCode:
    import segno

    try:
        return segno.make(text, error="q", boost_error=False, micro=False, mask=mask)
    except (segno.DataOverflowError, ValueError) as error:
        raise QrError(text, f"cannot be a QR code ({error})") from error


def _rows(symbol: int, size: int) -> tuple[str, ...]:
    bits = format(symbol, f"0{size * (size + PAD)}b")
    return tuple(bits[start : start + size] for start in range(0, len(bits), size + PAD))
