"""Potting up: is it time, how many into what, and what comes next."""

from __future__ import annotations

import uuid
from datetime import date
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.dates import MONTHS_3
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext
from django.views.decorators.http import require_http_methods

from slipwright.handbook import load_handbook
from slipwright.outputs.drawings.roots import ROOT_STATES, root_ball, standing_time
from slipwright.records.answers import recording
from slipwright.records.errors import BadValue
from slipwright.records.models import Entry
from slipwright.records.services import record_look, record_potting
from slipwright.records.services.pottings import look_beside
from slipwright.records.sums import LookSeen
from slipwright.web.asked import Posted
from slipwright.web.kept import about_batch
from slipwright.web.membership import GardenRequest, access
from slipwright.web.saved import remember
from slipwright.web.templatetags.slip import day, day_year, in_length
from slipwright.web.views.look import after_saving, facts_for_phone, walk_of

LABELS = {
    "n_potted": gettext_lazy("How many go into pots"),
    "container": gettext_lazy("Into what"),
    "medium": gettext_lazy("Potting mix"),
    "place": gettext_lazy("Stands at"),
    "note": gettext_lazy("Why, or a note"),
    "on": gettext_lazy("Day"),
    "roots": gettext_lazy("Roots"),
}
#: length of the longest of three roots of a cutting fit to pot, mm
ROOT_MM = 20


@require_http_methods(["GET", "POST"])
@access("member")
def pot_up(request: GardenRequest, code: str) -> HttpResponse:
    """Show whether a batch may be potted up and what follows, and keep that it was."""
    before = _("This was saved before with other figures. Open the page anew for another.")
    return about_batch(request, code, _page, _kept, labels=LABELS, saved_before=before)


def _kept(request: GardenRequest, start: recording.Start) -> HttpResponse:
    """Keep a potting, or the look of roots that are too short, unless it is to be asked about first."""
    said = _said(request, start)
    if said.pop("roots") == "not-yet":
        return _put_back(request, start, said)
    kept = recording.is_kept(request.garden, "potting", said["entry_id"])
    if not kept and "really" not in request.POST:
        doubts = recording.doubts_of_potting(start.now, said["n_potted"], said["on"])
        if doubts:
            return _page(request, start, status=422, doubts=doubts)
    potting = record_potting(
        garden=request.garden, by=request.member, now=request.now, batch=start.now.batch, **said
    )
    beside = look_beside(request.garden, potting)
    entries: list[Entry] = [potting] if beside is None else [beside, potting]
    remember(request, f"{_in_words(said['n_potted'], beside)} · {start.now.taxon}", entries)
    return after_saving(request, start.now.batch)


def _put_back(request: GardenRequest, start: recording.Start, said: dict[str, Any]) -> HttpResponse:
    """Keep a look of the day without a count, for roots too short to be potted, and go on."""
    on, entry_id = said["on"], said["entry_id"]
    note = _("not yet ready to pot")
    after = recording.looked_before(request.garden, start.sticking, Posted(request).text("after"), on=on)
    if not recording.is_kept(request.garden, "look", entry_id) and "really" not in request.POST:
        seen = LookSeen(entry_id, on, 0, after)
        doubts = recording.doubts_of_look(request.garden, load_handbook(), start.sticking, seen)
        if doubts:
            return _page(request, start, status=422, doubts=doubts)
    look = record_look(
        garden=request.garden,
        by=request.member,
        now=request.now,
        batch=start.now.batch,
        on=on,
        after=after,
        signs=["not-ready"],
        note=f"{note}. {said['note']}" if said["note"] else note,
        entry_id=entry_id,
    )
    remember(request, f"{_('Looked: %(note)s') % {'note': note}} · {start.now.taxon}", [look])
    return after_saving(request, start.now.batch)


