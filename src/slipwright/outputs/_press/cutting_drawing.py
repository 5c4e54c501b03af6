"""One cutting drawn large: cuts, buds, leaf and medium, the ends named in words."""

from __future__ import annotations

from collections.abc import Sequence
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
from slipwright.outputs._press.paper import Paper, Point
from slipwright.outputs._press.paragraphs import paragraph
from slipwright.outputs._press.stem import End, Stem, draw_leaf, draw_node, draw_stem
from slipwright.outputs._press.typeface import Run, text_width_mm
from slipwright.outputs.measures import First, length_text

LARGE_MM: Final = 34.0
"""Width given to the one cutting drawn large."""
_FOOT_WORDS: Final = {
    "piece": (Said("slant base"), Said("just below the node")),
    "single-node": (Said("slant base"), Said("below the node")),
    "tip": (Said("slant base"), Said("just below the node")),
    "heel": (Said("heel"), Said("a sliver of the older wood")),
    "mallet": (Said("mallet"), Said("a slice of the older wood")),
}
_LEAF_WORDS: Final = {
    "kept": (Said("top leaf"), Said("kept")),
    "reduced": (Said("leaf cut"), Said("by half")),
    "leaflets": (Said("leaf cut"), Said("back")),
}
_HEAD_MM: Final = 14.0
_FOOT_MM: Final = 16.0


