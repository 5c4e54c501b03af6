"""The batches of a garden and where they stand, as plain values for the round and the forecast."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal
from typing import Any, NamedTuple, get_type_hints

from django.db.models import Q

from slipwright.records import codes
from slipwright.records.errors import Ambiguous, BadValue, NotFound
from slipwright.records.models import BatchState, Garden, Look, Potting, Sticking
from slipwright.records.selectors.looks import look_counts
from slipwright.records.sums import TWO_LOOKS_FROM_ONE, LookSeen, counted_looks
from slipwright.rooting.counts import BatchCounts


class BatchNow(NamedTuple):
    """A batch as it was stuck and where it stands now. Empty text and ``None`` are unknown.

    A named tuple, since hundreds are made at once: a frozen dataclass takes twice as long.
    """

    pk: int
    batch: str
    taxon: str
    common_name: str
    sold_as: str
    patience_days: int | None
    plant: str
    stuck_on: date
    n_stuck: int
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
    method: str
    medium: str
    container: str
    cells: int | None
    n_per_container: int | None
    cover: str
    medium_temp_c: Decimal | None
    days_from_bloom: int | None
    want: str
    arm: str
    block: str
    stuck_at: str
    cover_stuck_at: str
    place: str
    place_kind: str
    place_cover: str
    place_temp_c: Decimal | None
    place_shade_percent: Decimal | None
    walk_order: int | None
    n_rooted: int
    n_lost: int
    n_removed: int
    n_lost_rooted: int
    n_potted: int
    n_waiting: int
    n_to_pot: int
    n_looks: int
    last_look_on: date | None
    first_rooted_on: date | None
    unpotted_since: date | None
    ended_on: date | None
    withdrawn: bool
    flags: str

    @property
    def cover_as_stuck(self) -> str:
        """How its leaves were kept turgid when stuck: its own cover, else that of its place then."""
        return self.cover or self.cover_stuck_at

    @property
    def cover_now(self) -> str:
        """How its leaves are kept turgid now: as stuck, unless it was moved to a place with a cover."""
        if self.place != self.stuck_at and self.place_cover:
            return self.place_cover
        return self.cover_as_stuck

    @property
    def n_containers(self) -> int | None:
        """Containers it stands in, the last one perhaps part filled."""
        return containers_for(self.n_stuck, self.n_per_container, self.cells)

    @property
    def n_cells(self) -> int | None:
        """Cells of its trays that are filled; ``None`` where it does not stand in cells."""
        return containers_for(self.n_stuck, self.n_per_container) if self.cells else None

    @property
    def flagged(self) -> tuple[str, ...]:
        """What does not add up, in the words of ``records.sums``."""
        return tuple(self.flags.split(";")) if self.flags else ()

    @property
    def only_two_looks(self) -> bool:
        """Whether the sums hold, and only two looks were made from one earlier look."""
        return self.flags == TWO_LOOKS_FROM_ONE


def containers_for(n_stuck: int, n_per_container: int | None, cells: int | None = None) -> int | None:
    """Return the containers that cuttings stand in; ``None`` if it is not known how many go in one.

    Where a container has ``cells``, ``n_per_container`` go in each of them, and the tray is counted.
    """
    return -(-n_stuck // (n_per_container * (cells or 1))) if n_per_container else None


_FROM_STICKING = {
    "taxon": "batch__taxon__taxon",
    "common_name": "batch__taxon__common_name",
    "sold_as": "batch__taxon__sold_as",
    "patience_days": "batch__taxon__patience_days",
    "plant": "batch__plant__plant",
    "method": "batch__method__method",
    "medium": "batch__medium__medium",
    "container": "batch__container__container",
    "cells": "batch__container__cells",
    "want": "batch__want__want",
    "stuck_at": "batch__place__place",
    "cover_stuck_at": "batch__place__cover",
    "place": "place__place",
    "place_kind": "place__kind",
    "place_cover": "place__cover",
    "place_temp_c": "place__medium_temp_c",
    "place_shade_percent": "place__shade_percent",
    "walk_order": "place__walk_order",
}
_OF_STATE = {field.name for field in BatchState._meta.get_fields()} - {"batch", "place"}
_COLUMNS = [
    _FROM_STICKING.get(name) or (name if name in _OF_STATE else f"batch__{name}") for name in BatchNow._fields
]
#: Text columns reached over a reference that may be empty.
_HINTS = get_type_hints(BatchNow)
_MAYBE = [place for place, name in enumerate(BatchNow._fields) if _HINTS[name] is str and name != "batch"]


def states_of_open_batches(garden: Garden) -> list[BatchNow]:
    """Return every batch that has not ended, in the order of the walk past them. One query."""
    return _now(BatchState.rows.of(garden).filter(ended_on=None))


def batches_under_way(garden: Garden, *, since: date) -> set[str]:
    """Return the codes of the batches that have not ended, or did so on a day or later. One query."""
    rows = BatchState.rows.of(garden).filter(Q(ended_on=None) | Q(ended_on__gte=since))
    return set(rows.values_list("batch__batch", flat=True))


def states_of_all_batches(garden: Garden) -> list[BatchNow]:
    """Return every batch that was not taken back, ended or not, in the order of the walk. One query."""
    return _now(BatchState.rows.of(garden).filter(withdrawn=False))


def states_of_batches(garden: Garden, batches: Iterable[Sticking]) -> list[BatchNow]:
    """Return where some batches stand, ended or not, in the order of the walk."""
    return _now(BatchState.rows.of(garden).filter(batch__in=[batch.pk for batch in batches]))


def state_of_batch(sticking: Sticking) -> BatchNow:
    """Return where a batch stands that ``whole_batch`` read. No query."""
    return _batch_now(reached_from(sticking.state, path) for path in _COLUMNS)


def reached_from(row: Any, path: str) -> Any:
    """Return a column as ``values_list`` names it, of a record whose references are already read."""
    for name in path.split("__"):
        row = None if row is None else getattr(row, name)
    return row


def _now(states: object) -> list[BatchNow]:
    rows = states.values_list(*_COLUMNS)  # type: ignore[attr-defined]
    found = [_batch_now(row) for row in rows]
    found.sort(key=_walk)
    return found


def _batch_now(row: Iterable[Any]) -> BatchNow:
    values = list(row)
    for place in _MAYBE:
        values[place] = values[place] or ""
    return BatchNow._make(values)


def _walk(batch: BatchNow) -> tuple[bool, int, str, date, str]:
    """Sort places with a walk order first, then by name; within one, oldest first."""
    order = batch.walk_order
    return (order is None, order or 0, batch.place, batch.stuck_on, batch.batch)


def open_batches(garden: Garden) -> Sequence[Sticking]:
    """Return the stickings of the batches that have not ended, oldest first."""
    return list(
        Sticking.rows.of(garden)
        .filter(state__ended_on=None)
        .select_related("taxon", "plant", "place")
        .order_by("stuck_on", "number")
    )


def batch_by_code(garden: Garden, text: str) -> Sticking:
    """Return the batch that was meant.

    ``text`` is its whole code as it is kept; or a code of ours in any case, with or without hyphen;
    or the first four characters of a batch that has not ended, as a pencil label carries them.
    """
    asked = text.strip()
    exact = Sticking.rows.of(garden).filter(batch=asked).first()
    if exact is not None:
        return exact
    found = _by_whole_code(garden, asked) or _by_first_four(garden, asked)
    if not found:
        raise NotFound(_why_none(asked))
    if len(found) > 1:
        raise Ambiguous(asked, [f"{codes.shown(batch.batch)} ({batch.taxon})" for batch in found])
    return found[0]


def _by_whole_code(garden: Garden, asked: str) -> list[Sticking]:
    rows = Sticking.rows.of(garden).select_related("taxon").order_by("stuck_on", "number")
    return list(rows.filter(batch=codes.tidy(asked))[:20]) or list(rows.filter(batch__iexact=asked)[:20])


def _by_first_four(garden: Garden, asked: str) -> list[Sticking]:
    four = codes.tidy(asked)
    if len(four) != codes.SHORT:
        return []
    rows = Sticking.rows.of(garden).filter(state__ended_on=None).select_related("taxon")
    return list(rows.filter(batch__istartswith=four).order_by("stuck_on", "number")[:20])


def _why_none(asked: str) -> str:
    try:
        codes.read_code(asked)
    except BadValue as error:
        if len(codes.tidy(asked)) == codes.LENGTH:
            return f"there is no batch {asked}, and if it is a code, a character of it is wrong: {error.rule}"
        return f"there is no batch {asked}; first characters find only a batch that has not ended"
    return f"there is no batch {codes.shown(codes.tidy(asked))} in this garden"


def looks_of(garden: Garden, batch_pks: Iterable[int]) -> dict[int, list[Look]]:
    """Return the looks that count of some batches, in the order they were seen. One query."""
    seen: dict[int, list[Look]] = {}
    rows = Look.rows.of(garden).standing().filter(batch__in=list(batch_pks))
    for look in rows:
        seen.setdefault(look.batch_id, []).append(look)
    return {pk: _that_count(looks) for pk, looks in seen.items()}


def _that_count(looks: list[Look]) -> list[Look]:
    by_id = {look.entry_id: look for look in looks}
    counted, _ = counted_looks(LookSeen(look.entry_id, look.on, look.number, look.after) for look in looks)
    return [by_id[look.entry_id] for look in counted]


def pottings_of(garden: Garden, batch_pks: Iterable[int]) -> dict[int, list[Potting]]:
    """Return the pottings of some batches, oldest first. One query."""
    found: dict[int, list[Potting]] = {}
    rows = Potting.rows.of(garden).standing().filter(batch__in=list(batch_pks)).order_by("on", "number")
    for potting in rows:
        found.setdefault(potting.batch_id, []).append(potting)
    return found


def counts_of(garden: Garden, batches: Iterable[BatchNow]) -> dict[int, BatchCounts]:
    """Return what was counted in some batches, as the forecast takes it. One query."""
    asked = list(batches)
    seen = look_counts(garden, [batch.pk for batch in asked])
    return {
        batch.pk: BatchCounts(
            stuck_on=batch.stuck_on,
            n_stuck=batch.n_stuck,
            looks=seen.get(batch.pk, ()),
            n_potted=batch.n_potted,
        )
        for batch in asked
    }
