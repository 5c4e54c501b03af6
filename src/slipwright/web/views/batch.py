"""One batch: how it is doing, what made it so, what was done, and taking back what was written wrongly."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import uuid4

from django.conf import settings
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from slipwright.craft.said import in_tongue
from slipwright.handbook import load_handbook
from slipwright.outputs.charts.forecast import ForecastWords, forecast_chart
from slipwright.outputs.measures import length_text
from slipwright.outputs.qr import QrError, qr_text
from slipwright.outputs.qr_drawing import qr_drawing
from slipwright.records import codes, roles, selectors, services
from slipwright.records.answers.garden_facts import places_here
from slipwright.records.answers.one_batch import OneBatch, one_batch
from slipwright.records.errors import Ambiguous, BadValue, Clash, NotAllowed, Refused
from slipwright.records.models import Entry, Sticking
from slipwright.records.selectors.fits import fit_now
from slipwright.web.asked import Posted
from slipwright.web.days import in_form
from slipwright.web.membership import GardenRequest, access
from slipwright.web.named import named
from slipwright.web.saved import remember
from slipwright.web.templatetags.entries import told_of

#: what is done to a batch by hand, most usual first
ACTS = (
    "water",
    "re-wet",
    "shade",
    "unshade",
    "loosen-cover",
    "uncover",
    "move",
    "feed",
    "pinch",
    "pot-on",
    "protect-from-frost",
    "spray",
    "clean",
)


@require_safe
@access("member")
def batch(request: GardenRequest, code: str) -> HttpResponse:
    """Show one batch."""
    return _page(request, code)


def _page(request: GardenRequest, code: str, *, status: int = 200, **more: Any) -> HttpResponse:
    told = one_batch(request.garden, load_handbook(), code, on=request.today)
    sticking = told.history.sticking
    rights = selectors.rights_of(sticking.taxon, on=request.today)
    may_record = roles.may(request.member, roles.RECORD)
    context = {
        "told": told,
        "now": told.now,
        "stuck": sticking,
        "chart": _chart(told),
        "fit": fit_now(request.garden, with_found=False),
        "qr": _qr(told),
        "rights": rights,
        "cuttings": _cuttings(sticking, request.garden.units),
        "may_record": may_record,
        "may_withdraw": roles.may(request.member, roles.WITHDRAW),
        "acts": ACTS,
        "warmth": told.warmth,
        "photos": told.history.photos,
        "photo_about": sticking.batch,
        "photo_id": uuid4(),
        "photo_at": _moment(request).isoformat(),
        "may_add_photo": may_record and not told.now.withdrawn,
        "places": places_here(request.garden) if may_record else (),
        "act_id": uuid4(),
        "note_id": uuid4(),
        "note_at": _moment(request).isoformat(),
        "typed": request.POST,
    }
    return render(request, "web/batch.html", context | more, status=status)


def _moment(request: GardenRequest) -> datetime:
    return request.now.replace(microsecond=0)


def _at(posted: Posted) -> datetime:
    """Return the moment a form was given out at: the same for a form pressed twice."""
    said_at = posted.text("at")
    try:
        at = datetime.fromisoformat(said_at)
    except ValueError:
        raise BadValue("at", _("must be the moment the form was given out"), said_at) from None
    if at.tzinfo is None:
        raise BadValue("at", _("must be the moment the form was given out"), said_at)
    return at


def _chart(told: OneBatch) -> str:
    ended = told.now.ended_on
    title = _("Rooted by day: looks as dots, what happened as a line, what may come as a dashed band")
    words = ForecastWords(
        title=title if told.ahead else _("Rooted by day: looks as dots, what happened as a line"),
        today=_("ended") if ended else _("today"),
        ceiling=_("%(n)s at most") % {"n": told.n_most},
        band=_("8 times in 10 inside the dashed band"),
    )
    return forecast_chart(
        n_stuck=told.now.n_stuck,
        n_most=told.n_most,
        stuck_on=told.now.stuck_on,
        on=max(ended or told.on, told.now.stuck_on),
        seen=told.seen,
        coming=[
            (day.on, day.rooted.p10, day.rooted.p50, day.rooted.p90)
            for day in (told.ahead.days if told.ahead else ())
        ],
        words=words,
        day_words=lambda day: in_form(day, "j M"),
    )


def _cuttings(stuck: Sticking, units: str) -> str:
    """Return what the cuttings were like, in words."""
    parts = [named(stuck.cutting)] if stuck.cutting else []
    if stuck.n_nodes:
        parts.append(ngettext("%(n)s node", "%(n)s nodes", stuck.n_nodes) % {"n": stuck.n_nodes})
    if stuck.length_mm is not None:
        parts.append(
            _("about %(length)s")
            % {
                "length": in_tongue(
                    length_text(float(stuck.length_mm), first="us" if units == "us" else "metric"), _
                )
            }
        )
    if stuck.leaves:
        leaves = _("leaves %(how)s") % {"how": named(stuck.leaves)}
        parts.append(_("no leaves") if stuck.leaves == "none" else leaves)
    if stuck.wound == "yes":
        parts.append(_("wounded at the base"))
    if stuck.stored not in ("", "no"):
        parts.append(_("stored %(how)s") % {"how": named(stuck.stored)})
    return capfirst(", ".join(parts))


def _qr(told: OneBatch) -> str:
    try:
        text = qr_text(told.now.batch, settings.LABEL_BASE)
        return qr_drawing(text, _("The QR code of its label"))
    except QrError:
        return ""


@require_POST
@access(roles.RECORD)
def act(request: GardenRequest, code: str) -> HttpResponse:
    """Write down something done to a batch, or a note about it."""
    posted = Posted(request)
    sticking = selectors.batch_by_code(request.garden, code)
    try:
        words, entry = _written(request, posted, sticking.batch)
    except NotAllowed:
        raise
    except (Refused, Clash, BadValue) as error:
        return _page(request, code, status=422, **_told(error))
    remember(request, words, [entry])
    return redirect("batch", code=sticking.batch)


def _written(request: GardenRequest, posted: Posted, batch: str) -> tuple[str, Entry]:
    who: Any = {"garden": request.garden, "by": request.member, "now": request.now}
    shown = codes.shown(batch)
    if posted.word("what", ("act", "note")) == "note":
        if not (text := posted.text("text")):
            raise BadValue("text", _("must hold some words"))
        note = services.record_note(
            **who, about=batch, at=_at(posted), text=text, entry_id=posted.text("entry_id")
        )
        return _("Note kept about %(code)s.") % {"code": shown}, note
    done = posted.word("act", ACTS)
    if not done:
        raise BadValue("act", _("must be one of the choices"))
    kept = services.record_act(
        **who,
        on=posted.day("on") or request.today,
        act=done,
        batch=batch,
        to_place=posted.text("to_place") if done == "move" else "",
        note=posted.text("note"),
        entry_id=posted.text("entry_id"),
    )
    return _("%(act)s: kept for %(code)s.") % {"act": capfirst(named(done)), "code": shown}, kept


def _told(error: Refused | Clash | BadValue | Ambiguous) -> dict[str, Any]:
    if isinstance(error, Refused):
        return {"refused": error}
    if isinstance(error, BadValue):
        return {"wrong": told_of(error)}
    return {"refused": Refused(str(error))}


@require_http_methods(["GET", "HEAD", "POST"])
@access(roles.WITHDRAW_OWN)
def withdraw(request: GardenRequest, code: str) -> HttpResponse:
    """Show an entry in words, ask why it is wrong, and take it back."""
    posted = Posted(request)
    asked = request.POST if request.method == "POST" else request.GET
    kind, withdraws = asked.get("kind", ""), asked.get("entry", "")
    sticking = selectors.whole_batch(request.garden, code)
    event = selectors.entry_of_batch(request.garden, sticking, kind, withdraws)
    trouble: dict[str, Any] = {}
    if request.method == "POST":
        try:
            if not (reason := posted.text("reason")):
                raise BadValue("reason", _("must say why, in a few words"))
            services.withdraw(
                garden=request.garden,
                by=request.member,
                now=request.now,
                kind=kind,
                withdraws=withdraws,
                reason=reason,
                at=_at(posted),
                entry_id=posted.text("entry_id"),
            )
            return redirect(f"{reverse('batch', kwargs={'code': sticking.batch})}#written")
        except NotAllowed:
            raise
        except (Refused, Clash, BadValue, Ambiguous) as error:
            trouble = _told(error)
    context = {
        "stuck": sticking,
        "event": event,
        "entry_id": posted.text("entry_id") or uuid4(),
        "at": posted.text("at") or _moment(request).isoformat(),
        "reason": posted.text("reason"),
    }
    return render(request, "web/withdraw.html", context | trouble, status=422 if trouble else 200)


@require_safe
@access("member")
def from_label(request: GardenRequest, code: str) -> HttpResponse:
    """Lead from the code on a label to its batch."""
    return redirect("batch", code=selectors.batch_by_code(request.garden, code).batch)
