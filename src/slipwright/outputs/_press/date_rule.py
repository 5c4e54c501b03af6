"""Days on the brass rule: when it was stuck, when to look, when roots and potting up are likely."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from slipwright.craft.days import day_in_words
from slipwright.craft.errors import BadArgument
from slipwright.craft.said import Said
from slipwright.outputs._press import palette
from slipwright.outputs._press.paper import Paper
from slipwright.outputs._press.typeface import text_width_mm

Span = tuple[date, date]
RULE_MM: Final = 3.4
HEIGHT_MM: Final = 25.5
"""Height of the rule with what stands on it and the months beneath."""
_MOST_DAYS: Final = 550


@dataclass(frozen=True)
class Timeline:
    """Days of one sticking; spans run from the first day to the last, both included."""

    stick_on: date
    look_on: tuple[date, ...] = ()
    roots: Span | None = None
    pot_up: Span | None = None
    says: tuple[tuple[str, str], ...] = ()

    def __post_init__(self) -> None:
        for name, span in (("roots", self.roots), ("pot_up", self.pot_up)):
            if span and span[0] > span[1]:
                raise BadArgument(name, "run from the earlier day to the later", span)
        if self.last_on - self.stick_on > timedelta(days=_MOST_DAYS):
            raise BadArgument("pot_up", f"end within {_MOST_DAYS} days of sticking", self.last_on)
        if (
            min((*self.look_on, *(s[0] for s in (self.roots, self.pot_up) if s)), default=self.stick_on)
            < self.stick_on
        ):
            raise BadArgument("look_on", "not lie before the day of sticking", self.look_on)

    @property
    def last_on(self) -> date:
        """The last day that stands on the rule."""
        days = [self.stick_on, *self.look_on, *(span[1] for span in (self.roots, self.pot_up) if span)]
        return max(days)


def draw_date_rule(paper: Paper, days: Timeline, x: float, top: float, width_mm: float) -> None:
    """Draw the rule with its marks: a look is a ring, roots a band, potting up a stake.

    Parameters
    ----------
    paper : Paper
        The page.
    days : Timeline
        The days.
    x : float
        Left edge [mm].
    top : float
        Upper edge [mm].
    width_mm : float
        Length of the rule [mm].

    References
    ----------
    The house's own drawing style (common practice, no source).
    """
    # A fortieth of the rule before the first day, so that what stands on it does not hang over the end.
    before = max(round((days.last_on - days.stick_on).days / 40), 3)
    start = days.stick_on - timedelta(days=before)
    n_days = max((days.last_on - start).days + 2 + before, 30)
    per_day = width_mm / n_days

    def at(on: date) -> float:
        return x + (on - start).days * per_day

    rule = top + HEIGHT_MM - 4.5 - RULE_MM
    _rule(paper, start, n_days, x, rule, width_mm)
    if days.roots:
        _band(paper, at(days.roots[0]), at(days.roots[1] + timedelta(days=1)), rule - 5.8, x + width_mm)
    if days.pot_up:
        _stake(paper, at(days.pot_up[0]), at(days.pot_up[1] + timedelta(days=1)), rule - 12.0, x + width_mm)
    for on in days.look_on:
        paper.line([(at(on), rule), (at(on), rule - 1.0)], width_pt=0.8)
        paper.circle(at(on), rule - 2.0, 1.0, fill=palette.SHEET, width_pt=1.0)
    if days.look_on:
        look = paper.told(Said("look"))
        left = min(at(days.look_on[0]) - 1.0, x + width_mm - text_width_mm(look, "bold", 8))
        paper.plain(look, left, rule - 4.2, 8, "bold")
    _stuck(paper, at(days.stick_on), rule)


def _rule(paper: Paper, start: date, n_days: int, x: float, y: float, width: float) -> None:
    """Brass with a tick a week and a longer one a month, the months beneath."""
    paper.box(x, y, width, RULE_MM, fill=palette.BRASS, width_pt=0.8)
    per_day = width / n_days
    for i in range(1, n_days):
        on = start + timedelta(days=i)
        if on.day == 1 or on.weekday() == 0:
            depth = RULE_MM * (1.0 if on.day == 1 else 0.45)
            paper.line(
                [(x + i * per_day, y), (x + i * per_day, y + depth)], width_pt=0.8 if on.day == 1 else 0.6
            )
    free = x
    for i, on in _firsts(start, n_days):
        # January is told with its year
        name = paper.told(day_in_words(on, beside=None if on.month == 1 else on))
        left = x + i * per_day
        wide = text_width_mm(name, "regular", 8)
        if left >= free and left + wide <= x + width:
            paper.plain(name, left, y + RULE_MM + 3.6, 8)
            free = left + wide + 2.0


def _firsts(start: date, n_days: int) -> Iterator[tuple[int, date]]:
    days = ((i, start + timedelta(days=i)) for i in range(n_days))
    return ((i, on) for i, on in days if on.day == 1)


def _band(paper: Paper, left: float, right: float, y: float, most: float) -> None:
    """Draw a likely stretch: pale, with an outline that is seen where the tint is not."""
    paper.box(
        left, y - 4.6, right - left, 4.6, fill=palette.ENAMELWASH, stroke=palette.ENAMEL, dash=(2.4, 1.4)
    )
    roots = paper.told(Said("roots"))
    wide = text_width_mm(roots, "bold", 8)
    start = (left + right - wide) / 2  # inside the band; else behind it, or before it at the rule's end
    if wide + 2 > right - left:
        start = right + 1.0 if right + 1.0 + wide <= most else left - 1.0 - wide
    paper.plain(roots, start, y - 1.3, 8, "bold")


def _stake(paper: Paper, left: float, right: float, y: float, most: float) -> None:
    """Something to do: a plant label lying down, as long as its stretch of days but never too short."""
    pot_up = paper.told(Said("pot up"))
    wide = text_width_mm(pot_up, "bold", 8) + 6.5
    right = max(right, left + wide)
    left, right = (most - (right - left), most) if right > most else (left, right)
    point = 2.6
    outline = [(left, y - 5), (right - point, y - 5), (right, y - 2.5), (right - point, y), (left, y)]
    paper.shape(outline, fill=palette.BRASS, width_pt=0.9)
    paper.plain(pot_up, left + 1.8, y - 1.6, 8, "bold")


def _stuck(paper: Paper, x: float, rule: float) -> None:
    """Draw the day of sticking: a slip, flat above and slanted below, standing on the rule."""
    slip = [(x - 0.8, rule - 7.5), (x + 0.8, rule - 7.5), (x + 0.8, rule - 1.2), (x - 0.8, rule)]
    paper.shape(slip, fill=palette.WOODMID, width_pt=0.8)
    for dy, side in ((5.9, 1), (3.4, -1)):
        paper.circle(x + side * 1.3, rule - dy, 0.75, fill=palette.BRASS, width_pt=0.6)
    paper.plain(paper.told(Said("stick")), x - 0.8, rule - 9.0, 8, "bold")
