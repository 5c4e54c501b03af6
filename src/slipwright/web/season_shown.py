"""The wants and the room of a programme as the season page shows them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from django.utils import dateformat
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from slipwright.outputs.charts.ready_curve import ready_curve
from slipwright.outputs.charts.room_load import RoomWords, is_full, room_load
from slipwright.outputs.charts.want_bar import want_bar
from slipwright.records.answers.sayings import said_again
from slipwright.web import season_words

#: wants on one page
WANTS = 12
#: a chart and its table show so many weeks
_WEEKS = 53
#: what can be promised
_GOOD = ("likely", "met")
_RANK = {"short": 0, "near": 1}


def heading(content: Mapping[str, Any]) -> dict[str, Any]:
    """Return how many wants and plants, how many can be promised, and up to when the season goes."""
    wants = content.get("wants", ())
    states = [want["state"] for want in wants]
    last = max((date.fromisoformat(want["ready_by"]) for want in wants), default=None)
    return {
        "until": dateformat.format(last, _("F Y")) if last else "",
        "n_wants": len(wants),
        "n_plants": season_words.number(sum(want["n_wanted"] for want in wants), 0),
        "n_good": sum(state in _GOOD for state in states),
        "n_near": states.count("near"),
        "n_short": states.count("short"),
        "n_past": states.count("past"),
    }


def wants_shown(content: Mapping[str, Any], page: int) -> dict[str, Any]:
    """Return one page of the wants, those that fall short first where there are many."""
    wants = [want for want in content.get("wants", ()) if want["state"] != "past"]
    wants.sort(key=lambda want: (want["ready_by"], want["want"]))
    if len(wants) > WANTS:
        wants.sort(key=lambda want: _RANK.get(want["state"], 2))
    n_pages = max(-(-len(wants) // WANTS), 1)
    page = min(max(page, 1), n_pages)
    lines = {line["n"]: line for line in content.get("lines", ())}
    first = (page - 1) * WANTS
    return {
        "wants": [_want(want, lines, first + i) for i, want in enumerate(wants[first : first + WANTS])],
        "past": [
            {**want, "due": date.fromisoformat(want["ready_by"])}
            for want in content.get("wants", ())
            if want["state"] == "past"
        ],
        "page": page,
        "n_pages": n_pages,
        "before": page - 1 if page > 1 else None,
        "after": page + 1 if page < n_pages else None,
    }


def _want(want: Mapping[str, Any], lines: Mapping[int, Mapping[str, Any]], place: int) -> dict[str, Any]:
    ready, n, due = want["ready"], want["n_wanted"], date.fromisoformat(want["ready_by"])
    title = _("%(n)s wanted; likely %(low)s to %(high)s are ready, 8 times in 10") % {
        "n": season_words.number(n, 0),
        "low": season_words.number(ready["p10"], 0),
        "high": season_words.number(ready["p90"], 0),
    }
    curve = [
        (date.fromisoformat(one["on"]), one["p10"], one["p50"], one["p90"]) for one in want.get("curve", ())
    ]
    return {
        **want,
        "id": place,
        "due": due,
        "bar": want_bar(n, ready["p10"], ready["p50"], ready["p90"], title=title),
        "is_good": want["state"] in _GOOD,
        "curve_rows": curve,
        "curve_svg": ready_curve(
            curve,
            n,
            due,
            title=_("Plants of %(want)s likely ready, by day, against the %(n)s wanted")
            % {"want": want["want"], "n": n},
            day_words=season_words.short_day,
        )
        if len(curve) > 1
        else "",
        "stops": [said_again(stop["why"]) for stop in want.get("stopped_by", ())],
        "its_lines": [
            {**line, "on": date.fromisoformat(line.get("stick_on") or line["week"])}
            for line in (lines.get(n) for n in want.get("lines", ()))
            if line
        ],
    }


def rooms_shown(content: Mapping[str, Any], on: date) -> dict[str, Any]:
    """Return the charts of room against load: the fullest place of each kind, and the others."""
    found: dict[str, list[dict[str, Any]]] = {}
    for i, one in enumerate(content.get("room", ())):
        weeks = [(date.fromisoformat(week["week"]), week["used"], week["room"]) for week in one["weeks"]]
        while weeks and not weeks[-1][1]:
            weeks.pop()
        if weeks:
            name = season_words.place(one["kind"], one["place"], one.get("name", ""))
            found.setdefault(one["kind"], []).append(_room(one["kind"], name, weeks, on, i))
    kinds = sorted(found, key=lambda kind: ("bench", "hours", "nursery", kind).index(kind))
    for kind in kinds:
        found[kind].sort(key=lambda room: -room["tightness"])
    return {
        "rooms": [found[kind][0] for kind in kinds],
        "other_rooms": [room for kind in kinds for room in found[kind][1:]],
    }


def _room(
    kind: str, name: str, weeks: Sequence[tuple[date, float, float | None]], on: date, place: int
) -> dict[str, Any]:
    limits = {room for _week, _used, room in weeks if room is not None}
    n_full = sum(is_full(used, room) for _week, used, room in weeks)
    if not limits:
        holds = _("no limit written down")
    elif len(limits) == 1:
        holds = _("room for %(room)s") % {"room": season_words.of_room(kind, max(limits))}
    else:
        holds = _("room for %(low)s to %(high)s") % {
            "low": season_words.of_room(kind, min(limits)),
            "high": season_words.of_room(kind, max(limits)),
        }
    weeks_full = (
        ngettext("%(n)d week is full", "%(n)d weeks are full", n_full) % {"n": n_full}
        if n_full
        else _("no week is full")
    )
    words = RoomWords(
        title=f"{name}. {holds}; {weeks_full}",
        today=_("today"),
        full=_("full"),
        holds=holds,
    )
    return {
        "name": name,
        "kind": kind,
        "says": weeks_full,
        "holds": holds,
        "n_full": n_full,
        "unit": "h" if kind == "hours" else "m²",
        "rows": [_row(*one) for one in weeks[:_WEEKS]],
        "tightness": max((used / room if room else 0.0) for _week, used, room in weeks),
        "svg": room_load(
            weeks[:_WEEKS],
            on,
            name=str(place),
            words=words,
            day_words=season_words.short_day,
        ),
    }


def _row(week: date, used: float, room: float | None) -> tuple[date, str, str, bool]:
    held = "" if room is None else season_words.number(room, 2)
    return week, season_words.number(used, 2), held, is_full(used, room)


def binds_shown(content: Mapping[str, Any]) -> list[str]:
    """Return what binds, in words, the most telling first."""
    return [said_again(one["text"]) for one in content.get("binds", ())]


def rests_on(content: Mapping[str, Any]) -> dict[str, Any]:
    """Return what a programme rests on, and over how many fresh seasons its promises were counted."""
    found = content.get("rests_on") or {}
    return {
        "text": said_again(found.get("text") or ""),
        "is_learned": found.get("is_learned", False),
        "n_fresh": season_words.number(content.get("n_fresh") or 0, 0),
    }


def notes(content: Mapping[str, Any]) -> list[str]:
    """Return what is to be known of a programme beside."""
    return [said_again(note) for note in content.get("notes", ())]
