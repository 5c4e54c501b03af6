"""The programme week by week as the season page shows it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from slipwright.records.answers.season_lines import LineNow, monday_of
from slipwright.web import season_words
from slipwright.web.season_line import line_shown, volume

#: lines of the weeks after this one on one page
LINES = 30
#: lines of this week that are told; where there are more, they stand on the papers
THIS_WEEK = 24


def weeks_shown(
    content: Mapping[str, Any],
    lines: Iterable[LineNow],
    plan: int,
    *,
    on: date,
    start: date | None,
    units: str,
) -> dict[str, Any]:
    """Return the programme week by week: this week with what is late, the weeks after, what is behind."""
    lines, monday, currency = list(lines), monday_of(on), content.get("currency", "")
    totals = {date.fromisoformat(week["week"]): week for week in content.get("weeks", ())}

    def shown(line: LineNow) -> dict[str, Any]:
        return line_shown(line, plan, currency, units)

    def week_of(week: date, some: Sequence[LineNow]) -> dict[str, Any]:
        return {
            "week": week,
            "lines": [shown(line) for line in some],
            "totals": _totals(totals[week], currency, units) if week in totals else None,
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
        weeks.append(week_of(week, later[week][:LINES]))
        n += len(later[week])
    return {
        "this_week": None if start else week_of(monday, now[:THIS_WEEK]),
        "n_this_week": sum(line.standing in ("now", "late") for line in now),
        "n_this_week_more": max(len(now) - THIS_WEEK, 0),
        "this_week_words": _to_do(now),
        "weeks": weeks,
        "weeks_after": after,
        "is_from_start": start is None,
        "missed": [shown(line) for line in lines if line.standing == "missed"][:LINES],
        "n_done_before": sum(line.standing == "done" and line.week < monday for line in lines),
        "next_week": min(later, default=None),
    }


def _to_do(now: Sequence[LineNow]) -> str:
    """Say in a line what this week asks for."""
    left = [line for line in now if line.standing in ("now", "late")]
    if not left:
        return _("Nothing to stick this week")
    n = sum(line.n_left for line in left)
    batches = ngettext("%(n)d batch", "%(n)d batches", len(left)) % {"n": len(left)}
    cuttings = ngettext("%(n)s cutting", "%(n)s cuttings", n) % {"n": season_words.number(n, 0)}
    hours = season_words.hours(sum(line.told.get("hours") or 0.0 for line in left))
    return _("This week: %(batches)s, %(cuttings)s, %(hours)s") % {
        "batches": batches,
        "cuttings": cuttings,
        "hours": hours,
    }


def _totals(week: Mapping[str, Any], currency: str, units: str) -> dict[str, Any]:
    hours = season_words.hours(week["hours"])
    if week.get("hours_room") is not None:
        hours = _("%(hours)s of %(room)s") % {
            "hours": hours,
            "room": season_words.hours(week["hours_room"]),
        }
    facts = [
        (_("Cuttings"), season_words.number(week["n_to_stick"], 0)),
        (_("Pots or trays"), season_words.number(week["n_containers"], 0)),
        (_("Medium"), volume(week["litres"], units) if week.get("litres") else ""),
        (_("Dip"), volume(week["dip_ml"] / 1000, units) if week.get("dip_ml") else ""),
        (_("Labels"), season_words.number(week["labels"], 0) if week.get("labels") else ""),
        (_("Work"), hours),
        (_("Cost"), season_words.money(week["cost"], currency) if week.get("cost") else ""),
    ]
    return {
        "facts": [(name, said) for name, said in facts if said],
        "hours": season_words.hours(week["hours"]),
        "n": season_words.number(week["n_to_stick"], 0),
        "n_raw": week["n_to_stick"],
        "full": [season_words.full(kind) for kind in week.get("is_full", ())],
    }
