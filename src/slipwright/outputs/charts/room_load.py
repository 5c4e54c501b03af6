"""What stands in a place week by week against what it holds, over the brass rule."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from slipwright.outputs.svg import Svg

WIDTH: Final = 340.0
"""Width of the chart [user units]."""
HEIGHT: Final = 186.0
"""Height of the chart [user units]."""
#: a week that leaves less than this share of its room is full
FULL: Final = 0.95
_LEFT: Final = 30.0
_RIGHT: Final = WIDTH - 6.0
_TOP: Final = 40.0
_FLOOR: Final = 146.0
_RULE: Final = 11.0
#: least room between two dates on the rule, and how wide a letter is
_DATE_WIDE: Final = 78.0
_LETTER: Final = 6.8

#: Monday, what is used, and what there is; None where no limit is kept
WeekOfRoom = tuple[date, float, float | None]


@dataclass(frozen=True, slots=True)
class RoomWords:
    """What stands in the chart, already in the reader's language."""

    title: str
    today: str
    full: str
    holds: str


def room_load(
    weeks: Sequence[WeekOfRoom],
    on: date,
    *,
    name: str,
    words: RoomWords,
    day_words: Callable[[date], str],
) -> str:
    """Return the load of a place as bars, a week each, under a line at what it holds.

    Parameters
    ----------
    weeks : sequence of (date, float, float or None)
        Monday, what is used and what there is, in the order of weeks [m2 or h].
    on : date
        Today.
    name : str
        A word no other such chart of the page has: its hatching goes by it.
    words : RoomWords
        What stands in it.
    day_words : callable
        How a day is written on the rule.

    Returns
    -------
    str
        An SVG drawing: full weeks hatched, with the word; today as a line.

    References
    ----------
    Our own drawing.

    Examples
    --------
    >>> words = RoomWords("Tents by week", "today", "full", "hold 2 m2")
    >>> weeks = [(date(2026, 9, 7), 0.5, 2.0), (date(2026, 9, 14), 1.98, 2.0)]
    >>> drawn = room_load(weeks, date(2026, 9, 9), name="tent", words=words, day_words=str)
    >>> drawn.count("url(#full-tent)"), ">full<" in drawn
    (1, True)
    """
    svg = Svg(WIDTH, HEIGHT, words.title, kind="room-load")
    if not weeks:
        return str(svg)
    hatch = f"full-{name}"
    inside = (
        '<rect class="d-enamelmid" width="7" height="7"/><line class="d-stripe" x1="0" y1="0" x2="0" y2="7"/>'
    )
    if any(is_full(used, room) for _, used, room in weeks):
        svg.pattern(hatch, 7, inside, turn=45)
    most = max(max(used, room or 0.0) for _, used, room in weeks) or 1.0
    step = _step(most)
    top = max(most, step)
    each = (_RIGHT - _LEFT) / len(weeks)

    def y(n: float) -> float:
        return _FLOOR - (_FLOOR - _TOP) * n / top

    for n in range(int(top / step + 1e-9) + 1):
        svg.line(_LEFT, y(n * step), _RIGHT, y(n * step), "d-hair d-thin")
        svg.text(_LEFT - 5, y(n * step) + 4.5, f"{n * step:g}", "end")
    gap = 1.0 if each > 5 else 0.0
    bars: dict[bool, list[str]] = {False: [], True: []}
    full_at = []
    for i, (_, used, room) in enumerate(weeks):
        x, high = _LEFT + i * each + gap / 2, _FLOOR - y(used)
        if high <= 0:
            continue
        bars[is_full(used, room)].append(f"M{x:.1f} {_FLOOR:g}v{-high:.1f}h{each - gap:.1f}v{high:.1f}")
        if is_full(used, room):
            full_at.append(x + each / 2)
    if bars[False]:
        svg.path("".join(bars[False]), "d-enamel d-enamelmid d-thin")
    if bars[True]:
        svg.part("path", "d-full d-thin", d="".join(bars[True]), fill=f"url(#{hatch})")
    for points in _ceilings(weeks, each, y):
        svg.through(points, "d-ink d-thick")
    _words_above(svg, weeks, on, each, full_at, words)
    _rule(svg, weeks, each, day_words)
    return str(svg)


