"""Taking an entry back. The entry stays; it no longer counts."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from django.db import transaction

from slipwright.records import roles
from slipwright.records.columns import table_of_kind
from slipwright.records.errors import Ambiguous, BadValue, Clash, Refused
from slipwright.records.models import (
    ENTRY_MODELS,
    Act,
    Entry,
    Garden,
    Look,
    Member,
    Note,
    Outcome,
    Photo,
    Plant,
    Potting,
    Sticking,
    Withdrawal,
)
from slipwright.records.numbering import hold
from slipwright.records.rows import Row, checked
from slipwright.records.services.entry import add, batch_of, find_entry, kept_before, new_id

_KINDS = tuple(model.kind for model in ENTRY_MODELS)


@transaction.atomic
def withdraw(
    *,
    garden: Garden,
    by: Member,
    now: datetime,
    withdraws: str,
    reason: str,
    at: datetime,
    entry_id: str = "",
    kind: str = "",
) -> Withdrawal:
    """Take back the entry with the id ``withdraws``; a correction is then a new entry.

    An id is unique only among entries of one kind: where several have it, ``kind`` says which.
    A volunteer may take back only entries of their own. A sticking can be taken back only when all
    that refers to it has been.
    """
    row: Row = {
        "withdraws": withdraws,
        "at": at,
        "by": by.member,
        "reason": reason,
        "id": entry_id or new_id(),
    }
    return take_back(hold(garden), by=by, now=now, row=row, kind=kind)


def take_back(held: Garden, *, by: Member, now: datetime, row: Row, kind: str = "") -> Withdrawal:
    """Add the withdrawal of a whole ``row`` to a garden that is held."""
    if kind and kind not in _KINDS:
        raise BadValue("kind", f"must be one of {', '.join(_KINDS)}", kind)
    table = table_of_kind("withdrawal")
    full = checked(table, row)
    if (before := kept_before(held, table, full)) is not None:
        assert isinstance(before, Withdrawal)
        if kind not in ("", before.withdraws_kind):
            raise Clash(table.kind, before.entry_id)
        return before
    target = _target(held, str(full["withdraws"]), kind)
    own = getattr(target, "by_id", None) == by.pk
    roles.require(by, roles.WITHDRAW_OWN if own else roles.WITHDRAW, held)
    _may_go(held, target)
    record: Withdrawal = add(
        held,
        by=by,
        now=now,
        kind="withdrawal",
        row=full,
        server={"withdraws_kind": target.kind},
        touched=batch_of(target),
    ).record
    return record


def _target(held: Garden, entry_id: str, kind: str) -> Entry:
    found = [record for record in find_entry(held, entry_id) if kind in ("", record.kind)]
    if not found:
        what = f"a {kind}" if kind else "an entry"
        raise BadValue("withdraws", f"must be the id of {what} of this garden", entry_id)
    if len(found) > 1:
        raise Ambiguous(f"withdraws: {entry_id}", [record.kind for record in found], by="its kind")
    return found[0]


def _may_go(held: Garden, target: Entry) -> None:
    if isinstance(target, Withdrawal):
        raise Refused(
            "A withdrawal is not taken back.", ["Record anew what was taken back; it gets an id of its own."]
        )
    if is_withdrawn(held, target):
        raise Refused(f"The {target.kind} {target.entry_id} was taken back before.")
    if isinstance(target, Sticking) and (left := list(what_refers_to(held, target))):
        raise Refused(
            f"Batch {target.batch} cannot be taken back while other records refer to it: {', '.join(left)}.",
            ["Take those back first."],
        )


def is_withdrawn(garden: Garden, record: Entry) -> bool:
    """Return whether ``record`` has been taken back."""
    return Withdrawal.rows.of(garden).filter(withdraws_kind=record.kind, withdraws=record.entry_id).exists()


def what_refers_to(garden: Garden, sticking: Sticking) -> Iterator[str]:
    """Yield what still refers to a sticking, in words, most telling first."""
    for model in (Look, Potting, Outcome, Act):
        n = model.rows.of(garden).standing().filter(batch=sticking).count()
        if n:
            yield f"{model.kind} × {n}"
    about = {sticking.entry_id, sticking.batch}
    for said in (Note, Photo):
        if n := said.rows.of(garden).standing().filter(about__in=about).count():
            yield f"{said.kind} × {n}"
    stuck_again = Sticking.rows.of(garden).standing().filter(from_batch=sticking.batch)
    for batch in stuck_again.order_by("number").values_list("batch", flat=True)[:10]:
        yield f"batch {batch}, stuck from it"
    raised = Plant.rows.of(garden).filter(from_batch=sticking.batch)
    for plant in raised.order_by("plant").values_list("plant", flat=True)[:10]:
        yield f"plant {plant}, raised from it"
