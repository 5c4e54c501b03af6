"""The state of a shoot told by its tip: leafy, in bud, in flower, or with its flower over."""

from __future__ import annotations

import math

from slipwright.craft.errors import BadArgument
from slipwright.outputs.drawings._limb import curve, draw_leaf, draw_limb
from slipwright.outputs.svg import Svg

SHOOTS = ("vegetative", "spent", "budded", "flowering")
WIDTH, HEIGHT = 120.0, 104.0
_TIP = (60.0, 40.0)


def shoot_tip(shoot: str, title: str = "") -> str:
    """Return the drawing of the tip of a shoot.

    Parameters
    ----------
    shoot : {'vegetative', 'spent', 'budded', 'flowering'}
        Its state.
    title : str
        What it shows, in words; empty beside the same words.

    Returns
    -------
    str
        The drawing as SVG.

    Raises
    ------
    BadArgument
        If the word is none of the four.

    References
    ----------
    Our own drawing.

    Examples
    --------
    >>> shoot_tip("budded").count("d-mallowmid") > 0
    True
    """
    if shoot not in SHOOTS:
        raise BadArgument("shoot", f"be one of {', '.join(SHOOTS)}", shoot)
    svg = Svg(WIDTH, HEIGHT, title, "shoot")
    for y, side in ((84, 1), (72, -1), (60, 1), (52, -1)):
        reach = 24 + (y - 52) * 0.25
        draw_leaf(svg, (60 + side * 3, y), (60 + side * (reach + 4), y - 15), 5.5)
    draw_limb(svg, curve((58, 104), (58, 80), (60, 60), _TIP), 8, 4, "softwood")
    {"vegetative": _leafy, "spent": _spent, "budded": _budded, "flowering": _flowering}[shoot](svg)
    return str(svg)


def _leafy(svg: Svg) -> None:
    for x, y, half in ((44, 20, 4.5), (76, 20, 4.5), (60, 8, 5)):
        draw_leaf(svg, _TIP, (x, y), half)


def _spent(svg: Svg) -> None:
    svg.circle(60, 32, 8, "d-woodmid d-line")
    for degrees in (-150, -120, -90, -60, -30):
        x, y = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
        svg.line(60 + 8 * x, 30 + 7 * y, 60 + 15 * x, 30 + 14 * y, "d-ink d-line")
    for x, y, turn in ((22, 98, 8), (98, 100, -8), (86, 94, 6)):  # fallen petals
        svg.path(f"M{x - 8} {y}C{x - 4} {y - turn} {x + 4} {y - turn} {x + 8} {y}Z", "d-mallowmid d-thin")


def _budded(svg: Svg) -> None:
    svg.path("M60 6C72 16 74 30 66 38H54C46 30 48 16 60 6Z", "d-mallowmid d-line")
    svg.path(
        "M52 38C46 28 47 22 50 18C53 24 55 30 60 38C65 30 67 24 70 18C73 22 74 28 68 38Z",
        "d-sheet d-ink d-line",
    )


def _flowering(svg: Svg) -> None:
    for i in range(5):
        angle = math.radians(-90 + 72 * i)
        svg.circle(60 + 14 * math.cos(angle), 26 + 14 * math.sin(angle), 10.5, "d-mallowmid d-line")
    svg.circle(60, 26, 7, "d-brass d-line")
