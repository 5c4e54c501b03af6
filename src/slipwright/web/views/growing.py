"""From weaning to ready: what stands, what became of it, and the card that goes with a plant."""

from __future__ import annotations

from datetime import date
from typing import Any
from uuid import uuid4

from django.conf import settings
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_safe

from slipwright.handbook import load_handbook
from slipwright.outputs.card import CARE, MOST_CARDS
from slipwright.outputs.card import card_pdf as pdf_of_card
from slipwright.outputs.qr import qr_text
from slipwright.outputs.qr_drawing import qr_drawing
from slipwright.records import codes, roles, selectors, services, words
from slipwright.records.answers.cards import CardOf, card_of
from slipwright.records.answers.growing import growing_batch, growing_now, n_learned
from slipwright.records.errors import BadValue, Clash, NotAllowed, Refused
from slipwright.records.models import Outcome
from slipwright.records.selectors import Growing, History
from slipwright.web.asked import Posted, whole_of
from slipwright.web.membership import GardenRequest, access
from slipwright.web.saved import remember
from slipwright.web.templatetags.entries import told_of

#: longer care lines than this do not fit a card
_LONGEST = 300


class _MoreThanStand(BadValue):
    """More plants are said to go than stand; it may be kept if it was really so."""


@require_safe
@access("member")
def growing(request: GardenRequest) -> HttpResponse:
    """Show what was potted and has not yet found its place."""
    benches = growing_now(request.garden, load_handbook(), on=request.today)
    context = {
        "benches": benches,
        "n_due": sum(len(bench.due) for bench in benches),
        "n_standing": sum(bench.n_standing for bench in benches),
        "n_learned": n_learned(benches),
    }
    return render(request, "web/growing.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@access(roles.RECORD)
def outcome(request: GardenRequest, code: str) -> HttpResponse:
    """Ask and keep what became of the plants of a batch."""
    posted = Posted(request)
    sticking = selectors.whole_batch(request.garden, code)
    entry_id = posted.text("entry_id") or str(uuid4())
    grown = growing_batch(request.garden, load_handbook(), sticking, on=request.today, without=entry_id)
    trouble: dict[str, Any] = {}
    if request.method == "POST":
        try:
            kept = _kept(request, posted, sticking.batch, grown.now, entry_id)
            remember(request, _("Kept for %(code)s.") % {"code": codes.shown(sticking.batch)}, [kept])
            return redirect("batch", code=sticking.batch)
        except NotAllowed:
            raise
        except Refused as error:
            trouble = {"refused": error}
        except Clash as error:
            trouble = {"refused": Refused(str(error))}
        except BadValue as error:
            trouble = {"wrong": told_of(error), "may_be_so": isinstance(error, _MoreThanStand)}
    context = {
        "stuck": sticking,
        "grown": grown,
        "now": grown.now,
        "ready_as": words.READY_AS[words.READY_AS.index("potted") :],
        "fates": words.FATES,
        "entry_id": entry_id,
        "typed": request.POST,
        "reached": request.POST.get("ready_as")
        or grown.now.reached
        or ("potted" if grown.now.n_potted else ""),
    }
    return render(request, "web/outcome.html", context | trouble, status=422 if trouble else 200)


def _kept(request: GardenRequest, posted: Posted, batch: str, now: Growing, entry_id: str) -> Outcome:
    ready_as = posted.word("ready_as", words.READY_AS)
    if not ready_as:
        raise BadValue("ready_as", _("must say how far they have come"))
    reached, lost = posted.whole("n_reached"), posted.whole("n_lost")
    fate = posted.word("fate", words.FATES)
    if reached is None and lost is None:
        raise BadValue("n_reached", _("must say how many, of those that came so far or of those lost"))
    if not posted.text("really"):
        _adds_up(now, reached or 0, lost or 0)
    return services.record_outcome(
        garden=request.garden,
        by=request.member,
        now=request.now,
        batch=batch,
        on=posted.day("on") or request.today,
        ready_as=ready_as,
        n_reached=reached,
        n_lost=lost,
        fate=fate,
        to=posted.text("to"),
        note=posted.text("note"),
        entry_id=entry_id,
    )


def _adds_up(now: Growing, reached: int, lost: int) -> None:
    if reached + lost > max(now.n_standing, 0):
        told = {"reached": reached, "lost": lost, "standing": max(now.n_standing, 0)}
        rule = _("%(reached)s and %(lost)s lost are more than the %(standing)s that stand") % told
        raise _MoreThanStand("n_reached", rule)


@require_safe
@access("member")
def card(request: GardenRequest, code: str) -> HttpResponse:
    """Show the give-away card of a batch, and ask what it is to say and how many."""
    sticking = selectors.whole_batch(request.garden, code)
    history = selectors.history_of(request.garden, sticking)
    own, n_cards, trouble = _asked(request)
    context: dict[str, Any] = {"stuck": sticking, "history": history, "most": MOST_CARDS}
    try:
        made = _card(request, history, own)
    except Refused as error:
        return render(request, "web/card.html", context | {"refused": error}, status=422)
    text = qr_text(sticking.batch, settings.LABEL_BASE)
    context |= {
        "made": made,
        "card": made.card,
        "lines": [(care, own.get(care.line, care.text)) for care in made.care],
        "qr": qr_drawing(text, _("The QR code of its batch")),
        "n_cards": n_cards,
        "given_on": _given_on(request).isoformat(),
        "gift": request.GET.get("gift", _("a gift")),
    }
    return render(request, "web/card.html", context | trouble, status=422 if trouble else 200)


@require_safe
@access("member")
def card_pdf(request: GardenRequest, code: str) -> HttpResponse:
    """Give the give-away card as a PDF to print."""
    sticking = selectors.whole_batch(request.garden, code)
    history = selectors.history_of(request.garden, sticking)
    own, n_cards, trouble = _asked(request)
    if trouble:
        return card(request, code)
    try:
        made = _card(request, history, own)
    except Refused:
        return card(request, code)
    printed = pdf_of_card(made.card, n_cards=n_cards, base=settings.LABEL_BASE, translate=_)
    answer = HttpResponse(printed.pdf, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="card-{_plain(sticking.batch)}.pdf"'
    return answer


def _plain(code: str) -> str:
    return "".join(sign if sign.isascii() and sign.isalnum() else "-" for sign in code)


def _asked(request: GardenRequest) -> tuple[dict[str, str], int, dict[str, Any]]:
    """Return the giver's words by line of care, how many cards, and what is wrong with what was asked."""
    own = {line: " ".join(request.GET[line].split())[:_LONGEST] for line in CARE if line in request.GET}
    said = request.GET.get("n", "1").strip()
    n_cards = whole_of(said) or 0
    if not 1 <= n_cards <= MOST_CARDS:
        rule = _("must be a whole number from 1 to %(most)s") % {"most": MOST_CARDS}
        return own, 1, {"wrong": told_of(BadValue("n", rule, said))}
    return own, n_cards, {}


def _card(request: GardenRequest, history: History, own: dict[str, str]) -> CardOf:
    return card_of(
        request.garden,
        load_handbook(),
        history,
        on=request.today,
        given_on=_given_on(request),
        own=own,
        gift=request.GET.get("gift", _("a gift"))[:40],
    )


def _given_on(request: GardenRequest) -> date:
    try:
        return date.fromisoformat(request.GET.get("given_on", ""))
    except ValueError:
        return request.today
