"""Recording a look: what was counted, what was seen, or only that somebody looked."""

from __future__ import annotations

import uuid
from typing import Any

from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext
from django.views.decorators.http import require_http_methods

from slipwright.handbook import load_handbook
from slipwright.records import words
from slipwright.records.answers import recording
from slipwright.records.errors import BadValue
from slipwright.records.models import Entry, Look
from slipwright.records.services import record_act, record_look
from slipwright.records.sums import LookSeen
from slipwright.web.asked import Posted
from slipwright.web.kept import about_batch
from slipwright.web.membership import GardenRequest, access
from slipwright.web.saved import remember
from slipwright.web.views.photos import photo_beside

GIVEN_UP = "given-up"
CAUSES = tuple(cause for cause in words.CAUSES if cause != GIVEN_UP)
COUNTS = {
    "n_rooted": gettext_lazy("Rooted new today"),
    "n_lost": gettext_lazy("Lost new today"),
    "n_removed": gettext_lazy("Removed"),
    "n_tried": gettext_lazy("Tried"),
    "n_tried_rooted": gettext_lazy("Rooted of those tried"),
    "n_lost_rooted": gettext_lazy("Rooted ones that died"),
}
LABELS = {**COUNTS, "on": gettext_lazy("Day"), "note": gettext_lazy("Note")}
#: marks drawn of a sum that does not add up
MOST_MARKS = 60


@require_http_methods(["GET", "POST"])
@access("member")
def look(request: GardenRequest, code: str) -> HttpResponse:
    """Show the page of a look at a batch, and keep what was seen."""
    before = _("This look was saved before with other figures. Open the page anew for another.")
    return about_batch(request, code, _page, _kept, labels=LABELS, saved_before=before)


def _kept(request: GardenRequest, start: recording.Start) -> HttpResponse:
    """Keep a look, unless its counts are to be asked about first."""
    said = _said(request, start)
    kept = recording.is_kept(request.garden, "look", said["entry_id"])
    if not kept and not _was_so(request):
        doubts = recording.doubts_of_look(request.garden, load_handbook(), start.sticking, _as_seen(said))
        if doubts:
            told = {"doubts": doubts, "marks": _marks(said, doubts), "doubt_terms": _terms(said)}
            return _page(request, start, status=422, **told)
    entries = _keep(request, start, said)
    told_photo, photo = photo_beside(request, start.now.batch)
    remember(request, f"{_in_words(said)}{told_photo} · {start.now.taxon}", [*photo, *entries])
    return after_saving(request, start.now.batch)


def after_saving(request: GardenRequest, code: str) -> HttpResponse:
    """Go to the next batch of the round for somebody walking it, else to the page of the batch."""
    return redirect(goes_on(request, code, walk_of(request, code)))


def goes_on(request: GardenRequest, code: str, walk: recording.OnRound | None) -> str:
    """Return the address that comes after a batch is done."""
    if not request.GET.get("round"):
        return reverse("batch", args=[code])
    if walk is None or not walk.next_batch:
        return reverse("today")
    page = "pot-up" if walk.next_act == "pot_up" else "look"
    return f"{reverse(page, args=[walk.next_batch])}?round=1"


def facts_for_phone(
    request: GardenRequest, start: recording.Start, walk: recording.OnRound | None
) -> dict[str, Any]:
    """Return what a phone needs to keep a record of a batch without a signal."""
    return {
        "goes_on": goes_on(request, start.now.batch, walk),
        "after_on": start.last.on if start.last else start.now.stuck_on,
        "first_roots": recording.first_roots(load_handbook(), start.sticking),
    }


def walk_of(request: GardenRequest, code: str) -> recording.OnRound | None:
    """Return where a batch comes in the round, for somebody who came from it."""
    if not request.GET.get("round"):
        return None
    return recording.on_round(request.garden, load_handbook(), code, on=request.today)


def _page(request: GardenRequest, start: recording.Start, *, status: int = 200, **told: Any) -> HttpResponse:
    asked = request.POST
    walk = walk_of(request, start.now.batch)
    context = {
        "start": start,
        "now": start.now,
        "n_waiting": max(start.now.n_waiting, 0),
        "walk": walk,
        **facts_for_phone(request, start, walk),
        "form_id": "look-form",
        "causes": CAUSES,
        "signs": words.SIGNS,
        "pot_weights": words.POT_WEIGHTS,
        "typed": asked,
        "typed_signs": asked.getlist("signs"),
        "entry_id": asked.get("entry_id") or uuid.uuid4(),
        "act_id": asked.get("act_id") or uuid.uuid4(),
        "photo_id": asked.get("photo_id") or uuid.uuid4(),
        "photo_at": asked.get("photo_at") or request.now.replace(microsecond=0).isoformat(),
        "after": asked.get("after", start.after),
        **told,
    }
    return render(request, "web/look.html", context, status=status)


