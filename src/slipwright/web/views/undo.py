"""Taking back what was saved last, while that is offered."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from slipwright.records import roles
from slipwright.records.answers.recording import batch_of_saved
from slipwright.records.errors import Refused
from slipwright.records.services import withdraw
from slipwright.records.services.entry import id_beside
from slipwright.web.membership import GardenRequest, access
from slipwright.web.saved import is_fresh, remember


@require_POST
@access(roles.WITHDRAW_OWN)
def undo(request: GardenRequest) -> HttpResponse:
    """Take back the entries saved last, newest first; nothing is done where that is half a minute past."""
    saved = request.session.get("saved") or {}
    entries = [(kind, entry_id) for kind, entry_id in saved.get("entries", ())]
    if not entries and "undone" in saved:  # pressed twice
        return _back(saved["undone"])
    if entries and request.POST.get("saved") != saved.get("id"):
        why = _(
            "Something else was saved since. What you meant is taken back from its own page, with a reason."
        )
        return _not_undone(request, _("Not undone"), why, batch_of_saved(request.garden, entries))
    if not (entries and is_fresh(request)):
        return _too_late(request, entries)
    try:
        _take_back(request, entries, kept_at=datetime.fromisoformat(saved["at"]))
    except Refused as refused:
        return _not_undone(request, _("Not undone"), str(refused), batch_of_saved(request.garden, entries))
    remember(request, _("Taken back: %(what)s") % {"what": saved["words"]}, [])
    code = batch_of_saved(request.garden, entries)
    request.session["saved"]["undone"] = code
    return _back(code)


def _back(code: str) -> HttpResponse:
    return redirect("batch", code) if code else redirect("today")


@transaction.atomic
def _take_back(request: GardenRequest, entries: list[tuple[str, str]], *, kept_at: datetime) -> None:
    """Take entries back; two presses at once write the very same, so the second changes nothing.

    So the withdrawals are dated like what they take back, half a minute before at most.
    """
    at = kept_at.astimezone(ZoneInfo(request.garden.time_zone)).replace(microsecond=0)
    for kind, entry_id in reversed(entries):
        withdraw(
            garden=request.garden,
            by=request.member,
            now=request.now,
            withdraws=entry_id,
            kind=kind,
            reason="undone at once",
            at=at,
            entry_id=id_beside(entry_id, f"undo-{kind}"),
        )


def _too_late(request: GardenRequest, entries: list[tuple[str, str]]) -> HttpResponse:
    code = batch_of_saved(request.garden, entries)
    why = _("Undo takes back the last save for half a minute. Older records are corrected with a reason.")
    return _not_undone(request, _("Nothing to undo"), why, code)


def _not_undone(request: GardenRequest, title: str, why: str, code: str) -> HttpResponse:
    context = {"title": title, "why": why, "batch": code}
    return render(request, "web/not_undone.html", context, status=409)
