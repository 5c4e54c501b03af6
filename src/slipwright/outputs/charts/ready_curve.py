"""Plants ready week by week, as a band, against what is wanted by its day."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from typing import Final

from slipwright.outputs.charts._wanted import flag
from slipwright.outputs.svg import Svg

WIDTH: Final = 340.0
"""Width of the chart [user units]."""
HEIGHT: Final = 150.0
"""Height of the chart [user units]."""
_LEFT: Final = 34.0
_RIGHT: Final = WIDTH - 12.0
_TOP: Final = 16.0
_FLOOR: Final = 112.0
_RULE: Final = 10.0
_STEPS: Final = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000, 20_000, 50_000)

#: a day, and the 10, 50 and 90 per cent points of the plants ready by it
ReadyOn = tuple[date, float, float, float]


def ready_curve(
    curve: Sequence[ReadyOn],
    n_wanted: int,
    ready_by: date,
    *,
    title: str,
    day_words: Callable[[date], str],
) -> str:
    """Return how many plants are likely ready, day by day, and the mark of what is wanted.

    Parameters
    ----------
    curve : sequence of (date, float, float, float)
        A day and the 10, 50 and 90 per cent points of the plants ready by it, in the order of days [1].
    n_wanted : int
        Plants wanted [1].
    ready_by : date
        The day they are wanted by.
    title : str
        What it shows, in a sentence.
    day_words : callable
        How a day is written on the rule.

    Returns
    -------
    str
        An SVG drawing: one band from the 10 to the 90 per cent point, its middle as a line, a dashed
        line at the number wanted, a flag at its day.

    References
    ----------
    Our own drawing.

    Examples
    --------
    >>> points = [(date(2026, 9, 7), 0, 0, 0), (date(2027, 5, 1), 14, 22, 27)]
    >>> drawn = ready_curve(points, 20, date(2027, 5, 1), title="Ready by day", day_words=str)
    >>> drawn.count("d-enamelwash"), ">20<" in drawn
    (1, True)
    """
    svg = Svg(WIDTH, HEIGHT, title, kind="ready-curve")
    if len(curve) < 2:
        return str(svg)
    first, last = curve[0][0], max(curve[-1][0], ready_by)
    n_days = max((last - first).days, 1)
    most = max(n_wanted, *(p90 for *_, p90 in curve), 1)
    step = next((step for step in _STEPS if most <= 3 * step), _STEPS[-1])
    top = max(most, step) * 1.06

    def x(day: date) -> float:
        return round(_LEFT + (_RIGHT - _LEFT) * (day - first).days / n_days, 1)

    def y(n: float) -> float:
        return round(_FLOOR - (_FLOOR - _TOP) * n / top, 1)

    for n in range(0, int(most) + 1, step):
        svg.line(_LEFT, y(n), _RIGHT, y(n), "d-hair d-thin")
        if abs(y(n) - y(n_wanted)) > 13 or n == n_wanted:
            svg.text(_LEFT - 6, y(n) + 4.5, str(n), "strong end" if n == n_wanted else "end")
    if n_wanted % step:
        svg.text(_LEFT - 6, y(n_wanted) + 4.5, str(n_wanted), "strong end")
    upper = [(x(day), y(p90)) for day, _, _, p90 in curve]
    lower = [(x(day), y(p10)) for day, p10, _, _ in curve]
    svg.through([*upper, *lower[::-1]], "d-enamelwash d-line", closed=True)
    svg.through([(x(day), y(p50)) for day, _, p50, _ in curve], "d-enamel d-thick")
    svg.line(_LEFT, y(n_wanted), _RIGHT, y(n_wanted), "d-ink d-thin d-dash")
    svg.rect(_LEFT, _FLOOR, _RIGHT - _LEFT, _RULE, "d-brass d-thin")
    quarter = (_RIGHT - _LEFT) / 4
    ticks = "".join(f"M{_LEFT + i * quarter:g} {_FLOOR:g}v{_RULE:g}" for i in range(5))
    svg.path(ticks, "d-brass d-thin")
    flag(svg, x(ready_by), y(n_wanted) - 8, _FLOOR)
    svg.text(_LEFT - 4, _FLOOR + _RULE + 17, day_words(first))
    svg.text(_RIGHT + 8, _FLOOR + _RULE + 17, day_words(last), "end")
    return str(svg)
