"""How far the making of a programme has come, over all its parts."""

from __future__ import annotations

from dataclasses import dataclass

from slipwright.records.tables.progress import Progress

_PARTS = 1000


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of the whole way, itself told as a whole: from one share of it to another."""

    progress: Progress
    first: float = 0.0
    last: float = 1.0

    def __call__(self, done: int, total: int, label: str) -> None:
        """Take note that ``done`` of ``total`` of this stretch are done."""
        self.share(done / total if total else 1.0, label)

    def share(self, share: float, label: str) -> None:
        """Take note that a share of this stretch is done."""
        at = self.first + (self.last - self.first) * min(max(share, 0.0), 1.0)
        self.progress(round(_PARTS * at), _PARTS, label)

    def part(self, first: float, last: float) -> Stretch:
        """Return a stretch of this one."""
        length = self.last - self.first
        return Stretch(self.progress, self.first + length * first, self.first + length * last)
