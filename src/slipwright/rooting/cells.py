"""Time after sticking, cut into cells in which the chance a day of rooting and of loss stands still."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slipwright.rooting.ranges import Array

#: edges of the cells in days after sticking; the last cell goes on for ever
GRID_DAYS = (0, 4, 7, 10, 14, 18, 21, 28, 35, 42, 49, 56, 70, 84, 98, 112, 140, 182, 224, 294, 364)
#: the day the levels of both clocks speak of
REFERENCE_DAY = 42.0
#: before this day time counts as standing still: ln t runs off to minus infinity, a drawn curve with it
FLOOR_DAY = 5.0


@dataclass(frozen=True, slots=True)
class Cells:
    """Edges of the cells [days], and the clocks' own time in each: ln(max(middle, floor) / reference)."""

    edges: tuple[float, ...] = tuple(float(day) for day in GRID_DAYS)
    floor: float = FLOOR_DAY
    reference: float = REFERENCE_DAY

    @property
    def times(self) -> Array:
        """The clocks' time of each cell, of shape (n_cells,) [-]."""
        edges = np.array(self.edges)
        middle = np.maximum((edges[1:] + edges[:-1]) / 2, self.floor)
        return np.asarray(np.log(middle / self.reference))


CELLS = Cells()
