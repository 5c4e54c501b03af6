"""What is known of one batch: how many were stuck, what each look found, how many were potted."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

#: the cause of a loss that was none: they were thrown away while waiting
GIVEN_UP = "given-up"
_ROT = ("rot-from-base", "mould")


@dataclass(frozen=True, slots=True)
class LookCounts:
    """What one look found new since the look before; ``None`` was not counted.

    ``n_waiting`` is what stands waiting then, not what is new.
    ``cause``, ``signs`` and ``pot_weight`` bear on what is done next, not on the forecast.
    """

    on: date
    n_rooted: int | None = None
    n_lost: int | None = None
    n_removed: int | None = None
    n_lost_rooted: int | None = None
    n_tried: int | None = None
    n_tried_rooted: int | None = None
    cause: str = ""
    signs: tuple[str, ...] = ()
    pot_weight: str = ""
    n_waiting: int | None = None

    @property
    def counts_anything(self) -> bool:
        """Whether it says anything of how many rooted, were lost or wait; those removed waited till then."""
        counted = (self.n_rooted, self.n_lost, self.n_waiting, self.n_removed or None, self.n_tried or None)
        return any(number is not None for number in counted)

    @property
    def informing(self) -> LookCounts:
        """The same with nothing but what is learned from."""
        cause = GIVEN_UP if self.cause == GIVEN_UP else ""
        return replace(self, n_lost_rooted=None, cause=cause, signs=(), pot_weight="")

    @property
    def rot_seen(self) -> bool:
        """Whether this look found rot or mould, which spread."""
        return self.cause in _ROT


@dataclass(frozen=True, slots=True)
class BatchCounts:
    """A batch: what was stuck, the looks at it in the order of days, what was potted."""

    stuck_on: date
    n_stuck: int
    looks: tuple[LookCounts, ...] = ()
    n_potted: int = 0

    def until(self, on: date) -> BatchCounts:
        """Return the batch as known on ``on``: later looks left out, the rest in order of days."""
        seen = sorted((look for look in self.looks if look.on <= on), key=lambda look: look.on)
        return BatchCounts(self.stuck_on, self.n_stuck, tuple(seen), self.n_potted)

    @property
    def n_looks(self) -> int:
        """Looks that counted anything."""
        return sum(look.counts_anything for look in self.looks)

    @property
    def informing(self) -> BatchCounts:
        """The same with nothing but what is learned from: looks that counted, and what they counted."""
        looks = tuple(look.informing for look in self.looks if look.counts_anything)
        return BatchCounts(self.stuck_on, self.n_stuck, looks)

    def total(self, name: str) -> int:
        """Sum over the looks of the counts called ``name``."""
        return sum(getattr(look, name) or 0 for look in self.looks)

    @property
    def n_rooted(self) -> int:
        """Counted as rooted up to now, those potted or lost since included."""
        return self.total("n_rooted")

    @property
    def n_lost(self) -> int:
        """Counted as lost while waiting, up to now."""
        return self.total("n_lost")

    @property
    def n_waiting(self) -> int:
        """Stuck less rooted, lost and removed; nought where the counts do not add up."""
        return max(self.n_stuck - self.n_rooted - self.n_lost - self.total("n_removed"), 0)

    @property
    def n_to_pot(self) -> int:
        """Rooted cuttings that still stand where they were stuck."""
        return max(self.n_rooted - self.total("n_lost_rooted") - self.n_potted, 0)
