"""What batches cost: pots, medium and hours, as far as anybody wrote a cost down."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from slipwright.records.models import Garden
from slipwright.records.selectors.programme import CostOf, costs_of
from slipwright.records.selectors.season_report import SeasonBatch

_LITRE = ("litre", "l", "L")
_HOUR = ("hour", "h")


@dataclass(slots=True)
class Spent:
    """What some batches cost, and what is left out of it.

    ``unknown`` are items nobody wrote a cost of: they count as nought. Of ``n_without_hours`` batches nobody
    wrote down the minutes, though an hour costs something; of ``n_without_pots`` not what they stand in, of
    ``n_without_medium`` only what fills it.
    """

    total: float = 0.0
    unknown: set[str] = field(default_factory=set)
    n_without_hours: int = 0
    n_without_pots: int = 0
    n_without_medium: int = 0


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

    def spent(self, batches: Iterable[SeasonBatch]) -> Spent:
        """Return what some batches cost, and what is left out of it."""
        found = Spent()
        for one in batches:
            self._add(one, found)
        return found

    def _add(self, one: SeasonBatch, found: Spent) -> None:
        n_pots = self._containers(one)
        if not (one.container and n_pots):
            found.n_without_pots += 1
        else:
            found.total += n_pots * self._cost(one.cost_item or one.container, found.unknown)
            parts = _parts(one.parts)
            if one.volume_ml and parts:
                litres = n_pots * (one.cells or 1) * one.volume_ml / 1000
                whole = sum(parts.values()) or 1.0
                found.total += sum(
                    litres * share / whole * self._cost(name, found.unknown, _LITRE)
                    for name, share in parts.items()
                )
            else:
                found.n_without_medium += 1
        if one.minutes:
            found.total += one.minutes / 60 * self._cost("labour", found.unknown, _HOUR)
        elif self._labour_costs:
            found.n_without_hours += 1

    @property
    def _labour_costs(self) -> bool:
        """Whether an hour is known to cost something."""
        labour = self.costs.get("labour")
        return labour is not None and labour.unit in _HOUR and labour.cost > 0

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
