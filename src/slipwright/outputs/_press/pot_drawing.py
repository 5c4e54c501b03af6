"""A container seen from above, its cuttings at their true spacing."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from slipwright.craft.errors import BadArgument
from slipwright.craft.said import Said
from slipwright.outputs._press import palette
from slipwright.outputs._press.paper import Paper, Point
from slipwright.outputs.measures import First, length_text

_CUTTING_MM: Final = 5.5
"""Thickness of a cutting as drawn, before the drawing is made smaller [mm]."""
LEGEND_MM: Final = 5.0
"""Room beneath the drawing for the distance between cuttings [mm]."""


@dataclass(frozen=True)
class PotDrawing:
    """A container from above; points are places of cuttings in mm from its middle, y towards the reader."""

    width_mm: float
    points_mm: tuple[Point, ...]
    n_containers: int = 1
    length_mm: float | None = None
    round: bool = True
    says: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not self.width_mm > 0:
            raise BadArgument("width_mm", "be above 0", self.width_mm)
        if self.length_mm is not None and not self.length_mm > 0:
            raise BadArgument("length_mm", "be above 0", self.length_mm)
        if self.n_containers < 1:
            raise BadArgument("n_containers", "be at least 1", self.n_containers)
        for point in self.points_mm:
            if not self.holds(point):
                raise BadArgument("points_mm", "lie inside the container", point)
        if len(set(self.points_mm)) < len(self.points_mm):
            raise BadArgument("points_mm", "be different places", self.points_mm)

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width across and length up the page [mm]."""
        return self.width_mm, self.length_mm or self.width_mm

    def holds(self, point: Point) -> bool:
        """Whether a place lies within the rim."""
        wide, long = self.size_mm
        if self.round:
            return math.hypot(*point) <= wide / 2
        return abs(point[0]) <= wide / 2 and abs(point[1]) <= long / 2

    def nearest(self) -> tuple[Point, Point, float] | None:
        """Return the two cuttings that stand nearest to each other, and how far apart [mm]."""
        pairs = [
            (a, b, math.dist(a, b)) for i, a in enumerate(self.points_mm) for b in self.points_mm[i + 1 :]
        ]
        # Of several alike, the pair nearest the reader: the words stand beneath the drawing.
        return min(pairs, key=lambda pair: (round(pair[2], 1), -pair[0][1] - pair[1][1]), default=None)


def draw_pot(
    paper: Paper, pot: PotDrawing, x: float, top: float, side_mm: float, first: First = "metric"
) -> float:
    """Draw a container as large as a square allows, with the distance between two cuttings.

    Parameters
    ----------
    paper : Paper
        The page.
    pot : PotDrawing
        The container.
    x : float
        Left edge [mm].
    top : float
        Upper edge [mm].
    side_mm : float
        Side of the square [mm].
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
    wide, long = pot.size_mm
    scale = min(side_mm / max(wide, long), 1.0)
    middle = (x + side_mm / 2, top + scale * long / 2)
    _rim(paper, pot, middle, scale)
    r = max(min(_CUTTING_MM * scale / 2, 1.6), 0.7)
    nearest = pot.nearest()
    if nearest is not None:
        r = min(r, 0.38 * scale * nearest[2])
    for point in pot.points_mm:
        paper.circle(middle[0] + scale * point[0], middle[1] + scale * point[1], r, fill=palette.WOODMID)
    if nearest is None:
        return top + scale * long
    _spacing(paper, nearest, middle, scale, r)
    foot = top + scale * long + LEGEND_MM
    paper.line([(x + 0.5, foot - 1.4), (x + 6.0, foot - 1.4)], width_pt=1.3, colour=palette.MADDER)
    apart = Said("{length} apart", length=length_text(nearest[2], first=first))
    paper.plain(paper.told(apart), x + 7.5, foot - 0.4, 9, "bold")
    return foot


def _rim(paper: Paper, pot: PotDrawing, middle: Point, scale: float) -> None:
    (wide, long), rim = pot.size_mm, 1.3
    half_w, half_l = scale * wide / 2, scale * long / 2
    for inset, fill in ((0.0, palette.PLATE), (rim, palette.INSET)):
        if pot.round:
            paper.circle(*middle, half_w - inset, fill=fill, width_pt=1.0)
        else:
            left, up = middle[0] - half_w + inset, middle[1] - half_l + inset
            paper.box(
                left, up, 2 * (half_w - inset), 2 * (half_l - inset), fill=fill, corner=1.5, width_pt=1.0
            )


def _spacing(
    paper: Paper, nearest: tuple[Point, Point, float], middle: Point, scale: float, r: float
) -> None:
    """Draw a line between the two nearest neighbours, from rim to rim of the cuttings."""
    a, b, apart = nearest
    (ax, ay), (bx, by) = ((middle[0] + scale * p[0], middle[1] + scale * p[1]) for p in (a, b))
    ux, uy = (bx - ax) / (scale * apart), (by - ay) / (scale * apart)
    paper.line([(ax + ux * r, ay + uy * r), (bx - ux * r, by - uy * r)], width_pt=1.3, colour=palette.MADDER)
