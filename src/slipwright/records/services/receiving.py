"""Taking in an entry that was recorded elsewhere, a phone offline for instance.

What can be taken in is; what cannot is kept aside, as it came, for a person to settle.  Nothing that
was sent is lost, nothing is mended in silence, and sending twice is the same as sending once.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal

from django.db import transaction

from slipwright.records import roles
from slipwright.records.canonical import content as canonical_content
from slipwright.records.canonical import sha256 as hash_of
from slipwright.records.contents import received
from slipwright.records.errors import BadValue, Clash, NotAllowed
from slipwright.records.models import Entry, Garden, Member, SetAside, fields
from slipwright.records.numbering import hold
from slipwright.records.rows import Row
from slipwright.records.services.entry import add, find_entry
from slipwright.records.services.stickings import stick
from slipwright.records.services.withdrawals import take_back


@dataclass(frozen=True, slots=True)
class Answer:
    """What became of an entry that was sent; the same again for the same entry sent again."""

    status: Literal["received", "set-aside"]
    kind: str
    entry_id: str
    sha256: str
    received_at: datetime
    number: int | None = None
    reason: str = ""


@transaction.atomic
def receive_entry(
    *,
    garden: Garden,
    content: Mapping[str, Any],
    sha256: str,
    by: Member,
    now: datetime,
    ground: str = "",
) -> Answer:
    """Take in the entry of this canonical ``content``, sent by ``by``, or keep it aside.

    ``sha256`` is what the sender worked out; it is worked out again here.  ``ground`` goes with the
    sticking of a protected plant, which has been done already.
    """
    held = hold(garden)
    if by.garden_id != held.pk:
        raise NotAllowed(by.member, "stranger", f"{roles.RECORD} in {held.name}")
    try:
        with transaction.atomic():
            record = _take_in(held, content, sha256, by=by, now=now, ground=ground)
    except ValueError as error:
        return _keep_aside(held, content, sha256, str(error), now)
    _asides(held, content).update(settled_at=now)
    return Answer("received", record.kind, record.entry_id, record.sha256, record.received_at, record.number)


def _take_in(
    held: Garden, content: Mapping[str, Any], sha256: str, *, by: Member, now: datetime, ground: str
) -> Entry:
    if content.get("garden") != str(held.garden):
        raise BadValue("garden", "must be this garden", content.get("garden"))
    table, row = received(content)
    if "by" in table.names and row.get("by") != by.member:
        raise BadValue("by", f"must be {by.member}, who sends it", row.get("by"))
    if hash_of(canonical_content(table, str(held.garden), row, content["v"])) != sha256:
        raise BadValue("sha256", "must be that of the content: this entry was damaged on its way", sha256)
    for other in find_entry(held, str(row["id"])):
        if other.kind != table.kind:
            raise Clash(other.kind, other.entry_id)
    return _added(held, table.kind, row, by=by, now=now, ground=ground)


def _added(held: Garden, kind: str, row: Row, *, by: Member, now: datetime, ground: str) -> Entry:
    if kind == "sticking":
        return stick(held, by=by, now=now, row=row, already_done=True, ground=ground)
    if kind == "withdrawal":
        return take_back(held, by=by, now=now, row=row)
    record: Entry = add(held, by=by, now=now, kind=kind, row=row).record
    return record


def _keep_aside(
    held: Garden, content: Mapping[str, Any], sha256: object, reason: str, now: datetime
) -> Answer:
    claimed = _short(sha256, 64)
    same = _asides(held, content).filter(sha256=claimed).order_by("pk").first()
    aside = same or SetAside.rows.create(
        garden=held,
        kind=_short(content.get("kind"), 24),
        entry_id=_short(content.get("id"), fields.SHORT),
        content=_as_it_came(content),
        sha256=claimed,
        reason=_short(reason, fields.NOTE),
        received_at=now,
    )
    return Answer(
        "set-aside", aside.kind, aside.entry_id, aside.sha256, aside.received_at, reason=aside.reason
    )


def _asides(held: Garden, content: Mapping[str, Any]) -> Any:
    return SetAside.rows.of(held).filter(
        entry_id=_short(content.get("id"), fields.SHORT), content=_as_it_came(content), settled_at=None
    )


def _as_it_came(content: Mapping[str, Any]) -> str:
    """Return received content as JSON of ASCII only, which every database can keep."""
    return _as_json(content)


def _as_json(value: object) -> str:
    try:
        return json.dumps(value, sort_keys=True, default=repr)
    except (TypeError, ValueError):  # nothing that JSON could have brought
        return ascii(value)


def _short(value: object, longest: int) -> str:
    """Return a value as text that every database can keep, no longer than ``longest``."""
    text = value if isinstance(value, str) else _as_json(value)
    return text.encode("utf-8", "backslashreplace").decode("utf-8").replace("\x00", "\\x00")[:longest]


@transaction.atomic
def settle_aside(*, garden: Garden, by: Member, now: datetime, aside: int) -> SetAside:
    """Mark an entry that was kept aside as settled by a person; it stays as it came."""
    held = hold(garden)
    roles.require(by, roles.SETTLE, held)
    found = SetAside.rows.of(held).filter(pk=aside).first()
    if found is None:
        raise BadValue("aside", "must be something kept aside in this garden", aside)
    if found.settled_at is None:
        found.settled_at = now
        found.save(update_fields=["settled_at"])
    return found
