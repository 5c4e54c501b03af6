"""What batches cost: pots, medium, labels, hormone and hours, as far as anybody wrote a cost down."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from slipwright.records.models import Garden
from slipwright.records.selectors.programme import CostOf, costs_of
from slipwright.records.selectors.season_report import SeasonBatch

_LITRE = ("litre", "l", "L")
_HOUR = ("hour", "h")


@dataclass(frozen=True, slots=True)
class Costing:
    """The garden's costs, by item."""

    costs: Mapping[str, CostOf]

    @classmethod
    def of(cls, garden: Garden) -> Costing:
        """Return the costs of a garden. One query."""
        return cls(costs_of(garden))

    @property
    def knows_any(self) -> bool:
        """Whether any cost above nought is written down."""
        return any(one.cost > 0 for one in self.costs.values())

    def spent(self, batches: Iterable[SeasonBatch]) -> tuple[float, set[str]]:
        """Return what some batches cost, and the items nobody wrote a cost of: they count as nought."""
        total, unknown = 0.0, set[str]()
        for one in batches:
            total += self._of_batch(one, unknown)
        return total, unknown

    def _of_batch(self, one: SeasonBatch, unknown: set[str]) -> float:
        n_pots = self._containers(one)
        total = 0.0
        if one.container and n_pots:
            total += n_pots * self._cost(one.cost_item or one.container, unknown)
        if one.volume_ml and n_pots and one.parts:
            litres = n_pots * (one.cells or 1) * one.volume_ml / 1000
            parts = _parts(one.parts)
            whole = sum(parts.values()) or 1.0
            total += sum(
                litres * share / whole * self._cost(name, unknown, _LITRE) for name, share in parts.items()
            )
        if one.minutes:
            total += one.minutes / 60 * self._cost("labour", unknown, _HOUR)
        return total

    @staticmethod
    def _containers(one: SeasonBatch) -> int:
        each = (one.n_per_container or 0) * (one.cells or 1)
        return -(-one.n_stuck // each) if each else 0

    def _cost(self, item: str, unknown: set[str], units: tuple[str, ...] = ()) -> float:
        found = self.costs.get(item)
        if found is None or (units and found.unit not in units):
            unknown.add(item)
            return 0.0
        return found.cost


def _parts(text: str) -> dict[str, float]:
    found: dict[str, float] = {}
    for part in text.split(";"):
        name, _, share = part.rpartition(":")
        if name:
            found[name.strip()] = found.get(name.strip(), 0.0) + float(share)
    return found
