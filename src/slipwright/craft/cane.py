"""Shoots in bundles, and dividing a cane into cuttings: where to cut so that most may be expected to root."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from slipwright.craft.errors import BadArgument
from slipwright.craft.said import Said

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

#: shoots are tied up in bundles of so many: common practice, no source
BUNDLE: Final = 25

#: lengths are rounded and compared to a millionth of a millimetre, so that 0.1 + 0.2 is 0.3
_DECIMALS = 6
_SLACK_MM = 2e-6


@dataclass(frozen=True)
class Cutting:
    """One piece of a cane, measured from the tip of the cane downward.

    Attributes
    ----------
    top_mm : float
        Place of the flat top cut [mm].
    base_mm : float
        Place of the slanted base cut [mm].
    n_nodes : int
        Nodes on the piece [1].
    """

    top_mm: float
    base_mm: float
    n_nodes: int

    @property
    def length_mm(self) -> float:
        """Length from cut to cut [mm]."""
        return round(self.base_mm - self.top_mm, _DECIMALS)


def cuttings_of_cane(
    node_mm: Sequence[float],
    *,
    cane_mm: float | None = None,
    tip_mm: float = 0.0,
    base_mm: float = 0.0,
    min_nodes: int = 2,
    min_mm: float = 75.0,
    max_mm: float = 125.0,
    top_stub_mm: float = 6.0,
    base_stub_mm: float = 3.0,
    share: Callable[[Cutting], float] | None = None,
) -> tuple[Cutting, ...]:
    """Return the cuttings of a cane that give the largest expected number rooted.

    Parameters
    ----------
    node_mm : sequence of float
        Nodes as distances from the tip of the cane, rising [mm].
    cane_mm : float, optional
        Length of the whole cane; the last node and a base stub unless given [mm].
    tip_mm : float
        Length thrown away at the tip, where the wood is soft [mm].
    base_mm : float
        Length thrown away at the base, where the wood is slow [mm].
    min_nodes : int
        Fewest nodes on a piece [1].
    min_mm : float
        Shortest piece [mm].
    max_mm : float
        Longest piece [mm].
    top_stub_mm : float
        Wood left above the top bud, by genus: tight for roses, 12 to 25 for most hardwood [mm].
    base_stub_mm : float
        Wood left below the lowest node [mm].
    share : callable, optional
        Chance of rooting of a piece [-]. Without it every piece has the same chance.

    Returns
    -------
    tuple of Cutting
        Pieces from the tip downward, none overlapping or sharing a node; empty if the cane yields none
        (:func:`why_none` says why).

    Raises
    ------
    BadArgument
        If the nodes do not rise along the cane, a length is negative, the two lengths do not fit
        each other, or a share leaves 0 to 1.

    Notes
    -----
    Dynamic programme over the nodes: the best division down to a node either leaves that node
    out, or ends a piece at it after the best division of what lies above the piece. Chances are
    held to a thousand-millionth, so ties are ties. Of divisions with equal expectation the one
    with most nodes is taken, then the one whose pieces are most alike (least sum of squares about
    the middle of the allowed lengths), then the one nearer the tip. A piece with no chance is not
    cut. Where nodes crowd so that a stub would hold the next node, the cut passes half-way.

    The equal chance is an assumption: which part of a cane roots best differs between plants, and
    the findings of a garden or a handbook row go in as ``share``.

    References
    ----------
    Our own programme, equal to trying every division (tests). Lengths of 75 to 125 mm with two
    nodes or more, and the stubs: common practice, no source.

    Examples
    --------
    >>> pieces = cuttings_of_cane([20, 60, 100, 140, 180, 220, 260], tip_mm=30)
    >>> [(p.top_mm, p.base_mm, p.n_nodes) for p in pieces]
    [(54.0, 143.0, 3), (174.0, 263.0, 3)]
    """
    cane = _Cane(node_mm, cane_mm, tip_mm, base_mm, min_nodes, min_mm, max_mm, top_stub_mm, base_stub_mm)
    middle_mm = (min_mm + max_mm) / 2.0
    # best[e]: worth of the best division of the nodes above number e, and how it ends
    best: list[tuple[int, int, int]] = [(0, 0, 0)]
    ends: list[tuple[int, Cutting] | None] = [None]
    for last in range(len(node_mm)):
        worth, end = best[last], None
        for first, piece in cane.pieces_ending_at(last):
            chance = 1_000_000_000 if share is None else _billionths(share(piece))
            if chance == 0:
                continue
            before = best[cane.n_free_above(first)]
            unlike = round(1000.0 * (piece.length_mm - middle_mm) ** 2)
            ours = (before[0] + chance, before[1] + piece.n_nodes, before[2] - unlike)
            if ours > worth:
                worth, end = ours, (cane.n_free_above(first), piece)
        best.append(worth)
        ends.append(end)
    return _read_back(ends)


def why_none(
    node_mm: Sequence[float],
    *,
    cane_mm: float | None = None,
    tip_mm: float = 0.0,
    base_mm: float = 0.0,
    min_nodes: int = 2,
    min_mm: float = 75.0,
    max_mm: float = 125.0,
    top_stub_mm: float = 6.0,
    base_stub_mm: float = 3.0,
) -> str:
    """Return in words why a cane yields no cutting, or nothing if it yields some.

    Parameters
    ----------
    node_mm : sequence of float
        Nodes as distances from the tip of the cane, rising [mm].
    cane_mm : float, optional
        Length of the whole cane; the last node and a base stub unless given [mm].
    tip_mm : float
        Length thrown away at the tip [mm].
    base_mm : float
        Length thrown away at the base [mm].
    min_nodes : int
        Fewest nodes on a piece [1].
    min_mm : float
        Shortest piece [mm].
    max_mm : float
        Longest piece [mm].
    top_stub_mm : float
        Wood left above the top bud [mm].
    base_stub_mm : float
        Wood left below the lowest node [mm].

    Returns
    -------
    str
        The first reason that applies.

    Raises
    ------
    BadArgument
        As :func:`cuttings_of_cane`.

    References
    ----------
    The rules of :func:`cuttings_of_cane`.

    Examples
    --------
    >>> why_none([50, 110, 170])
    'with 2 nodes or more a piece is 69 mm or 129 mm or longer, never 75 to 125 mm'
    """
    cane = _Cane(node_mm, cane_mm, tip_mm, base_mm, min_nodes, min_mm, max_mm, top_stub_mm, base_stub_mm)
    if any(True for last in range(len(node_mm)) for _ in cane.pieces_ending_at(last)):
        return ""
    if not node_mm:
        return Said("no nodes are given")
    if tip_mm + base_mm >= cane.total_mm:
        return Said("nothing is left between the discarded tip and base")
    n_usable = sum(tip_mm <= node <= cane.total_mm - base_mm for node in node_mm)
    if n_usable == len(node_mm) < min_nodes:
        return Said("nodes that can be used: {n}; a piece needs {least}", n=n_usable, least=min_nodes)
    if n_usable < min_nodes:
        return Said(
            "nodes that can be used between the discarded tip and base: {n}; a piece needs {least}",
            n=n_usable,
            least=min_nodes,
        )
    lengths = [piece.length_mm for piece in cane.runs()]
    if not lengths:
        return Said(
            "no {least} nodes leave room for the stubs between the discarded tip and base", least=min_nodes
        )
    shorter = max((x for x in lengths if x < min_mm), default=None)
    longer = min((x for x in lengths if x > max_mm), default=None)
    found = f"{shorter:.4g} mm" if shorter is not None else ""
    if longer is not None:
        longer_words = Said("{mm} mm or longer", mm=f"{longer:.4g}")
        found = Said("{a} or {b}", a=found, b=longer_words) if found else longer_words
    return Said(
        "with {least} nodes or more a piece is {found}, never {min} to {max} mm",
        least=min_nodes,
        found=found,
        min=f"{min_mm:g}",
        max=f"{max_mm:g}",
    )


@dataclass(frozen=True)
class _Cane:
    """A cane and the rules of cutting it, checked."""

    node_mm: Sequence[float]
    cane_mm: float | None
    tip_mm: float
    discard_mm: float
    min_nodes: int
    min_mm: float
    max_mm: float
    top_stub_mm: float
    base_stub_mm: float

    def __post_init__(self) -> None:
        if self.min_nodes < 1:
            raise BadArgument("min_nodes", "be 1 or more", self.min_nodes)
        lengths = {
            "tip_mm": self.tip_mm,
            "base_mm": self.discard_mm,
            "top_stub_mm": self.top_stub_mm,
            "base_stub_mm": self.base_stub_mm,
            "min_mm": self.min_mm,
        }
        for name, value in lengths.items():
            if not (math.isfinite(value) and value >= 0.0):
                raise BadArgument(name, "be a length of 0 or more", value)
        if not self.max_mm >= self.min_mm:
            raise BadArgument(
                "max_mm", Said("be at least the shortest ({mm} mm)", mm=f"{self.min_mm:g}"), self.max_mm
            )
        above = 0.0
        for i, node in enumerate(self.node_mm):
            if not (math.isfinite(node) and node >= 0.0 and (i == 0 or node > above)):
                raise BadArgument("node_mm", Said("rise from the tip downward"), node)
            above = node
        if self.cane_mm is not None and not (math.isfinite(self.cane_mm) and self.cane_mm >= above):
            raise BadArgument("cane_mm", Said("reach the last node ({mm} mm)", mm=f"{above:g}"), self.cane_mm)

    @property
    def total_mm(self) -> float:
        if self.cane_mm is not None:
            return self.cane_mm
        return self.node_mm[-1] + self.base_stub_mm if self.node_mm else 0.0

    def top_cut(self, i: int) -> float:
        """Return the cut above node i: a stub above it, or half-way where nodes crowd."""
        cut = self.node_mm[i] - self.top_stub_mm
        if i and self.node_mm[i - 1] >= cut:
            cut = (self.node_mm[i - 1] + self.node_mm[i]) / 2.0
        return round(cut, _DECIMALS)

    def base_cut(self, i: int) -> float:
        """Return the cut below node i."""
        cut = self.node_mm[i] + self.base_stub_mm
        if i + 1 < len(self.node_mm) and self.node_mm[i + 1] <= cut:
            cut = (self.node_mm[i] + self.node_mm[i + 1]) / 2.0
        return round(cut, _DECIMALS)

    def can_head(self, i: int) -> bool:
        return self.top_cut(i) >= self.tip_mm - _SLACK_MM

    def can_end(self, i: int) -> bool:
        return self.base_cut(i) <= self.total_mm - self.discard_mm + _SLACK_MM

    def runs(self) -> Iterator[Cutting]:
        """Yield the pieces with enough nodes and room for their stubs, up to the first too long."""
        for last in range(len(self.node_mm)):
            for first in range(last - self.min_nodes + 1, -1, -1):
                if not (self.can_head(first) and self.can_end(last)):
                    break
                piece = Cutting(self.top_cut(first), self.base_cut(last), last - first + 1)
                yield piece
                if piece.length_mm > self.max_mm:
                    break

    def pieces_ending_at(self, last: int) -> Iterator[tuple[int, Cutting]]:
        """Yield the allowed pieces whose lowest node is ``last``, shortest first."""
        if not self.can_end(last):
            return
        base = self.base_cut(last)
        for first in range(last - self.min_nodes + 1, -1, -1):
            top = self.top_cut(first)
            if base - top > self.max_mm + _SLACK_MM or not self.can_head(first):
                return
            if base - top >= self.min_mm - _SLACK_MM:
                yield first, Cutting(top, base, last - first + 1)

    def n_free_above(self, first: int) -> int:
        """Return how many nodes from the tip have their base cut clear of the top cut at ``first``."""
        n = first
        while n and self.base_cut(n - 1) > self.top_cut(first) + _SLACK_MM:
            n -= 1
        return n


def _billionths(share: float) -> int:
    if not 0.0 <= share <= 1.0:
        raise BadArgument("share", "give a chance from 0 to 1", share)
    return round(share * 1e9)


def _read_back(ends: list[tuple[int, Cutting] | None]) -> tuple[Cutting, ...]:
    pieces: list[Cutting] = []
    n = len(ends) - 1
    while n:
        end = ends[n]
        if end is None:
            n -= 1
        else:
            n, piece = end
            pieces.append(piece)
    return tuple(reversed(pieces))
