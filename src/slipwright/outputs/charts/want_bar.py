"""What a want will likely get, as a bar: near certain dark, likely pale, a mark where it was wanted."""

from __future__ import annotations

from typing import Final

from slipwright.outputs.charts._wanted import flag
from slipwright.outputs.svg import Svg

WIDTH: Final = 340.0
"""Width of a bar [user units]."""
HEIGHT: Final = 34.0
"""Height of a bar with its mark [user units]."""
_LEFT: Final = 2.0
_RIGHT: Final = WIDTH - 2.0
_TOP, _FLOOR = 13.0, 29.0
#: where on the bar the number wanted stands, if the likely range does not need the room
_WANTED_AT: Final = 0.6


def want_bar(n_wanted: int, p10: float, p50: float, p90: float, *, title: str) -> str:
    """Return a want as a bar.

    Parameters
    ----------
    n_wanted : int
        Plants wanted, where the mark stands [1].
    p10, p50, p90 : float
        10, 50 and 90 per cent points of the plants ready by the day [1].
    title : str
        What it shows, in a sentence.

    Returns
    -------
    str
        An SVG drawing: dark up to the 10 per cent point, pale with an outline up to the 90 per cent
        point, a line at the middle, a flag at the number wanted.

    References
    ----------
    Our own drawing.

    Examples
    --------
    >>> bar = want_bar(20, 14, 22, 27, title="20 wanted, 14 to 27 likely")
    >>> bar.count("<rect"), bar.count("d-enamelfill")
    (2, 1)
    """
    svg = Svg(WIDTH, HEIGHT, title, kind="want-bar")
    most = max(n_wanted / _WANTED_AT, p90 * 1.03, 1.0)

    def x(n: float) -> float:
        return round(_LEFT + (_RIGHT - _LEFT) * n / most, 1)

    svg.line(_LEFT, _FLOOR, _RIGHT, _FLOOR, "d-edge d-line")
    if p10 > 0:
        svg.rect(_LEFT, _TOP, x(p10) - _LEFT, _FLOOR - _TOP, "d-enamelfill")
    if p90 > p10:
        svg.rect(x(p10), _TOP, x(p90) - x(p10), _FLOOR - _TOP, "d-enamel d-enamelmid d-thin")
        svg.line(x(p50), _TOP, x(p50), _FLOOR, "d-enamel d-thick")
    flag(svg, x(n_wanted), 2.0, _FLOOR + 3)
    return str(svg)
