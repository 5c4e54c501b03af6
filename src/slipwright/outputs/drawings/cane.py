"""A cane taken apart into cuttings, tip up, and the forms a cutting may have."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from slipwright.craft.errors import BadArgument
from slipwright.outputs.drawings._limb import curve, draw_leaf, draw_limb, straight
from slipwright.outputs.svg import Svg

if TYPE_CHECKING:
    from slipwright.outputs.sheet import CaneCutting, CaneDrawing

CUTTINGS = ("piece", "tip", "heel", "mallet", "single-node")
WIDTH = 300.0
#: of a long cane so many pieces are drawn; the others are alike
MOST_PIECES = 4
_X, _HALF, _GAP, _END = 122.0, 8.0, 30.0, 46.0
_PX_PER_MM = 0.85
_LOOKS = {"softwood": "d-woodsoft", "semi-hardwood": "d-woodmid", "hardwood": "d-wood"}


def cane_apart(
    cane: CaneDrawing,
    *,
    tip_words: str = "",
    base_words: str = "",
    top_cut_words: Sequence[str] = (),
    base_cut_words: Sequence[str] = (),
    title: str = "",
) -> str:
    """Return a shoot taken apart: each cutting flat above its top bud, slanted below its lowest node.

    Parameters
    ----------
    cane : CaneDrawing
        The shoot and its cuttings.
    tip_words : str
        Said beside the tip that is left out.
    base_words : str
        Said beside the base that is left out.
    top_cut_words : sequence of str
        Lines beside the first flat cut.
    base_cut_words : sequence of str
        Lines beside the first slanted cut.
    title : str
        What it shows, in a sentence.

    Returns
    -------
    str
        The drawing as SVG: buds are round and stand at nodes; prickles are hooks between nodes.

    References
    ----------
    Where to cut: as the shoot drawn.  The drawing is our own.

    Examples
    --------
    >>> from slipwright.outputs.sheet import CaneCutting, CaneDrawing
    >>> svg = cane_apart(CaneDrawing(200, (60, 100, 140), (CaneCutting(50, 145, "A"),), 20, 20))
    >>> svg.count("d-brass")
    3
    """
    pieces = cane.cuttings[:MOST_PIECES]
    heights = [max(_PX_PER_MM * (piece.base_mm - piece.top_mm), 44.0) for piece in pieces]
    height = sum(heights) + _GAP * (len(pieces) + 1) + 2 * _END
    svg = Svg(WIDTH, height, title, "cane")
    svg.line(8, height - 8, 8, 14, "d-ink d-line")
    svg.through([(8, 4), (2, 18), (14, 18)], "d-solid", closed=True)
    y = 2.0
    _left_out(svg, y, tip_words, tip=True)
    y += _END + _GAP
    for i, (piece, tall) in enumerate(zip(pieces, heights, strict=True)):
        _piece(svg, cane, piece, y, tall)
        if i == 0:
            _beside(svg, y, top_cut_words, above=True)
            _beside(svg, y + tall, base_cut_words, above=False)
        y += tall + _GAP
    _left_out(svg, y, base_words, tip=False)
    return str(svg)


def form_of_cutting(cutting: str, title: str = "") -> str:
    """Return the drawing of one form of cutting.

    Parameters
    ----------
    cutting : {'piece', 'tip', 'heel', 'mallet', 'single-node'}
        The form.
    title : str
        What it shows, in words; empty beside the same words.

    Returns
    -------
    str
        The drawing as SVG.

    Raises
    ------
    BadArgument
        If the word is none of the five.

    References
    ----------
    Forms of cuttings: common practice, no source.  The drawing is our own.

    Examples
    --------
    >>> form_of_cutting("mallet").count("d-wood ")
    1
    """
    if cutting not in CUTTINGS:
        raise BadArgument("cutting", f"be one of {', '.join(CUTTINGS)}", cutting)
    svg = Svg(100, 100, title, "form")
    if cutting == "tip":
        _tip(svg)
    elif cutting == "single-node":
        _upright(svg, 34, 72, (44,))
    elif cutting == "heel":
        _upright(svg, 10, 82, (22, 48, 72), slanted=False)
        svg.path("M44 80L56 80C57 88 52 94 42 98C44 92 44 86 44 80Z", "d-wood d-line")
    elif cutting == "mallet":
        _upright(svg, 10, 82, (22, 48, 70), slanted=False)
        draw_limb(svg, straight((26, 87), (76, 87)), 13, 13, "hardwood")
    else:
        _upright(svg, 10, 94, (22, 52, 82))
    return str(svg)


def _piece(svg: Svg, cane: CaneDrawing, piece: CaneCutting, top: float, tall: float) -> None:
    scale = tall / (piece.base_mm - piece.top_mm)
    foot = top + tall
    nodes = [
        (i, top + scale * (mm - piece.top_mm)) for i, mm in cane.nodes_between(piece.top_mm, piece.base_mm)
    ]
    lowest = nodes[-1][1] if nodes else top
    slant = min(12.0, max(foot - lowest - 1, 5.0))
    leafy = nodes[:1] if cane.leaves == "kept" else (nodes[:1] if cane.leaves == "reduced" else [])
    for i, y in leafy:
        for side in cane.sides(i):
            _leaf(svg, cane, y, side)
    if cane.prickles:
        _prickles(svg, [y for _, y in nodes])
    outline = [(_X - _HALF, top), (_X + _HALF, top), (_X + _HALF, foot + 3 - slant), (_X - _HALF, foot + 3)]
    svg.through(outline, f"{_LOOKS[cane.wood]} d-line", closed=True)
    _texture(svg, cane.wood, top, foot - slant)
    for i, y in nodes:
        svg.line(_X - _HALF, y, _X + _HALF, y, "d-ink d-thin")
        for side in cane.sides(i):
            svg.circle(_X + side * (_HALF + 2), max(y - 4, top + 5), 4.5, "d-brass d-line")
    svg.line(_X - 22, top, _X + 22, top, "d-madder d-dash d-line")
    svg.line(_X - 20, foot + 7, _X + 20, foot - slant - 1, "d-madder d-dash d-line")
    middle = (top + foot) / 2 - 9 * (len(piece.says) - 1)
    svg.text(_X + 40, middle + 6, piece.name, "strong")
    for i, line in enumerate(piece.says):
        svg.text(_X + 58, middle + 6 + 18 * i, line)


def _left_out(svg: Svg, top: float, words: str, *, tip: bool) -> None:
    """Draw an end no cutting is made of: hatched, dashed round, named."""
    half = (4.0, 7.0) if tip else (_HALF, _HALF + 1)
    if tip:
        for x, y in ((_X - 16, top + 6), (_X + 16, top + 6), (_X, top - 2)):
            draw_leaf(svg, (_X, top + 26), (x, y), 4, "d-sheet d-edge d-line")
        top += 14
    foot = top + _END - (14 if tip else 0)
    outline = [(_X - half[0], top), (_X + half[0], top), (_X + half[1], foot), (_X - half[1], foot)]
    svg.through(outline, "d-sheet", closed=True)
    y = top + 4
    while y < foot - 3:
        svg.line(_X - half[0], y + 5, _X + half[0], y - 3, "d-ink d-thin")
        y += 6
    svg.through([*outline, outline[0]], "d-ink d-line d-dash")
    if words:
        svg.text(_X + 40, (top + foot) / 2 + 5, words, "quiet")


def _beside(svg: Svg, y: float, lines: Sequence[str], *, above: bool) -> None:
    first = y - 16 * (len(lines) - 1) - (0 if above else 8)
    for i, line in enumerate(lines):
        svg.text(_X - 27, first + 16 * i, line, "end")


def _leaf(svg: Svg, cane: CaneDrawing, y: float, side: int) -> None:
    x = _X + side * (_HALF + 1)
    reach = 26 if cane.leaves == "kept" else 18
    if cane.leaf == "leaflets":
        svg.line(x, y, x + side * reach, y - 9, "d-ink d-line")
        for share, up in ((0.45, -10.0), (0.55, 8.0)):
            stalk = (x + side * reach * share, y - 9 * share)
            draw_leaf(svg, stalk, (stalk[0] + side * 9, stalk[1] + up), 3)
        draw_leaf(svg, (x + side * reach * 0.9, y - 8), (x + side * (reach + 15), y - 14), 4)
        return
    draw_leaf(svg, (x, y), (x + side * (reach + 6), y - 14), 5)


def _prickles(svg: Svg, nodes: Sequence[float]) -> None:
    """Draw hooks of ink between nodes, never at one, or they would be taken for buds."""
    for n, (a, b) in enumerate(pairwise(nodes)):
        if b - a < 16:
            continue
        for k, share in enumerate((0.32, 0.62)):
            side = 1 if (n + k) % 2 else -1
            x, y = _X + side * (_HALF - 0.5), a + share * (b - a)
            hook = f"Q{x + side * 4} {y - 1} {x + side * 7} {y + 4}Q{x + side * 3} {y + 3} {x} {y + 3}Z"
            svg.path(f"M{x} {y - 3}{hook}", "d-solid")


def _texture(svg: Svg, wood: str, top: float, foot: float) -> None:
    y = top + 8
    while wood != "hardwood" and y < foot - 4:
        if wood == "semi-hardwood":
            svg.line(_X - _HALF, y + 4, _X + _HALF, y - 4, "d-ink d-thin")
        else:
            svg.circle(_X + (2.5 if round(y) % 2 else -2.5), y, 1)
        y += 8


def _upright(svg: Svg, top: float, foot: float, nodes: Sequence[float], *, slanted: bool = True) -> None:
    slant = 8.0 if slanted else 0.0
    draw_leaf(svg, (56, nodes[0]), (92, nodes[0] - 14), 8)
    svg.through([(44, top), (56, top), (56, foot - slant), (44, foot)], "d-woodmid d-line", closed=True)
    for i, y in enumerate(nodes):
        svg.line(44, y, 56, y, "d-ink d-thin")
        svg.circle(58 if i % 2 == 0 else 42, y - 4, 4.5, "d-brass d-line")


def _tip(svg: Svg) -> None:
    for x, y in ((24, 66), (76, 66), (26, 46), (74, 46)):
        draw_leaf(svg, (50, y + 8), (x, y), 5)
    for x, y in ((38, 10), (62, 10), (50, 2)):
        draw_leaf(svg, (50, 34), (x, y), 4.5)
    draw_limb(svg, curve((50, 98), (50, 80), (50, 60), (50, 32)), 9, 4, "softwood")
