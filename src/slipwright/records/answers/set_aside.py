"""What was kept aside, told: why, what it says, and what the garden has in its place."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from slipwright.records import selectors
from slipwright.records.canonical import content as canonical_content
from slipwright.records.columns import ENTRY_TABLES, Column, Table
from slipwright.records.contents import content_of, received
from slipwright.records.models import ENTRY_MODELS, Entry, Garden, SetAside, Sticking
from slipwright.records.services.withdrawals import is_withdrawn

_KINDS = {table.kind: table for table in ENTRY_TABLES}

#: How the reasons read that were kept with what was set aside, and what each comes down to.
_WHY = (
    ("already there and says something else", "same-id"),
    ("sha256: ", "damaged"),
    ("this phone's clock differs", "clock"),
    ("of this garden and may not", "role"),
    ("comes from a newer Slipwright", "newer"),
    ("batch: must be in batches", "no-batch"),
    ("batch: must not be the code of another", "same-code"),
    ("Say on what ground it was done", "protected"),
    ("was taken back", "taken-back"),
)


@dataclass(frozen=True, slots=True)
class Line:
    """One thing that was said: in the garden, and in what was set aside. ``None`` was not said."""

    table: str
    name: str
    column: Column | None
    kept: Any
    sent: Any

    @property
    def differs(self) -> bool:
        """Whether the two say something else."""
        return bool(self.kept != self.sent)


@dataclass(frozen=True, slots=True)
class ToldAside:
    """Something kept aside: ``why`` in a word, the batch it is about, and both versions line by line."""

    aside: SetAside
    why: str
    kind: str
    by: str
    on: str
    batch: str
    sticking: Sticking | None
    lines: tuple[Line, ...]
    #: the entry that the garden has under the same id and of the same kind, and whether it stands
    kept: Entry | None
    kept_stands: bool
    #: whether it can be read as an entry, whatever the garden then says to it
    is_readable: bool

    @property
    def may_replace(self) -> bool:
        """Whether it can stand in the place of what the garden has."""
        return self.is_readable and self.kept is not None and self.kept_stands and self.kind != "withdrawal"


def why_aside(reason: str) -> str:
    """Return in a word why something was set aside, from the reason kept with it."""
    return next((why for part, why in _WHY if part in reason), "unfit")


def told_asides(garden: Garden, asides: Iterable[SetAside]) -> list[ToldAside]:
    """Return some things kept aside as a list tells them, without what the garden has instead."""
    read = [(aside, _content(aside)) for aside in asides]
    codes = {code for _, content in read if (code := _batch(content))}
    stickings = selectors.stickings_of(garden, codes) if codes else {}
    return [_told(garden, aside, content, stickings, kept=None) for aside, content in read]


def told_aside(garden: Garden, aside: SetAside) -> ToldAside:
    """Return something kept aside with what the garden has under its id."""
    content = _content(aside)
    kept: Entry | None = None
    for model in ENTRY_MODELS:
        if model.kind == aside.kind:
            kept = model.rows.of(garden).filter(entry_id=aside.entry_id).first()
    code = _batch(content)
    stickings = selectors.stickings_of(garden, {code}) if code else {}
    return _told(garden, aside, content, stickings, kept=kept)


def _told(
    garden: Garden,
    aside: SetAside,
    content: Mapping[str, Any],
    stickings: Mapping[str, Sticking],
    *,
    kept: Entry | None,
) -> ToldAside:
    table = _KINDS.get(aside.kind)
    try:
        sound, row = received(content)
        shown, is_readable = canonical_content(sound, str(garden.garden), row, content["v"]), True
    except ValueError:
        shown, is_readable = dict(content), False
    code, by = _batch(content), _text(content.get("by"))
    return ToldAside(
        aside=aside,
        why=why_aside(aside.reason),
        kind=aside.kind if table else "",
        by=str(aside.by) if aside.by and aside.by.member == by else by,
        on=_text(content.get("on") or content.get("at")),
        batch=code,
        sticking=stickings.get(code),
        lines=tuple(_lines(table, content_of(kept) if kept else {}, shown)),
        kept=kept,
        kept_stands=kept is not None and not is_withdrawn(garden, kept),
        is_readable=is_readable,
    )


def _content(aside: SetAside) -> Mapping[str, Any]:
    try:
        content = json.loads(aside.content)
    except ValueError:
        content = None
    return _tellable(content) if isinstance(content, dict) else {"content": aside.content}


def _tellable(told: Any) -> Any:
    """Return what came with every text as a page can show it: half a pair of UTF-16 is written out."""
    if isinstance(told, str):
        return told.encode("utf-8", "backslashreplace").decode("utf-8")
    if isinstance(told, list):
        return [_tellable(one) for one in told]
    if isinstance(told, dict):
        return {_tellable(name): _tellable(value) for name, value in told.items()}
    return told


def _batch(content: Mapping[str, Any]) -> str:
    inner = content.get("fields")
    code = inner.get("batch") if isinstance(inner, Mapping) else None
    return code if isinstance(code, str) and code.isprintable() else ""


def _text(value: Any) -> str:
    return value if isinstance(value, str) else ""


def _flat(content: Mapping[str, Any]) -> dict[str, Any]:
    inner = content.get("fields")
    outer = {name: content[name] for name in content if name in ("on", "at", "by", "content")}
    return outer | (dict(inner) if isinstance(inner, Mapping) else {})


def _lines(table: Table | None, kept: Mapping[str, Any], sent: Mapping[str, Any]) -> Iterable[Line]:
    """Yield what either says, in the order of the columns; what has no column comes last."""
    had, came = _flat(kept), _flat(sent)
    columns = {("on" if c.name == "stuck_on" else c.name): c for c in table.columns} if table else {}
    names = [name for name in columns if name in had or name in came]
    names += [name for name in (*had, *came) if name not in names]
    for name in dict.fromkeys(names):
        named = table.name if table else ""
        yield Line(named, name, columns.get(name), had.get(name), came.get(name))
