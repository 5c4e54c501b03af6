"""The course of one measure over some days: a line, broken where nothing was read."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Final

from slipwright.outputs.svg import Svg

WIDTH: Final = 330.0
"""Width of the chart [user units]."""
HEIGHT: Final = 130.0
"""Height of the chart [user units]."""
_LEFT: Final = 44.0
_RIGHT: Final = 8.0
_TOP: Final = 14.0
_FOOT: Final = 104.0
_BREAK: Final = timedelta(hours=3)


def course_chart(
    course: Sequence[tuple[datetime, float]],
    title: str,
    *,
    unit: str,
    day_words: Callable[[datetime], str],
) -> str:
    """Return readings as a line over time.

    Parameters
    ----------
    course : sequence of (datetime, float)
        Moments, oldest first, and what was read [in ``unit``].
    title : str
        What is seen, in a sentence.
    unit : str
        The unit, as it is written beside the highest figure.
    day_words : callable
        Says a day in few letters, for the foot.

    Returns
    -------
    str
        SVG: the line with its lowest and highest figure at the left, a tick for each midnight, and a dot
        at the newest reading. Where nothing was read for three hours the line is broken.

    References
    ----------
    Our own drawing.

    Examples
    --------
    >>> from datetime import UTC
    >>> read = [(datetime(2026, 7, 1, hour, tzinfo=UTC), 0.1 * hour) for hour in range(12)]
    >>> course_chart(read, "Deficit", unit="kPa", day_words=str).count("<circle")
    1
    """
    svg = Svg(WIDTH, HEIGHT, title, kind="d-course")
    if not course:
        return str(svg)
    first, last = course[0][0], course[-1][0]
    span_s = max((last - first).total_seconds(), 1.0)
    low, high = min(value for _, value in course), max(value for _, value in course)
    reach = (high - low) or 1.0

    def x(at: datetime) -> float:
        return _LEFT + (at - first).total_seconds() / span_s * (WIDTH - _LEFT - _RIGHT)

    def y(value: float) -> float:
        return _FOOT - (value - low) / reach * (_FOOT - _TOP)

    svg.line(_LEFT, _FOOT, WIDTH - _RIGHT, _FOOT)
    svg.text(0, _TOP + 5, f"{high:.2g} {unit}")
    svg.text(0, _FOOT, f"{low:.2g}")
    _midnights(svg, first, last, x, day_words)
    run = [course[0]]
    for before, now in pairwise(course):
        if now[0] - before[0] > _BREAK:
            _line(svg, [(x(at), y(value)) for at, value in run])
            run = []
        run.append(now)
    _line(svg, [(x(at), y(value)) for at, value in run])
    svg.circle(x(last), y(course[-1][1]), 4)
    return str(svg)


def _line(svg: Svg, points: list[tuple[float, float]]) -> None:
    if len(points) == 1:
        svg.circle(*points[0], 2)
        return
    svg.path("M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points))


def _midnights(
    svg: Svg,
    first: datetime,
    last: datetime,
    x: Callable[[datetime], float],
    day_words: Callable[[datetime], str],
) -> None:
    at = first.replace(hour=0, minute=0, second=0, microsecond=0) + timedelta(days=1)
    while at <= last:
        svg.part("line", "d-tick", x1=x(at), y1=_FOOT, x2=x(at), y2=_FOOT + 6)
        svg.text(min(x(at), WIDTH - 48), _FOOT + 20, day_words(at))
        at += timedelta(days=1)
