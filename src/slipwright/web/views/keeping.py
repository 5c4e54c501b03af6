"""How the garden is kept: its copies, where they lie, and what the last check of it found."""

from __future__ import annotations

from pathlib import Path
from typing import Any, cast

from django.http import HttpResponse, StreamingHttpResponse
from django.shortcuts import redirect, render
from django.utils.http import content_disposition_header
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from slipwright.records import roles
from slipwright.records.errors import NotFound, Refused
from slipwright.records.keeping import standing, taking
from slipwright.records.keeping.opening import told_garden
from slipwright.records.selectors import garden_names
from slipwright.records.services.door_book import keep_door_event
from slipwright.web.membership import GardenRequest, access


@access(roles.GOVERN)
@require_GET
def keeping(request: GardenRequest) -> HttpResponse:
    """Show the newest copies, the last check, and how a copy is put back."""
    return render(request, "web/keeping.html", _shown(request))


@access(roles.GOVERN)
@require_POST
def make_copy(request: GardenRequest) -> HttpResponse:
    """Ask the helper for a copy now."""
    standing.ask_for_copy()
    keep_door_event(what="backup", now=request.now, member=request.member)
    return redirect("keeping")


@access(roles.GOVERN, sure=True)
@require_POST
def newest_copy(request: GardenRequest) -> HttpResponse:
    """Give the newest copy away: everything of the one garden there is, its pictures too."""
    if not _is_alone():
        refused = Refused(
            _("This database keeps several gardens, so a copy of it is not given to the owner of one."),
            [_("Your own garden's tables can be taken from the Garden page.")],
        )
        return render(request, "web/keeping.html", _shown(request) | {"refused": refused}, status=422)
    newest = standing.standing().diary.newest(request.now)
    if newest is None:
        raise NotFound(_("There is no copy yet."))
    parcel = taking.parcel(Path(newest.file), request.garden.garden)
    keep_door_event(what="tables-out", now=request.now, member=request.member, told=parcel.name)
    answer = StreamingHttpResponse(
        taking.sent(parcel),
        content_type="application/octet-stream",
        headers={
            "Cache-Control": "no-store",
            "Content-Disposition": content_disposition_header(as_attachment=True, filename=parcel.name),
        },
    )
    return cast(HttpResponse, answer)  # streamed, which asks nothing else of those it passes


def _is_alone() -> bool:
    """Return whether this garden is the only one in its database."""
    return len(garden_names()) <= 1


def _shown(request: GardenRequest) -> dict[str, Any]:
    seen = standing.standing()
    room = standing.room()
    newest = seen.diary.newest(request.now)
    is_alone = _is_alone()
    return {
        "seen": seen,
        "newest": newest,
        "told_garden": told_garden(),
        "is_alone": is_alone,  # what is damaged in another garden is not for this one's owner
        "parcel": taking.parcel(Path(newest.file), request.garden.garden) if newest and is_alone else None,
        "copies": seen.diary.copies,
        "room": room,
        "room_percent": room.percent_free,
        "now": request.now,
        "remind": standing.reminder(request.now),
    }
