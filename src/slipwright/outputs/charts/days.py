"""The days of one sticking on the brass rule: looks, roots, potting up."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from typing import Final

from slipwright.craft.days import MONTHS
from slipwright.outputs._press.date_rule import Timeline
from slipwright.outputs.svg import Svg

WIDTH: Final = 340.0
"""Width of the chart [user units]."""
HEIGHT: Final = 122.0
"""Height of the chart [user units]."""
_LEFT: Final = 12.0
_RULE: Final = 84.0
_DEEP: Final = 14.0
_LETTER: Final = 7.2  # width of a letter at the size the pages give to words in a drawing
_WORDS: Final = {"stick": "stick", "look": "look", "roots": "roots", "pot_up": "pot up"}


def days_rule(
    days: Timeline,
    title: str,
    *,
    words: Mapping[str, str] | None = None,
    months: Sequence[str] = MONTHS,
) -> str:
    """Return the days of one sticking on a brass rule.

    Parameters
    ----------
    days : Timeline
        Day of sticking, looks, and when roots and potting up are likely.
    title : str
        What is seen, in a sentence.
    words : mapping of str to str, optional
        Words for ``stick``, ``look``, ``roots`` and ``pot_up``.
    months : sequence of str
        Twelve short names.

    Returns
    -------
    str
        SVG: a slip where it is stuck, a ring for each look, a dashed band for roots and a stake for
        potting up; a long tick and a name for each month, a short tick for each Monday.

    References
    ----------
    Our own drawing.

    Examples
    --------
    >>> at = Timeline(date(2026, 10, 20), (date(2026, 10, 27), date(2026, 11, 3)))
    >>> days_rule(at, "Look twice").count("<circle")
    4
    """
    words = {**_WORDS, **(words or {})}
    before = max((days.last_on - days.stick_on).days // 40, 2)
    first = days.stick_on - timedelta(days=before)
    n_days = max((days.last_on - first).days + 2 + before, 30)
    per_day = (WIDTH - 2 * _LEFT) / n_days

    def at(on: date) -> float:
        return _LEFT + (on - first).days * per_day

    svg = Svg(WIDTH, HEIGHT, title, kind="d-days")
    _draw_rule(svg, first, n_days, per_day, months)
    if days.roots:
        left, right = at(days.roots[0]), at(days.roots[1] + timedelta(days=1))
        svg.rect(left, _RULE - 40, right - left, 20, "d-enamelwash d-line d-dash")
        _beside(svg, left, right, _RULE - 25, words["roots"])
    if days.pot_up:
        _stake(svg, at(days.pot_up[0]), at(days.pot_up[1] + timedelta(days=1)), words["pot_up"])
    for on in days.look_on:
        svg.circle(at(on), _RULE - 7, 3.6, "d-sheet d-ink d-line")
    if days.look_on:
        x = at(days.look_on[0]) - 4
        svg.text(x, _RULE - 17, words["look"], "strong")
    _stuck(svg, at(days.stick_on), words["stick"])
    return str(svg)


def _draw_rule(svg: Svg, first: date, n_days: int, per_day: float, months: Sequence[str]) -> None:
    svg.rect(_LEFT, _RULE, WIDTH - 2 * _LEFT, _DEEP, "d-brass d-thin")
    free = 0.0
    for i in range(1, n_days):
        on, x = first + timedelta(days=i), _LEFT + i * per_day
        if on.day == 1:
            svg.part("line", "d-tick", x1=x, y1=_RULE, x2=x, y2=_RULE + _DEEP)
            name = f"1 {months[on.month - 1]}" + (f" {on.year}" if on.month == 1 else "")
            wide = _LETTER * len(name)
            if x >= free and x + wide <= WIDTH:
                svg.text(x, _RULE + _DEEP + 16, name)
                free = x + wide + 6
        elif on.weekday() == 0 and per_day > 0.6:
            svg.part("line", "d-tick", x1=x, y1=_RULE, x2=x, y2=_RULE + 6)


def _beside(svg: Svg, left: float, right: float, y: float, word: str) -> None:
    """Write a word in a band, or after it, or before it at the rule's end."""
    wide = _LETTER * len(word)
    x = (left + right - wide) / 2
    if wide + 4 > right - left:
        x = right + 4 if right + 4 + wide <= WIDTH else left - 4 - wide
    svg.text(x, y, word, "strong")


def _stake(svg: Svg, left: float, right: float, word: str) -> None:
    wide = _LETTER * len(word) + 22
    right = max(right, left + wide)
    left, right = (WIDTH - (right - left), WIDTH) if right > WIDTH else (left, right)
    top, high, point = 12.0, 24.0, 10.0
    svg.through(
        [
            (left, top),
            (right - point, top),
            (right, top + high / 2),
            (right - point, top + high),
            (left, top + high),
        ],
        "d-brass d-line",
        closed=True,
    )
    svg.text(left + 7, top + 17, word, "strong on-brass")


def _stuck(svg: Svg, x: float, word: str) -> None:
    svg.through(
        [(x - 3, _RULE - 28), (x + 3, _RULE - 28), (x + 3, _RULE - 5), (x - 3, _RULE)],
        "d-woodmid",
        closed=True,
    )
    for dy, side in ((22, 1), (12, -1)):
        svg.circle(x + side * 3, _RULE - dy, 2.2, "d-brass")
    svg.text(0, _RULE - 36, word, "strong")