def _in_words(n_potted: int, beside: Any) -> str:
    told = ngettext("%(n)s potted", "%(n)s potted", n_potted) % {"n": n_potted}
    if beside is not None:
        told += _("; a look says that %(n)s more had rooted") % {"n": beside.n_rooted}
    return told


def _said(request: GardenRequest, start: recording.Start) -> dict[str, Any]:
    posted = Posted(request)
    said: dict[str, Any] = {name: posted.text(name) for name in ("container", "medium", "place", "note")}
    said["entry_id"] = posted.text("entry_id")
    if not said["entry_id"]:
        raise BadValue("entry_id", _("is missing: open the page anew"))
    said["on"] = posted.day("on") or request.today
    if said["on"] > request.today:
        raise BadValue("on", _("must not be a day to come"), said["on"])
    said["roots"] = posted.word("roots", ROOT_STATES)
    said["n_potted"] = posted.whole("n_potted")
    if said["roots"] == "not-yet":
        if said["n_potted"]:
            rule = _("must be empty where they are not yet ready to pot")
            raise BadValue("n_potted", rule, said["n_potted"])
        return said
    if not said["n_potted"]:
        raise BadValue("n_potted", _("must be said: count the pots"), said["n_potted"])
    is_kept = recording.is_kept(request.garden, "potting", said["entry_id"])
    if not said["note"] and not is_kept and _then(request, start).must_wait:
        raise BadValue("note", _("must say why they are potted before their time"))
    return said


def _then(request: GardenRequest, start: recording.Start) -> recording.Afterwards:
    return recording.afterwards(request.garden, load_handbook(), start.now, on=request.today)


def _page(request: GardenRequest, start: recording.Start, *, status: int = 200, **told: Any) -> HttpResponse:
    then = _then(request, start)
    units = "us" if request.garden.units == "us" else "metric"
    walk = walk_of(request, start.now.batch)
    going_on = request.method == "POST" or "all-the-same" in request.GET
    context = {
        "start": start,
        "now": start.now,
        "then": then,
        "walk": walk,
        **facts_for_phone(request, start, walk),
        "n_to_pot": max(start.now.n_to_pot, 0),
        "n_waiting": max(start.now.n_waiting, 0),
        "into": recording.into_what(request.garden),
        "roots": _roots(units),
        "leave": then.must_wait and not going_on,
        "opens": [_near(on, request.today) for on in (then.may_from.p10, then.may_from.p90)],
        "standing": _standing(request, then) if then.must_wait else "",
        "typed": request.POST,
        "form_id": "pot-form",
        "entry_id": request.POST.get("entry_id") or uuid.uuid4(),
        "after": request.POST.get("after", start.after),
        **told,
    }
    return render(request, "web/pot_up.html", context, status=status)


def _roots(units: str) -> list[dict[str, str]]:
    long = in_length(ROOT_MM, units)
    words = {
        "not-yet": (_("Not yet"), _("callus or short roots; back in, a week more")),
        "now": (_("Now"), _("three or more, the longest about %(long)s") % {"long": long}),
        "overdue": (_("Overdue"), _("roots go round, leaves pale; pot today, tease out")),
    }
    return [
        {
            "state": state,
            "name": words[state][0],
            "text": words[state][1],
            "svg": root_ball(state, mark="2 cm"),
        }
        for state in ROOT_STATES
    ]


def _near(on: date | None, today: date) -> str:
    """Return a day, with its year where that is another than this."""
    return day(on) if on and on.year == today.year else day_year(on)


def _standing(request: GardenRequest, then: recording.Afterwards) -> str:
    middle, late = then.may_from.p50, then.may_from.p90
    if middle is None or late is None:
        return ""
    return standing_time(
        request.today,
        middle,
        late,
        title=_("Do not disturb until about %(day)s") % {"day": day_year(middle)},
        leave=_("do not disturb"),
        pot_up=_("pot up"),
        months=[str(name).capitalize() for name in MONTHS_3.values()],
    )
