"""The cane taken apart into cuttings, tip up, with one cutting drawn large beside it."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import Final

from slipwright.craft.said import Said
from slipwright.outputs._press import palette
from slipwright.outputs._press.cane_parts import (
    CaneCutting,
    CaneDrawing,
    draw_prickles,
    largest_scale,
    standing,
)
from slipwright.outputs._press.cutting_drawing import LARGE_MM, draw_cutting
from slipwright.outputs._press.paper import Paper
from slipwright.outputs._press.stem import Stem, draw_node, draw_stem
from slipwright.outputs.measures import First

MAP_MM: Final = 42.5
"""Width given to the cane taken apart."""
WIDTH_MM: Final = MAP_MM + LARGE_MM
"""Width of the whole drawing."""


def draw_cane(
    paper: Paper, cane: CaneDrawing, x: float, top: float, height_mm: float, first: First = "metric"
) -> float:
    """Draw the cane taken apart, if it is cut into pieces, and one cutting large beside it.

    Parameters
    ----------
    paper : Paper
        The page.
    cane : CaneDrawing
        The cane.
    x : float
        Left edge [mm].
    top : float
        Upper edge [mm].
    height_mm : float
        Room downwards [mm].
    first : str
        Which measure comes before the brackets: metric or us.

    Returns
    -------
    float
        Foot of the drawing [mm].

    References
    ----------
    The house's own drawing style (common practice, no source).
    """
    taken_apart = len(cane.cuttings) > 1
    title = _DIVIDE.get(cane.called, _DIVIDE["shoot"]) if taken_apart else _NAMES[cane.form]
    paper.plain(paper.told(title), x, top + 4, 12, "bold")
    if taken_apart:
        foot = _map(paper, cane, x, top + 8, height_mm - 8)
        return max(foot, draw_cutting(paper, cane, x + MAP_MM, top + 8, height_mm - 8, first))
    return draw_cutting(paper, cane, x + MAP_MM / 2, top + 8, height_mm - 8, first)


_NAMES: Final = {
    "piece": Said("The cutting"),
    "tip": Said("The tip cutting"),
    "heel": Said("The heel cutting"),
    "mallet": Said("The mallet cutting"),
    "single-node": Said("The single-node cutting"),
}
_DIVIDE: Final = {"shoot": Said("Divide the shoot"), "cane": Said("Divide the cane")}


def _map(paper: Paper, cane: CaneDrawing, x: float, top: float, height: float) -> float:
    """Draw the whole cane, tip up, with gaps where it is cut; what is left out is hatched."""
    gap = min(max(0.22 * height / len(cane.cuttings), 2.0), 6.0)
    ends = [min(max(0.12 * end, 5.0), 12.0) if end > 0 else 0.0 for end in (cane.tip_mm, cane.base_mm)]
    n_gaps = len(cane.cuttings) - 1 + sum(end > 0 for end in ends)
    room = height - sum(ends) - n_gaps * gap
    blank = Stem(0.0, 0.0, 0.0, 2.8, 3.4, cane.wood)
    scale = largest_scale(cane, cane.cuttings, blank, room, most=0.5)
    pieces = [standing(cane, cutting, blank, scale) for cutting in cane.cuttings]
    middle, y = x + 11.0, top
    foot = top + sum(piece.foot for piece in pieces) + sum(ends) + n_gaps * gap
    _up_arrow(paper, x + 2.2, top, foot)
    if ends[0]:
        _end_part(
            paper,
            cane,
            Stem(middle, y, y + ends[0], 1.6, 2.4, cane.wood, "broken", "flat"),
            Said("tip: leave out"),
        )
        y += ends[0] + gap
    for cutting, piece in zip(cane.cuttings, pieces, strict=True):
        part = replace(piece, x=middle, top=y, foot=y + piece.foot)
        _piece(paper, cane, cutting, part, scale)
        _says(paper, cutting, x + 17.0, part, gap)
        y = part.foot + gap
    if ends[1]:
        _end_part(
            paper,
            cane,
            Stem(middle, y, y + ends[1], 3.4, 4.0, cane.wood, "flat", "broken"),
            Said("base: leave out"),
        )
    return foot


def _piece(paper: Paper, cane: CaneDrawing, cutting: CaneCutting, part: Stem, scale: float) -> None:
    nodes = cane.nodes_between(cutting.top_mm, cutting.base_mm)
    at = [(i, part.top + scale * (mm - cutting.top_mm)) for i, mm in nodes]
    spacing = min((b[1] - a[1] for a, b in pairwise(at)), default=4.0)
    if cane.prickles:
        draw_prickles(paper, part, [y for _, y in at], 0.9)
    draw_stem(paper, part, width_pt=0.7)
    bud = min(max(0.28 * spacing, 0.5), 1.1)
    for i, y in at:
        draw_node(paper, part, max(y, part.top + 2.1 * bud), cane.sides(i), bud)


def _says(paper: Paper, cutting: CaneCutting, x: float, part: Stem, gap: float) -> None:
    room = part.foot - part.top + gap - 0.5
    lines = cutting.says if room >= 7 else cutting.says[:1]
    step = 3.5
    y = (part.top + part.foot) / 2 - (len(lines) - 1) * step / 2 + 1.2
    paper.plain(cutting.name, x, y, 10.5, "bold")
    for line in lines[: max(int(room / step), 1)]:
        paper.plain(line, x + 4.2, y, 8)
        y += step


def _end_part(paper: Paper, cane: CaneDrawing, part: Stem, words: str) -> None:
    draw_stem(paper, part, left_out=True, width_pt=0.7)
    paper.plain(paper.told(words), part.x + 6.0, (part.top + part.foot) / 2 + 1.2, 8)


def _up_arrow(paper: Paper, x: float, top: float, foot: float) -> None:
    paper.line([(x, foot), (x, top + 1.5)], width_pt=1.1)
    paper.shape([(x, top), (x + 1.2, top + 2.6), (x - 1.2, top + 2.6)], fill=palette.INK, stroke=None)
    with paper.turned(x - 1.4, (top + foot) / 2, 90):
        paper.text_centred([(paper.told(Said("all the same way up")), "bold")], 0, 0, 8)
