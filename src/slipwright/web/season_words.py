"""The words of the season page: changes, hours, money, room, states."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from django.utils.translation import gettext as _

from slipwright.craft import figures
from slipwright.craft.figures import plain
from slipwright.craft.said import in_tongue
from slipwright.outputs.measures import M2_PER_SQUARE_FOOT, First, hours_text, one_area_text
from slipwright.web.days import in_form
from slipwright.web.named import named
from slipwright.web.shares import in_words


def hours(h: float) -> str:
    """Return hours of work as people write them: 2 h 10, 25 min."""
    return in_tongue(hours_text(max(h, 0.0)), _)


def money(amount: float, currency: str) -> str:
    """Return what something costs: to its smallest coin where it is little, and no round sum."""
    return in_tongue(figures.money(amount, currency), _)


def number(n: float, decimals: int = 1) -> str:
    """Return a number without noughts that say nothing."""
    return in_tongue(plain(n, decimals), _)


def span(ends: Sequence[float], decimals: int = 1) -> str:
    """Return the two ends of a range, once where they are told alike."""
    low, high = (number(end, decimals) for end in ends)
    return low if low == high else _("%(low)s to %(high)s") % {"low": low, "high": high}


def of_room(kind: str, n: float, units: First = "metric") -> str:
    """Return so much room of a bench or a nursery, or so many hours."""
    return hours(n) if kind == "hours" else in_tongue(one_area_text(n, units=units), _)


def unit_of(kind: str, units: First) -> tuple[str, float]:
    """Return what a kind of room is measured in, and how many of it are one of what is kept."""
    if kind == "hours":
        return "h", 1.0
    return ("ft²", 1 / M2_PER_SQUARE_FOOT) if units == "us" else ("m²", 1.0)


def day(on: date) -> str:
    """Return a day in short, with its year."""
    return in_form(on, "j M Y")


def short_day(on: date) -> str:
    """Return a day in short."""
    return in_form(on, "j M")


def place(kind: str, place: str, names: str = "") -> str:
    """Return what a chart of room is of: the places by their ``names``, where they have any."""
    if kind == "hours":
        return _("Hours of work")
    said = names or (named(place) if place else "")
    if kind == "nursery":
        return _("Young plants: %(place)s") % {"place": said} if said else _("Young plants")
    return _("Cuttings: %(place)s") % {"place": said} if said else _("Room for cuttings")


def full(kind: str) -> str:
    """Return what a week is called that has nothing left of a kind of room."""
    words = {"bench": _("benches full"), "nursery": _("young plants’ room full"), "hours": _("hours full")}
    return words.get(kind, _("full"))


def change(made: Mapping[str, Any], units: First = "metric") -> str:
    """Return one thing that is changed, in words; empty where nothing is."""
    kind = made.get("kind", "")
    if kind == "room":
        return _room(made, units)
    maker = _CHANGES.get(kind)
    return maker(made) if maker else ""


def _room(made: Mapping[str, Any], units: First) -> str:
    said = {"place": named(str(made["place"]))}
    if "more_m2" in made:
        n = of_room("bench", abs(made["more_m2"]), units)
        words = _("%(n)s less room: %(place)s") if made["more_m2"] < 0 else _("%(n)s more room: %(place)s")
        return words % {**said, "n": n}
    if made["factor"] == 1.5:
        return _("Half as much room again: %(place)s") % said
    if made["factor"] == 2:
        return _("Twice the room: %(place)s") % said
    return _("%(n)s times the room: %(place)s") % {**said, "n": number(made["factor"], 2)}


def _hours(made: Mapping[str, Any]) -> str:
    n = made["more_h"]
    words = _("%(n)s hours fewer a week") if n < 0 else _("%(n)s hours more a week")
    return words % {"n": number(abs(n))}


def _shoots(made: Mapping[str, Any]) -> str:
    n = made["more"]
    words = _("%(n)s fewer shoots of %(plant)s") if n < 0 else _("%(n)s more shoots of %(plant)s")
    return words % {"n": number(abs(n), 0), "plant": made["plant"]}


def _want_n(made: Mapping[str, Any]) -> str:
    return _("%(want)s: %(n)s wanted") % {"want": made["want"], "n": number(made["n"], 0)}


def _want_by(made: Mapping[str, Any]) -> str:
    return _("%(want)s: by %(day)s") % {"want": made["want"], "day": day(date.fromisoformat(made["on"]))}


def _want_assurance(made: Mapping[str, Any]) -> str:
    return _("%(want)s: wished %(share)s") % {"want": made["want"], "share": in_words(made["p"])}


def _cover(made: Mapping[str, Any]) -> str:
    words = {
        "mist": _("%(taxon)s under mist"),
        "tent": _("%(taxon)s in a tent or bag"),
        "open": _("%(taxon)s without a cover"),
    }
    return words[made["cover"]] % {"taxon": made["taxon"]}


def _no_method(made: Mapping[str, Any]) -> str:
    return _("Without the way “%(method)s”") % {"method": made["method"]}


_CHANGES = {
    "hours": _hours,
    "shoots": _shoots,
    "want_n": _want_n,
    "want_by": _want_by,
    "want_assurance": _want_assurance,
    "cover": _cover,
    "no_method": _no_method,
}
