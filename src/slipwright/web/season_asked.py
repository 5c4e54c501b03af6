"""Which one thing of the season somebody wants to change: one that is offered, or one of their own."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from slipwright.records.errors import BadValue
from slipwright.records.words import COVERS
from slipwright.web.asked import Posted
from slipwright.web.named import named

LABELS: Mapping[str, str | Promise] = {
    "key": gettext_lazy("Change one thing"),
    "place": gettext_lazy("Place"),
    "factor": gettext_lazy("How much room"),
    "more_h": gettext_lazy("Hours more a week"),
    "plant": gettext_lazy("Stock plant"),
    "more": gettext_lazy("Shoots more"),
    "want": gettext_lazy("Want"),
    "n": gettext_lazy("Wanted"),
    "on": gettext_lazy("By"),
    "p": gettext_lazy("Wished"),
    "method": gettext_lazy("Way"),
    "taxon": gettext_lazy("Plant"),
    "cover": gettext_lazy("Cover"),
}
#: room to try: said, and how many times what there is
FACTORS = (
    (gettext_lazy("a quarter more"), "1.25"),
    (gettext_lazy("half as much again"), "1.5"),
    (gettext_lazy("twice as much"), "2"),
    (gettext_lazy("three times as much"), "3"),
)
#: more shoots than any plant has
_MOST_SHOOTS = 10_000
KINDS = ("room", "hours", "shoots", "want", "cover", "no_method")


def places_of(content: Mapping[str, Any]) -> dict[str, str]:
    """Return the places whose room can be tried otherwise, by the word they go by, with their names."""
    found = {}
    for one in content.get("room", ()):
        if one["kind"] in ("bench", "nursery"):
            place = one["place"] or one["kind"]
            found[place] = one.get("name") or named(place)
    return found


def change_asked(posted: Posted, content: Mapping[str, Any], today: date) -> dict[str, Any]:
    """Return the change a form asks to try; nothing where it asks to plan again as things are."""
    if posted.text("again"):
        return {}
    kind = posted.word("kind", KINDS)
    if kind:
        return _OWN[kind](posted, content, today)
    key = posted.text("key")
    if not key:
        raise BadValue("key", _("choose one, or say one of your own"))
    for one in content.get("changes", ()):
        if one["key"] == key:
            return dict(one["change"])
    raise BadValue("key", _("is not offered any more: look at this page again"), key)


def _room(posted: Posted, content: Mapping[str, Any], _today: date) -> dict[str, Any]:
    place = _of(posted, "place", set(places_of(content)))
    factor = posted.number("factor")
    if factor is None or not Decimal("0.1") <= factor <= 10:
        raise BadValue("factor", _("must be one of the choices"), posted.text("factor"))
    return {"kind": "room", "place": place, "factor": float(factor)}


def _hours(posted: Posted, _content: Mapping[str, Any], _today: date) -> dict[str, Any]:
    more = posted.number("more_h")
    if more is None or not -100 <= more <= 1000 or not more:
        raise BadValue("more_h", _("say how many hours, with a minus for fewer"), posted.text("more_h"))
    return {"kind": "hours", "more_h": float(more)}


def _shoots(posted: Posted, content: Mapping[str, Any], _today: date) -> dict[str, Any]:
    plant = _of(posted, "plant", {one["plant"] for one in content.get("shoots", ())})
    more = posted.signed("more")
    if not more or abs(more) > _MOST_SHOOTS:
        raise BadValue("more", _("say how many shoots, with a minus for fewer"), posted.text("more"))
    return {"kind": "shoots", "plant": plant, "more": more}


def _want(posted: Posted, content: Mapping[str, Any], today: date) -> dict[str, Any]:
    """Return another number, another day or another wish of a want: one of the three."""
    want = _of(posted, "want", {one["want"] for one in content.get("wants", ())})
    n, on, p = posted.whole("n"), posted.day("on"), posted.number("p")
    if sum(one is not None for one in (n, on, p)) != 1:
        raise BadValue("n", _("say one of the three: another number, another day or another wish"))
    if n is not None:
        if not n:
            raise BadValue("n", _("must be a whole number of 1 or more"), "0")
        return {"kind": "want_n", "want": want, "n": n}
    if on is not None:
        if on < today:
            raise BadValue("on", _("must be a day to come"), on.isoformat())
        return {"kind": "want_by", "want": want, "on": on.isoformat()}
    if p is None or not 0 < p < 1:
        raise BadValue("p", _("must be one of the choices"), posted.text("p"))
    return {"kind": "want_assurance", "want": want, "p": float(p)}


def _cover(posted: Posted, content: Mapping[str, Any], _today: date) -> dict[str, Any]:
    taxon = _of(posted, "taxon", {one["taxon"] for one in content.get("wants", ())})
    return {"kind": "cover", "taxon": taxon, "cover": _of(posted, "cover", set(COVERS))}


def _no_method(posted: Posted, content: Mapping[str, Any], _today: date) -> dict[str, Any]:
    methods = {one["method"] for one in content.get("lines", ()) if one.get("method")}
    return {"kind": "no_method", "method": _of(posted, "method", methods)}


def _of(posted: Posted, name: str, choices: set[str]) -> str:
    said = posted.word(name, choices)
    if not said:
        raise BadValue(name, _("must be one of the choices"))
    return said


_OWN: Mapping[str, Callable[[Posted, Mapping[str, Any], date], dict[str, Any]]] = {
    "room": _room,
    "hours": _hours,
    "shoots": _shoots,
    "want": _want,
    "cover": _cover,
    "no_method": _no_method,
}