def _said(request: GardenRequest, start: recording.Start) -> dict[str, Any]:
    posted = Posted(request)
    said: dict[str, Any] = {name: posted.whole(name) for name in COUNTS}
    said["cause"] = posted.word("cause", CAUSES)
    said["signs"] = posted.words("signs", words.SIGNS)
    said["pot_weight"] = posted.word("pot_weight", words.POT_WEIGHTS)
    said["note"] = posted.text("note")
    said["entry_id"] = posted.text("entry_id")
    if not said["entry_id"]:
        raise BadValue("entry_id", _("is missing: open the page anew"))
    said["on"] = posted.day("on") or request.today
    if said["on"] > request.today:
        raise BadValue("on", _("must not be a day to come"), said["on"])
    if (tried := said["n_tried_rooted"]) is not None and tried > (said["n_tried"] or 0):
        raise BadValue("n_tried_rooted", _("must not be more than were tried"), tried)
    if (given_up := posted.whole("give_up")) is not None:
        _give_up(said, given_up)
    said["after"] = recording.looked_before(
        request.garden, start.sticking, posted.text("after"), on=said["on"]
    )
    return said


def _was_so(request: GardenRequest) -> bool:
    """Return whether the person said that what does not add up was really so."""
    return "really" in request.POST or "really" in request.GET


def _give_up(said: dict[str, Any], waiting: int) -> None:
    """Count all that waited when the page was made as lost, but for what is typed as rooted or removed."""
    if said["n_lost"] is not None or said["cause"]:
        rule = _("must be empty to give up: all the rest are then lost, of no other cause")
        raise BadValue("n_lost", rule, said["n_lost"])
    said["n_lost"] = max(waiting - (said["n_rooted"] or 0) - (said["n_removed"] or 0), 0)
    said["cause"] = GIVEN_UP


def _as_seen(said: dict[str, Any]) -> LookSeen:
    counts = {name: said[name] for name in COUNTS}
    return LookSeen(said["entry_id"], said["on"], 0, said["after"], **counts)


@transaction.atomic
def _keep(request: GardenRequest, start: recording.Start, said: dict[str, Any]) -> list[Entry]:
    who: dict[str, Any] = {"garden": request.garden, "by": request.member, "now": request.now}
    kept: Look = record_look(batch=start.now.batch, **who, **said)
    if not request.POST.get("rewetted"):
        return [kept]
    act = record_act(
        batch=start.now.batch,
        on=said["on"],
        act="re-wet",
        entry_id=Posted(request).text("act_id"),
        **who,
    )
    return [kept, act]


def _in_words(said: dict[str, Any]) -> str:
    """Say what was saved: the counts, a pull on a few, or that nothing was counted."""
    told = []
    if said["n_rooted"] is not None:
        told.append(_("%(n)s rooted") % {"n": said["n_rooted"]})
    if said["n_lost"] is not None:
        if said["cause"] == GIVEN_UP:
            told.append(_("%(n)s given up") % {"n": said["n_lost"]})
        else:
            told.append(_("%(n)s lost") % {"n": said["n_lost"]})
    if said["n_removed"]:
        told.append(_("%(n)s removed") % {"n": said["n_removed"]})
    if said["n_lost_rooted"]:
        told.append(
            ngettext("%(n)s rooted one died", "%(n)s rooted ones died", said["n_lost_rooted"])
            % {"n": said["n_lost_rooted"]}
        )
    if said["n_tried"] is not None:
        told.append(_("%(n)s tried") % {"n": said["n_tried"]})
        if said["n_tried_rooted"] is not None:
            told.append(_("%(n)s of them rooted") % {"n": said["n_tried_rooted"]})
    return ", ".join(told) or _("looked, no change")


def _terms(said: dict[str, Any]) -> str:
    """Return the figures that were typed: 12 and 7."""
    counts = (said["n_rooted"], said["n_lost"], said["n_removed"])
    return _(" and ").join(str(count) for count in counts if count)


def _marks(said: dict[str, Any], doubts: list[recording.Doubt]) -> list[dict[str, Any]]:
    """Return a mark for each cutting typed, and whether it is one too many."""
    doubt = next((doubt for doubt in doubts if doubt.kind == "more-than-waiting"), None)
    if doubt is None or doubt.n_said > MOST_MARKS:
        return []
    signs = [
        sign
        for sign, name in (("rooted", "n_rooted"), ("lost", "n_lost"), ("removed", "n_removed"))
        for _one in range(said[name] or 0)
    ]
    return [{"sign": sign, "over": place >= doubt.n_there} for place, sign in enumerate(signs)]
