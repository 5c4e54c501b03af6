"""Small drawings of the steps of sticking, one for each thing the hands do."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from slipwright.craft.errors import BadArgument
from slipwright.outputs.svg import Svg

SIDE: Final = 88.0
"""Width and height of a drawing of a step [user units]."""
STEM: Final = "d-woodmid d-line"
INK: Final = "d-ink d-line"
CLAY: Final = "d-plate d-ink d-line"
PAPER: Final = "d-sheet d-ink d-line"
WATER: Final = "d-enamelwash d-line"
CLEAR: Final = "d-enamel d-line"
CUT: Final = "d-madder d-line d-dash"


def step_drawing(kind: str) -> str:
    """Return the small drawing of one step of the work.

    Parameters
    ----------
    kind : str
        Which step, a word of `KINDS`.

    Returns
    -------
    str
        SVG, hidden from screen readers: the words beside it say the same.

    Raises
    ------
    BadArgument
        If there is no such drawing.

    References
    ----------
    Our own drawing.

    Examples
    --------
    >>> step_drawing("wash").startswith("<svg")
    True
    """
    if kind not in _DRAWN:
        raise BadArgument("kind", f"be one of {', '.join(KINDS)}", kind)
    svg = Svg(SIDE, SIDE, kind="d-step")
    for draw in _DRAWN[kind]:
        draw(svg)
    return str(svg)


def _pot(svg: Svg, left: float = 24, top: float = 46, wide: float = 40, high: float = 34) -> None:
    svg.through(
        [
            (left + 3, top + 7),
            (left + wide - 3, top + 7),
            (left + wide - 7, top + high),
            (left + 7, top + high),
        ],
        CLAY,
        closed=True,
    )
    svg.rect(left, top, wide, 7, CLAY)


def _stem(svg: Svg, x: float, top: float, foot: float, wide: float = 6.0, *, buds: int = 2) -> None:
    """Draw a cutting: flat above, slanted below, a bud at each node."""
    svg.through(
        [(x - wide / 2, top), (x + wide / 2, top), (x + wide / 2, foot - wide), (x - wide / 2, foot)],
        STEM,
        closed=True,
    )
    if buds:
        step = (foot - wide - top) / buds
        for i in range(buds):
            side = 1 if i % 2 == 0 else -1
            svg.circle(x + side * wide / 2, top + 4 + i * step, 2.4, "d-brass")


def _leaf(svg: Svg, x: float, y: float, reach: float, look: str = PAPER) -> None:
    """Draw a leaf from its stalk outward; a negative reach points to the left."""
    half = abs(reach) * 0.34
    svg.path(
        f"M{x} {y}Q{x + reach * 0.4} {y - half * 1.7} {x + reach} {y - half * 0.6}"
        f"Q{x + reach * 0.6} {y + half * 0.9} {x} {y}Z",
        look,
    )


def _drop(svg: Svg, x: float, y: float, size: float = 5.0) -> None:
    svg.path(
        f"M{x} {y - size * 1.5}C{x + size * 1.2} {y} {x + size} {y + size} {x} {y + size}"
        f"C{x - size} {y + size} {x - size * 1.2} {y} {x} {y - size * 1.5}Z",
        WATER,
    )


def _wash(svg: Svg) -> None:
    _pot(svg)
    for x, y in ((26, 34), (44, 20), (62, 34)):
        _drop(svg, x, y)
    for x in (38, 50):
        svg.line(x, 80, x, 85)


def _mix(svg: Svg) -> None:
    for x, look in ((24, PAPER), (64, "d-brasswash d-ink d-line")):
        svg.path(f"M{x - 20} 44Q{x - 12} 18 {x} 18Q{x + 12} 18 {x + 20} 44Z", look)
        for dx, dy in ((-8, 36), (0, 27), (7, 38), (-2, 40), (9, 30)):
            svg.circle(x + dx, dy, 1.6)
    svg.line(44, 24, 44, 36)
    svg.line(38, 30, 50, 30)
    svg.path("M16 56h56l-6 24H22z", CLAY)
    _drop(svg, 44, 69, 5)


def _cut(svg: Svg) -> None:
    for x, top in ((34, 14), (44, 8), (54, 16)):
        _stem(svg, x, top, 74, 5, buds=3)
    svg.path("M22 40C22 34 30 36 44 36S66 34 66 40L68 78Q44 86 20 78Z", WATER)
    _drop(svg, 32, 62, 4)
    _drop(svg, 56, 66, 4)
    for x in (38, 48):
        svg.line(x, 42, x, 72, "d-ink d-thin d-dash")


def _bundle(svg: Svg) -> None:
    for x, top in ((34, 12), (40, 8), (46, 10), (52, 14)):
        _stem(svg, x, top, 78, 6, buds=3)
    for y in (36, 60):
        svg.rect(29, y, 28, 6, PAPER)


def _divide(svg: Svg) -> None:
    svg.through([(40, 4), (48, 4), (48, 80), (40, 84)], STEM, closed=True)
    for y, side in ((14, 1), (30, -1), (46, 1), (62, -1), (76, 1)):
        svg.circle(44 + side * 4, y, 2.6, "d-brass")
    svg.line(26, 25, 62, 25, CUT)
    svg.line(28, 72, 60, 60, CUT)
    svg.path("M72 27v32", INK)
    svg.through([(68, 32), (72, 26), (76, 32)])
    svg.through([(68, 54), (72, 60), (76, 54)])


def _tip(svg: Svg) -> None:
    _stem(svg, 44, 22, 84, 6, buds=0)
    for y, reach in ((22, 12), (24, -18), (24, 18), (42, -20), (44, 20)):
        _leaf(svg, 44 + reach / 7, y, reach)
    svg.circle(44, 18, 3.2, "d-brass")
    svg.line(26, 74, 62, 60, CUT)


def _heel(svg: Svg) -> None:
    svg.through([(10, 70), (40, 62), (48, 62), (52, 66), (50, 74), (36, 80), (12, 82)], STEM, closed=True)
    _stem(svg, 44, 12, 70, 6, buds=3)
    svg.path("M30 60Q44 82 58 60", CUT)
    svg.path("M72 20v34", INK)
    svg.through([(68, 48), (72, 54), (76, 48)])


def _strip(svg: Svg) -> None:
    _stem(svg, 44, 10, 82, 6, buds=3)
    _leaf(svg, 47, 15, 20)
    svg.line(14, 50, 74, 50, "d-ink d-line d-dash")
    _leaf(svg, 41, 40, -18, "d-inset d-edge d-line d-dash")
    _leaf(svg, 47, 66, 22, "d-inset d-edge d-line d-dash")
    svg.line(52, 70, 70, 56, "d-madder d-thick")
    svg.line(52, 56, 70, 70, "d-madder d-thick")


def _bare(svg: Svg) -> None:
    _stem(svg, 44, 8, 82, 6, buds=4)
    for y, reach in ((24, 22), (44, -22), (62, 22)):
        _leaf(svg, 44 + reach / 7, y, reach, "d-inset d-edge d-line d-dash")
    svg.line(14, 14, 26, 26, "d-madder d-thick")
    svg.line(26, 14, 14, 26, "d-madder d-thick")


def _dip(svg: Svg) -> None:
    svg.path("M22 52h44v24q0 6-6 6H28q-6 0-6-6z", PAPER)
    svg.path("M22 66h44v10q0 6-6 6H28q-6 0-6-6z", "d-mallowmid d-line")
    _stem(svg, 44, 8, 74, 6, buds=3)
    svg.line(72, 66, 80, 66)
    svg.line(72, 74, 80, 74)
    svg.line(76, 60, 76, 80, "d-ink d-thin")


def _no_dip(svg: Svg) -> None:
    svg.path("M22 52h44v24q0 6-6 6H28q-6 0-6-6z", PAPER)
    _stem(svg, 44, 6, 46, 6, buds=2)
    svg.line(30, 60, 58, 78, "d-madder d-thick")
    svg.line(58, 60, 30, 78, "d-madder d-thick")


def _stick(svg: Svg) -> None:
    svg.path("M8 48h72l-8 34H16z", CLAY)
    svg.path("M12 54h64l-4 16H16z", "d-inset")
    for x in (26, 44, 62):
        svg.path(f"M{x - 5} 54L{x} 74L{x + 5} 54", "d-ink d-thin")
        _stem(svg, x, 16, 70, 6, buds=3)
    svg.line(4, 40, 4, 14)
    svg.through([(0.5, 20), (4, 13), (7.5, 20)])


def _water(svg: Svg) -> None:
    _pot(svg, 12, 48, 44, 34)
    for x in (24, 34, 44):
        _stem(svg, x, 28, 52, 4, buds=1)
    svg.path("M56 10h24v22H60z", PAPER)
    svg.line(60, 16, 42, 14)
    svg.path("M44 8l-6 12", "d-ink d-thick")
    for x, y in ((36, 26), (27, 23), (45, 25)):
        svg.line(x, y - 4, x - 2, y + 2, CLEAR)
    svg.path("M64 44h16v26l-8 12-8-12z", "d-brass d-line")
    svg.line(68, 52, 76, 52)
    svg.line(68, 58, 76, 58)
    svg.line(68, 64, 73, 64)


def _in_pot(svg: Svg, *, leaves: bool = True) -> None:
    _pot(svg, 20, 56, 48, 28)
    for x in (34, 44, 54):
        _stem(svg, x, 36, 60, 4, buds=1)
        if leaves:
            _leaf(svg, x + 2, 40, 8)


def _bag(svg: Svg) -> None:
    _in_pot(svg)
    for x in (25, 44, 63):
        svg.line(x, 18 if x == 44 else 24, x, 58, "d-ink d-thin")
    svg.path("M16 68C12 30 20 10 44 10S76 30 72 68", CLEAR)
    svg.path("M15 66q29 9 58 0", "d-ink d-line")
    svg.path("M72 66l8-4m-8 4l8 5")
    for x, y in ((28, 30), (58, 26), (66, 44)):
        _drop(svg, x, y, 2.4)


def _loose_bag(svg: Svg) -> None:
    _in_pot(svg)
    for x in (25, 44, 63):
        svg.line(x, 18 if x == 44 else 24, x, 58, "d-ink d-thin")
    svg.path("M8 58C14 26 22 10 44 10S74 26 80 58", CLEAR)
    svg.path("M4 72h14m-4-4l5 4-5 4M84 72H70m4-4l-5 4 5 4", INK)


def _frame(svg: Svg) -> None:
    svg.path("M6 42L82 24V84H6z", PAPER)
    svg.path("M2 40L86 20", "d-ink d-thick")
    svg.path("M6 42L82 24V54H6z", WATER)
    for left in (14, 50):
        _pot(svg, left, 58, 26, 24)
        for x in (left + 8, left + 18):
            _stem(svg, x, 44, 62, 4, buds=1)


def _mist(svg: Svg) -> None:
    _in_pot(svg)
    svg.line(6, 8, 82, 8, "d-ink d-thick")
    for x in (24, 44, 64):
        svg.line(x, 8, x, 14)
        for dx, dy in ((-6, 22), (0, 25), (6, 22)):
            svg.circle(x + dx, dy, 1.8, "d-enamelfill")


def _open(svg: Svg) -> None:
    _in_pot(svg, leaves=False)
    svg.path("M10 20q10-8 20 0t20 0 20 0M18 30q10-8 20 0t20 0", CLEAR)


def _shade(svg: Svg) -> None:
    _in_pot(svg)
    svg.circle(14, 14, 7, "d-brass d-line")
    for x, y in ((14, 26), (25, 22), (26, 11)):
        svg.line(14 + (x - 14) * 0.8, 14 + (y - 14) * 0.8, x + (x - 14) * 0.3, y + (y - 14) * 0.3)
    svg.through([(30, 30), (86, 14)], "d-ink d-thick")
    svg.line(82, 15, 82, 84, INK)


def _cold(svg: Svg) -> None:
    _in_pot(svg, leaves=False)
    for x1, y1, x2, y2 in ((44, 4, 44, 28), (34, 10, 54, 22), (54, 10, 34, 22)):
        svg.line(x1, y1, x2, y2, CLEAR)
    svg.line(26, 4, 62, 28, "d-madder d-thick")


#: what each drawing is made of
_DRAWN: Final[dict[str, tuple[Callable[[Svg], None], ...]]] = {
    "wash": (_wash,),
    "mix": (_mix,),
    "cut": (_cut,),
    "bundle": (_bundle,),
    "divide": (_divide,),
    "tip": (_tip,),
    "heel": (_heel,),
    "strip": (_strip,),
    "bare": (_bare,),
    "dip": (_dip,),
    "no-dip": (_no_dip,),
    "stick": (_stick,),
    "water": (_water,),
    "bag": (_bag,),
    "loose-bag": (_loose_bag,),
    "frame": (_frame,),
    "mist": (_mist,),
    "open": (_open,),
    "shade": (_shade,),
    "cold": (_cold,),
}
KINDS: Final = tuple(_DRAWN)
"""Every drawing there is."""