def is_full(used: float, room: float | None) -> bool:
    """Return whether a week is full.

    Parameters
    ----------
    used : float
        What is used of it [m2 or h].
    room : float or None
        What there is [m2 or h]; None where no limit is kept.

    Returns
    -------
    bool
        Whether less than a twentieth is left.

    References
    ----------
    Our own rule.

    Examples
    --------
    >>> is_full(1.96, 2.0), is_full(1.8, 2.0), is_full(5.0, None)
    (True, False, False)
    """
    return room is not None and used > 0 and used >= FULL * room


def _step(most: float) -> float:
    """Return a step of 1, 2 or 5 of some power of ten, of which two to four make up the scale."""
    ten: float = 10.0 ** math.floor(math.log10(most))
    return next((ten * part for part in (0.2, 0.5, 1.0, 2.0, 5.0) if most <= 4 * ten * part), 5 * ten)


def _ceilings(
    weeks: Sequence[WeekOfRoom], each: float, y: Callable[[float], float]
) -> Iterator[list[tuple[float, float]]]:
    """Yield the line at what there is, broken where no limit is kept."""
    points: list[tuple[float, float]] = []
    for i, (_, _, room) in enumerate(weeks):
        if room is None:
            if points:
                yield points
            points = []
            continue
        left = _LEFT + i * each
        if points and points[-1][1] == y(room):
            points[-1] = (left + each, y(room))
        else:
            points += [(left, y(room)), (left + each, y(room))]
    if points:
        yield points


def _words_above(
    svg: Svg,
    weeks: Sequence[WeekOfRoom],
    on: date,
    each: float,
    full_at: Sequence[float],
    words: RoomWords,
) -> None:
    """Say where today is, which weeks are full and what the place holds, none over another."""
    today_at = _LEFT + each * (on - weeks[0][0]).days / 7
    has_today = _LEFT <= today_at <= _RIGHT
    svg.text(_RIGHT, 13, words.holds, "strong end")
    if has_today:
        svg.line(today_at, 20, today_at, _FLOOR + _RULE, "d-ink d-line")
        wide = _LETTER * len(words.today)
        is_late = today_at + wide > _RIGHT
        svg.text(
            today_at - 4 if is_late else today_at + 4, 31, words.today, "strong end" if is_late else "strong"
        )
    if full_at:
        wide = _LETTER * len(words.full) / 2
        x = min(max(full_at[len(full_at) // 2], _LEFT + wide), _RIGHT - wide)
        if has_today and abs(x - today_at) < wide + _LETTER * len(words.today) + 8:
            x = today_at + _LETTER * len(words.today) + wide + 14
            x = x if x + wide < _RIGHT else today_at - wide - 10
        svg.text(x, 31, words.full, "strong mid")


def _rule(svg: Svg, weeks: Sequence[WeekOfRoom], each: float, day_words: Callable[[date], str]) -> None:
    """Draw the brass rule: a tick a week, a longer one where a date stands beneath."""
    svg.rect(_LEFT, _FLOOR, _RIGHT - _LEFT, _RULE, "d-brass d-thin")
    n_between = max(math.ceil(_DATE_WIDE / each), 1)
    ticks, last = [], weeks[-1][0] + timedelta(days=7)
    for i, (week, _, _) in enumerate(weeks):
        x, is_named = _LEFT + i * each, i % n_between == 0
        if is_named or each > 4:
            ticks.append(f"M{x:.1f} {_FLOOR:g}v{_RULE if is_named else 5:g}")
        if is_named and (i == 0 or _RIGHT - x > 1.4 * _DATE_WIDE):
            svg.text(x if i else _LEFT - 4, _FLOOR + _RULE + 17, day_words(week), "mid" if i else "")
    svg.path("".join(ticks), "d-brass d-thin")
    if len(weeks) * each > _DATE_WIDE:
        svg.text(_RIGHT, _FLOOR + _RULE + 17, day_words(last), "end")
