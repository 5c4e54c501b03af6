"""A form for a reference row, made from the columns of its table."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import Literal
from zoneinfo import available_timezones

from django.utils.translation import gettext as _

from slipwright.records import selectors
from slipwright.records.canonical import Value, decimal_text
from slipwright.records.columns import Column, Table, table_named
from slipwright.records.errors import BadValue
from slipwright.records.models import Garden
from slipwright.records.services.reference import in_text
from slipwright.web.asked import Posted
from slipwright.web.named import named
from slipwright.web.row_labels import label_of
from slipwright.web.shares import ASSURANCES, SHARES, in_words

#: the field that carries a row as it was shown
SEEN = "seen"

FieldKind = Literal["text", "note", "number", "date", "keys", "select", "zone", "fixed"]

#: a closed list of more words than this is a list to open, not keys
_MOST_KEYS = 4
_SHARES = {"assurance": ASSURANCES, "max_share_taken": SHARES}
#: tables a page can add a row to, for a reference that is not in the list yet
_ADDED_TO = ("taxa", "places", "containers", "media")


@dataclass(frozen=True, slots=True)
class Field:
    """One field of the form: its label, what stands in it, and what may be chosen."""

    name: str
    label: str
    kind: FieldKind
    value: str
    meaning: str
    required: bool
    choices: tuple[tuple[str, str], ...] = ()
    #: ``numeric`` or ``decimal``: which keys a phone shows
    keys: str = ""
    #: the table a missing choice is added to
    add_to: str = ""
    #: the rule that what was typed breaks, or how it was changed by somebody else
    wrong: str = ""


def fields_of(
    garden: Garden,
    table: str,
    values: Mapping[str, str],
    *,
    is_new: bool,
    wrong: Mapping[str, str],
) -> list[Field]:
    """Return the fields of a row's form, filled with text as it was typed or is kept.

    ``wrong`` says by column what is to be said beside its field.
    """
    what = table_named(table)
    found = []
    for column in what.columns:
        if column.kind == "uuid":
            continue
        is_key = column.name in what.key and not is_new
        found.append(
            Field(
                name=column.name,
                label=label_of(table, column.name),
                kind="fixed" if is_key else _kind(column),
                value=values.get(column.name, ""),
                meaning=_meaning(table, column),
                required=column.required,
                choices=_choices(garden, column, values.get(column.name, "")),
                keys={"integer": "numeric", "decimal": "decimal"}.get(column.kind, ""),
                add_to=column.ref if column.ref in _ADDED_TO else "",
                wrong=wrong.get(column.name, ""),
            )
        )
    return found


def read_row(table: str, posted: Posted, *, is_new: bool) -> dict[str, Value]:
    """Return what was typed as values; an empty field is an empty value. Keys are read on a new row."""
    what = table_named(table)
    row: dict[str, Value] = {}
    for column in what.columns:
        if column.kind == "uuid" or (column.name in what.key and not is_new):
            continue
        row[column.name] = _read(column, posted)
    return row


def texts_of(row: Mapping[str, Value]) -> dict[str, str]:
    """Return the values of a row as the text of its fields."""
    return {name: in_text(value) for name, value in row.items()}


def carried(row: Mapping[str, Value]) -> str:
    """Return a row as the form carries it, so that the answer says what was seen."""
    return json.dumps(texts_of(row))


def seen(posted: Posted) -> dict[str, str] | None:
    """Return the row as its form showed it; ``None`` where the form carries none."""
    said = posted.text(SEEN)
    return row_carried(said) if said else None


def row_carried(said: str) -> dict[str, str]:
    """Return the row that a form carries, as text."""
    try:
        row = json.loads(said)
    except ValueError:
        row = None
    if not isinstance(row, dict):
        raise BadValue("", _("the form is too old; open it again"))
    return {str(name): str(text) for name, text in row.items()}


def shown(table: str, row: Mapping[str, Value], column: str) -> str:
    """Return one value as it is read on a page, empty where there is none."""
    value = row.get(column)
    if value is None or value == "":
        return ""
    what = table_named(table).column(column)
    if what.kind == "choice":
        return _named(what, str(value))
    if what.name in _SHARES and isinstance(value, Decimal):
        return in_words(value)
    return in_text(value)


def key_of(what: Table, row: Mapping[str, Value]) -> list[str]:
    """Return the values of a row's key as text, as its address carries them."""
    return [in_text(row[name]) for name in what.key]


def _meaning(table: str, column: Column) -> str:
    """Return what a column means, where its label does not say it already."""
    if not column.meaning or label_of(table, column.name).lower().startswith(column.meaning.lower()):
        return ""
    return _(column.meaning)


def _kind(column: Column) -> FieldKind:
    if column.kind == "note":
        return "note"
    if column.kind == "date":
        return "date"
    if column.kind == "zone":
        return "zone"
    if column.name in _SHARES:
        return "select"
    if column.kind in ("integer", "decimal"):
        return "number"
    if column.kind == "choice":
        return "keys" if len(column.choices) <= _MOST_KEYS else "select"
    if column.kind == "ref" and column.ref != "batches":
        return "select"
    return "text"


def _choices(garden: Garden, column: Column, value: str) -> tuple[tuple[str, str], ...]:
    if column.kind == "choice":
        return tuple((word, _named(column, word)) for word in column.choices)
    if column.kind == "zone":
        return tuple((zone, zone) for zone in _zones())
    if column.name in _SHARES:
        offered = {decimal_text(share): share for share in _SHARES[column.name]}
        if value and value not in offered:  # one that is kept, or was typed
            return ((value, value), *((text, in_words(share)) for text, share in offered.items()))
        return tuple((text, in_words(share)) for text, share in offered.items())
    if column.ref == "taxa":
        names = selectors.taxon_names(garden)
        return tuple((taxon, f"{taxon} ({common})" if common else taxon) for taxon, common in names.items())
    if column.ref and column.ref != "batches":
        return tuple((key, key) for key in selectors.keys_of(garden, column.ref))
    return ()


def _named(column: Column, word: str) -> str:
    """Return a word of a closed list; of rights and hormones ``none`` has its own meaning."""
    if word == "none":
        return {
            "rights": _("no right"),
            "auxin": _("no hormone"),
            "auxin2": _("no second hormone"),
            "leaves": _("no leaves"),
        }.get(column.name, named(word))
    if column.name == "role":
        return {
            "owner": _("owner: everything"),
            "grower": _("grower: record, correct, change what the garden has"),
            "volunteer": _("volunteer: record"),
            "reader": _("reader: look only"),
        }[word]
    return named(word)


@cache
def _zones() -> tuple[str, ...]:
    return tuple(sorted(zone for zone in available_timezones() if "/" in zone and not zone.startswith("Etc")))


def _read(column: Column, posted: Posted) -> Value:
    if column.kind == "integer":
        return posted.signed(column.name)
    if column.kind == "decimal":
        return posted.number(column.name)
    if column.kind == "date":
        return posted.day(column.name)
    if column.kind == "choice":
        return posted.word(column.name, column.choices)
    return posted.text(column.name)
