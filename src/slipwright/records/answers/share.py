"""How much of a stock plant may go in a season, and whether it is cut."""

from __future__ import annotations

import math
from decimal import Decimal
from typing import Protocol

from slipwright.records.selectors import ShootsCut


class HasShoots(Protocol):
    """A stock plant as far as its shoots go."""

    @property
    def shoots_per_season(self) -> int | None:
        """Shoots it makes in a season."""

    @property
    def max_share_taken(self) -> Decimal | None:
        """Largest share of them to take."""


def shoots_that_may_go(plant: HasShoots) -> int | None:
    """Return how many shoots of a plant may go in a season, None where that is not written down."""
    if plant.shoots_per_season is None or plant.max_share_taken is None:
        return None
    return math.floor(plant.shoots_per_season * plant.max_share_taken)


def share_is_cut(plant: HasShoots, cut: ShootsCut | None) -> bool:
    """Return whether as many shoots as may go this season are cut already, so that it is left."""
    n_may_go = shoots_that_may_go(plant)
    return n_may_go is not None and (cut.n_shoots if cut else 0) >= n_may_go
