"""What was believed beside what was learned: a range as a bar, a share by day as a band."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from slipwright.outputs.svg import Svg

Range = tuple[float, float, float]
#: how many times as fast the ends of a scale may stand for
REACHES: Final = (3.0, 5.0, 10.0, 25.0)
_WIDTH: Final = 340.0
_LEFT, _RIGHT = 10.0, 330.0
_ROW: Final = 30.0
_MARKS: Final = {3.0: (2.0, 3.0), 5.0: (2.0, 5.0), 10.0: (2.0, 5.0, 10.0), 25.0: (2.0, 5.0, 10.0, 25.0)}

_CURVE_HEIGHT: Final = 214.0
_FLOOR, _CEILING, _EDGE = 170.0, 14.0, 40.0
_WEEKS: Final = (2, 4, 8, 13, 26)


def reach_of(ranges: Iterable[Range]) -> float:
    """Return how far a scale must reach on either side of the same.

    Parameters
    ----------
    ranges : iterable of tuple of three float
        10, 50 and 90 per cent points of all that stands on it, as multiples [-].

    Returns
    -------
    float
        How many times as fast its end stands for [-]; what lies further is drawn at the end.

    References
    ----------
    Our own drawing.

    Examples
    --------
    >>> reach_of([(0.5, 1, 2), (0.24, 0.4, 0.6)])
    5.0
    """
    furthest = max((max(high, 1 / low) for low, _, high in ranges), default=1.0)
    return next((reach for reach in REACHES if furthest <= reach), REACHES[-1])


def _at(times: float, reach: float) -> float:
    share = math.log(min(max(times, 1 / reach), reach)) / math.log(reach)
    return (_LEFT + _RIGHT) / 2 + share * (_RIGHT - _LEFT) / 2


def times_bar(
    believed: Range, learned: Range, clock: Literal["rooting", "loss"], *, reach: float, title: str
) -> str:
    """Return how many times as fast, as believed and as learned, on a scale with the same in its middle.

    Parameters
    ----------
    believed : tuple of three float
        10, 50 and 90 per cent points before any record, as multiples [-].
    learned : tuple of three float
        The same from the records [-].
    clock : {'rooting', 'loss'}
        What is faster.
    reach : float
        How many times as fast the end of the scale stands for [-].
    title : str
        The same in words.

    Returns
    -------
    str
        SVG: an open diamond on a thin line as believed, above it a dot on a bar with end stops as learned.
        Equal factors lie equally far apart.

    References
    ----------
    Our own drawing.

    Examples
    --------
    >>> drawn = times_bar((0.5, 1, 2), (1.1, 1.4, 1.8), "loss", reach=5, title="1.4 times as fast")
    >>> drawn.count("<circle"), "d-madder" in drawn
    (1, True)
    """
    svg = Svg(_WIDTH, _ROW, title, "belief")
    ink = "d-enamel" if clock == "rooting" else "d-madder"
    svg.line(_at(1, reach), 0, _at(1, reach), _ROW, "d-edge d-thin d-dash")
    low, middle, high = (_at(times, reach) for times in believed)
    svg.line(low, 22, high, 22, "d-edge d-line")
    _diamond(svg, middle, 22)
    low, middle, high = (_at(times, reach) for times in learned)
    for x in (low, high):
        svg.line(x, 3, x, 15, f"{ink} d-thick")
    svg.line(low, 9, high, 9, f"{ink} d-thick")
    svg.circle(middle, 9, 5.5, f"{ink}fill")
    return str(svg)


def times_rule(reach: float, title: str = "") -> str:
    """Return the brass rule that stands beneath `times_bar`.

    Parameters
    ----------
    reach : float
        How many times as fast its end stands for, one of `REACHES` [-].
    title : str
        What it measures; empty where that stands beside it.

    Returns
    -------
    str
        SVG: a tick and a number at each factor.

    References
    ----------
    Our own drawing.

    Examples
    --------
    >>> times_rule(5.0).count("<text")
    5
    """
    svg = Svg(_WIDTH, 34, title, "belief")
    svg.rect(_LEFT, 0, _RIGHT - _LEFT, 12, "d-brass d-thin")
    for times in (*(1 / mark for mark in reversed(_MARKS[reach])), 1.0, *_MARKS[reach]):
        x = _at(times, reach)
        svg.line(x, 0, x, 12 if times == 1 else 7, "d-brass d-thin")
        where = "mid" if 1 / reach < times < reach else "end" if times > 1 else ""
        svg.text(x, 28, f"{times:.2g}" if times >= 1 else f"1/{1 / times:.0f}", where)
    return str(svg)


@dataclass(frozen=True, slots=True)
class ShareWords:
    """What stands in the chart, already in the reader's language; ``weeks`` takes a number."""

    title: str
    believed: str
    learned: str
    weeks: str


