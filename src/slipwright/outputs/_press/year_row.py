"""One plant's year on the wall: its bars, its bloom and what lies too near it, between two months' ends."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Final

from slipwright.outputs._press import palette
from slipwright.outputs._press.paper import Paper, Point
from slipwright.outputs._press.typeface import PT_PER_MM, Face, text_width_mm

#: two bars that share no more days meet in the middle of them; else one lies above the other
MEET_DAYS: Final = 21
#: words are no smaller: the sheet hangs on a wall
LEAST_WORD_PT: Final = 8.0
_DOT_MM: Final = 0.72
_PITCH_MM: Final = 1.75
_STRIPE_MM: Final = 1.9
_HATCH_MM: Final = 2.1
#: less likely bloom than this is not drawn
_LEAST_BLOOM: Final = 0.04


@dataclass(frozen=True)
class YearBar:
    """Days on which a wood is more likely right than not, both ends included."""

    wood: str
    opens_on: date
    closes_on: date


@dataclass(frozen=True)
class DaysAcross:
    """Where the days of a stretch lie across the paper, held to its ends."""

    first: date
    last: date
    left_mm: float
    width_mm: float

    def at(self, day: date) -> float:
        """Return the place of the morning of a day [mm]."""
        share = (day - self.first).days / ((self.last - self.first).days + 1)
        return self.left_mm + self.width_mm * min(max(share, 0.0), 1.0)

    def after(self, day: date) -> float:
        """Return the place of the evening of a day [mm]."""
        return self.at(day + timedelta(days=1))

    def touches(self, bar: YearBar) -> bool:
        """Return whether any day of a bar is one of these."""
        return bar.closes_on >= self.first and bar.opens_on <= self.last


def bars_that_meet(bars: Sequence[YearBar]) -> list[YearBar]:
    """Return bars of which two that share few days meet in the middle of these.

    Parameters
    ----------
    bars : sequence of YearBar
        By the day they open.

    Returns
    -------
    list of YearBar
        The same, shortened where the next begins within three weeks of their end.

    References
    ----------
    Our own layout.

    Examples
    --------
    >>> soft = YearBar("softwood", date(2027, 6, 1), date(2027, 8, 5))
    >>> semi = YearBar("semi-hardwood", date(2027, 8, 1), date(2027, 11, 1))
    >>> first, then = bars_that_meet((soft, semi))
    >>> first.closes_on.day, then.opens_on.day
    (3, 4)
    """
    found = sorted(bars, key=lambda bar: (bar.opens_on, bar.closes_on))
    for i, bar in enumerate(found):
        for j in range(i + 1, len(found)):
            other = found[j]
            shared = (bar.closes_on - other.opens_on).days + 1
            if 0 < shared <= MEET_DAYS and other.closes_on > bar.closes_on and other.opens_on > bar.opens_on:
                meet = other.opens_on + timedelta(days=shared // 2)
                found[i] = bar = replace(bar, closes_on=meet - timedelta(days=1) + timedelta(days=shared % 2))
                found[j] = replace(other, opens_on=bar.closes_on + timedelta(days=1))
    return found


def lanes_of(bars: Sequence[YearBar]) -> tuple[int, ...]:
    """Return in which lane each bar lies, so that none covers another: 0 above, 1 beneath.

    Parameters
    ----------
    bars : sequence of YearBar
        By the day they open.

    Returns
    -------
    tuple of int
        A lane for each; only 0 where no two share a day.

    References
    ----------
    Our own layout.

    Examples
    --------
    >>> soft = YearBar("softwood", date(2027, 6, 1), date(2027, 8, 5))
    >>> semi = YearBar("semi-hardwood", date(2027, 8, 1), date(2027, 11, 1))
    >>> lanes_of((soft, semi)), lanes_of((soft,))
    ((0, 1), (0,))
    """
    found: list[int] = []
    ends: dict[int, date] = {}
    for bar in bars:
        free = next(
            (lane for lane in range(len(bars)) if lane not in ends or bar.opens_on > ends[lane]),
            0,
        )
        found.append(free)
        ends[free] = bar.closes_on
    return tuple(found)


def draw_bar(paper: Paper, wood: str, x: float, top: float, wide: float, high: float) -> None:
    """Draw a bar with the texture of its wood: dots, stripes or solid.

    Parameters
    ----------
    paper : Paper
        The page.
    wood : {'softwood', 'semi-hardwood', 'hardwood'}
        Kind of wood.
    x : float
        Left edge [mm].
    top : float
        Upper edge [mm].
    wide : float
        Its length [mm].
    high : float
        Its height [mm].

    References
    ----------
    The house's own drawing style (common practice, no source).
    """
    if wood == "hardwood":
        paper.box(x, top, wide, high, fill=palette.WOOD, stroke=palette.WOOD, width_pt=0.9)
        return
    edge = palette.ENAMEL if wood == "softwood" else palette.WOOD
    paper.box(x, top, wide, high, fill=palette.SHEET, stroke=None)
    with paper.inside([(x, top), (x + wide, top), (x + wide, top + high), (x, top + high)]):
        if wood == "softwood":
            paper.strokes(
                [(dot, dot) for dot in _dots(x, top, wide, high)],
                width_pt=_DOT_MM * PT_PER_MM,
                colour=palette.ENAMEL,
                round_ends=True,
            )
        else:
            lines = _slanted(x, top, wide, high, _STRIPE_MM, -1)
            paper.strokes(lines, width_pt=2.3, colour=palette.WOODMID)
    paper.box(x, top, wide, high, stroke=edge, width_pt=1.1)


def draw_too_near(paper: Paper, x: float, top: float, wide: float, high: float) -> None:
    """Draw the hatching of days too near bloom.

    Parameters
    ----------
    paper : Paper
        The page.
    x : float
        Left edge [mm].
    top : float
        Upper edge [mm].
    wide : float
        Its length [mm].
    high : float
        Its height [mm].

    References
    ----------
    The house's own drawing style (common practice, no source).
    """
    with paper.inside([(x, top), (x + wide, top), (x + wide, top + high), (x, top + high)]):
        paper.strokes(_slanted(x, top, wide, high, _HATCH_MM, 1), width_pt=0.7, colour=palette.MALLOW)


def draw_hump(paper: Paper, points: Sequence[Point], foot: float) -> None:
    """Draw bloom as a hump as tall as it is likely, standing on a line.

    Parameters
    ----------
    paper : Paper
        The page.
    points : sequence of (float, float)
        Its outline from left to right [mm].
    foot : float
        Where it stands [mm].

    References
    ----------
    The house's own drawing style (common practice, no source).
    """
    outline = [(points[0][0], foot), *points, (points[-1][0], foot)]
    paper.shape(outline, fill=palette.MALLOWMID, stroke=palette.MALLOW, width_pt=1.1)


def humps_of(bloom: Sequence[tuple[date, float]]) -> list[list[tuple[date, float]]]:
    """Return the stretches in which bloom is likely enough to be drawn, each with a day to either side.

    Parameters
    ----------
    bloom : sequence of (date, float)
        Days and the chance of bloom on them [-].

    Returns
    -------
    list of list of (date, float)
        One for each bloom of the year.

    References
    ----------
    Our own layout.

    Examples
    --------
    >>> days = [date(2027, 5, day) for day in range(1, 6)]
    >>> len(humps_of(list(zip(days, (0, 0.5, 1, 0.2, 0)))))
    1
    """
    found: list[list[tuple[date, float]]] = []
    run: list[tuple[date, float]] = []
    before: tuple[date, float] | None = None
    for point in bloom:
        if point[1] >= _LEAST_BLOOM:
            run = run or ([before] if before else [])
            run.append(point)
        elif run:
            found.append([*run, point])
            run = []
        before = point
    return [*found, run] if run else found


def draw_word(
    paper: Paper,
    word: str,
    middle: Point,
    room_mm: float,
    *,
    most_pt: float,
    wood: str = "",
    high_mm: float = 9.0,
    bounds: tuple[float, float],
) -> None:
    """Write a word in the middle of a bar on a patch; where the bar is too short, over its ends.

    Parameters
    ----------
    paper : Paper
        The page.
    word : str
        The word.
    middle : (float, float)
        Middle of the bar [mm].
    room_mm : float
        Length of the bar [mm].
    most_pt : float
        Largest size of the letters [pt].
    wood : str
        Kind of wood; on hardwood the letters are white.
    high_mm : float
        Height of the bar [mm].
    bounds : (float, float)
        Ends of the stretch of days, beyond which nothing is written [mm].

    References
    ----------
    The house's own drawing style (common practice, no source).
    """
    face: Face = "bold"
    size = max(most_pt, LEAST_WORD_PT)
    while size > LEAST_WORD_PT and text_width_mm(word, face, size) > room_mm - 1.6:
        size -= 0.5
    wide = text_width_mm(word, face, size)
    x = min(max(middle[0], bounds[0] + wide / 2), bounds[1] - wide / 2)
    capital = 0.68 * size / PT_PER_MM
    foot = middle[1] + capital / 2
    colour = palette.INK
    if wood == "hardwood" and wide <= room_mm - 0.4:
        colour = palette.SHEET
    elif wood:
        over = min(0.7, (high_mm - capital) / 2 - 0.1)
        paper.box(
            x - wide / 2 - 0.7,
            foot - capital - over,
            wide + 1.4,
            capital + 2 * over,
            fill=palette.SHEET,
            stroke=None,
        )
    paper.text_centred([(word, face)], x, foot, size, colour)


def name_of_bloom(
    paper: Paper, words: Mapping[str, str], hump: Sequence[Point], foot: float, bounds: tuple[float, float]
) -> None:
    """Write the word for bloom at the foot of a hump, under its height; none where it has no room.

    Parameters
    ----------
    paper : Paper
        The page.
    words : mapping of str to str
        Holds the word under ``bloom``.
    hump : sequence of (float, float)
        Its outline [mm].
    foot : float
        Where it stands [mm].
    bounds : (float, float)
        Ends of the stretch of days [mm].

    References
    ----------
    The house's own drawing style (common practice, no source).
    """
    tall = foot - min(y for _, y in hump)
    high = [x for x, y in hump if foot - y >= 0.6 * tall]
    size = min(8.5, max(LEAST_WORD_PT, tall * 1.7))
    middle = ((high[0] + high[-1]) / 2, foot - 0.6 - 0.34 * size / PT_PER_MM)
    half = text_width_mm(words["bloom"], "bold", size) / 2 + 0.5
    if min(middle[0] - hump[0][0], hump[-1][0] - middle[0]) < half or tall < 0.6 * size / PT_PER_MM:
        return
    draw_word(paper, words["bloom"], middle, hump[-1][0] - hump[0][0], most_pt=size, bounds=bounds)


def _dots(x: float, top: float, wide: float, high: float) -> list[Point]:
    """Rows of dots, every other row moved by half."""
    rows = int(high / _PITCH_MM * 1.15) + 2
    columns = int(wide / _PITCH_MM) + 2
    return [
        (x + (column + (0.5 if row % 2 else 0.0)) * _PITCH_MM, top + row * _PITCH_MM / 1.15 + 0.3)
        for row in range(rows)
        for column in range(columns)
    ]


def _slanted(
    x: float, top: float, wide: float, high: float, apart: float, lean: int
) -> list[tuple[Point, Point]]:
    """Lines at 45 degrees that fill a box; ``lean`` 1 falls to the right, -1 rises."""
    step = apart * 2**0.5
    n = int((wide + high) / step) + 2
    found = []
    for i in range(n):
        at = x - high + i * step
        ends = ((at, top), (at + high, top + high)) if lean > 0 else ((at, top + high), (at + high, top))
        found.append(ends)
    return found
