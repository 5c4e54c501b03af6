"""A person decides: about what was kept aside, and about looks made after the same thing."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from slipwright.records import roles, words
from slipwright.records.canonical import Value
from slipwright.records.codes import new_code
from slipwright.records.columns import Table
from slipwright.records.contents import received, same_content
from slipwright.records.errors import BadValue, Refused
from slipwright.records.models import Entry, Garden, Look, Member, SetAside, Sticking, fields
from slipwright.records.numbering import hold
from slipwright.records.rows import Row
from slipwright.records.services.entry import add, find_entry, id_beside
from slipwright.records.services.stickings import first_fours_in_use, stick
from slipwright.records.services.withdrawals import is_withdrawn, take_back

DROPPED, RECORDED, REPLACED = words.SETTLED_AS


@transaction.atomic
def settle_aside(
    *,
    garden: Garden,
    by: Member,
    now: datetime,
    aside: int,
    settled_as: str = DROPPED,
    ground: str = "",
) -> SetAside:
    """Say what is to become of what was kept aside; it stays to be read, as it came.

    It is ``dropped``, ``recorded`` beside what the garden has, or ``replaced``: recorded, and the entry
    that is there under its id taken back. ``ground`` goes with the sticking of a protected plant.
    """
    held = hold(garden)
    roles.require(by, roles.SETTLE, held)
    if settled_as not in words.SETTLED_AS:
        raise BadValue("settled_as", f"must be one of {', '.join(words.SETTLED_AS)}", settled_as)
    found: SetAside | None = SetAside.rows.of(held).filter(pk=aside).first()
    if found is None:
        raise BadValue("aside", "must be something kept aside in this garden", aside)
    if found.settled_at is not None:
        if found.settled_as != settled_as:
            raise Refused("This was settled before.", ["What came of it is written beside the batch."])
        return found
    if settled_as != DROPPED:
        _record(held, found, by=by, now=now, ground=ground, in_place=settled_as == REPLACED)
    found.settled_at, found.settled_by, found.settled_as = now, by, settled_as
    found.save(update_fields=["settled_at", "settled_by", "settled_as"])
    return found


def _record(held: Garden, aside: SetAside, *, by: Member, now: datetime, ground: str, in_place: bool) -> None:
    """Record what was kept aside: under its own id where that is free, else under one beside it.

    What the garden has by now under the same id and in the same words is not recorded twice.
    """
    table, told = _read(held, aside)
    row: dict[str, Value] = dict(told)
    there = find_entry(held, str(row["id"]))
    if any(one.kind == table.kind and same_content(one, table, held, told) for one in there):
        return  # the garden has it, word for word
    if in_place:
        _make_room(held, [one for one in there if one.kind == table.kind], by=by, now=now)
    is_free = not there
    if table.kind == Sticking.kind and Sticking.rows.of(held).filter(batch=row["batch"]).exists():
        row["batch"], is_free = new_code(first_fours_in_use(held)), False
    if not is_free:
        row["id"] = id_beside(str(row["id"]), f"aside-{aside.pk}")
    record = _added(held, table, row, by=by, now=now, ground=ground)
    note: Row = {
        "about": record.entry_id,
        "at": now.replace(microsecond=0),
        "text": f"Recorded from what was set aside. {aside.reason}"[: fields.NOTE],
        "by": by.member,
        "id": id_beside(record.entry_id, "from-aside"),
    }
    add(held, by=by, now=now, kind="note", row=note)


def _read(held: Garden, aside: SetAside) -> tuple[Table, Row]:
    try:
        content = json.loads(aside.content)
    except ValueError:
        content = None
    if not isinstance(content, Mapping):
        raise BadValue("content", "must be an object", aside.content)
    if content.get("garden") != str(held.garden):
        raise BadValue("garden", "must be this garden", content.get("garden"))
    return received(content)


def _added(held: Garden, table: Table, row: Row, *, by: Member, now: datetime, ground: str) -> Entry:
    """Add an entry that ``by`` decides on; who observed it stands in the row."""
    if table.kind == Sticking.kind:
        return stick(held, by=by, now=now, row=row, already_done=True, ground=ground)
    if table.kind == "withdrawal":
        return take_back(held, by=by, now=now, row=row)
    record: Entry = add(held, by=by, now=now, kind=table.kind, row=row).record
    return record


def _make_room(held: Garden, there: list[Entry], *, by: Member, now: datetime) -> None:
    if not there:
        raise Refused("There is nothing in its place.", ["Record it instead."])
    for entry in there:
        if not is_withdrawn(held, entry):
            _take_back(held, entry, by=by, now=now, reason="another version of it stands in its place")


def _take_back(held: Garden, entry: Entry, *, by: Member, now: datetime, reason: str) -> None:
    row: Row = {
        "withdraws": entry.entry_id,
        "at": now.replace(microsecond=0),
        "by": by.member,
        "reason": reason,
        "id": id_beside(entry.entry_id, f"settled-{entry.kind}"),
    }
    take_back(held, by=by, now=now, row=row, kind=entry.kind)


@transaction.atomic
def pick_look(*, garden: Garden, by: Member, now: datetime, look: str) -> Look:
    """Let this look count of those made after the same thing: the others are taken back."""
    held = hold(garden)
    roles.require(by, roles.SETTLE, held)
    picked: Look | None = Look.rows.of(held).standing().filter(entry_id=look).first()
    if picked is None:
        raise Refused("This look was taken back.", ["Pick one that stands."])
    if picked.after:
        rivals: Any = Look.rows.of(held).standing().filter(batch=picked.batch_id, after=picked.after)
        for rival in list(rivals.exclude(pk=picked.pk)):
            _take_back(held, rival, by=by, now=now, reason="the other look after the same one was picked")
    return picked
