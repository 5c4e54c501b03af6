"""The season: what to promise, what to stick in which week, and what one change would bring."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from django.http import HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import dateformat
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from slipwright.craft.days import monday_of
from slipwright.craft.said import in_tongue
from slipwright.records import roles, selectors
from slipwright.records.answers.garden_words import first_of
from slipwright.records.answers.programme.lines_now import lines_now
from slipwright.records.answers.programme.wants_now import wants_now
from slipwright.records.errors import BadValue, NotAllowed, NotFound, Refused, UsedMeanwhile
from slipwright.records.models import Garden, PlanState, SeasonPlan
from slipwright.records.selectors import plans as kept
from slipwright.records.selectors.season_stuck import n_written_since, number_of, stuck_since
from slipwright.records.selectors.season_wanted import wanted_now
from slipwright.records.services.plans import ask_plan, drop_plan, use_plan
from slipwright.web import season_beside, season_shown, season_weeks, season_words
from slipwright.web.asked import Posted, told, whole_of
from slipwright.web.membership import GardenRequest, access
from slipwright.web.season_asked import FACTORS, LABELS, change_asked
from slipwright.web.shares import ASSURANCES
from slipwright.web.ways import COVERS

#: whoever counts on what a programme says asks for one; nothing is written down by it
ASK = roles.RECORD
USE = roles.EDIT
_OPEN = (PlanState.ASKED, PlanState.RUNNING)


@dataclass(frozen=True, slots=True)
class _Plans:
    """The programmes a page is about."""

    in_use: SeasonPlan | None
    #: the one the page tells of; None where none is made
    shown: SeasonPlan | None
    #: one that was made and waits to be used or dropped
    tried: SeasonPlan | None
    #: one that is being made, or that could not be made, if that came last
    coming: SeasonPlan | None
    failed: SeasonPlan | None
    #: others that were tried and wait too
    others: Sequence[SeasonPlan] = ()
    #: used before the one in use
    earlier: Sequence[SeasonPlan] = ()
    any_asked: bool = False


@require_safe
@access("member")
def season(request: GardenRequest) -> HttpResponse:
    """Show the programme in use, or one that was made, and what is to be decided about it."""
    return _page(request)


@require_safe
@access("member")
def progress(request: GardenRequest) -> HttpResponse:
    """Say how far the programme that is being made has come."""
    coming = next(iter(kept.plans_asked(request.garden)), None)
    if coming is None:
        return JsonResponse({"working": False, "asked": kept.was_plan_asked(request.garden)})
    told = {"plan": coming.pk, "done": round(coming.done, 3), "doing": _doing(coming)}
    return JsonResponse({"working": True, **told})


@require_POST
@access(ASK)
def ask(request: GardenRequest) -> HttpResponse:
    """Ask for a programme: of things as they are, or with one of them changed."""
    posted = Posted(request)
    try:
        plan = posted.whole("plan")
        content = kept.plan_content(kept.plan_of(request.garden, plan)) if plan is not None else {}
        change = change_asked(posted, content, request.today)
        ask_plan(request.garden, on=request.today, now=request.now, by=request.member, change=change)
    except BadValue as error:
        return _page(request, status=422, wrong=told(error, LABELS))
    return redirect("season")


@require_POST
@access(USE)
def use(request: GardenRequest) -> HttpResponse:
    """Use a programme that was made: from now on it is the garden's.

    One is used in place of the one that stood beside it: where another was used since, that is told first.
    """
    plan = _named(request)
    try:
        beside = whole_of(Posted(request).text("in_use"))
        use_plan(plan, now=request.now, by=request.member, instead_of=beside)
    except UsedMeanwhile:
        request.garden.refresh_from_db(fields=["plan"])
        in_use = kept.plan_in_use(request.garden)
        return _page(request, status=409, used_meanwhile=in_use.used_by or "" if in_use else "")
    return redirect("season")


@require_POST
@access(ASK)
def drop(request: GardenRequest) -> HttpResponse:
    """Drop a programme that was tried, or could not be made; the one in use stays."""
    try:
        plan = _named(request)
    except NotFound:  # dropped a moment ago, by this press or by somebody else
        return redirect("season")
    try:
        drop_plan(plan, by=request.member)
    except NotAllowed:
        raise
    except Refused:  # it is in use by now: the page says so
        pass
    return redirect("season")


def _named(request: GardenRequest) -> SeasonPlan:
    try:
        pk = Posted(request).whole("plan")
    except BadValue:
        pk = None
    if pk is None:
        raise NotFound(_("this programme is not there; it may have been dropped"))
    return kept.plan_of(request.garden, pk)


def _plans(garden: Garden, asked: int | None) -> _Plans:
    """Return the programmes a page is about. Two queries, three where one is asked for."""
    in_use = kept.plan_in_use(garden)
    last_asked = kept.plans_of(garden)
    # what was used before lies behind
    newest = [one for one in last_asked if one.used_at is None]
    if in_use is not None:
        newest = [one for one in newest if one.pk > in_use.pk]
    coming = next((one for one in reversed(newest) if one.state in _OPEN), None)
    waiting = [one for one in newest if one.state == PlanState.MADE]
    made = waiting[0] if waiting else None
    last = newest[0] if newest else None
    failed = last if last is not None and last.state == PlanState.FAILED else None
    shown = kept.plan_of(garden, asked) if asked is not None else (in_use or made)
    if shown is not None and shown.state != PlanState.MADE:
        raise NotFound(_("this programme is not made yet"))
    tried = shown if shown is not None and shown.used_at is None else made
    others = [one for one in waiting if tried is None or one.pk != tried.pk]
    earlier = [one for one in last_asked if one.used_at is not None and one.pk != getattr(in_use, "pk", None)]
    return _Plans(in_use, shown, tried, coming, failed, others, earlier, bool(last_asked))


def _page(request: GardenRequest, status: int = 200, **more: Any) -> HttpResponse:
    asked, garden = request.GET, request.garden
    plans = _plans(garden, whole_of(asked.get("plan", "")))
    content = kept.plan_content(plans.shown) if plans.shown else {}
    context: dict[str, Any] = {
        "plans": plans,
        # the page itself: what was posted and told about it stands at another address
        "at": request.get_full_path() if request.method == "GET" else reverse("season"),
        "content": content,
        "doing": _doing(plans.coming) if plans.coming else "",
        "why_failed": _why(plans.failed) if plans.failed else "",
        "may_ask": roles.may(request.member, ASK),
        "may_use": roles.may(request.member, USE),
        **more,
    }
    if plans.shown is None:
        wants = [want for want in selectors.wants(garden) if want.ready_by >= request.today]
        context |= {"n_wants": len(wants), "n_plants": sum(want.n_wanted for want in wants)}
        # the first one is asked for by itself, after a little quiet
        context["awaits_first"] = bool(wants) and not plans.any_asked
    elif not content:
        context["is_older"] = True
        context |= _tried(request, plans, content) if plans.tried not in (None, plans.shown) else {}
    else:
        context |= _told(request, plans.shown, content)
        context |= _tried(request, plans, content)
    return render(request, "web/season.html", context, status=status)


def _told(request: GardenRequest, plan: SeasonPlan, content: Mapping[str, Any]) -> dict[str, Any]:
    """Return what the page tells of the programme itself."""
    garden, on, asked = request.garden, request.today, request.GET
    number, is_in_use = number_of(plan), plan.pk == garden.plan_id
    since = kept.since_plan(garden, plan)
    stuck = stuck_since(garden, number) if since.n_entries else []
    lines = lines_now(content.get("lines", ()), stuck, on=on)
    start = _monday(asked.get("from", ""))
    units, wants = first_of(garden), wants_now(content, wanted_now(garden, on=on), on=on)
    # by one that another took the place of, nobody works any more
    is_worked_by = is_in_use or plan.used_at is None
    missed = season_shown.missed_of_wants(content, lines, wants, on) if is_worked_by else {}
    looks, stickings = n_written_since(garden, number) if is_in_use and since.n_entries else (0, 0)
    return {
        "plan": plan,
        "is_in_use": is_in_use,
        "used": _used(request, plan),
        "monday": monday_of(on),
        "wants_now": wants,
        "missed_wants": season_shown.names(missed),
        "head": season_shown.heading(content, on),
        "wanted": season_shown.wants_shown(content, wants, on, whole_of(asked.get("wants", "")) or 1, missed),
        **season_shown.rooms_shown(content, on, units),
        "binds": season_shown.binds_shown(content),
        "weeks": season_weeks.weeks_shown(
            content,
            lines,
            plan.pk,
            on=on,
            start=start,
            skip=whole_of(asked.get("skip", "")) or 0,
            units=units,
            why_not=wants.why_not,
        ),
        "for_all": season_shown.to_get_all(content),
        "changes": season_beside.changes_offered(content),
        "own": season_beside.own_change_lists(content) | {"factors": FACTORS, "wishes": ASSURANCES},
        "covers": COVERS,
        "changed": season_words.change(plan.change, units),
        "rests_on": season_shown.rests_on(content),
        "notes": season_shown.notes(content),
        "since": since,
        "n_looks": looks,
        "n_stickings": stickings,
    }


def _tried(request: GardenRequest, plans: _Plans, content: Mapping[str, Any]) -> dict[str, Any]:
    """Return what is told of a programme that waits to be used or dropped."""
    tried = plans.tried
    if tried is None:
        return {}
    units, before = first_of(request.garden), plans.in_use.pk if plans.in_use else None
    of_it = content if plans.shown is not None and tried.pk == plans.shown.pk else kept.plan_content(tried)
    return {
        "tried": tried,
        "tried_change": season_words.change(tried.change, units),
        # figures beside another programme than the one in use would mislead
        "is_beside_other": tried.before_id != before,
        "beside": season_beside.beside_shown(of_it) if tried.before_id == before else None,
        "diff": season_beside.diff_shown(of_it) if tried.before_id == before else [],
        "others": [
            (
                f"{reverse('season')}?plan={one.pk}",
                season_words.change(one.change, units),
                _made(request, one),
            )
            for one in plans.others
        ],
        "tried_at": f"{reverse('season')}?plan={tried.pk}",
    }


def _made(request: GardenRequest, plan: SeasonPlan) -> str:
    """Return the day, and where its clock knows it the time, a programme was made at."""
    if request.garden.stands_on or plan.made_at is None:
        return season_words.short_day(plan.on)
    return dateformat.format(plan.made_at.astimezone(ZoneInfo(request.garden.time_zone)), "j M, H:i")


def _used(request: GardenRequest, plan: SeasonPlan) -> dict[str, Any] | None:
    """Return who used a programme and on which day; the clock of a demonstration garden knows no such day."""
    if plan.used_at is None:
        return None
    garden, by = request.garden, plan.used_by_id
    who = request.member if by == request.member.pk else plan.used_by
    day = None if garden.stands_on else plan.used_at.astimezone(ZoneInfo(garden.time_zone)).date()
    return {"by": str(who) if who else "", "on": day}


def _monday(said: str) -> date | None:
    try:
        return monday_of(date.fromisoformat(said))
    except ValueError:
        return None


def _why(plan: SeasonPlan) -> str:
    # what makes programmes brings a lot of arithmetic with it, and is needed here only then
    from slipwright.records.answers.programme.planned import why_not_made

    return why_not_made(plan)


def _doing(plan: SeasonPlan) -> str:
    if plan.state == PlanState.ASKED:
        return _("waiting for its turn")
    return in_tongue(plan.doing, _) if plan.doing else _("gathering the records")
