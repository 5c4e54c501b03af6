"""What was written down of batches when they were stuck, many at once, as far as rooting depends on it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any, NamedTuple

from django.db.models import Count

from slipwright.records.models import BatchState, Garden, Stage, Sticking
from slipwright.records.selectors.batches import reached_from

#: growth stages from first flowers to flowers over, on the BBCH scale
IN_FLOWER = (60, 69)


class Stuck(NamedTuple):
    """A batch as it was stuck. Empty text and ``None`` are unknown.

    ``place_id``, ``place_cover`` and ``place_temp_c`` are of the place it was stuck at. A named tuple, since
    ten thousand are made at once.
    """

    pk: int
    batch: str
    taxon: str
    flowers: str
    plant: str
    stuck_on: date
    n_stuck: int
    n_potted: int
    wood: str
    cutting: str
    shoot: str
    part: str
    ripeness: Decimal | None
    n_nodes: int | None
    length_mm: Decimal | None
    leaves: str
    stored: str
    wound: str
    auxin: str
    auxin_form: str
    auxin_mg_per_l: Decimal | None
    auxin_mg_per_kg: Decimal | None
    auxin2: str
    auxin2_mg_per_l: Decimal | None
    medium: str
    container: str
    cover: str
    medium_temp_c: Decimal | None
    days_from_bloom: int | None
    place_id: int | None
    place_cover: str
    place_temp_c: Decimal | None


_ELSEWHERE = {
    "pk": "batch__pk",
    "taxon": "batch__taxon__taxon",
    "flowers": "batch__taxon__flowers",
    "plant": "batch__plant__plant",
    "n_stuck": "n_stuck",
    "n_potted": "n_potted",
    "medium": "batch__medium__medium",
    "container": "batch__container__container",
    "place_id": "batch__place__pk",
    "place_cover": "batch__place__cover",
    "place_temp_c": "batch__place__medium_temp_c",
}
_COLUMNS = [_ELSEWHERE.get(name, f"batch__{name}") for name in Stuck._fields]
#: Text reached over a reference that may be empty.
_MAYBE = [Stuck._fields.index(name) for name in ("plant", "medium", "container", "place_cover")]


def batches_as_stuck(garden: Garden, pks: Sequence[int] | None = None) -> list[Stuck]:
    """Return how batches were stuck, of all but those taken back, or of some. One query."""
    rows = BatchState.rows.of(garden)
    rows = rows.filter(withdrawn=False) if pks is None else rows.filter(batch__in=pks)
    found = [_stuck(row) for row in rows.values_list(*_COLUMNS)]
    found.sort(key=lambda stuck: (stuck.stuck_on, stuck.batch))
    return found


def batch_as_stuck(sticking: Sticking) -> Stuck:
    """Return how a batch was stuck that ``whole_batch`` read. No query."""
    return _stuck(reached_from(sticking.state, path) for path in _COLUMNS)


def _stuck(row: Iterable[Any]) -> Stuck:
    values = list(row)
    for place in _MAYBE:
        values[place] = values[place] or ""
    return Stuck._make(values)


@dataclass(frozen=True, slots=True)
class UsualLevels:
    """The medium and the container most batches of a garden stand in; empty where none is named."""

    medium: str = ""
    container: str = ""

    @classmethod
    def of(cls, named: Iterable[tuple[str | None, str | None, int]]) -> UsualLevels:
        """Return the commonest of (medium, container, batches); of equally common ones the first by name."""
        media: Counter[str] = Counter()
        containers: Counter[str] = Counter()
        for medium, container, n in named:
            media[medium or ""] += n
            containers[container or ""] += n
        return cls(_commonest(media), _commonest(containers))


def _commonest(names: Counter[str]) -> str:
    return min(((-n, name) for name, n in names.items() if name), default=(0, ""))[1]


def usual_levels(garden: Garden) -> UsualLevels:
    """Return the usual medium and container of a garden. One query."""
    rows = BatchState.rows.of(garden).filter(withdrawn=False).order_by()
    named = rows.values_list("batch__medium__medium", "batch__container__container")
    return UsualLevels.of(named.annotate(n=Count("pk")))


@dataclass(frozen=True, slots=True)
class InFlower:
    """A stock plant and the days and stages at which it was seen in flower, oldest first."""

    taxon: str
    flowers: str
    stages: tuple[tuple[date, int], ...]


def plants_in_flower(garden: Garden) -> dict[str, InFlower]:
    """Return by name the stock plants that were ever seen in flower. One query."""
    rows = Stage.rows.of(garden).standing().filter(bbch__range=IN_FLOWER).order_by("on", "number")
    seen: dict[tuple[str, str, str], list[tuple[date, int]]] = {}
    for *of_plant, on, bbch in rows.values_list(
        "plant__plant", "plant__taxon__taxon", "plant__taxon__flowers", "on", "bbch"
    ):
        seen.setdefault((of_plant[0], of_plant[1], of_plant[2]), []).append((on, bbch))
    return {
        plant: InFlower(taxon, flowers, tuple(stages)) for (plant, taxon, flowers), stages in seen.items()
    }
