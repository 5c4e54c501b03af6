"""The programme week by week as the season page shows it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from slipwright.craft.days import monday_of
from slipwright.outputs.measures import First
from slipwright.records.answers.programme.lines_now import LineNow
from slipwright.web import season_words
from slipwright.web.season_line import line_shown, volume

#: lines of the weeks after this one on one page
LINES = 16
#: lines of this week on one page
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
    skip: int = 0,
    units: First,
    why_not: Callable[[str], str] = lambda _want: "",
) -> dict[str, Any]:
    """Return the programme week by week: this week with what is late, the weeks after, what is behind.

    The page begins with the week ``start``, else with this one, ``skip`` of its lines left out. What is to
    do comes first in each. ``why_not`` says why nothing is stuck for a want any more, by its name.
    """
    lines, monday, currency = list(lines), monday_of(on), content.get("currency", "")
    totals = {date.fromisoformat(week["week"]): week for week in content.get("weeks", ())}
    sticking = _hours_of_sticking(content)
    if start is not None and start <= monday:
        start = None

    def shown(line: LineNow) -> dict[str, Any]:
        why = why_not(line.told["want"])
        return line_shown(line, plan, currency, units) | {"why_not": why}

    def is_to_do(line: LineNow) -> bool:
        return line.standing in _TO_DO and not why_not(line.told["want"])

    def week_of(week: date, some: Sequence[LineNow], told: Sequence[LineNow]) -> dict[str, Any]:
        left = [line.rest for line in some if is_to_do(line)]
        work = Work.of(left, totals.get(week, {}), sticking.get(week, 0.0))
        return {
            "week": week,
            "lines": [shown(line) for line in told],
            "n_lines": len(some),
            "facts": _facts(left, work, currency, units),
            "hours": season_words.hours(work.in_all) if work.in_all else "",
            "full": [season_words.full(kind) for kind in totals.get(week, {}).get("is_full", ())],
            "n_left": len(left),
            "words": _to_do(left, work),
        }

    now = [line for line in lines if line.standing == "late"]
    now += [line for line in lines if line.week == monday]
    now.sort(key=lambda line: not is_to_do(line))
    later: dict[date, list[LineNow]] = {}
    for line in lines:
        if line.week > monday and (start is None or line.week >= start):
            later.setdefault(line.week, []).append(line)
    weeks, n, after, after_skip = [], 0, None, 0
    for week in sorted(later):
        before = skip if week == start else 0
        some = sorted(later[week], key=lambda line: not is_to_do(line))[before:]
        if n and n + len(some) > LINES:
            after = week
            break
        if some:
            weeks.append(week_of(week, later[week], some[:LINES]))
        n += len(some)
        if len(some) > LINES:
            after, after_skip = week, before + LINES
            break
    skipped = skip if start is None and skip < len(now) else 0
    to_do = [line for line in now if is_to_do(line)]
    ahead = (line.week for line in lines if line.week > monday and is_to_do(line))
    more = max(len(now) - skipped - THIS_WEEK, 0)
    return {
        "this_week": None if start else week_of(monday, now, now[skipped : skipped + THIS_WEEK]),
        "card": week_of(monday, now, to_do[:ON_CARD]),
        "n_card_more": max(len(to_do) - ON_CARD, 0),
        "n_this_week_more": more,
        "this_week_skip": skipped + THIS_WEEK if more else 0,
        "weeks": weeks,
        "weeks_after": after,
        "weeks_skip": after_skip,
        "is_from_start": start is None and not skipped,
        "missed": [shown(line) for line in lines if line.standing == "missed"][:LINES],
        "n_missed": sum(line.standing == "missed" for line in lines),
        "n_done_before": sum(line.standing == "done" and line.week < monday for line in lines),
        "is_any_left": any(is_to_do(line) for line in lines),
        "is_all_stuck": bool(now) and all(line.standing == "done" for line in now),
        "next_week": min(ahead, default=None),
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
