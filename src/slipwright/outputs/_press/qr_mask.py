"""The data mask of a QR symbol: eight are weighed, the one of least penalty is kept.

ISO/IEC 18004:2015, 7.8. A symbol is held as one whole number, row after row with four light modules
between rows, so a rule such as "five alike in a row" is a few shifts of the whole symbol at once.
Four, because the finder-like pattern of the third rule looks four modules to either side.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

PAD: Final = 4
# ISO/IEC 18004:2015, table 10; i is the row, j the column.
MASKS: Final[tuple[Callable[[int, int], bool], ...]] = (
    lambda i, j: (i + j) % 2 == 0,
    lambda i, j: i % 2 == 0,
    lambda i, j: j % 3 == 0,
    lambda i, j: (i + j) % 3 == 0,
    lambda i, j: (i // 2 + j // 3) % 2 == 0,
    lambda i, j: (i * j) % 2 + (i * j) % 3 == 0,
    lambda i, j: ((i * j) % 2 + (i * j) % 3) % 2 == 0,
    lambda i, j: ((i + j) % 2 + (i * j) % 3) % 2 == 0,
)
_DIGITS: Final = bytes.maketrans(b"\x00\x01", b"01")


@dataclass(frozen=True)
class Both:
    """A symbol read by rows and read by columns."""

    by_row: int
    by_column: int

    def __or__(self, other: Both) -> Both:
        return Both(self.by_row | other.by_row, self.by_column | other.by_column)

    def __xor__(self, other: Both) -> Both:
        return Both(self.by_row ^ other.by_row, self.by_column ^ other.by_column)

    def __and__(self, other: Both) -> Both:
        return Both(self.by_row & other.by_row, self.by_column & other.by_column)


@dataclass(frozen=True)
class Grid:
    """What is fixed for all symbols of one size: where the data lie, and the masks upon them."""

    size: int
    full: int
    data: Both
    masks: tuple[Both, ...]


def number(matrix: Sequence[Sequence[int]]) -> int:
    """Return a symbol as one whole number.

    Parameters
    ----------
    matrix : sequence of sequences of int
        Rows of modules [-], 1 for dark.

    Returns
    -------
    int
        Its bits are the modules, row after row, four noughts behind each row.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> number([[1, 0], [0, 1]])
    2064
    """
    return int(b"".join(bytes(row).translate(_DIGITS) + b"0" * PAD for row in matrix), 2)


def read_both(matrix: Sequence[Sequence[int]]) -> Both:
    """Return a symbol by rows and by columns.

    Parameters
    ----------
    matrix : sequence of sequences of int
        Rows of modules [-], 1 for dark.

    Returns
    -------
    Both
        The two readings.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> read_both([[1, 1], [0, 0]])
    Both(by_row=3072, by_column=2080)
    """
    return Both(number(matrix), number(list(zip(*matrix, strict=True))))


@lru_cache(maxsize=8)
def grid(size: int) -> Grid:
    """Return the data area and masks of symbols of one size, versions 1 to 6.

    Parameters
    ----------
    size : int
        Modules along one side [1].

    Returns
    -------
    Grid
        All modules, the data area, and the masks limited to it.

    References
    ----------
    ISO/IEC 18004:2015, 6.3 (function patterns), table 10 (masks).

    Examples
    --------
    >>> grid(21).data.by_row.bit_count()  # 26 codewords of 8 bits
    208
    """
    steps = range(size)
    area = [[int(_holds_data(i, j, size)) for j in steps] for i in steps]
    masks = tuple(read_both([[area[i][j] & int(mask(i, j)) for j in steps] for i in steps]) for mask in MASKS)
    return Grid(size, number([[1] * size for _ in steps]), read_both(area), masks)


def _holds_data(i: int, j: int, size: int) -> bool:
    far = size - 8
    finder = (i < 9 and j < 9) or (i < 9 and j >= far) or (i >= far and j < 9)
    timing = 6 in (i, j)
    centre = size - 7  # versions 2 to 6 have one alignment pattern
    alignment = size > 21 and abs(i - centre) <= 2 and abs(j - centre) <= 2
    return not (finder or timing or alignment)


def penalty(symbol: Both, of: Grid) -> int:
    """Return the penalty of a masked symbol; less is better.

    Parameters
    ----------
    symbol : Both
        The symbol with a mask applied and without format information.
    of : Grid
        The grid of its size.

    Returns
    -------
    int
        N1 + N2 + N3 + N4.

    Notes
    -----
    N1: 3 for five alike in a row or column and 1 for each further one. N2: 3 for each two by two
    alike. N3: 40 for dark-light-dark-dark-dark-light-dark with four light before or behind.
    N4: 10 for each full 5 % that the share of dark lies from one half.

    References
    ----------
    ISO/IEC 18004:2015, table 11.

    Examples
    --------
    >>> g = grid(21)
    >>> penalty(Both(0, 0), g) == 2 * 21 * (21 - 2) + 3 * 20 * 20 + 100
    True
    """
    dark = symbol.by_row
    light = of.full & ~dark
    blocks = sum(_two_by_two(bits, of.size + PAD) for bits in (dark, light))
    modules = of.size**2
    uneven = abs(20 * dark.bit_count() - 10 * modules) // modules
    lines = _in_lines(dark, light) + _in_lines(symbol.by_column, of.full & ~symbol.by_column)
    return lines + 3 * blocks + 10 * uneven


def _in_lines(dark: int, light: int) -> int:
    total = 0
    for bits in (dark, light):
        two = bits & bits >> 1
        five = two & two >> 2 & bits >> 4
        # A run of n has n - 4 fives in it and scores n - 2: its fives, and two for being a run.
        total += five.bit_count() + 2 * (five & ~(five >> 1)).bit_count()
    like_finder = dark & ~(dark >> 1) & dark >> 2 & dark >> 3 & dark >> 4 & ~(dark >> 5) & dark >> 6
    if like_finder:
        below = dark << 1 | dark << 2 | dark << 3 | dark << 4
        above = dark >> 7 | dark >> 8 | dark >> 9 | dark >> 10
        total += 40 * (like_finder & ~(below & above)).bit_count()
    return total


def _two_by_two(bits: int, stride: int) -> int:
    pair = bits & bits >> 1
    return (pair & pair >> stride).bit_count()
