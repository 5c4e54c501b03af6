"""How the garden is kept: its copies, where they lie, and what the last check of it found."""

from __future__ import annotations

from pathlib import Path
from typing import Any, cast

from django.http import FileResponse, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from slipwright.records import roles
from slipwright.records.errors import NotFound, Refused
from slipwright.records.keeping import standing
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
    """Give the newest copy away: everything of the one garden there is."""
    if len(garden_names()) > 1:
        refused = Refused(
            _("This database keeps several gardens, so a copy of it is not given to the owner of one."),
            [_("Your own garden's tables can be taken from the Garden page.")],
        )
        return render(request, "web/keeping.html", _shown(request) | {"refused": refused}, status=422)
    newest = standing.standing().diary.newest
    if newest is None:
        raise NotFound(_("There is no copy yet."))
    file = Path(newest.file)
    standing.copy_taken()
    keep_door_event(what="tables-out", now=request.now, member=request.member, told=file.name)
    answer = FileResponse(
        file.open("rb"),
        as_attachment=True,
        filename=file.name,
        content_type="application/octet-stream",
        headers={"Cache-Control": "no-store"},
    )
    return cast(HttpResponse, answer)  # streamed, which asks nothing else of those it passes


def _shown(request: GardenRequest) -> dict[str, Any]:
    seen = standing.standing()
    room = standing.room()
    return {
        "seen": seen,
        "newest": seen.diary.newest,
        "copies": seen.diary.copies,
        "room": room,
        "room_percent": room.percent_free,
        "remind": standing.reminder(request.now),
    }
