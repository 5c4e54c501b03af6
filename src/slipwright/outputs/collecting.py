"""The collecting sheet: week by week, so many shoots of which plant, in bundles, brought in by a day."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

from slipwright.craft.errors import BadArgument
from slipwright.craft.said import Said, all_in_tongue, in_tongue
from slipwright.outputs._press.collecting_pages import Placing, sentence_of_collecting
from slipwright.outputs._press.collecting_words import CollectingSheet, CollectingWeek, Shoots
from slipwright.outputs._press.framed import Refused, Warned
from slipwright.outputs._press.paper import PAPERS_MM, Printed
from slipwright.outputs._press.working_sheet import made_text, print_pages

__all__ = ["CollectingSheet", "CollectingWeek", "Refused", "Shoots", "Warned", "collecting_pdf"]


def collecting_pdf(
    sheet: CollectingSheet, *, paper: Literal["a4", "letter"] = "a4", translate: Callable[[str], str] = str
) -> Printed:
    """Return the collecting sheet as PDF.

    Parameters
    ----------
    sheet : CollectingSheet
        What it says.
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
        If the paper is not known or there is no week.

    Notes
    -----
    Of a plant that may not be multiplied no number is printed, only that it is not to be cut and why.

    References
    ----------
    Bundles of 25, all one way up: common practice, no source.

    Examples
    --------
    >>> from datetime import date
    >>> rosa = Shoots("rose-gate", (("Rosa", True),), date(2026, 9, 16), 43, 120)
    >>> week = CollectingWeek(date(2026, 9, 14), (rosa,))
    >>> collecting_pdf(CollectingSheet((week,))).n_pages
    1
    """
    if paper not in PAPERS_MM:
        raise BadArgument("paper", "be a4 or letter", paper)
    if not sheet.weeks:
        raise BadArgument("weeks", "hold at least one week", sheet.weeks)
    size = PAPERS_MM[paper]
    pages = Placing(all_in_tongue(sheet, translate), size, translate).pages
    return print_pages(
        pages,
        size,
        title=in_tongue(Said("Collecting sheet"), translate),
        subject=in_tongue(sentence_of_collecting(sheet), translate),
        garden=sheet.garden,
        made=in_tongue(made_text(sheet.programme_on, sheet.made_on), translate),
        translate=translate,
    )
