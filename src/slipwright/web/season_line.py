"""A line of the programme as the season page tells it: what to cut, how to stick it, what comes then."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any
from urllib.parse import urlencode

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from slipwright.craft.said import in_tongue
from slipwright.outputs.measures import First, length_text, volume_text
from slipwright.records.answers.programme.lines_now import LineNow
from slipwright.records.answers.sayings import said_again
from slipwright.web import season_words, ways


def stick_at(plan: int, n: int) -> str:
    """Return the page for sticking, filled in from a line."""
    return f"{reverse('stick')}?{urlencode({'plan': plan, 'line': n})}"


def line_shown(line: LineNow, plan: int, currency: str, units: First) -> dict[str, Any]:
    """Return a line with its words, all of them for what is left of it."""
    told = line.rest
    return {
        "told": told,
        "n_in_all": line.told["n_to_stick"],
        "number": line.n + 1,
        "from": plants_of(told),
        "line": line,
        "at": stick_at(plan, line.n),
        "cut": "; ".join([*_shoots(told), _make(told, units)]),
        "stick": "; ".join(_stick(told, units)),
        "then": _then(told, currency),
        "why": said_again(told.get("why") or ""),
        "changed": _changed(told.get("is_changed", "")),
    }


def plants_of(told: Mapping[str, Any]) -> str:
    """Return the plants a line is cut from."""
    return ", ".join(one["plant"] for one in told.get("shoots", ()) if one["plant"])


def _shoots(told: Mapping[str, Any]) -> list[str]:
    found = []
    for one in told.get("shoots", ()):
        said = {"plant": one["plant"], "n": one.get("n_shoots")}
        words = (
            ngettext("%(n)s shoot of %(plant)s", "%(n)s shoots of %(plant)s", said["n"]) % said
            if said["n"]
            else _("wood of %(plant)s") % said
        )
        where = one.get("place")
        found.append(_("%(what)s (%(where)s)") % {"what": words, "where": where} if where else words)
    return found


def _make(told: Mapping[str, Any], units: First) -> str:
    parts = [" ".join(str(words[told[name]]) for name, words in _KINDS.items() if told.get(name) in words)]
    length, nodes = told.get("length_mm"), told.get("n_nodes")
    if length:
        parts.append(in_tongue(length_text(*length, first=units), _))
    if nodes:
        low, high = (round(n) for n in nodes)
        parts.append(
            ngettext("%(n)d node", "%(n)d nodes", low) % {"n": low}
            if low == high
            else _("%(low)d to %(high)d nodes") % {"low": low, "high": high}
        )
    if told.get("leaves") in ways.LEAVES:
        parts.append(str(ways.LEAVES[told["leaves"]]))
    if told.get("wound"):
        parts.append(_("wounded"))
    return ", ".join(part for part in parts if part)


_KINDS = {"wood": ways.WOODS, "cutting": ways.CUTTINGS}


def _stick(told: Mapping[str, Any], units: First) -> list[str]:
    found = [str(ways.COVERS[told["cover"]])] if told.get("cover") in ways.COVERS else []
    if told.get("method"):
        found.append(_("the way “%(method)s”") % {"method": told["method"]})
    found.append(_pots(told))
    if told.get("litres"):
        medium = told.get("medium") or _mix(told)
        litres = volume(told["litres"], units)
        found.append(
            _("%(litres)s of %(medium)s") % {"litres": litres, "medium": medium} if medium else litres
        )
    dip = ways.hormone_in_words(told)
    if told.get("powder_g"):
        grams = season_words.span(told["powder_g"]) if told["powder_g"][1] >= 1 else _("under 1")
        dip = _("%(dip)s: %(g)s g") % {"dip": dip, "g": grams}
    if told.get("dip_ml"):
        dip = _("%(dip)s: %(ml)s") % {"dip": dip, "ml": volume(told["dip_ml"] / 1000, units)}
    found += [dip] if dip else []
    if told.get("labels"):
        found.append(ngettext("%(n)d label", "%(n)d labels", told["labels"]) % {"n": told["labels"]})
    return found


def _pots(told: Mapping[str, Any]) -> str:
    n, each = told["n_containers"], told.get("n_per_container")
    name = told.get("container") or ngettext("pot", "pots", n)
    words = _("%(n)s × %(container)s") % {"n": season_words.number(n, 0), "container": name}
    return _("%(pots)s, %(each)s to each") % {"pots": words, "each": each} if each and each > 1 else words


def _mix(told: Mapping[str, Any]) -> str:
    return " + ".join(str(part["name"]) for part in told.get("parts", ()) or ())


def volume(litres: float, units: First) -> str:
    """Return a volume, the garden's unit first."""
    return in_tongue(volume_text(litres, first=units), _)


def _then(told: Mapping[str, Any], currency: str) -> str:
    found = []
    if told.get("look_on"):
        found.append(
            _("first look %(day)s") % {"day": season_words.short_day(date.fromisoformat(told["look_on"]))}
        )
    if told.get("pot_from"):
        found.append(
            _("potting from about %(day)s")
            % {"day": season_words.short_day(date.fromisoformat(told["pot_from"]))}
        )
    if told.get("hours"):
        found.append(_("%(hours)s of work") % {"hours": season_words.hours(told["hours"])})
    if told.get("cost"):
        found.append(_("costs %(cost)s") % {"cost": season_words.money(told["cost"], currency)})
    return "; ".join(found)


def _changed(how: str) -> str:
    return {"new": _("new"), "moved": _("moved to this week"), "resized": _("another number")}.get(how, "")
