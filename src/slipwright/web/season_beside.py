"""Single changes to try, and a programme beside the one it is held against."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from django.utils.translation import gettext as _

from slipwright.records.answers.sayings import said_again
from slipwright.web import season_words
from slipwright.web.season_asked import places_of
from slipwright.web.templatetags.shares import in_tenths

#: chances nearer than this count as the same
_ABOUT_THE_SAME = 0.02


def changes_offered(content: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return the single changes that a programme offers to try."""
    return [
        {
            "key": one["key"],
            "label": said_again(one["label"]),
            "why": said_again(one.get("why") or ""),
            "expected": said_again(one.get("expected") or ""),
        }
        for one in content.get("changes", ())
    ]


def own_change_lists(content: Mapping[str, Any]) -> dict[str, Any]:
    """Return what a change of one's own can name."""
    lines = content.get("lines", ())
    return {
        "places": sorted(places_of(content).items()),
        "has_hours": any(one["kind"] == "hours" for one in content.get("room", ())),
        "names": sorted(want["want"] for want in content.get("wants", ()) if want["state"] != "past"),
        "methods": sorted({line["method"] for line in lines if line.get("method")}),
        "plants": sorted({one["plant"] for one in content.get("shoots", ())}),
        "taxa": sorted({line["taxon"] for line in lines}),
    }


def beside_shown(content: Mapping[str, Any]) -> dict[str, Any] | None:
    """Return what a programme does better and worse than the one it is held against."""
    beside = content.get("beside")
    if not beside:
        return None
    currency = content.get("currency", "")
    wants = [
        {
            **one,
            "was": one["promised"][0],
            "is": one["promised"][1],
            "is_told_alike": in_tenths(one["promised"][0]) == in_tenths(one["promised"][1]),
            "planned_for": [season_words.number(n, 0) for n in one["planned"]],
        }
        for one in beside.get("wants", ())
    ]
    before, after = beside["cost"]
    cheaper = after < before
    return {
        "gains": [one for one in wants if _gain(one) > 0],
        "loses": [one for one in wants if _gain(one) < 0],
        "rows": [
            (_("Cost"), season_words.money(before, currency), season_words.money(after, currency)),
            (_("Cuttings"), *(season_words.number(n, 0) for n in beside["n_to_stick"])),
            (_("Batches"), *(season_words.number(n, 0) for n in beside["n_batches"])),
            (_("Wants planned for fewer"), *(season_words.number(n, 0) for n in beside["n_short"])),
        ],
        "money": season_words.money(abs(after - before), currency),
        "costs": "" if before == after else "less" if cheaper else "more",
    }


def _gain(one: Mapping[str, Any]) -> float:
    """Return what a want gains: chance, or where that stays about the same, plants planned for."""
    chance = float(one["is"] - one["was"])
    return chance if abs(chance) >= _ABOUT_THE_SAME else float(one["planned"][1] - one["planned"][0])


def diff_shown(content: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return what is another than in the programme before, and why; what stays is left out."""
    words = {
        "new": _("New"),
        "added": _("New"),
        "dropped": _("Left out"),
        "moved": _("Another week"),
        "resized": _("Another number"),
        "stuck": _("Stuck since"),
    }
    return [
        {
            "want": one["want"],
            "kind": one["kind"],
            "word": words.get(one["kind"], one["kind"]),
            "was": _in_short(one.get("was"), one.get("now")),
            "now": _in_short(one.get("now"), one.get("was")),
            "why": said_again(one.get("why") or ""),
        }
        for one in content.get("diff", ())
        if one["kind"] != "kept"
    ]


def _in_short(line: Mapping[str, Any] | None, beside: Mapping[str, Any] | None) -> str:
    if not line:
        return ""
    on = date.fromisoformat(line["week"])
    is_other_year = beside is not None and date.fromisoformat(beside["week"]).year != on.year
    week = season_words.day(on) if is_other_year else season_words.short_day(on)
    said = {"n": season_words.number(line["n_to_stick"], 0), "week": week, "plant": line.get("plant", "")}
    if said["plant"]:
        return _("%(n)s of %(plant)s in the week of %(week)s") % said
    return _("%(n)s in the week of %(week)s") % said
