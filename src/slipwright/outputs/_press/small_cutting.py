"""One cutting, small: how it is cut at both ends, what leaf it keeps, how deep it stands."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from slipwright.outputs._press import palette
from slipwright.outputs._press.paper import Paper
from slipwright.outputs._press.stem import End, Stem, Wood, draw_leaf, draw_node, draw_stem

SMALL_MM: Final = (27.0, 40.0)
"""Width and height of the drawing [mm]."""
_BUD_MM: Final = 0.8
Form = Literal["piece", "tip", "heel", "mallet", "single-node"]


@dataclass(frozen=True)
class SmallCutting:
    """What kind of cutting it is; ``n_nodes`` are drawn, up to four."""

    form: Form = "piece"
    wood: Wood = "semi-hardwood"
    leaves: Literal["none", "reduced", "kept"] = "reduced"
    n_nodes: int = 3

    @property
    def height_mm(self) -> float:
        """What it takes downwards [mm]."""
        return SMALL_MM[1]

    def draw(self, paper: Paper, x: float, top: float) -> None:
        """Draw it stuck, from the top left corner."""
        middle, foot = x + SMALL_MM[0] / 2, top + SMALL_MM[1] - 4.0
        nodes = self._nodes(top + 9.0, foot - 3.0)
        surface = nodes[-1] - 3.2 if len(nodes) > 1 else (nodes[0] + foot) / 2
        _medium(paper, x + 3.0, surface, SMALL_MM[0] - 6.0, top + SMALL_MM[1] - surface)
        slant: End = "slant" if self.form in ("piece", "tip", "single-node") else "flat"
        stem = Stem(middle, top + 6.0, foot, 2.0, 2.8, self.wood, "flat", slant, 2.6)
        self._foot(paper, stem)
        self._leaves(paper, stem, nodes, surface)
        draw_stem(paper, stem, width_pt=0.9)
        for j, y in enumerate(nodes):
            draw_node(paper, stem, y, (-1 if j % 2 else 1,), _BUD_MM)
        if self.form == "tip":
            for side in (-1, 1):
                draw_leaf(paper, (middle + side * 0.4, stem.top + 0.3), side, 5.0, "simple", rise=1.8)

    def _nodes(self, first: float, last: float) -> list[float]:
        n = 1 if self.form == "single-node" else min(max(self.n_nodes, 2), 4)
        return [first] if n == 1 else [first + (last - first) * j / (n - 1) for j in range(n)]

    def _leaves(self, paper: Paper, stem: Stem, nodes: list[float], surface: float) -> None:
        if self.leaves == "none":
            return
        over = [(j, y) for j, y in enumerate(nodes) if y < surface - 4.0]
        kept = over if self.form == "tip" or self.leaves == "kept" else over[:1]
        for j, y in kept or [(0, nodes[0])]:
            for side in (-1, 1) if self.form == "tip" else ((-1 if j % 2 else 1),):
                draw_leaf(
                    paper, (stem.edge(y, side), y), side, 9.5, "simple", reduced=self.leaves == "reduced"
                )

    def _foot(self, paper: Paper, stem: Stem) -> None:
        """Draw what older wood stays on a heel or a mallet."""
        left, right, foot = stem.edge(stem.foot, -1), stem.edge(stem.foot, 1), stem.foot
        if self.form == "heel":
            tail = (left - 2.2, foot + 2.4)
            parts = [
                ((left - 0.3, foot - 1.0), (left - 1.0, foot + 0.8), tail),
                ((left, foot + 1.8), (right - 1.0, foot + 1.0), (right, foot - 0.6)),
            ]
            paper.curve((left, foot - 4.0), parts, fill=palette.WOOD, width_pt=0.9)
        elif self.form == "mallet":
            paper.box(stem.x - 5.0, foot - 2.6, 10.0, 3.2, fill=palette.WOOD, corner=0.4, width_pt=0.9)


def _medium(paper: Paper, x: float, surface: float, wide: float, deep: float) -> None:
    """Draw the medium and its surface; specks by a fixed rule, not by chance."""
    paper.box(x, surface, wide, deep, fill=palette.INSET, stroke=None)
    for i in range(int(deep * wide / 6)):
        dx, dy = (i * 0.754878 % 1) * wide, (i * 0.569840 % 1) * deep
        paper.circle(x + dx, surface + dy, 0.2, fill=palette.EDGE, stroke=None)
    paper.line([(x, surface), (x + wide, surface)], width_pt=1.0)
