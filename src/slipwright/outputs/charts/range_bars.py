"""A range as learned beside what was counted, one bar to a line, all on one brass rule."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from slipwright.outputs.svg import Svg

Range = tuple[float, float, float]
_WIDTH: Final = 340.0
_LEFT, _RIGHT = 12.0, 328.0
_ROW: Final = 26.0
_MIDDLE: Final = 13.0
_RULE_DEEP: Final = 12.0


@dataclass(frozen=True, slots=True)
class Scale:
    """What a bar lies on: its ends, labels at some places, a tick each ``step``, and a line at ``zero``."""

    low: float
    high: float
    marks: tuple[tuple[float, str], ...]
    step: float
    zero: float | None = None

    def at(self, value: float) -> float:
        """Return how far across a value lies, held to the ends."""
        share = (min(max(value, self.low), self.high) - self.low) / (self.high - self.low)
        return round(_LEFT + share * (_RIGHT - _LEFT), 1)


def range_bar(learned: Range | None, counted: float | None, scale: Scale, *, title: str) -> str:
    """Return one range as learned, and what was counted.

    Parameters
    ----------
    learned : tuple of three float or None
        10, 50 and 90 per cent points, in the scale's own measure [-].
    counted : float or None
        What was counted, in the same measure [-]; None where nothing was.
    scale : Scale
        What it lies on.
    title : str
        The same in words.

    Returns
    -------
    str
        SVG: a dot on a bar with end stops as learned, an open diamond as counted. The two differ by shape,
        so they stay apart in grey.

    References
    ----------
    Our own drawing.

    Examples
    --------
    >>> shares = Scale(0, 1, ((0, "0 in 10"), (1, "10 in 10")), 0.1)
    >>> drawn = range_bar((0.6, 0.75, 0.85), 1.0, shares, title="10 of 10 counted, 8 in 10 as learned")
    >>> drawn.count("<circle"), drawn.count("Z")
    (1, 1)
    """
    svg = Svg(_WIDTH, _ROW, title, "range-bar")
    svg.path("".join(f"M{scale.at(value):g} 0V{_ROW:g}" for value, _ in scale.marks), "d-hair d-thin")
    if scale.zero is not None:
        svg.line(scale.at(scale.zero), 0, scale.at(scale.zero), _ROW, "d-ink d-line d-dash")
    if learned is not None:
        low, middle, high = (scale.at(value) for value in learned)
        svg.path(f"M{low:g} 7v12m0-6H{high:g}m0-6v12", "d-enamel d-thick")
        svg.circle(middle, _MIDDLE, 6, "d-enamelfill")
    if counted is not None:
        x = scale.at(counted)
        corners = [(x, _MIDDLE - 8), (x + 8, _MIDDLE), (x, _MIDDLE + 8), (x - 8, _MIDDLE)]
        svg.through(corners, "d-ink d-line", closed=True)
    return str(svg)


def range_rule(scale: Scale, *, title: str = "") -> str:
    """Return the brass rule that stands beneath `range_bar`.

    Parameters
    ----------
    scale : Scale
        Its ends, ticks and labels.
    title : str
        What it measures; empty where that stands beside it.

    Returns
    -------
    str
        SVG: a tick each step, taller ones and words at the marks.

    References
    ----------
    Our own drawing.

    Examples
    --------
    >>> range_rule(Scale(0, 12, ((0, "0"), (6, "6"), (12, "12 wk")), 2)).count("<text")
    3
    """
    svg = Svg(_WIDTH, 32, title, "range-bar")
    svg.rect(_LEFT, 0, _RIGHT - _LEFT, _RULE_DEEP, "d-brass d-thin")
    n_steps = round((scale.high - scale.low) / scale.step)
    ticks = (scale.at(scale.low + step * scale.step) for step in range(n_steps + 1))
    svg.path("".join(f"M{x:g} 0v6" for x in ticks), "d-brass d-thin")
    for value, words in scale.marks:
        x = scale.at(value)
        svg.line(x, 0, x, _RULE_DEEP, "d-brass d-thin")
        look = "mid"
        if x < _LEFT + len(words) * 3.6:
            look = "" if x - _LEFT < 1 else "mid"
        elif x > _RIGHT - len(words) * 3.6:
            look = "end"
        svg.text(_LEFT if look == "" else _RIGHT if look == "end" else x, 27, words, look)
    return str(svg)
