"""Forecasts beside what came: level by level with a band, and range by range with a dot."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from slipwright.outputs.svg import Svg

_WIDTH: Final = 340.0
_LEFT, _RIGHT = 40.0, 330.0
_TOP, _FLOOR = 26.0, 296.0
_TENTHS: Final = (0, 2, 4, 5, 6, 8, 10)
#: of the points every other one gets a dot
_EACH: Final = 2

_BAR_LEFT, _BAR_RIGHT = 10.0, 330.0
_BAR_HEIGHT: Final = 26.0


@dataclass(frozen=True, slots=True)
class ReliabilityWords:
    """What stands in the chart, already in the reader's language; ``in_ten`` takes a number."""

    title: str
    said: str
    came: str
    band: str
    line: str
    in_ten: str


def reliability_chart(
    levels: Sequence[float],
    came: Sequence[float],
    low: Sequence[float],
    high: Sequence[float],
    words: ReliabilityWords,
) -> str:
    """Return how often numbers stayed at or below what forecasts said, beside how often they were said to.

    Parameters
    ----------
    levels : sequence of float
        How often it was said, rising between 0 and 1 [-].
    came : sequence of float
        How often it came so [-].
    low, high : sequence of float
        Where that lies by chance, 8 times in 10, if the forecasts are right [-].
    words : ReliabilityWords
        What stands in it.

    Returns
    -------
    str
        SVG: what came as a line with dots, the band of chance about a dashed line on which right forecasts
        lie; tenths said on a brass rule beneath, tenths that came on the side, and a key below.

    References
    ----------
    Our own drawing.

    Examples
    --------
    >>> words = ReliabilityWords("As often as said", "said", "came", "by chance", "yours", "{n} in 10")
    >>> drawn = reliability_chart([0.1, 0.5, 0.9], [0.2, 0.5, 0.8], [0, 0.3, 0.7], [0.3, 0.7, 1], words)
    >>> drawn.count("<circle"), "10 in 10" in drawn
    (4, True)
    """
    svg = Svg(_WIDTH, _FLOOR + 98, words.title)

    def at(said: float, share: float) -> tuple[float, float]:
        x = _LEFT + (_RIGHT - _LEFT) * said
        return round(x, 1), round(_FLOOR - (_FLOOR - _TOP) * min(max(share, 0), 1), 1)

    svg.text(0, 12, words.came)
    for tenth in _TENTHS:
        y = at(0, tenth / 10)[1]
        svg.line(_LEFT, y, _RIGHT, y, "d-hair d-thin")
        svg.text(_LEFT - 6, y + 4.5, str(tenth), "end")
    upper = [at(level, share) for level, share in zip(levels, high, strict=True)]
    lower = [at(level, share) for level, share in zip(levels, low, strict=True)]
    svg.through([*upper, *reversed(lower)], "d-enamelwash d-thin", closed=True)
    svg.through([at(0, 0), at(1, 1)], "d-ink d-line d-dash")
    points = [at(level, share) for level, share in zip(levels, came, strict=True)]
    svg.through(points, "d-ink d-thick")
    for place, (x, y) in enumerate(points):
        if len(points) <= _EACH + 1 or place % _EACH == 0:
            svg.circle(x, y, 4.5)
    svg.rect(_LEFT, _FLOOR, _RIGHT - _LEFT, 12, "d-brass d-thin")
    for tenth in range(11):
        x = at(tenth / 10, 0)[0]
        svg.line(x, _FLOOR, x, _FLOOR + (12 if tenth % 5 == 0 else 7), "d-brass d-thin")
        if tenth % 5 == 0:
            where = "mid" if 0 < tenth < 10 else "end" if tenth else ""
            svg.text(x, _FLOOR + 28, words.in_ten.format(n=tenth), where)
    svg.text((_LEFT + _RIGHT) / 2, _FLOOR + 46, words.said, "mid")
    _key(svg, _FLOOR + 66, words)
    return str(svg)


def _key(svg: Svg, y: float, words: ReliabilityWords) -> None:
    svg.line(0, y - 5, 24, y - 5, "d-ink d-thick")
    svg.circle(12, y - 5, 4.5)
    svg.text(32, y, words.line)
    svg.rect(0, y + 11, 24, 13, "d-enamelwash d-thin")
    svg.line(0, y + 24, 24, y + 11, "d-ink d-line d-dash")
    svg.text(32, y + 22, words.band)


def range_bar(points: tuple[int, int, int], came: int, most: int, *, title: str) -> str:
    """Return one range that was forecast and the number that came, on a scale from nought.

    Parameters
    ----------
    points : tuple of three int
        10, 50 and 90 per cent points of the forecast [1].
    came : int
        What came [1].
    most : int
        The end of the scale: what was stuck [1].
    title : str
        The same in words.

    Returns
    -------
    str
        SVG: a bar with end stops and a tick at its middle; what came a dot above it, an open diamond where
        the range did not hold it.

    References
    ----------
    Our own drawing.

    Examples
    --------
    >>> "<circle" in range_bar((3, 5, 8), 8, 10, title=""), "<circle" in range_bar((3, 5, 8), 9, 10, title="")
    (True, False)
    """
    svg = Svg(_WIDTH, _BAR_HEIGHT, title, "belief")

    def at(number: float) -> float:
        return _BAR_LEFT + (_BAR_RIGHT - _BAR_LEFT) * min(max(number, 0), most) / max(most, 1)

    svg.line(_BAR_LEFT, 18, _BAR_RIGHT, 18, "d-hair d-thin")
    for end in (0, most):
        svg.line(at(end), 14, at(end), 22, "d-edge d-thin")
    low, middle, high = (at(point) for point in points)
    svg.line(low, 18, high, 18, "d-enamel d-thick")
    for x in (low, high):
        svg.line(x, 12, x, 24, "d-enamel d-thick")
    svg.line(middle, 14, middle, 22, "d-enamel d-line")
    x = at(came)
    if points[0] <= came <= points[2]:
        svg.circle(x, 6, 5)
    else:
        svg.through([(x, 0.5), (x + 5.5, 6), (x, 11.5), (x - 5.5, 6)], "d-ink d-line d-open", closed=True)
    return str(svg)
