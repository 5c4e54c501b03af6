"""Who did what in a garden: its entries, the edits of its rows and the door's book, newest first."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from functools import reduce
from typing import Any

from django.db.models import CharField, F, IntegerField, QuerySet, Value

from slipwright.records.models import (
    ENTRY_MODELS,
    DoorEvent,
    Entry,
    Garden,
    Member,
    Note,
    Photo,
    Reading,
    ReferenceEdit,
    Sending,
    Sticking,
    Withdrawal,
)

A_PAGE = 50
#: seconds a phone's clock may differ and is right
CLOCK_OFF_S = 300
#: no number of a row is larger
_FIRST = 2**62


@dataclass(frozen=True, slots=True)
class Deed:
    """One line: ``what`` is a kind of entry, ``changed`` or ``added``, a door event, or ``clock``.

    ``of`` says which table, batch or row; ``told`` more in words.
    """

    at: datetime
    who: str
    what: str
    of: str = ""
    told: str = ""
    is_batch: bool = False
    skew_s: int = 0


@dataclass(frozen=True, slots=True)
class Since:
    """Where the next page begins: the numbers below which each of the books is read on."""

    entry: int = _FIRST
    edit: int = _FIRST
    door: int = _FIRST
    sending: int = _FIRST

    def __str__(self) -> str:
        """As an address carries it."""
        return ".".join(str(n) for n in (self.entry, self.edit, self.door, self.sending))

    @classmethod
    def read(cls, text: str) -> Since:
        """Return what an address carries; the beginning, where it carries anything else."""
        parts = text.split(".")
        sound = len(parts) == 4 and all(p.isascii() and p.isdigit() and len(p) <= 19 for p in parts)
        return cls(*(min(int(part), _FIRST) for part in parts)) if sound else cls()


@dataclass(frozen=True, slots=True)
class PageOfDeeds:
    """One page, newest first, and where the next begins, if there is one."""

    deeds: list[Deed]
    older: str


def deeds_of(garden: Garden, *, by: Member | None = None, before: str = "") -> PageOfDeeds:
    """Return a page of who did what, all of it or what one member did. Four queries."""
    since = Since.read(before)
    found = [
        *_entries(garden, by, since.entry),
        *_edits(garden, by, since.edit),
        *_door(garden, by, since.door),
        *_clocks(garden, by, since.sending),
    ]
    found.sort(key=lambda one: (one[2].at, one[1]), reverse=True)
    for book, number, _deed in found[:A_PAGE]:
        since = replace(since, **{book: number})
    return PageOfDeeds([deed for *_, deed in found[:A_PAGE]], str(since) if len(found) > A_PAGE else "")


_Line = tuple[str, int, Deed]


def _entries(garden: Garden, by: Member | None, below: int) -> list[_Line]:
    books = [_newest(model, garden, by, below) for model in ENTRY_MODELS if by is None or _has_by(model)]
    lines = reduce(lambda one, other: one.union(other, all=True), books).order_by("-number")[: A_PAGE + 1]
    return [
        ("entry", number, Deed(at, shown or who or "", kind, of, is_batch=in_batch == 1))
        for kind, number, at, shown, who, of, in_batch in lines
    ]


def _newest(model: type[Entry], garden: Garden, by: Member | None, below: int) -> QuerySet[Any, Any]:
    """Return the newest entries of a kind; they are cut in a query within, for a union's parts are not."""
    rows: Any = getattr(model, "rows")  # noqa: B009
    within = rows.of(garden).filter(number__lt=below).order_by("-number")
    if by is not None:
        within = within.filter(by=by)
    text = CharField()
    nobody = Value(None, output_field=text)
    has_by = _has_by(model)
    of, in_batch = _about(model)
    chosen: QuerySet[Any, Any] = (
        rows.filter(pk__in=within.values("pk")[: A_PAGE + 1])
        .annotate(
            a_kind=Value(model.kind, output_field=text),
            a_shown=F("by__shown_as") if has_by else nobody,
            a_who=F("by__member") if has_by else F("source") if model is Reading else nobody,
            a_of=of,
            a_batch=Value(int(in_batch), output_field=IntegerField()),
        )
        .order_by()
        .values_list("a_kind", "number", "received_at", "a_shown", "a_who", "a_of", "a_batch")
    )
    return chosen


def _has_by(model: type[Entry]) -> bool:
    return any(one.name == "by" for one in model._meta.fields)


def _about(model: type[Entry]) -> tuple[Any, bool]:
    """Return what an entry is about, and whether that is the code of a batch."""
    names = {one.name for one in model._meta.fields}
    if model is Sticking:
        return F("batch"), True
    if model is Withdrawal:
        return F("withdraws_kind"), False
    if model in (Note, Photo):
        return Value("", output_field=CharField()), False
    for name in ("batch", "plant", "place"):
        if name in names and model.kind != "act":
            return F(f"{name}__{name}"), name == "batch"
    return (F("act") if "act" in names else Value("", output_field=CharField())), False


def _edits(garden: Garden, by: Member | None, below: int) -> list[_Line]:
    # thousands of days of weather come in at once, by nobody's hand
    rows = ReferenceEdit.rows.of(garden).filter(number__lt=below).exclude(table="weather", by=None)
    rows = rows.select_related("by")
    if by is not None:
        rows = rows.filter(by=by)
    return [("edit", row.number, _edit(row)) for row in rows.order_by("-number")[: A_PAGE + 1]]


def _edit(row: ReferenceEdit) -> Deed:
    what = "added" if row.before is None else "changed"
    before = row.before or {}
    role = (before.get("role"), row.after.get("role")) if row.table == "members" else (None, None)
    told = f"{role[0]} → {role[1]}" if role[0] and role[0] != role[1] else ""
    return Deed(row.at, str(row.by or ""), what, f"{row.table} {row.key}".strip(), told)


def _door(garden: Garden, by: Member | None, below: int) -> list[_Line]:
    rows = DoorEvent.objects.filter(garden=garden, pk__lt=below).select_related("member", "device")
    if by is not None:
        rows = rows.filter(member=by)
    return [
        ("door", row.pk, Deed(row.at, str(row.member or ""), row.what, str(row.device or ""), row.told))
        for row in rows.order_by("-pk")[: A_PAGE + 1]
    ]


def _clocks(garden: Garden, by: Member | None, below: int) -> list[_Line]:
    rows = Sending.rows.of(garden).filter(pk__lt=below).select_related("by", "device")
    off = rows.exclude(skew_s__range=(-CLOCK_OFF_S, CLOCK_OFF_S))
    if by is not None:
        off = off.filter(by=by)
    return [
        (
            "sending",
            row.pk,
            Deed(row.received_at, str(row.by), "clock", str(row.device or ""), skew_s=row.skew_s),
        )
        for row in off.order_by("-pk")[: A_PAGE + 1]
    ]
