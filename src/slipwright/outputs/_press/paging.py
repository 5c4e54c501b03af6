"""Pages that fill one after the other: what does not fit goes over, under the headings that go with it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from slipwright.outputs._press.sheet_parts import GAP_MM, Part, Placed

NEARLY_MM: Final = 0.01


class Pages:
    """Parts placed beneath each other on pages of one size.

    Parameters
    ----------
    size_mm : (float, float)
        Width and height of a page [mm].
    margin_mm : float
        Left free on every side [mm].
    foot_mm : float
        Kept free for the foot besides [mm].
    """

    def __init__(self, size_mm: tuple[float, float], margin_mm: float, foot_mm: float) -> None:
        self.margin_mm = margin_mm
        self.width_mm = size_mm[0] - 2 * margin_mm
        self._foot = size_mm[1] - margin_mm - foot_mm
        self.pages: list[list[Placed]] = [[]]
        self._top = margin_mm
        self._n_begun = 0
        #: what a further page begins with, by its number
        self.begins_with: Callable[[int], Sequence[tuple[Part, float]]] = lambda _: ()

    @property
    def left_mm(self) -> float:
        """Room left on this page [mm]."""
        return self._foot - self._top

    def place(self, part: Part, gap: float = GAP_MM, *, then_mm: float = 0.0) -> None:
        """Place a part on this page, or on the next if it and ``then_mm`` after it do not fit."""
        too_high = part.height_mm + then_mm > self.left_mm + NEARLY_MM
        if too_high and len(self.pages[-1]) > self._n_begun:
            self.turn()
        self._put(part, gap)

    def turn(self) -> None:
        """Begin a page."""
        self.pages.append([])
        self._top = self.margin_mm
        for part, gap in self.begins_with(len(self.pages)):
            self._put(part, gap)
        self._n_begun = len(self.pages[-1])

    def _put(self, part: Part, gap: float) -> None:
        self.pages[-1].append(Placed(self.margin_mm, self._top, part))
        self._top += part.height_mm + gap