def share_curves(
    days: Sequence[float],
    believed: Sequence[Sequence[float]],
    learned: Sequence[Sequence[float]] | None,
    words: ShareWords,
) -> str:
    """Return the share of a batch rooted by day, as believed before any record and as learned.

    Parameters
    ----------
    days : sequence of float
        Days after sticking, rising from 0 [days].
    believed : sequence of three sequences of float
        10, 50 and 90 per cent points of the share by each day, before any record [-].
    learned : sequence of three sequences of float or None
        The same from the records [-]; None where there are none.
    words : ShareWords
        What stands in it.

    Returns
    -------
    str
        SVG: as believed a dashed outline with open diamonds along its middle, as learned a band with a
        line; shares in tenths on the side, weeks on a brass rule beneath, and a key below.

    References
    ----------
    Our own drawing.

    Examples
    --------
    >>> words = ShareWords("Rooted by day", "handbook", "your records", "{n} wk")
    >>> flat = [[0, 0.2], [0, 0.5], [0, 0.8]]
    >>> share_curves([0, 56], flat, None, words).count("8 wk")
    1
    """
    svg = Svg(_WIDTH, _CURVE_HEIGHT + 4 + (22 if learned is not None else 0), words.title)
    last = max(days[-1], 1)

    def at(day: float, share: float) -> tuple[float, float]:
        x = _EDGE + (_RIGHT - _EDGE) * day / last
        return round(x, 1), round(_FLOOR - (_FLOOR - _CEILING) * share, 1)

    def outline(points: Sequence[Sequence[float]]) -> list[tuple[float, float]]:
        low, _, high = points
        upper = [at(day, share) for day, share in zip(days, high, strict=True)]
        return [*upper, *reversed([at(day, share) for day, share in zip(days, low, strict=True)])]

    for tenth in (0, 5, 10):
        y = at(0, tenth / 10)[1]
        svg.line(_EDGE, y, _RIGHT, y, "d-hair d-thin")
        svg.text(_EDGE - 6, y + 4.5, str(tenth), "end")
    if learned is not None:
        svg.through(outline(learned), "d-enamelwash d-thin", closed=True)
        svg.through([at(day, share) for day, share in zip(days, learned[1], strict=True)], "d-enamel d-thick")
    svg.through(outline(believed), "d-ink d-line d-dash", closed=True)
    middle = [at(day, share) for day, share in zip(days, believed[1], strict=True)]
    svg.through(middle, "d-ink d-thin")
    for x, y in middle[2 :: max(len(middle) // 6, 1)]:
        _diamond(svg, x, y)
    svg.rect(_EDGE, _FLOOR, _RIGHT - _EDGE, 12, "d-brass d-thin")
    step = next((weeks for weeks in _WEEKS if last / 7 / weeks <= 6), _WEEKS[-1])
    for week in range(0, int(last / 7) + 1, step):
        x = at(week * 7, 0)[0]
        svg.line(x, _FLOOR, x, _FLOOR + 12, "d-brass d-thin")
        if week:
            svg.text(
                min(x, _RIGHT), _FLOOR + 28, words.weeks.format(n=week), "end" if x > _RIGHT - 20 else "mid"
            )
    svg.line(_EDGE, _CURVE_HEIGHT - 5, _EDGE + 24, _CURVE_HEIGHT - 5, "d-ink d-line d-dash")
    _diamond(svg, _EDGE + 12, _CURVE_HEIGHT - 5)
    svg.text(_EDGE + 32, _CURVE_HEIGHT, words.believed)
    if learned is not None:
        svg.rect(_EDGE, _CURVE_HEIGHT + 11, 24, 11, "d-enamelwash d-thin")
        svg.line(_EDGE, _CURVE_HEIGHT + 16.5, _EDGE + 24, _CURVE_HEIGHT + 16.5, "d-enamel d-thick")
        svg.text(_EDGE + 32, _CURVE_HEIGHT + 21, words.learned)
    return str(svg)


def _diamond(svg: Svg, x: float, y: float) -> None:
    svg.through([(x, y - 5.5), (x + 5.5, y), (x, y + 5.5), (x - 5.5, y)], "d-ink d-line d-open", closed=True)
