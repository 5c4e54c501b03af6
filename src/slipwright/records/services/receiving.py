"""Taking in entries that were recorded elsewhere, on phones offline for instance.

What can be taken in is; what cannot is kept aside, as it came, for a person to settle.  Nothing that
was sent is lost, nothing is mended in silence, and sending twice is the same as sending once.
"""

from __future__ import annotations

import json
import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal

from django.db import transaction

from slipwright.records import roles
from slipwright.records.canonical import content as canonical_content
from slipwright.records.canonical import sha256 as hash_of
from slipwright.records.contents import received
from slipwright.records.errors import BadValue, Clash, NotAllowed
from slipwright.records.models import Device, Entry, Garden, Member, SetAside, fields
from slipwright.records.numbering import hold
from slipwright.records.rows import MODELS, Row
from slipwright.records.services.entry import add, find_entry, kept_before
from slipwright.records.services.stickings import stick
from slipwright.records.services.withdrawals import take_back

#: The kinds of the entries under some ids, where they were looked up for many at once.
Kinds = Mapping[str, Iterable[str]]


@dataclass(frozen=True, slots=True)
class Sent:
    """A record as it came: nothing of it is known to be what it should be."""

    content: Any
    sha256: Any
    ground: str = ""


@dataclass(frozen=True, slots=True)
class Answer:
    """What became of an entry that was sent; the same again for the same entry sent again."""

    status: Literal["received", "set-aside", "not-yours"]
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
    content: Any,
    sha256: Any,
    by: Member,
    now: datetime,
    ground: str = "",
    device: Device | None = None,
    sent_by: Member | None = None,
    doubt: str = "",
    kinds: Kinds | None = None,
    sum_later: set[int] | None = None,
) -> Answer:
    """Take in the entry of this canonical ``content``, recorded by ``by``, or keep it aside.

    ``sha256`` is what the sender worked out; it is worked out again here.  ``ground`` goes with the
    sticking of a protected plant, which has been done already.  With a ``doubt`` only what was taken in
    before is; the rest is kept aside for that reason.  ``sent_by`` and ``device`` sent it.  ``sum_later``
    is that of ``entry.add``.
    """
    held = hold(garden)
    if by.garden_id != held.pk:
        raise NotAllowed(by.member, "stranger", f"{roles.RECORD} in {held.name}")
    aside = _Aside(held, content, sha256)
    if aside.decided is not None:
        return _as_decided(held, aside.decided)
    try:
        if not isinstance(content, Mapping):
            raise BadValue("content", "must be an object", content)
        with transaction.atomic():
            record = _take_in(
                held,
                content,
                sha256,
                by=by,
                now=now,
                ground=ground,
                doubt=doubt,
                kinds=kinds,
                sum_later=sum_later,
            )
    except ValueError as error:
        return answer_aside(aside.keep(str(error), now, by=sent_by or by, device=device))
    aside.settle(now)
    return Answer("received", record.kind, record.entry_id, record.sha256, record.received_at, record.number)


def _take_in(
    held: Garden,
    content: Mapping[str, Any],
    sha256: Any,
    *,
    by: Member,
    now: datetime,
    ground: str,
    doubt: str,
    kinds: Kinds | None,
    sum_later: set[int] | None,
) -> Entry:
    if content.get("garden") != str(held.garden):
        raise BadValue("garden", "must be this garden", content.get("garden"))
    table, row = received(content)
    if "by" in table.names and row.get("by") != by.member:
        raise BadValue("by", f"must be {by.member}, who sends it", row.get("by"))
    if hash_of(canonical_content(table, str(held.garden), row, content["v"])) != sha256:
        raise BadValue("sha256", "must be that of the content: this entry was damaged on its way", sha256)
    entry_id = str(row["id"])
    there = kinds.get(entry_id, ()) if kinds is not None else (e.kind for e in find_entry(held, entry_id))
    for kind in there:
        if kind != table.kind:
            raise Clash(kind, entry_id)
    # whatever changed since, in rights or in roles: what is here already is answered as the first time
    if there and (before := kept_before(held, table, row)) is not None:
        return before
    if doubt:
        raise ValueError(doubt)
    return _added(held, table.kind, row, by=by, now=now, ground=ground, sum_later=sum_later)