def draw_cutting(
    paper: Paper, cane: CaneDrawing, x: float, top: float, height_mm: float, first: First = "metric"
) -> float:
    """Draw one cutting as it stands in the medium, its ends named, at full size if there is room.

    Parameters
    ----------
    paper : Paper
        The page.
    cane : CaneDrawing
        The cane; its middle cutting is drawn, or the whole shoot if it is not divided.
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
    whole = CaneCutting(0.0, cane.cane_mm)
    cutting = cane.cuttings[len(cane.cuttings) // 2] if cane.cuttings else whole
    head = paragraph(_head_words(cane, first)[1], size_pt=8, width_mm=LARGE_MM + 2).lines[:3]
    top += 3.5 * (len(head) - 1)
    height_mm -= 3.5 * (len(head) - 1)
    thick = (2.4, 3.4) if cane.form == "tip" else (4.4, 5.4)
    foot_end: End = "flat" if cane.form in ("heel", "mallet") else "slant"
    blank = Stem(x + LARGE_MM / 2, top + _HEAD_MM, top + _HEAD_MM, *thick, cane.wood, "flat", foot_end)
    scale = largest_scale(cane, (cutting,), blank, height_mm - _HEAD_MM - _FOOT_MM, most=1.0)
    stem = standing(cane, cutting, blank, scale)
    inside = cane.nodes_between(cutting.top_mm, cutting.base_mm)
    bud = _bud_mm(cane)
    nodes = [max(stem.top + scale * (mm - cutting.top_mm), stem.top + 2.1 * bud) for _, mm in inside]
    n_under, surface = buried_part(cane, stem, nodes)
    _medium(paper, x, surface, stem, n_under)
    _shoot(paper, cane, stem, nodes, surface)
    _foot(paper, cane, stem, nodes)
    _words(paper, cane, stem, first)
    _leaf_words(paper, cane, stem, nodes, surface)
    if scale == 1.0:
        paper.text_centred(
            [(paper.told(Said("drawn at full size")), "regular")], stem.x, stem.foot + 14.5, 8, palette.INK2
        )
    return stem.foot + _FOOT_MM


def _bud_mm(cane: CaneDrawing) -> float:
    return 0.8 if cane.form == "tip" else 1.5


def buried_part(cane: CaneDrawing, stem: Stem, nodes: Sequence[float]) -> tuple[int, float]:
    """Return how many nodes stand in the medium and the height of its surface, clear of every bud.

    Parameters
    ----------
    cane : CaneDrawing
        The cane: so many nodes under, or a share of the length; one node always stays above.
    stem : Stem
        The stem of the cutting on the page.
    nodes : sequence of float
        Heights of its nodes on the page [mm].

    Returns
    -------
    tuple of int and float
        Nodes under, 0 where there is only one [1]; height of the surface on the page [mm].

    References
    ----------
    The depth is the handbook's; keeping clear of the buds is the house's own drawing style (common
    practice, no source).
    """
    share, n_under = cane.under_share, cane.nodes_under
    asked = stem.foot - (share or 0.45) * (stem.foot - stem.top)
    if share is not None:
        n_under = max(sum(y > asked for y in nodes), 1)
        n_under = min(n_under, len(nodes) - 1)
    if not 0 < n_under < len(nodes):
        return 0, asked
    above, below = nodes[-n_under - 1], nodes[-n_under]
    if share is None:
        return n_under, below - 0.45 * (below - above)
    clear = 0.3 * (below - above)
    return n_under, min(max(asked, above + clear), below - clear)


def _medium(paper: Paper, x: float, surface: float, stem: Stem, n_under: int) -> None:
    deep = stem.foot + 3.0
    paper.box(x, surface, LARGE_MM, deep - surface, fill=palette.INSET, stroke=None)
    for i in range(int((deep - surface) * LARGE_MM / 6)):  # specks by a fixed rule, not by chance
        dx, dy = (i * 0.754878 % 1) * LARGE_MM, (i * 0.569840 % 1) * (deep - surface)
        paper.circle(x + dx, surface + dy, 0.22, fill=palette.EDGE, stroke=None)
    paper.line([(x, surface), (x + LARGE_MM, surface)], width_pt=1.0)
    number = Said("one node") if n_under == 1 else Said("{n} nodes", n=n_under)
    for k, line in enumerate((number, Said("under")) if n_under else ()):
        _on_patch(paper, paper.told(line), x + LARGE_MM - 0.8, surface + 3.8 + 3.2 * k, 8, "right")
    _on_patch(paper, paper.told(Said("medium")), x + 0.8, surface + 3.8, 8, "left")


def _on_patch(paper: Paper, text: str, x: float, y: float, size_pt: float, end: str) -> None:
    """Write on the speckled medium, the specks kept clear of the letters."""
    wide = text_width_mm(text, "regular", size_pt)
    left = x if end == "left" else x - wide
    paper.box(left - 0.5, y - 2.4, wide + 1.0, 3.3, fill=palette.INSET, stroke=None)
    paper.plain(text, left, y, size_pt)


def _foot(paper: Paper, cane: CaneDrawing, stem: Stem, nodes: Sequence[float]) -> None:
    """Older wood left on a heel or mallet cutting; else the line of the slanted cut."""
    left, right, foot = stem.edge(stem.foot, -1), stem.edge(stem.foot, 1), stem.foot
    if cane.form == "heel":
        start = max([foot - 6.5, *(y + 0.5 for y in nodes[-1:])])
        tail = (left - 3.2, foot + 3.4)
        parts = [
            ((left - 0.4, foot - 1.5), (left - 1.6, foot + 1), tail),
            ((left, foot + 2.6), (right - 1.5, foot + 1.4), (right, foot - 1.2)),
            ((right - 2, foot - 0.6), (left + 2, foot - 1.4), (left, start)),
        ]
        paper.curve((left, start), parts, fill=palette.WOOD, width_pt=1.1)
    elif cane.form == "mallet":
        paper.box(stem.x - 7.5, foot - 4.6, 15.0, 5.2, fill=palette.WOOD, corner=0.4, width_pt=1.1)
        paper.circle(stem.x + 7.5, foot - 2.0, 2.6, fill=palette.WOODMID, width_pt=1.1)
        paper.circle(stem.x + 7.5, foot - 2.0, 1.2, width_pt=0.6)
    else:
        _cut(paper, (right, foot - stem.slant), (left, foot), 4.0)
    if cane.form != "tip":
        _cut(paper, (stem.edge(stem.top, 1), stem.top), (stem.edge(stem.top, -1), stem.top), 4.0)


def _cut(paper: Paper, start: Point, end: Point, beyond: float) -> None:
    """Draw the line of a cut, carried on past the bark on the far side."""
    long = ((end[0] - start[0]) ** 2 + (end[1] - start[1]) ** 2) ** 0.5
    dx, dy = (end[0] - start[0]) / long, (end[1] - start[1]) / long
    far = (end[0] + beyond * dx, end[1] + beyond * dy)
    paper.line(
        [(end[0] + 0.5 * dx, end[1] + 0.5 * dy), far], width_pt=1.2, colour=palette.MADDER, dash=(2, 1.2)
    )


def _shoot(paper: Paper, cane: CaneDrawing, stem: Stem, nodes: Sequence[float], surface: float) -> None:
    if cane.prickles:
        draw_prickles(paper, stem, nodes, 1.7)
    leafy = [] if cane.leaves == "none" else _leafy(cane, stem, nodes, surface)
    spacing = min((b - a for a, b in pairwise(nodes)), default=14.0)
    for j, y in leafy:
        for side in cane.sides(j):
            size = 14.5 if cane.form != "tip" else min(max(0.9 * spacing, 6.5), 14.0)
            draw_leaf(paper, (stem.edge(y, side), y), side, size, cane.leaf, reduced=cane.leaves == "reduced")
    draw_stem(paper, stem, width_pt=1.1)
    for j, y in enumerate(nodes):
        draw_node(paper, stem, y, cane.sides(j), _bud_mm(cane))
    if cane.form == "tip":
        for side in (-1, 1):
            draw_leaf(paper, (stem.x + side * 0.4, stem.top + 0.3), side, 5.5, "simple", rise=1.8)
        paper.circle(stem.x, stem.top - 0.5, 1.0, fill=palette.BRASS, width_pt=0.7)


def _leafy(cane: CaneDrawing, stem: Stem, nodes: Sequence[float], surface: float) -> list[tuple[int, float]]:
    """Nodes whose leaves stay on: the top one, or on a tip cutting the upper half."""
    numbered = list(enumerate(nodes))
    if cane.form != "tip":
        return numbered[:1]
    half = min(stem.top + 0.5 * (stem.foot - stem.top), surface - 9.5)
    return [(j, y) for j, y in numbered if y < half and y > stem.top + 2]


def _head_words(cane: CaneDrawing, first: First) -> tuple[str, str]:
    if cane.form == "tip":
        return Said("tip kept"), Said("no flower bud on it")
    stub = length_text(cane.top_stub_mm, first=first)
    return Said("flat top"), cane.top_stub_text or Said("{stub} above the bud", stub=stub)


def _words(paper: Paper, cane: CaneDrawing, stem: Stem, first: First) -> None:
    """Name the two ends; the words for the top end just above its arrow."""
    head, foot = (
        tuple(paper.told(words) for words in pair)
        for pair in (_head_words(cane, first), _FOOT_WORDS[cane.form])
    )
    above = paragraph(head[1], size_pt=8, width_mm=LARGE_MM + 2).lines[:3]
    rows: list[tuple[float, Sequence[Run], float]] = [
        (stem.top - 7.5 - 3.5 * len(above), [(head[0], "bold")], 9)
    ]
    rows += [(stem.top - 7.5 - 3.5 * k, line, 8) for k, line in enumerate(reversed(above))]
    rows += [(stem.foot + 6.6, [(foot[0], "bold")], 9), (stem.foot + 10.1, [(foot[1], "regular")], 8)]
    for y, runs, size in rows:
        paper.text_centred(runs, stem.x, y, size)
    if cane.form != "tip":
        at = stem.top - 0.7
        paper.line([(stem.x, stem.top - 6.0), (stem.x, at - 1.0)], width_pt=0.8)
        paper.shape(
            [(stem.x, at), (stem.x - 0.7, at - 1.5), (stem.x + 0.7, at - 1.5)], fill=palette.INK, stroke=None
        )


def _leaf_words(paper: Paper, cane: CaneDrawing, stem: Stem, nodes: Sequence[float], surface: float) -> None:
    if cane.leaves == "none" or not nodes:
        return
    tip = cane.form == "tip"
    y = surface - 5.0 if tip else nodes[0] + 4.5
    words = _LEAF_WORDS["leaflets" if cane.leaf == "leaflets" and cane.leaves == "reduced" else cane.leaves]
    for k, line in enumerate((Said("lower"), Said("leaves off")) if tip else words):
        paper.plain(paper.told(line), stem.edge(y, 1) + 2.6, y + 3.2 * k, 8)
