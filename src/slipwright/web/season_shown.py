"""The wants and the room of a programme as the season page shows them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Any

from django.utils import dateformat
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from slipwright.outputs.charts.ready_curve import ready_curve
from slipwright.outputs.charts.room_load import RoomWords, is_full, room_load
from slipwright.outputs.charts.want_bar import want_bar
from slipwright.outputs.measures import First
from slipwright.records.answers.programme.lines_now import LineNow
from slipwright.records.answers.programme.of_wants import GOOD, WANTS, is_past, wants_in_order
from slipwright.records.answers.programme.wants_now import WantsNow
from slipwright.records.answers.sayings import said_again
from slipwright.web import season_words

#: a chart and its table show so many weeks
_WEEKS = 53
#: of wants in a row so many are named
_NAMED = 6
#: so much of a unit is told without its hundredths
_MANY = 10


def heading(content: Mapping[str, Any], on: date) -> dict[str, Any]:
    """Return how many wants and plants, how many can be promised, and up to when the season goes."""
    wants = content.get("wants", ())
    states = ["past" if is_past(want, on) else want["state"] for want in wants]
    last = max((date.fromisoformat(want["ready_by"]) for want in wants), default=None)
    return {
        "until": dateformat.format(last, _("F Y")) if last else "",
        "n_wants": len(wants),
        "n_plants": season_words.number(sum(want["n_wanted"] for want in wants), 0),
        "n_good": sum(state in GOOD for state in states),
        "n_near": states.count("near"),
        "n_short": states.count("short"),
        "n_past": states.count("past"),
    }


def missed_of_wants(
    content: Mapping[str, Any], lines: Iterable[LineNow], now: WantsNow, on: date
) -> dict[str, int]:
    """Return how many batches of each want were not stuck while their wood was right.

    A want that nobody has any more, or whose day is past, is left out: nothing is promised for it.
    """
    missed = Counter(line.told["want"] for line in lines if line.standing == "missed")
    wants = content.get("wants", ())
    stand = {want["want"] for want in wants if not is_past(want, on) and want["want"] not in now.gone}
    return {want: n for want, n in missed.items() if want in stand}


def names(wants: Iterable[str]) -> str:
    """Return wants in a row, of many the first."""
    all_of_them = list(wants)
    return ", ".join(all_of_them[:_NAMED]) + (" …" if len(all_of_them) > _NAMED else "")


def wants_shown(
    content: Mapping[str, Any], now: WantsNow, on: date, page: int, missed: Mapping[str, int]
) -> dict[str, Any]:
    """Return one page of the wants, those that fall short first where there are many.

    ``missed`` says of how many batches of a want the wood is over, though they were not stuck.
    """
    wants = wants_in_order(content.get("wants", ()), on)
    n_pages = max(-(-len(wants) // WANTS), 1)
    page = min(max(page, 1), n_pages)
    lines = {line["n"]: line for line in content.get("lines", ())}
    first = (page - 1) * WANTS
    return {
        "wants": [
            {**_want(want, lines, first + i, now), "n_missed": missed.get(want["want"], 0)}
            for i, want in enumerate(wants[first : first + WANTS])
        ],
        "past": [
            {**want, "due": date.fromisoformat(want["ready_by"])}
            for want in content.get("wants", ())
            if is_past(want, on)
        ],
        "page": page,
        "n_pages": n_pages,
        "before": page - 1 if page > 1 else None,
        "after": page + 1 if page < n_pages else None,
    }


def _want(
    want: Mapping[str, Any], lines: Mapping[int, Mapping[str, Any]], place: int, now: WantsNow
) -> dict[str, Any]:
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
        "is_gone": want["want"] in now.gone,
        "now": now.changed.get(want["want"]),
        "barred": now.barred.get(want["want"], ""),
        "due": due,
        "bar": want_bar(n, ready["p10"], ready["p50"], ready["p90"], title=title),
        "is_good": want["state"] in GOOD,
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


def to_get_all(content: Mapping[str, Any]) -> list[tuple[str, list[str]]]:
    """Return what would have to change for every want to be promised, each with the wants it would help."""
    found: dict[str, list[str]] = {}
    for want in content.get("wants", ()):
        if want["state"] in ("near", "short"):
            limit = next((stop["limit"] for stop in want.get("stopped_by", ())), "together")
            found.setdefault(limit if limit in _NEEDED else "together", []).append(want["want"])
    return [(str(said), found[limit]) for limit, said in _NEEDED.items() if limit in found]


#: by what stops a want: what it needs
_NEEDED = {
    "shoots": gettext_lazy("more shoots to cut, from more stock plants or a larger share of each"),
    "bench": gettext_lazy("more room for cuttings"),
    "nursery": gettext_lazy("more room for young plants"),
    "hours": gettext_lazy("more hours of work"),
    "no_option": gettext_lazy(
        "a later day, more stock plants or another way: nothing is ready in time as it is"
    ),
    "chance": gettext_lazy("a smaller number, a later day or a lower wish: sticking more does not help"),
    "rights": gettext_lazy("a licence: protected plants are not multiplied without one"),
    "together": gettext_lazy("more of several things at once"),
}


def rooms_shown(content: Mapping[str, Any], on: date, units: First) -> dict[str, Any]:
    """Return the charts of room against load: the tightest of all and what is full, and the others."""
    found: dict[str, list[dict[str, Any]]] = {}
    for i, one in enumerate(content.get("room", ())):
        unit, each = season_words.unit_of(one["kind"], units)
        weeks = [
            (
                date.fromisoformat(week["week"]),
                week["used"] * each,
                None if week["room"] is None else week["room"] * each,
            )
            for week in one["weeks"]
        ]
        while weeks and not weeks[-1][1]:
            weeks.pop()
        if weeks:
            name = season_words.place(one["kind"], one["place"], one.get("name", ""))
            found.setdefault(one["kind"], []).append(_room(one["kind"], name, weeks, on, i, unit))
    kinds = sorted(found, key=lambda kind: ("bench", "hours", "nursery", kind).index(kind))
    rooms = [room for kind in kinds for room in sorted(found[kind], key=lambda room: -room["tightness"])]
    tightest = max(rooms, key=lambda room: room["tightness"], default=None)
    return {
        "rooms": [room for room in rooms if room["n_full"] or room is tightest],
        "other_rooms": [room for room in rooms if not room["n_full"] and room is not tightest],
    }


def _room(
    kind: str, name: str, weeks: Sequence[tuple[date, float, float | None]], on: date, place: int, unit: str
) -> dict[str, Any]:
    limits = {room for _week, _used, room in weeks if room is not None}
    n_full = sum(is_full(used, room) for _week, used, room in weeks)
    if not limits:
        holds = _("no limit written down")
    elif len(limits) == 1:
        holds = _("room for %(room)s") % {"room": _limit(kind, max(limits), unit)}
    else:
        holds = _("room for %(low)s to %(high)s") % {
            "low": _limit(kind, min(limits), unit),
            "high": _limit(kind, max(limits), unit),
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
        "is_level": len({room for _week, _used, room in weeks}) < 2,
        "n_full": n_full,
        "unit": unit,
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


def _limit(kind: str, n: float, unit: str) -> str:
    if kind == "hours":
        return season_words.hours(n)
    return f"{season_words.number(n, 2 if n < _MANY else 0)} {unit}"


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
