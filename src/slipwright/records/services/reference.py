"""Changing what a garden has and wants. Reference rows may change; every change is kept."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models, transaction
from django.utils.translation import gettext as _

from slipwright.records import roles
from slipwright.records.canonical import Value, plain
from slipwright.records.columns import REFERENCE_TABLES, Table, table_named
from slipwright.records.errors import BadValue, ChangedSince, NotFound, Refused
from slipwright.records.models import Garden, Member, ReferenceEdit, User
from slipwright.records.numbering import hold, take_edit_number
from slipwright.records.rows import MODELS, Row, checked, kept_as, row_of
from slipwright.records.services.entry import standing_sticking

#: Tables only an owner may change.
_GOVERNED = ("garden", "members")


@transaction.atomic
def edit_reference(
    *,
    garden: Garden,
    by: Member,
    now: datetime,
    table: str,
    key: tuple[Value, ...],
    changes: Row,
    seen: Mapping[str, str] | None = None,
) -> Any:
    """Change the named columns of one reference row and return it; an empty value clears a column.

    ``key`` holds the values of the table's key columns, none for the garden itself. What a row is
    called by is never changed: entries refer to it. ``seen`` is the row, each value ``in_text``, as it
    was when the changes were thought of: columns left as they were seen are not changed, and
    ``ChangedSince`` is raised where somebody else changed one of the others in between.
    """
    what = _reference_table(table)
    held = hold(garden)
    _require(by, what, held)
    for name in changes:
        if name in what.key or (table == "garden" and name == "garden"):
            raise BadValue(name, "is what the row is called by, and is not changed", changes[name])
    record = _found(held, what, key)
    before = row_of(record, what)
    if seen is not None:
        changes = _changed(what, before, changes, seen)
    full = checked(what, {**before, **changes})
    if full == before:
        return record
    emptied = {name: None for name in before if name not in full}
    _set(record, _values(held, what, full), emptied)
    _still_governed(held, what, record)
    _save(record)
    _keep_edit(held, by=by, now=now, table=what, key=key, before=before, after=full)
    return record


@transaction.atomic
def add_reference(*, garden: Garden, by: Member, now: datetime, table: str, row: Row) -> Any:
    """Add one reference row and return it."""
    what = _reference_table(table)
    if table == "garden":
        raise BadValue("table", "must be one that rows are added to", table)
    held = hold(garden)
    _require(by, what, held)
    full = checked(what, row)
    record = MODELS[table](garden=held, **_values(held, what, full))
    _save(record)
    key = tuple(full.get(name) for name in what.key)
    _keep_edit(held, by=by, now=now, table=what, key=key, before=None, after=full)
    return record


@transaction.atomic
def add_member(
    *,
    garden: Garden,
    by: Member,
    now: datetime,
    member: str,
    role: str,
    shown_as: str = "",
    user: User | None = None,
) -> Member:
    """Take a person into the garden, under the short id that entries carry as ``by``."""
    row: Row = {"member": member, "role": role, "shown_as": shown_as}
    record: Member = add_reference(garden=garden, by=by, now=now, table="members", row=row)
    if user is not None:
        record.user = user
        _save(record)
    return record


def in_text(value: Value) -> str:
    """Return a value of a row as text, empty where there is none."""
    kept = plain(value)
    return "" if kept is None else str(kept)


def _changed(table: Table, before: Row, changes: Row, seen: Mapping[str, str]) -> dict[str, Value]:
    """Return the changes that are any; raise where somebody else made another of the same column."""
    said = checked(table, changes, whole=False)
    changed = {
        name: said.get(name) for name in changes if in_text(said.get(name)) != seen.get(name, "").strip()
    }
    both = [
        name
        for name, value in changed.items()
        if in_text(before.get(name)) not in (seen.get(name, ""), in_text(value))
    ]
    if both:
        raise ChangedSince(both, before)
    return changed


def _reference_table(name: str) -> Table:
    if name not in {table.name for table in REFERENCE_TABLES}:
        raise BadValue("table", "must be a table of reference rows", name)
    return table_named(name)


def _require(by: Member, table: Table, held: Garden) -> None:
    roles.require(by, roles.GOVERN if table.name in _GOVERNED else roles.EDIT, held)


def _values(held: Garden, table: Table, row: Row) -> dict[str, Any]:
    if row.get("from_batch"):
        standing_sticking(held, str(row["from_batch"]), "from_batch")
    return kept_as(held, table, row)


def _found(held: Garden, table: Table, key: tuple[Value, ...]) -> models.Model:
    if table.name == "garden":
        return held
    if len(key) != len(table.key):
        raise BadValue("key", f"must hold {', '.join(table.key)}", key)
    exact = {
        f"{name}__isnull" if value is None else name: True if value is None else value
        for name, value in zip(table.key, key, strict=True)
    }
    record = MODELS[table.name]._default_manager.filter(garden=held, **exact).first()
    if record is None:
        raise NotFound(f"{table.name}: there is no row {_key_text(key)} in this garden")
    return record


def _set(record: models.Model, values: Mapping[str, Any], emptied: Mapping[str, None]) -> None:
    for name in emptied:
        field = record._meta.get_field(name)
        setattr(record, name, None if getattr(field, "null", False) else "")
    for name, value in values.items():
        setattr(record, name, value)


def _still_governed(held: Garden, table: Table, record: models.Model) -> None:
    if isinstance(record, Member) and record.role != "owner":
        require_another_owner(held, record)


def require_another_owner(held: Garden, member: Member) -> None:
    """Raise ``Refused`` unless the garden keeps an owner without this one.

    Where this one can come in, another must be able to: somebody who signs in and is not shut out. Of a
    garden that nobody signs in to any owner will do.
    """
    others = Member.objects.filter(garden=held, role="owner").exclude(pk=member.pk)
    can_come_in = member.user is not None and member.user.is_active
    theirs = others.filter(user__is_active=True) if can_come_in else others.exclude(user__is_active=False)
    if theirs.exists():
        return
    if can_come_in and others.filter(user=None).exists():
        raise Refused(
            _("A garden has at least one owner who can come in."), [_("Let another owner sign in first.")]
        )
    raise Refused(_("A garden has at least one owner."), [_("Make somebody else an owner first.")])


def _save(record: models.Model) -> None:
    try:
        record.full_clean()
    except ValidationError as error:
        column, rules = next(iter(error.message_dict.items()))
        raise BadValue(column, " ".join(rules)) from error
    record.save()


def _keep_edit(
    held: Garden,
    *,
    by: Member,
    now: datetime,
    table: Table,
    key: tuple[Value, ...],
    before: Row | None,
    after: Row,
) -> None:
    ReferenceEdit.rows.create(
        garden=held,
        number=take_edit_number(held),
        table=table.name,
        key=_key_text(key),
        before=_as_json(before) if before is not None else None,
        after=_as_json(after),
        by=by,
        at=now,
    )


def _key_text(key: tuple[Value, ...]) -> str:
    return " ".join(in_text(value) for value in key).strip()


def _as_json(row: Row) -> dict[str, str | int | None]:
    return {name: plain(value) for name, value in row.items()}
