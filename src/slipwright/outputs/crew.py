"""The crew sheet: week by week, each way of making cuttings with its steps, and its lines to work through."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

from slipwright.craft.errors import BadArgument
from slipwright.craft.said import Said, all_in_tongue, in_tongue
from slipwright.outputs._press.crew_pages import Placing, sentence_of_crew
from slipwright.outputs._press.crew_words import CrewLine, CrewSheet, CrewWeek, Mix, Way
from slipwright.outputs._press.framed import Refused, Warned
from slipwright.outputs._press.paper import PAPERS_MM, Printed
from slipwright.outputs._press.small_cutting import SmallCutting
from slipwright.outputs._press.working_sheet import made_text, print_pages

__all__ = [
    "CrewLine",
    "CrewSheet",
    "CrewWeek",
    "Mix",
    "Refused",
    "SmallCutting",
    "Warned",
    "Way",
    "crew_pdf",
]


def crew_pdf(
    sheet: CrewSheet, *, paper: Literal["a4", "letter"] = "a4", translate: Callable[[str], str] = str
) -> Printed:
    """Return the crew sheet as PDF.

    Parameters
    ----------
    sheet : CrewSheet
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

    References
    ----------
    Our own layout; the steps and cautions carry their sources or marks where they come from.

    Examples
    --------
    >>> from datetime import date
    >>> from slipwright.outputs.sheet import Step
    >>> line = CrewLine(1, (("Rosa", True),), date(2026, 9, 16), 24, 2, "pot-3l", 12, 5.4, 4)
    >>> way = Way("Tip cuttings", (Step("Trim them."),), (line,))
    >>> crew_pdf(CrewSheet((CrewWeek(date(2026, 9, 14), (way,)),))).n_pages
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
        title=in_tongue(Said("Crew sheet"), translate),
        subject=in_tongue(sentence_of_crew(sheet), translate),
        garden=sheet.garden,
        made=in_tongue(made_text(sheet.programme_on, sheet.made_on), translate),
        translate=translate,
    )
