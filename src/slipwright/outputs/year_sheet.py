"""The year on the wall: when the wood of each plant is right, nine to twelve plants on a page across."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import ceil
from typing import Final, Literal

from slipwright.craft.errors import BadArgument
from slipwright.craft.said import all_in_tongue
from slipwright.outputs._press.paper import PAPERS_MM, Paper, Printed
from slipwright.outputs._press.year_page import YearPage
from slipwright.outputs._press.year_row import YearBar
from slipwright.outputs._press.year_told import YearRow, YearSheet

__all__ = ["Printed", "YearBar", "YearRow", "YearSheet", "year_sheet_pdf"]

#: a page holds so many plants and no more
MOST_ROWS: Final = 12


def year_sheet_pdf(
    sheet: YearSheet, *, paper: Literal["a4", "letter"] = "a4", translate: Callable[[str], str] = str
) -> Printed:
    """Return a year sheet as PDF, the paper laid across.

    Parameters
    ----------
    sheet : YearSheet
        The year and its plants, in the order they are to stand.
    paper : {'a4', 'letter'}
        Which paper.
    translate : callable
        Says the words in the tongue of the sheet.

    Returns
    -------
    Printed
        The PDF, its pages, and which characters could not be printed as written.

    Raises
    ------
    BadArgument
        If the paper is not known or there is no plant.

    Notes
    -----
    Up to twelve plants stand on a page; more are spread evenly over pages.  Bars are drawn where a wood
    is more likely right than not, the hump as tall as bloom is likely; where two bars share days they lie
    one above the other.  Nothing is told by colour alone: dots, stripes, solid, hatching and hump differ
    in grey, and each bar has its word.

    References
    ----------
    Our own layout.

    Examples
    --------
    >>> from datetime import date
    >>> bar = YearBar("hardwood", date(2027, 11, 10), date(2028, 2, 25))
    >>> year_sheet_pdf(YearSheet(2027, (YearRow((("Rosa", True),), bars=(bar,)),))).n_pages
    1
    """
    if paper not in PAPERS_MM:
        raise BadArgument("paper", "be a4 or letter", paper)
    if not sheet.rows:
        raise BadArgument("rows", "hold at least one plant", sheet.rows)
    sheet = all_in_tongue(sheet, translate)
    upright = PAPERS_MM[paper]
    size = (upright[1], upright[0])
    title = sheet.words.title.format(year=sheet.year)
    page = Paper(size, title=title, subject=sheet.garden, translate=translate)
    parts = pages_of(sheet.rows)
    for number, rows in enumerate(parts, start=1):
        if number > 1:
            page.next_page()
        turned = sheet.words.page.format(n=number, of=len(parts)) if len(parts) > 1 else ""
        YearPage(page, sheet, rows, size, turned, translate).draw()
    return page.finish()


def pages_of(rows: Sequence[YearRow]) -> list[Sequence[YearRow]]:
    """Return the plants of each page, as evenly spread as can be.

    Parameters
    ----------
    rows : sequence of YearRow
        All plants.

    Returns
    -------
    list of sequence of YearRow
        At most twelve on each.

    References
    ----------
    Our own layout.

    Examples
    --------
    >>> row = YearRow((("Rosa", True),))
    >>> [len(page) for page in pages_of([row] * 26)]
    [9, 9, 8]
    """
    n_pages = ceil(len(rows) / MOST_ROWS)
    least, more = divmod(len(rows), n_pages)
    found, start = [], 0
    for i in range(n_pages):
        n = least + (i < more)
        found.append(rows[start : start + n])
        start += n
    return found
