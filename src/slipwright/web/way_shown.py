"""The way a page for sticking showed: carried by its form, and held against the way as it is now."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal

from django.utils.translation import gettext as _

from slipwright.records.canonical import Value
from slipwright.records.columns import table_named
from slipwright.records.errors import BadValue
from slipwright.web.asked import Posted
from slipwright.web.row_form import carried, row_carried, shown, texts_of
from slipwright.web.row_labels import label_of

#: the fields that carry the columns of a way as it was shown
FIELDS = {"usual": "usual_shown", "handbook": "handbook_shown"}
_NUMBER = re.compile(r"-?[0-9]{1,9}(\.[0-9]{1,9})?")


def fields(ways: Mapping[str, Mapping[str, Value]]) -> dict[str, str]:
    """Return the fields that carry the ways a page shows, and what is in them."""
    return {FIELDS[way]: carried(lot) for way, lot in ways.items() if lot}


def way_as_shown(posted: Posted, way: str, now: Mapping[str, Value], *, is_kept: bool) -> Mapping[str, Value]:
    """Return the columns of the way the page showed; raise where they are others by now.

    A form that ``is_kept`` already is sent once more: it says what it said then. One that carries no
    way is taken to have shown the way as it is.
    """
    said = posted.text(FIELDS[way])
    if not said:
        return now
    was = _read(said)
    if is_kept:
        return {name: _value(name, text) for name, text in was.items()}
    if was != texts_of(now):
        rule = _("has changed since this page was shown: %(changes)s. Look at it, then keep it again")
        raise BadValue("way", rule % {"changes": "; ".join(_changes(was, now))})
    return now


def _changes(was: Mapping[str, str], now: Mapping[str, Value]) -> list[str]:
    nothing = _("not said")
    found = []
    for column in table_named("methods").columns:
        before, after = (shown("methods", way, column.name) or nothing for way in (was, now))
        if before != after:
            words = {"label": label_of("methods", column.name), "was": before, "now": after}
            found.append(_("%(label)s was %(was)s, is %(now)s") % words)
    return found


def _read(said: str) -> dict[str, str]:
    """Return the way a form carries as text, the columns a sticking has no place for left out."""
    return {name: text for name, text in row_carried(said).items() if name in table_named("batches").names}


def _value(name: str, text: str) -> Value:
    kind = table_named("batches").column(name).kind
    if kind not in ("integer", "decimal"):
        return text
    if not _NUMBER.fullmatch(text):
        raise BadValue(name, _("must be a number"), text)
    return int(text) if kind == "integer" and "." not in text else Decimal(text)
