"""The bursts of mist of a day, a bar an hour, over the brass rule of its hours."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from slipwright.outputs.svg import Svg

WIDTH: Final = 340.0
"""Width of the chart [user units]."""
HEIGHT: Final = 150.0
"""Height of the chart [user units]."""
_LEFT: Final = 6.0
_RULE: Final = 112.0
_DEEP: Final = 12.0
_TOP: Final = 22.0
_NAMED_EVERY: Final = 3


def mist_bars(bursts: Sequence[tuple[int, float, float, float]], title: str, *, a_burst: str) -> str:
    """Return the bursts of each hour of a day as bars, each with a whisker from half to double.

    Parameters
    ----------
    bursts : sequence of (int, float, float, float)
        Hour of the clock, and bursts in it: likely, fewest and most [1]; hours left out are off.
    title : str
        What is seen, in a sentence.
    a_burst : str
        Words for the highest bar, such as "7 an hour".

    Returns
    -------
    str
        SVG: bars on a brass rule of the hours about the first and last burst, a name every third hour.

    References
    ----------
    Our own drawing.

    Examples
    --------
    >>> drawn = mist_bars([(11, 4, 2, 8), (12, 5, 2.5, 10)], "Bursts", a_burst="5 an hour")
    >>> drawn.count("d-enamelfill"), drawn.count(">12</text>")
    (2, 1)
    """
    svg = Svg(WIDTH, HEIGHT, title, kind="d-mist")
    if not bursts:
        return str(svg)
    first = min(min(hour for hour, *_ in bursts), 9)
    last = max(max(hour for hour, *_ in bursts) + 1, 15)
    each = (WIDTH - 2 * _LEFT) / (last - first)
    most = max(high for *_, high in bursts)
    up = (_RULE - _TOP) / most

    def x(hour: float) -> float:
        return _LEFT + (hour - first) * each

    for hour, likely, low, high in bursts:
        svg.rect(x(hour) + each * 0.18, _RULE - likely * up, each * 0.64, likely * up, "d-enamelfill")
        middle = x(hour + 0.5)
        svg.line(middle, _RULE - low * up, middle, _RULE - likely * up, "d-edge d-line")
        svg.line(middle, _RULE - likely * up, middle, _RULE - high * up, "d-edge d-line")
        svg.line(middle - 3, _RULE - high * up, middle + 3, _RULE - high * up, "d-edge d-line")
    svg.rect(_LEFT, _RULE, WIDTH - 2 * _LEFT, _DEEP, "d-brass d-thin")
    for hour in range(first, last + 1):
        is_named = hour % _NAMED_EVERY == 0
        if first < hour < last:
            svg.part(
                "line", "d-tick", x1=x(hour), y1=_RULE, x2=x(hour), y2=_RULE + (_DEEP if is_named else 5)
            )
        if is_named:
            edge = "end" if hour == last else "" if hour == first else "mid"
            svg.text(x(hour), _RULE + _DEEP + 16, f"{hour}", edge)
    highest = max(bursts, key=lambda one: one[1])
    left = x(highest[0] + 0.5) > WIDTH / 2
    svg.text(x(highest[0] + 0.5) + (-8 if left else 8), 13, a_burst, "strong end" if left else "strong")
    return str(svg)
