"""A stem as the house draws it: tip up, a line across at each node, a round brass bud in each axil.

Prickles are small hooks of plain ink between nodes, never brass and never at a node, or they would
be taken for buds.  Soft, semi-hard and hard wood are told apart by dots, slanting stripes and solid.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from slipwright.outputs._press import palette
from slipwright.outputs._press.paper import Paper, Point

Wood = Literal["softwood", "semi-hardwood", "hardwood"]
End = Literal["flat", "slant", "broken"]
Leaf = Literal["none", "simple", "leaflets"]

_FILL: Final[dict[str, str]] = {
    "softwood": palette.WOODSOFT,
    "semi-hardwood": palette.WOODMID,
    "hardwood": palette.WOOD,
}


@dataclass(frozen=True)
class Stem:
    """A length of stem standing at x from ``top`` to ``foot``; all in mm on the page."""

    x: float
    top: float
    foot: float
    top_width: float
    foot_width: float
    wood: Wood = "semi-hardwood"
    top_end: End = "flat"
    foot_end: End = "slant"
    slant: float = 4.0
    """How much higher a slanted base is on its right [mm]."""

    def width(self, y: float) -> float:
        """Thickness at a height: thinner towards the tip [mm]."""
        share = (y - self.top) / max(self.foot - self.top, 1e-9)
        return self.top_width + (self.foot_width - self.top_width) * min(max(share, 0.0), 1.0)

    def edge(self, y: float, side: int) -> float:
        """Return the bark on the left (-1) or right (1) at a height [mm]."""
        return self.x + side * self.width(y) / 2

    def outline(self) -> list[Point]:
        """Corners, clockwise from the top left."""
        slant = self.slant if self.foot_end == "slant" else 0.0
        top = [(self.edge(self.top, -1), self.top), (self.edge(self.top, 1), self.top)]
        if self.top_end == "broken":
            top = _broken(top[0], top[1], 0.5)
        right, left = self.edge(self.foot, 1), self.edge(self.foot, -1)
        foot = [(right, self.foot - slant), (left, self.foot)]
        if self.foot_end == "broken":
            foot = _broken((right, self.foot), (left, self.foot), 0.5)
        return [*top, *foot]


def _broken(start: Point, end: Point, depth: float) -> list[Point]:
    """Return a jagged line between two points: the stem goes on, or is no use."""
    n = 4
    return [
        (start[0] + (end[0] - start[0]) * i / n, start[1] + (depth if i % 2 else -depth) * (0 < i < n))
        for i in range(n + 1)
    ]


def draw_stem(paper: Paper, stem: Stem, *, left_out: bool = False, width_pt: float = 0.9) -> None:
    """Draw the bare stem, textured by its wood; hatched on white where it is left out.

    Parameters
    ----------
    paper : Paper
        The page.
    stem : Stem
        The stem.
    left_out : bool
        Hatched, as no cutting is made of it.
    width_pt : float
        Thickness of its outline [pt].

    References
    ----------
    The house's own drawing style (common practice, no source).
    """
    outline = stem.outline()
    paper.shape(outline, fill=palette.SHEET if left_out else _FILL[stem.wood], stroke=None)
    with paper.inside(outline):
        if left_out:
            _stripes(paper, stem, 1.3, palette.INK2, 0.5, rise=-1)
        elif stem.wood == "semi-hardwood":
            _stripes(paper, stem, 2.2, palette.WOOD, 0.5, rise=1)
        elif stem.wood == "softwood":
            _dots(paper, stem)
    paper.shape(outline, width_pt=width_pt, dash=(2, 1.2) if left_out else ())


def _stripes(paper: Paper, stem: Stem, step: float, colour: str, width_pt: float, rise: int) -> None:
    half = max(stem.foot_width, stem.top_width) / 2
    y = stem.top - 2 * half
    while y < stem.foot + 2 * half:
        paper.line(
            [(stem.x - half, y + rise * half), (stem.x + half, y - rise * half)],
            width_pt=width_pt,
            colour=colour,
        )
        y += step


def _dots(paper: Paper, stem: Stem) -> None:
    y, left = stem.top + 0.8, True
    while y < stem.foot:
        paper.circle(stem.x + (-0.2 if left else 0.2) * stem.width(y), y, 0.17, fill=palette.INK, stroke=None)
        y, left = y + 0.9, not left


def draw_node(paper: Paper, stem: Stem, y: float, sides: Sequence[int], bud_mm: float) -> None:
    """Draw a node: a line across, and on each side a bud above its leaf scar.

    Parameters
    ----------
    paper : Paper
        The page.
    stem : Stem
        The stem it is on.
    y : float
        Its height on the page [mm].
    sides : sequence of int
        Sides with a bud, -1 left and 1 right [-].
    bud_mm : float
        Radius of a bud [mm].

    References
    ----------
    The house's own drawing style (common practice, no source).
    """
    on_dark = stem.wood == "hardwood"
    paper.line(
        [(stem.edge(y, -1), y), (stem.edge(y, 1), y)],
        width_pt=0.7,
        colour=palette.SHEET if on_dark else palette.INK,
    )
    for side in sides:
        edge = stem.edge(y, side)
        scar = [(edge, y - 0.1 * bud_mm), (edge + side * 0.95 * bud_mm, y), (edge, y + 0.75 * bud_mm)]
        paper.shape(scar, fill=palette.INK, width_pt=0.3)
        paper.circle(edge + side * 0.55 * bud_mm, y - 0.95 * bud_mm, bud_mm, fill=palette.BRASS, width_pt=0.7)


def draw_prickle(paper: Paper, stem: Stem, y: float, side: int, size_mm: float) -> None:
    """Draw one prickle, a small hook of ink bent towards the base.

    Parameters
    ----------
    paper : Paper
        The page.
    stem : Stem
        The stem it is on.
    y : float
        Its height on the page [mm].
    side : int
        -1 left, 1 right [-].
    size_mm : float
        How far it stands out [mm].

    References
    ----------
    The house's own drawing style (common practice, no source).
    """
    edge = stem.edge(y, side) - side * 0.1
    tip = (edge + side * size_mm, y + 0.45 * size_mm)
    paper.curve(
        (edge, y - 0.55 * size_mm),
        [
            ((edge + side * 0.45 * size_mm, y - 0.3 * size_mm), (edge + side * 0.8 * size_mm, y), tip),
            (
                (edge + side * 0.6 * size_mm, y + 0.2 * size_mm),
                (edge + side * 0.25 * size_mm, y + 0.25 * size_mm),
                (edge, y + 0.55 * size_mm),
            ),
        ],
        fill=palette.INK,
        stroke=None,
    )


def draw_leaf(
    paper: Paper,
    at: Point,
    side: int,
    length_mm: float,
    leaf: Leaf,
    *,
    rise: float = 0.55,
    reduced: bool = False,
) -> None:
    """Draw a leaf from its axil outwards and up.

    Parameters
    ----------
    paper : Paper
        The page.
    at : (float, float)
        Where its stalk leaves the stem [mm].
    side : int
        -1 left, 1 right [-].
    length_mm : float
        Length of stalk and blade together [mm].
    leaf : str
        simple or leaflets; none draws nothing.
    rise : float
        Steepness: how far it rises for each step outwards [-].
    reduced : bool
        The outer half is cut off, to save water.

    References
    ----------
    The house's own drawing style (common practice, no source).
    """
    if leaf == "none":
        return
    run = length_mm / (1 + rise**2) ** 0.5
    along = (side * run, -rise * run)
    if leaf == "simple":
        start = (at[0] + 0.15 * along[0], at[1] + 0.15 * along[1])
        paper.line([at, start], width_pt=0.8)
        _blade(paper, start, (0.85 * along[0], 0.85 * along[1]), 0.2, reduced)
        return
    across = (-along[1], along[0])

    def at_share(share: float) -> Point:
        return at[0] + share * along[0], at[1] + share * along[1]

    stop = 0.36 if reduced else 0.62
    paper.line([at, at_share(stop)], width_pt=0.8)
    for share in (0.3,) if reduced else (0.3, 0.55):
        for way in (-0.3, 0.3):
            reach = (0.16 * along[0] + way * across[0], 0.16 * along[1] + way * across[1])
            _blade(paper, at_share(share), reach, 0.27)
    _blade(paper, at_share(stop), (0.38 * along[0], 0.38 * along[1]), 0.27)


def _blade(paper: Paper, start: Point, along: Point, half: float, reduced: bool = False) -> None:
    """One blade with its midrib; of a reduced one the part cut off is only dotted in."""
    across = (-along[1] * half * 1.4, along[0] * half * 1.4)

    def at(along_share: float, across_share: float) -> Point:
        return (
            start[0] + along_share * along[0] + across_share * across[0],
            start[1] + along_share * along[1] + across_share * across[1],
        )

    whole = [(at(0.25, 0.9), at(0.7, 0.9), at(1, 0)), (at(0.7, -0.9), at(0.25, -0.9), at(0, 0))]
    if not reduced:
        paper.curve(start, whole, fill=palette.LEAF, width_pt=0.8)
        paper.line([start, at(0.8, 0)], width_pt=0.5)
        return
    paper.curve(start, whole, fill=palette.SHEET, width_pt=0.6, dash=(1, 1.6))
    with paper.inside([at(-0.1, 1), at(0.5, 1), at(0.5, -1), at(-0.1, -1)]):
        paper.curve(start, whole, fill=palette.LEAF, width_pt=0.8)
    paper.line([at(0.5, 0.68), at(0.5, -0.68)], width_pt=0.8)
    paper.line([start, at(0.5, 0)], width_pt=0.5)
