"""Firmness told by bending a shoot: four drawings, from memory."""

from __future__ import annotations

from slipwright.craft.errors import BadArgument
from slipwright.outputs.drawings._limb import Point, curve, draw_leaf, draw_limb, straight
from slipwright.outputs.svg import Svg

BENDS = ("folds", "snaps", "springs", "stiff")
WIDTH, HEIGHT = 120.0, 92.0


def bent_shoot(bend: str, title: str = "") -> str:
    """Return the drawing of what a shoot does when it is bent.

    Parameters
    ----------
    bend : {'folds', 'snaps', 'springs', 'stiff'}
        What it does: folds over and stays, snaps clean, springs back, or will not bend.
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
    What firm and soft wood does in the hand: from memory.  The drawing is our own.

    Examples
    --------
    >>> bent_shoot("snaps").startswith("<svg")
    True
    """
    if bend not in BENDS:
        raise BadArgument("bend", f"be one of {', '.join(BENDS)}", bend)
    svg = Svg(WIDTH, HEIGHT, title, "bend")
    {"folds": _folds, "snaps": _snaps, "springs": _springs, "stiff": _stiff}[bend](svg)
    return str(svg)


def _folds(svg: Svg) -> None:
    draw_limb(
        svg,
        curve((34, 90), (34, 20), (46, 8), (62, 14)) + curve((62, 14), (80, 20), (84, 40), (82, 66))[1:],
        9,
        6,
        "softwood",
    )
    draw_leaf(svg, (82, 62), (98, 84), 5)
    draw_leaf(svg, (82, 62), (70, 86), 5)
    draw_leaf(svg, (34, 56), (14, 46), 5)


def _snaps(svg: Svg) -> None:
    draw_limb(svg, straight((30, 90), (46, 36)), 9, 8, "softwood")
    draw_limb(svg, straight((58, 26), (104, 44)), 8, 6, "softwood")
    for x, y in ((48, 22), (53, 16), (43, 26)):  # the crack
        svg.line(x, y, x - 3, y - 7, "d-madder d-line")
    draw_leaf(svg, (100, 42), (116, 58), 4)
    draw_leaf(svg, (38, 62), (16, 52), 5)


def _springs(svg: Svg) -> None:
    draw_limb(svg, curve((22, 90), (26, 40), (56, 22), (98, 28)), 10, 7, "semi-hardwood")
    svg.path("M98 12C74 4 50 8 34 26", "d-ink d-line d-dash")
    _head(svg, (33, 27), (44, 20), (38, 16))
    draw_leaf(svg, (94, 30), (114, 44), 5)


def _stiff(svg: Svg) -> None:
    draw_limb(svg, straight((28, 90), (86, 12)), 12, 9, "hardwood")
    svg.line(96, 34, 96, 70, "d-ink d-line")
    _head(svg, (96, 74), (90, 64), (102, 64))
    svg.line(86, 80, 108, 80, "d-ink d-thick")


def _head(svg: Svg, tip: Point, one: Point, other: Point) -> None:
    svg.through([tip, one, other], "d-solid", closed=True)
