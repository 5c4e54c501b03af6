"""The label of a pot: what stands on the stake, and its buried end that keeps it when sun takes the other."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from slipwright.outputs.svg import Svg

WIDTH: Final = 210.0
HEIGHT: Final = 92.0
_LINE: Final = 15.5
MOST_LINES: Final = 3


def plant_label(lines: Sequence[str], under: str = "", title: str = "") -> str:
    """Return the drawing of a stake with what is written on it, stuck into the medium.

    Parameters
    ----------
    lines : sequence of str
        What stands above the medium, three lines at most.
    under : str
        What stands once more on the end that is buried.
    title : str
        What it shows, in words; empty beside the same words.

    Returns
    -------
    str
        The drawing as SVG.

    References
    ----------
    Our own drawing.

    Examples
    --------
    >>> plant_label(("Rosa", "10 Sep", "24")).count("<text")
    3
    """
    svg = Svg(WIDTH, HEIGHT, title, "label")
    svg.through([(2, 20), (132, 20), (132, 78), (2, 78)], "d-brass d-line", closed=True)
    svg.through([(132, 20), (176, 20), (206, 49), (176, 78), (132, 78)], "d-brass d-line", closed=True)
    svg.through([(132, 12), (WIDTH, 12), (WIDTH, 90), (132, 90)], "d-ink d-thin d-dash")
    svg.line(132, 4, 132, 90, "d-ink d-line")
    for x, y in ((140, 86), (156, 84), (172, 87), (190, 85), (202, 88), (146, 15), (168, 14), (196, 16)):
        svg.circle(x, y, 1.1)
    for n, line in enumerate(lines[:MOST_LINES]):
        svg.text(9, 37 + n * _LINE, line, "strong" if n == 0 else "")
    if under:
        svg.text(165, 53, under, "mid")
    return str(svg)
