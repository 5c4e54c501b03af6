"""The one place where an entry is added: hash, number, insert, and the batches summed anew."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db.models import Exists, Model, OuterRef

from slipwright.records import roles
from slipwright.records.canonical import Value, content, sha256
from slipwright.records.columns import TABLES, Table, table_of_kind
from slipwright.records.contents import VERSION, same_content
from slipwright.records.errors import BadValue, Clash, Refused, UnknownRow
from slipwright.records.models import (
    ENTRY_MODELS,
    Act,
    Entry,
    Garden,
    Look,
    Member,
    Potting,
    Sticking,
    Withdrawal,
)
from slipwright.records.numbering import take_numbers
from slipwright.records.rows import MODELS, Row, checked, is_link, kept_as
from slipwright.records.rules import NOT_AHEAD, NOT_LATER, is_ahead
from slipwright.records.selectors.fixing import fixes_for_all
from slipwright.records.states import resum

#: Ids of entries the server adds beside another are made from that one's id, so that sending it
#: twice adds them once.
_BESIDE = uuid.UUID("a1d40a4c-6c2b-5f0e-9a55-6b1f0a7c2d11")


@dataclass(frozen=True, slots=True)
class Added:
    """An entry, and whether this call added it or found it there."""

    record: Any
    is_new: bool


def new_id() -> str:
    """Return an id for an entry recorded here."""
    return str(uuid.uuid4())


def id_beside(entry_id: str, what: str) -> str:
    """Return the id of the entry the server adds beside another."""
    return str(uuid.uuid5(_BESIDE, f"{what}/{entry_id}"))


def add(
    held: Garden,
    *,
    by: Member,
    now: datetime,
    kind: str,
    row: Row,
    server: Mapping[str, Any] | None = None,
    touched: int | None = None,
    sum_later: set[int] | None = None,
) -> Added:
    """Add an entry to a garden that is held, unless it is there already.

    ``row`` holds the columns of its table; ``server`` what the server found out beside them, and
    ``touched`` a batch to sum anew that the entry itself does not name. A caller that adds many gives
    ``sum_later``: the batches are put there, and it sums them once, in the same transaction.
    """
    roles.require(by, roles.RECORD, held)
    table = table_of_kind(kind)
    full = checked(table, {"id": new_id()} | dict(row))
    if (before := kept_before(held, table, full)) is not None:
        return Added(before, is_new=False)
    if kind == "note" and fixes_for_all(str(held.garden), str(full["about"]), str(full["text"])):
        roles.require(by, roles.EDIT, held)
    _not_ahead(full[table.when], table.when, now)
    record = _made(held, table, full, by, now, server or {})
    record.save(force_insert=True)
    batches = {pk for pk in (touched, batch_of(record)) if pk is not None}
    if sum_later is not None:
        sum_later |= batches
    elif batches:
        resum(held, batches)
    return Added(record, is_new=True)


def kept_before(held: Garden, table: Table, row: Row) -> Entry | None:
    """Return the entry that is there under the id of ``row``; raise ``Clash`` if it says otherwise."""
    model: Any = MODELS[table.name]
    before: Entry | None = model.rows.of(held).filter(entry_id=row["id"]).first()
    if before is not None and not same_content(before, table, held, row):
        raise Clash(table.kind, before.entry_id)
    return before


def find_entry(garden: Garden, entry_id: str) -> list[Entry]:
    """Return the entries of any kind under ``entry_id``: none, one, or one a kind."""
    found: list[Entry] = []
    for model in ENTRY_MODELS:
        found.extend(model.rows.of(garden).filter(entry_id=entry_id))
    return found


def batch_of(record: Entry) -> int | None:
    """Return the primary key of the batch whose standing rests on ``record``."""
    if isinstance(record, Sticking):
        return record.pk
    if isinstance(record, Look | Potting | Act):
        return record.batch_id
    return None


def standing_sticking(garden: Garden, batch: str, column: str = "batch") -> Sticking:
    """Return the sticking of ``batch``; raise if there is none or it was taken back."""
    taken_back = Withdrawal.rows.of(garden).filter(withdraws_kind="sticking", withdraws=OuterRef("entry_id"))
    rows: Any = Sticking.rows.of(garden).filter(batch=batch)
    sticking: Sticking | None = rows.annotate(is_taken_back=Exists(taken_back)).first()
    if sticking is None:
        raise UnknownRow(column, batch, "batches")
    if sticking.is_taken_back:  # type: ignore[attr-defined]
        raise Refused(
            f"Batch {batch} was taken back, so nothing more is written about it.",
            ["Record it under the batch that stands in its place."],
        )
    return sticking


def _not_ahead(when: Value, column: str, now: datetime) -> None:
    assert isinstance(when, date)
    if is_ahead(when, now):
        raise BadValue(column, NOT_AHEAD, str(when))


def _made(
    held: Garden, table: Table, row: Row, by: Member, now: datetime, server: Mapping[str, Any]
) -> Entry:
    known = _check_against_others(held, table, row)
    if row.get("by") == by.member:
        known["by"] = by
    model: Any = MODELS[table.name]
    record: Entry = model(
        **kept_as(held, table, row, known),
        **server,
        garden=held,
        v=VERSION,
        number=0,
        received_at=now,
        sha256=sha256(content(table, str(held.garden), row, VERSION)),
    )
    links = {column.name for column in table.columns if is_link(table, column)}
    try:
        # The links were just looked up in this garden, ids and words just checked; the
        # constraints stand in the database.
        record.full_clean(exclude={*links, "garden"}, validate_unique=False, validate_constraints=False)
    except ValidationError as error:
        column, rules = next(iter(error.message_dict.items()))
        raise BadValue(column, " ".join(rules)) from error
    record.number = take_numbers(held)
    return record


def _check_against_others(held: Garden, table: Table, row: Row) -> dict[str, Model]:
    """Hold an entry against what is there already; raise where it cannot stand beside it.

    Returns what was looked up on the way, by the column that refers to it.
    """
    known: dict[str, Model] = {}
    if table.kind == "sticking":
        _code_is_free(held, str(row["batch"]))
        if row.get("from_batch"):
            standing_sticking(held, str(row["from_batch"]), "from_batch")
    elif row.get("batch"):
        known["batch"] = sticking = standing_sticking(held, str(row["batch"]))
        if table.kind == "look" and row.get("after"):
            _follows(held, row, sticking)
    if table.kind in ("note", "photo") and not is_something(held, str(row["about"])):
        raise BadValue("about", "must be the id of a row or an entry of this garden", row["about"])
    return known


def _follows(held: Garden, row: Row, sticking: Sticking) -> None:
    """Hold a look against the look it follows; the first one follows the sticking itself."""
    after, on = row["after"], row["on"]
    assert isinstance(on, date)
    before = Look.rows.of(held).filter(entry_id=after, batch=sticking).values_list("on", flat=True).first()
    if before is None and after == sticking.entry_id:
        before = sticking.stuck_on
    if before is None:
        rule = f"must be the id of another look at batch {sticking.batch}, or of its sticking"
        raise BadValue("after", rule, after)
    if before > on:
        raise BadValue("after", NOT_LATER, after)


def is_something(garden: Garden, called: str) -> bool:
    """Return whether any entry has this id, any row this key, or the garden itself."""
    if called == str(garden.garden) or find_entry(garden, called):
        return True
    for table in TABLES:
        if len(table.key) == 1 and table.key != ("id",):
            rows = MODELS[table.name]._default_manager.filter(garden=garden)
            if rows.filter(**{table.key[0]: called}).exists():
                return True
    return False


def _code_is_free(held: Garden, batch: str) -> None:
    if Sticking.rows.of(held).filter(batch=batch).exists():
        raise BadValue("batch", "must not be the code of another batch", batch)