def _added(
    held: Garden,
    kind: str,
    row: Row,
    *,
    by: Member,
    now: datetime,
    ground: str,
    sum_later: set[int] | None,
) -> Entry:
    if kind == "sticking":
        return stick(held, by=by, now=now, row=row, already_done=True, ground=ground)
    if kind == "withdrawal":
        return take_back(held, by=by, now=now, row=row)
    record: Entry = add(held, by=by, now=now, kind=kind, row=row, sum_later=sum_later).record
    return record


class _Aside:
    """What was kept aside of an entry before: the same content, sent once more."""

    def __init__(self, held: Garden, content: Any, claimed: Any) -> None:
        told = content if isinstance(content, Mapping) else {}
        self._row = {
            "garden": held,
            "kind": _short(told.get("kind", ""), 24),
            "entry_id": _short(told.get("id", ""), fields.SHORT),
            "content": as_json(content),
            "sha256": _short(claimed, 64),
        }
        before = SetAside.rows.of(held).filter(entry_id=self._row["entry_id"], content=self._row["content"])
        self._before: list[SetAside] = list(before.order_by("pk"))

    @property
    def _same(self) -> list[SetAside]:
        return [one for one in self._before if one.sha256 == self._row["sha256"]]

    @property
    def decided(self) -> SetAside | None:
        """The very same thing, of which a person said already what is to become."""
        return next((one for one in self._same if one.settled_by_id is not None), None)

    def keep(self, reason: str, now: datetime, *, by: Member, device: Device | None) -> SetAside:
        """Keep it aside, unless it lies there already."""
        for one in self._same:
            if one.settled_at is None:
                return one
        made: SetAside = SetAside.rows.create(
            **self._row, reason=_short(reason, fields.NOTE), received_at=now, by=by, device=device
        )
        return made

    def settle(self, now: datetime) -> None:
        """Mark what was kept aside of it as taken in since."""
        if open_ones := [one.pk for one in self._before if one.settled_at is None]:
            SetAside.rows.filter(pk__in=open_ones).update(settled_at=now, settled_as="recorded")


def _as_decided(held: Garden, aside: SetAside) -> Answer:
    """Answer for what a person settled: received where they recorded it as it came, else set aside."""
    for model in MODELS.values():
        if getattr(model, "kind", "") == aside.kind:
            rows: Any = getattr(model, "rows")  # noqa: B009  (reference rows have none)
            record = rows.of(held).filter(entry_id=aside.entry_id, sha256=aside.sha256).first()
            if record is not None:
                return Answer(
                    "received",
                    record.kind,
                    record.entry_id,
                    record.sha256,
                    record.received_at,
                    record.number,
                )
    return answer_aside(aside)


def answer_aside(aside: SetAside) -> Answer:
    """Return the answer for what is kept aside."""
    return Answer(
        "set-aside", aside.kind, aside.entry_id, aside.sha256, aside.received_at, reason=aside.reason
    )


def not_yours(content: Mapping[str, Any], sha256: Any, now: datetime) -> Answer:
    """Return the answer for what another member recorded, or for another garden: it is kept nowhere."""
    told = [_short(content.get(name, ""), longest) for name, longest in (("kind", 24), ("id", fields.SHORT))]
    return Answer("not-yours", told[0], told[1], _short(sha256, 64), now)


def is_elsewhere(garden: Garden, content: Mapping[str, Any]) -> bool:
    """Return whether content says, in sound words, that it belongs to another garden."""
    named = content.get("garden")
    try:
        return isinstance(named, str) and uuid.UUID(named) != garden.garden
    except ValueError:
        return False


def as_json(value: object) -> str:
    """Return a value as JSON of ASCII only, which every database can keep."""
    try:
        return json.dumps(value, sort_keys=True, default=repr)
    except (TypeError, ValueError):  # nothing that JSON could have brought
        return ascii(value)


def _short(value: object, longest: int) -> str:
    """Return a value as text that every database can keep, no longer than ``longest``."""
    text = value if isinstance(value, str) else as_json(value)
    return text.encode("utf-8", "backslashreplace").decode("utf-8").replace("\x00", "\\x00")[:longest]
