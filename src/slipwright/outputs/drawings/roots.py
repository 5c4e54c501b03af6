"""Three drawings to hold a root ball against, and how long a pot is to be left in peace."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Literal

from slipwright.outputs.svg import Svg

RootState = Literal["not-yet", "now", "overdue"]
ROOT_STATES: tuple[RootState, ...] = ("not-yet", "now", "overdue")

_WIDTH, _HEIGHT = 110.0, 112.0
_STEM_X, _BASE_Y = 52.0, 56.0
#: the three roots of a cutting fit to pot: from the base outward and down, the longest to the mark
_ROOTS = ("M48 56C44 66 34 70 27 84", "M52 56C51 68 50 78 53 92", "M56 56C60 66 66 70 71 80")
_STUBS = ("M46 64C44 68 43 70 43 74", "M53 66V75", "M58 64C60 67 61 69 61 72")
#: roots going round in the pot, and out at its foot
_ROUND = (
    "M50 60C36 62 29 70 30 82C31 94 44 97 55 97C70 97 77 89 76 78C75 68 66 66 60 70",
    "M54 60C66 60 82 66 82 80C82 91 70 92 56 92C42 92 37 86 38 78C39 70 48 68 54 72",
    "M52 60C48 68 46 76 50 84C54 88 64 87 68 82",
    "M40 97V106M54 98V108M66 97V105",
)


def root_ball(state: RootState, *, title: str = "", mark: str = "2 cm") -> str:
    """Return a drawing of a cutting knocked out of its pot, to hold the real one against.

    Parameters
    ----------
    state : {'not-yet', 'now', 'overdue'}
        How far its roots have come.
    title : str
        What it shows, in a sentence; empty where words beside it say so.
    mark : str
        Words beside the mark that is as long as the longest root of one fit to pot.

    Returns
    -------
    str
        An SVG drawing, 110 by 112.

    Notes
    -----
    Not yet: callus and stubs.  Now: three roots, the longest about 2 cm.  Overdue: roots going round
    the pot and out at the holes, leaves pale.

    References
    ----------
    Our own drawing; that three roots of 2 cm are enough is common practice, no source.

    Examples
    --------
    >>> root_ball("now").count("<text")
    1
    """
    svg = Svg(_WIDTH, _HEIGHT, title, "root-ball")
    if state == "overdue":
        svg.path("M18 50H92L84 100H26Z", "d-ink d-line d-inset")
    _stem(svg, pale=state == "overdue")
    if state == "not-yet":
        svg.path("M44 56C38 60 42 68 52 67C62 68 66 60 60 56Z", "d-ink d-line d-sheet")
        for stub in _STUBS:
            svg.path(stub)
    elif state == "now":
        for root in _ROOTS:
            svg.path(root, "d-ink d-thick")
        svg.path("M84 56H92M88 56V92M84 92H92")
        svg.text(88, 107, mark, "mid")
    else:
        for root in _ROUND:
            svg.path(root)
    return str(svg)


def _stem(svg: Svg, *, pale: bool) -> None:
    """Draw the stem with a leafy bud above and a node below; pale leaves are only outlined."""
    leaf = "d-ink d-line d-sheet" if pale else "d-ink d-line d-enamelmid"
    for side in (1, -1):
        x = _STEM_X + side * 5
        svg.path(f"M{x} 20C{x + side * 8} 8 {x + side * 24} 8 {x + side * 30} 16", "d-ink d-line")
        svg.path(
            f"M{x + side * 12} 12C{x + side * 18} 2 {x + side * 32} 4 {x + side * 36} 14"
            f"C{x + side * 28} 20 {x + side * 18} 20 {x + side * 12} 12Z",
            leaf,
        )
    svg.rect(_STEM_X - 5, 8, 10, _BASE_Y - 8, "d-woodmid d-line")
    svg.line(_STEM_X - 5, 48, _STEM_X + 5, 48)
    svg.circle(_STEM_X + 6, 19, 3.4, "d-brass d-line")
    svg.circle(_STEM_X - 6, 44, 3.4, "d-brass d-line")


def standing_time(
    on: date,
    may_from: date,
    surely_from: date,
    *,
    title: str = "",
    leave: str = "do not disturb",
    pot_up: str = "pot up",
    months: Sequence[str] = (),
) -> str:
    """Return a drawing of how long a pot is to be left in peace, on the rule of months.

    Parameters
    ----------
    on : datetime.date
        Today, where the rule begins.
    may_from : datetime.date
        First day on which it may be disturbed, the middle of its spread.
    surely_from : datetime.date
        The late end of that spread, where the rule ends.
    title : str
        What it shows, in a sentence.
    leave : str
        Words on the time it is left.
    pot_up : str
        Words on the time after.
    months : sequence of str
        Short names of the twelve months, January first; ISO numbers where there are none [-].

    Returns
    -------
    str
        An SVG drawing, 340 by 96.

    References
    ----------
    Our own layout.

    Examples
    --------
    >>> drawn = standing_time(date(2026, 10, 20), date(2027, 4, 5), date(2027, 4, 25))
    >>> "do not disturb" in drawn
    True
    """
    svg = Svg(340, 96, title, "standing")
    end_on = surely_from + timedelta(days=14)
    days = max((end_on - on).days, 1)

    def at(day: date) -> float:
        return 4 + 332 * (day - on).days / days

    svg.pattern("in-peace", 8, '<path class="d-edge d-thin" d="M0 0V8"/>', 45)
    turn = at(may_from)
    svg.rect(4, 22, turn - 4, 34, "d-sheet")
    svg.part("rect", "d-line", x=4, y=22, width=turn - 4, height=34, fill="url(#in-peace)")
    svg.rect(turn, 22, 336 - turn, 34, "d-brass d-line")
    svg.through([(4, 22), (336, 22), (336, 56), (4, 56)], "d-ink d-line", closed=True)
    svg.text(336, 15, pot_up, "strong end")
    if turn > 130:
        wide = 7.4 * len(leave) + 12
        svg.rect(turn / 2 - wide / 2, 28, wide, 22, "d-sheet")
        svg.text(turn / 2, 44, leave, "strong mid")
    svg.rect(4, 62, 332, 12, "d-brass d-thin")
    for first in _firsts(on, end_on):
        x = at(first)
        svg.line(x, 62, x, 72)
        if x < 312:
            svg.text(x + 3, 90, months[first.month - 1] if months else f"{first:%m}")
    return str(svg)


def _firsts(on: date, end_on: date) -> list[date]:
    """Return the first days of months after one day and before another."""
    found, day = [], on
    while (day := (day.replace(day=1) + timedelta(days=32)).replace(day=1)) < end_on:
        found.append(day)
    return found
