"""Where batches stand, kept beside the entries: summed anew after every change, never counted on."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, TypeVar

from slipwright.records.errors import BadValue
from slipwright.records.models import Act, BatchState, Garden, Look, Potting, Sticking, Withdrawal
from slipwright.records.sums import LookSeen, PottedUp, Standing, standing

#: Batches summed in one go; their looks are held in memory together.
CHUNK = 500
#: What the database keeps of a sum, with room for what is left of it.
MOST = 1_000_000_000

_LOOK = (
    "entry_id",
    "on",
    "number",
    "after",
    "n_rooted",
    "n_lost",
    "n_waiting",
    "n_removed",
    "n_lost_rooted",
    "n_tried",
    "n_tried_rooted",
)

T = TypeVar("T")


def columns_of(
    standing: Standing, *, garden_id: int, batch_id: int, place_id: int | None, withdrawn_on: date | None
) -> dict[str, Any]:
    """Return the columns of the ``BatchState`` row of a batch that stands so.

    ``place_id`` is where it stands now, ``withdrawn_on`` the day its sticking was taken back.
    """
    return {
        "batch_id": batch_id,
        "garden_id": garden_id,
        "n_stuck": standing.n_stuck,
        "n_rooted": standing.n_rooted,
        "n_lost": standing.n_lost,
        "n_removed": standing.n_removed,
        "n_lost_rooted": standing.n_lost_rooted,
        "n_potted": standing.n_potted,
        "n_waiting": standing.n_waiting,
        "n_to_pot": standing.n_to_pot,
        "n_looks": standing.n_looks,
        "last_look_on": standing.last_look_on,
        "first_rooted_on": standing.first_rooted_on,
        "unpotted_since": standing.unpotted_since,
        "place_id": place_id,
        "ended_on": withdrawn_on or standing.ended_on,
        "withdrawn": withdrawn_on is not None,
        "flags": ";".join(sorted(standing.flags)),
    }


#: The columns of a ``BatchState`` row beside the batch it belongs to.
COLUMNS = tuple(columns_of(Standing(1), garden_id=0, batch_id=0, place_id=None, withdrawn_on=None))[1:]


def local_day(at: datetime, offset_min: int) -> date:
    """Return the calendar day of a moment where it was written down."""
    return (at + timedelta(minutes=offset_min)).date()


def resum(garden: Garden, batch_pks: Iterable[int] | None = None) -> int:
    """Sum batches anew and write where they stand; return how many.

    Called inside the caller's transaction, under the garden's lock (``numbering.hold``). Without
    ``batch_pks`` every batch of the garden is summed.
    """
    n = 0
    for chunk in _chunks(_pks(garden, batch_pks, "default")):
        kept = list(summed(garden, chunk))
        for columns in kept:
            if (fault := beyond(columns)) is not None:
                raise BadValue(*fault, columns[fault[0]])
        rows = [BatchState(**columns) for columns in kept]
        BatchState.rows.bulk_create(
            rows, update_conflicts=True, unique_fields=["batch"], update_fields=list(COLUMNS)
        )
        n += len(rows)
    return n


def beyond(columns: Mapping[str, Any]) -> tuple[str, str] | None:
    """Return the first column whose sum is more than the database keeps, and the rule it breaks."""
    names = (name for name, value in columns.items() if name.startswith("n_") and abs(value) > MOST)
    name = next(names, None)
    return (name, f"must not sum to more than {MOST:,}") if name is not None else None


@dataclass(frozen=True, slots=True)
class Difference:
    """A ``BatchState`` row that is not what its entries sum to."""

    batch: str
    column: str
    kept: object
    summed: object


def differences(
    garden: Garden, *, using: str = "default", told: Callable[[int], None] | None = None
) -> Iterator[Difference]:
    """Yield where the batch states of a garden are not what the entries sum to.

    ``told`` is called with the number of batches summed so far.
    """
    n = 0
    names = ("batch_id", *COLUMNS)
    for chunk in _chunks(_pks(garden, None, using)):
        kept = {
            row[0]: dict(zip(names, row, strict=True))
            for row in BatchState.rows.using(using).filter(batch__in=chunk).values_list(*names)
        }
        codes = dict(Sticking.rows.using(using).filter(pk__in=chunk).values_list("pk", "batch"))
        for columns in summed(garden, chunk, using=using):
            yield from _compare(codes[columns["batch_id"]], kept.get(columns["batch_id"]), columns)
        n += len(chunk)
        if told is not None:
            told(n)


def _compare(batch: str, kept: Mapping[str, Any] | None, columns: Mapping[str, Any]) -> Iterator[Difference]:
    if kept is None:
        yield Difference(batch, "", None, "a row")
        return
    for name, value in columns.items():
        if kept[name] != value:
            yield Difference(batch, name, kept[name], value)


def summed(garden: Garden, pks: Sequence[int], *, using: str = "default") -> Iterator[dict[str, Any]]:
    """Yield the ``BatchState`` columns of some batches, summed from their standing entries.

    Five queries, however many batches.
    """
    stickings = list(
        Sticking.rows.using(using)
        .of(garden)
        .filter(pk__in=pks)
        .values_list("pk", "entry_id", "n_stuck", "stuck_on", "place_id")
    )
    withdrawn_on = _withdrawn_on(garden, [row[1] for row in stickings], using)
    looks = _grouped(
        Look.rows.using(using).of(garden).standing().filter(batch__in=pks).values_list("batch_id", *_LOOK),
        LookSeen,
    )
    pottings = _grouped(
        Potting.rows.using(using)
        .of(garden)
        .standing()
        .filter(batch__in=pks)
        .values_list("batch_id", "on", "number", "n_potted"),
        PottedUp,
    )
    moved_to = _moved_to(garden, pks, using)
    for pk, entry_id, n_stuck, stuck_on, place_id in stickings:
        yield columns_of(
            standing(n_stuck, stuck_on, looks.get(pk, ()), pottings.get(pk, ())),
            garden_id=garden.pk,
            batch_id=pk,
            place_id=moved_to.get(pk, place_id),
            withdrawn_on=withdrawn_on.get(entry_id),
        )


def _pks(garden: Garden, batch_pks: Iterable[int] | None, using: str) -> Iterable[int]:
    if batch_pks is not None:
        return batch_pks
    return list(Sticking.rows.using(using).of(garden).order_by("pk").values_list("pk", flat=True))


def _chunks(pks: Iterable[int]) -> Iterator[list[int]]:
    left = iter(pks)
    while chunk := list(itertools.islice(left, CHUNK)):
        yield chunk


def _grouped(rows: Iterable[tuple[Any, ...]], make: Callable[..., T]) -> dict[int, list[T]]:
    groups: dict[int, list[T]] = {}
    for batch_id, *rest in rows:
        groups.setdefault(batch_id, []).append(make(*rest))
    return groups


def _withdrawn_on(garden: Garden, entry_ids: Sequence[str], using: str) -> dict[str, date]:
    found = (
        Withdrawal.rows.using(using)
        .of(garden)
        .filter(withdraws_kind=Sticking.kind, withdraws__in=entry_ids)
        .values_list("withdraws", "at", "at_offset_min")
    )
    return {entry_id: local_day(at, offset) for entry_id, at, offset in found}


def _moved_to(garden: Garden, pks: Sequence[int], using: str) -> dict[int, int]:
    moves = (
        Act.rows.using(using)
        .of(garden)
        .standing()
        .filter(act="move", batch__in=pks, to_place__isnull=False)
        .order_by("on", "number")
        .values_list("batch_id", "to_place_id")
    )
    return dict(moves)
