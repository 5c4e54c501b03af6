"""A cane, its nodes and its cuttings: what the drawings of it have in common.

House rule for every drawing: tip up, flat top above the top bud, slanted base just below the lowest
node, all the same way up.  All distances along a cane run from its tip.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

from slipwright.craft.errors import BadArgument
from slipwright.outputs._press.paper import Paper
from slipwright.outputs._press.stem import Leaf, Stem, Wood, draw_prickle

Form = Literal["piece", "tip", "heel", "mallet", "single-node"]
Leaves = Literal["kept", "reduced", "none"]


@dataclass(frozen=True)
class CaneCutting:
    """One cutting of a cane, from its flat top to its slanted base, in mm from the cane's tip."""

    top_mm: float
    base_mm: float
    name: str = ""
    says: tuple[str, ...] = ()


@dataclass(frozen=True)
class CaneDrawing:
    """A cane or shoot and how it is cut; lengths in mm from its tip.

    ``nodes_under`` nodes stand in the medium, or ``under_share`` of the length where that is given.
    """

    cane_mm: float
    node_mm: tuple[float, ...]
    cuttings: tuple[CaneCutting, ...] = ()
    tip_mm: float = 0.0
    base_mm: float = 0.0
    form: Form = "piece"
    wood: Wood = "semi-hardwood"
    prickles: bool = False
    top_stub_mm: float = 5.0
    top_stub_text: str = ""
    leaves: Leaves = "kept"
    leaf: Leaf = "simple"
    opposite: bool = False
    nodes_under: int = 1
    called: str = "cane"
    under_share: float | None = None

    def __post_init__(self) -> None:
        if not self.cane_mm > 0:
            raise BadArgument("cane_mm", "be above 0", self.cane_mm)
        if list(self.node_mm) != sorted(self.node_mm):
            raise BadArgument("node_mm", "run from the tip downwards", self.node_mm)
        if self.node_mm and not (self.node_mm[0] >= 0 and self.node_mm[-1] <= self.cane_mm):
            raise BadArgument("node_mm", f"lie between 0 and {self.cane_mm:g}", self.node_mm)
        if self.under_share is not None and not 0 < self.under_share < 1:
            raise BadArgument("under_share", "lie between 0 and 1", self.under_share)
        above = 0.0
        for cutting in self.cuttings:
            if not above <= cutting.top_mm < cutting.base_mm <= self.cane_mm:
                raise BadArgument("cuttings", "follow each other from the tip and end on the cane", cutting)
            above = cutting.base_mm

    def sides(self, i: int) -> tuple[int, ...]:
        """Sides of the buds at node i: both, or right and left by turns."""
        return (-1, 1) if self.opposite else ((1,) if i % 2 == 0 else (-1,))

    def nodes_between(self, top_mm: float, base_mm: float) -> list[tuple[int, float]]:
        """Return number and place of the nodes on a part of the cane."""
        return [(i, mm) for i, mm in enumerate(self.node_mm) if top_mm <= mm <= base_mm]


def largest_scale(
    cane: CaneDrawing, cuttings: Sequence[CaneCutting], blank: Stem, room: float, most: float
) -> float:
    """Return the largest scale at which cuttings drawn end to end fill no more than a room.

    Parameters
    ----------
    cane : CaneDrawing
        The cane.
    cuttings : sequence of CaneCutting
        Those to be drawn.
    blank : Stem
        A stem of the thickness wanted, for its top.
    room : float
        Room downwards [mm].
    most : float
        Scale never exceeded [-].

    Returns
    -------
    float
        Millimetres on paper for one of the cane [-].

    References
    ----------
    Common practice, no source.
    """
    scale = most
    for _ in range(12):  # a slant drawn clear of its node lengthens a piece a little
        used = sum(standing(cane, cutting, blank, scale).foot - blank.top for cutting in cuttings)
        if used <= room:
            break
        scale *= 0.999 * room / used
    return scale


def standing(cane: CaneDrawing, cutting: CaneCutting, stem: Stem, scale: float) -> Stem:
    """Return the stem of a cutting, its slant clear of the lowest node however close the cut is to it.

    Parameters
    ----------
    cane : CaneDrawing
        The cane.
    cutting : CaneCutting
        One of its cuttings.
    stem : Stem
        Where its top stands, and its thickness.
    scale : float
        Millimetres on paper for one of the cane [-].

    Returns
    -------
    Stem
        The same stem with its foot and its slant.

    References
    ----------
    The house's own drawing style (common practice, no source).
    """
    foot = stem.top + scale * (cutting.base_mm - cutting.top_mm)
    inside = cane.nodes_between(cutting.top_mm, cutting.base_mm)
    lowest = stem.top + scale * (inside[-1][1] - cutting.top_mm) if inside else stem.top
    clear = max(foot - lowest - 0.25 * stem.foot_width, 0.7 * stem.foot_width)
    slant = min(1.2 * stem.foot_width, clear)
    return replace(stem, foot=max(foot, lowest + 0.2 * stem.foot_width + slant), slant=slant)


def draw_prickles(paper: Paper, stem: Stem, nodes: Sequence[float], size: float) -> None:
    """Draw two hooks in each internode, by turns left and right, clear of the buds.

    Parameters
    ----------
    paper : Paper
        The page.
    stem : Stem
        The stem they stand on.
    nodes : sequence of float
        Heights of its nodes on the page [mm].
    size : float
        How far a hook stands out [mm].

    References
    ----------
    The house's own drawing style (common practice, no source).
    """
    for n, (a, b) in enumerate(pairwise(nodes)):
        if b - a < 3 * size:
            continue
        for k, share in enumerate((0.3, 0.58)):
            draw_prickle(paper, stem, a + share * (b - a), 1 if (n + k) % 2 else -1, size)
