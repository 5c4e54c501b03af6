"""The programme week by week as the season page shows it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from slipwright.outputs.measures import First
from slipwright.records.answers.programme.lines_now import LineNow, monday_of
from slipwright.records.answers.programme.rest import rest_of
from slipwright.web import season_words
from slipwright.web.season_line import line_shown, volume

#: lines of the weeks after this one on one page
LINES = 16
#: lines of this week that are told; where there are more, they stand on the papers
THIS_WEEK = 16
#: lines of this week at the head of the page
ON_CARD = 6
_TO_DO = ("late", "now", "later")


def weeks_shown(
    content: Mapping[str, Any],
    lines: Iterable[LineNow],
    plan: int,
    *,
    on: date,
    start: date | None,
    units: First,
    why_not: Callable[[str], str] = lambda _want: "",
) -> dict[str, Any]:
    """Return the programme week by week: this week with what is late, the weeks after, what is behind.

    ``why_not`` says why nothing is stuck for a want any more, by its name.
    """
    lines, monday, currency = list(lines), monday_of(on), content.get("currency", "")
    totals = {date.fromisoformat(week["week"]): week for week in content.get("weeks", ())}
    sticking = _hours_of_sticking(content)

    def shown(line: LineNow) -> dict[str, Any]:
        why = why_not(line.told["want"])
        return line_shown(line, plan, currency, units) | {"why_not": why}

    def is_to_do(line: LineNow) -> bool:
        return line.standing in _TO_DO and not why_not(line.told["want"])

    def week_of(week: date, some: Sequence[LineNow], most: int) -> dict[str, Any]:
        left = [rest_of(line.told, line.n_left) for line in some if is_to_do(line)]
        work = Work.of(left, totals.get(week, {}), sticking.get(week, 0.0))
        return {
            "week": week,
            "lines": [shown(line) for line in some[:most]],
            "n_lines": len(some),
            "facts": _facts(left, work, currency, units),
            "hours": season_words.hours(work.in_all) if work.in_all else "",
            "full": [season_words.full(kind) for kind in totals.get(week, {}).get("is_full", ())],
            "n_left": len(left),
            "words": _to_do(left, work),
        }

    now = [line for line in lines if line.standing == "late"]
    now += [line for line in lines if line.week == monday]
    later: dict[date, list[LineNow]] = {}
    for line in lines:
        if line.week > monday and (start is None or line.week >= start):
            later.setdefault(line.week, []).append(line)
    weeks, n, after = [], 0, None
    for week in sorted(later):
        if n and n + len(later[week]) > LINES:
            after = week
            break
        weeks.append(week_of(week, later[week], LINES))
        n += len(later[week])
    this_week = week_of(monday, now, THIS_WEEK)
    return {
        "this_week": None if start else this_week,
        "card": this_week | {"lines": [one for one in this_week["lines"] if _is_on_card(one)][:ON_CARD]},
        "n_card_more": max(this_week["n_left"] - ON_CARD, 0),
        "n_this_week_more": max(len(now) - THIS_WEEK, 0),
        "weeks": weeks,
        "weeks_after": after,
        "is_from_start": start is None,
        "missed": [shown(line) for line in lines if line.standing == "missed"][:LINES],
        "n_done_before": sum(line.standing == "done" and line.week < monday for line in lines),
        "n_done_now": sum(line.standing == "done" and line.week == monday for line in lines),
        "next_week": min(later, default=None),
    }


@dataclass(frozen=True, slots=True)
class Work:
    """Hours of a week: sticking what is left, all work with looks and potting, and what there is."""

    sticking: float
    in_all: float
    room: float | None

    @classmethod
    def of(cls, left: Iterable[Mapping[str, Any]], week: Mapping[str, Any], planned: float) -> Work:
        """Return them of the lines left in a week; ``planned`` are the hours its own were to be stuck in."""
        sticking = sum(line.get("hours") or 0.0 for line in left)
        beside = max((week.get("hours") or 0.0) - planned, 0.0)
        return cls(sticking, sticking + beside, week.get("hours_room"))


def _is_on_card(one: Mapping[str, Any]) -> bool:
    return one["line"].standing in _TO_DO and not one["why_not"]


def _hours_of_sticking(content: Mapping[str, Any]) -> dict[date, float]:
    found: dict[date, float] = {}
    for line in content.get("lines", ()):
        week = date.fromisoformat(line["week"])
        found[week] = found.get(week, 0.0) + (line.get("hours") or 0.0)
    return found


def _to_do(left: Sequence[Mapping[str, Any]], work: Work) -> str:
    """Say in a line what a week asks for."""
    if not left:
        return _("Nothing to stick this week")
    n = sum(line["n_to_stick"] for line in left)
    batches = ngettext("%(n)d batch", "%(n)d batches", len(left)) % {"n": len(left)}
    cuttings = ngettext("%(n)s cutting", "%(n)s cuttings", n) % {"n": season_words.number(n, 0)}
    said = {"batches": batches, "cuttings": cuttings, "hours": season_words.hours(work.sticking)}
    return _("%(batches)s, %(cuttings)s; %(hours)s of sticking") % said


def _facts(
    left: Sequence[Mapping[str, Any]], work: Work, currency: str, units: First
) -> list[tuple[str, str]]:
    """Return what the lines left of a week take together, as they say it one by one."""

    def total(name: str) -> float:
        return sum(line.get(name) or 0 for line in left)

    in_all = season_words.hours(work.in_all)
    if work.room is not None:
        in_all = _("%(hours)s of %(room)s") % {"hours": in_all, "room": season_words.hours(work.room)}
    if work.in_all > work.sticking:
        in_all = _("%(hours)s, with looks and potting") % {"hours": in_all}
    facts = [
        (_("Cuttings"), season_words.number(total("n_to_stick"), 0) if left else ""),
        (_("Pots or trays"), season_words.number(total("n_containers"), 0) if left else ""),
        (_("Medium"), volume(total("litres"), units) if total("litres") else ""),
        (_("Dip"), volume(total("dip_ml") / 1000, units) if total("dip_ml") else ""),
        (_("Labels"), season_words.number(total("labels"), 0) if total("labels") else ""),
        (_("Sticking"), season_words.hours(work.sticking) if work.sticking else ""),
        (_("Work in all"), in_all if work.in_all else ""),
        (_("Cost"), season_words.money(total("cost"), currency) if total("cost") else ""),
    ]
    return [(name, said) for name, said in facts if said]
