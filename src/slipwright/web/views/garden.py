"""The garden's own page: what it has, its papers, how the pages look, who is signed in."""

from __future__ import annotations

import re
import unicodedata
from typing import Any, cast

from django.conf import settings
from django.http import FileResponse, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from slipwright import __version__
from slipwright.handbook import load_handbook
from slipwright.outputs.calendar import calendar_feed
from slipwright.records import roles, selectors
from slipwright.records.answers.papers import events_of
from slipwright.records.services.door_book import keep_door_event
from slipwright.records.tables.dumping import dump_zip
from slipwright.web.asked import own_path
from slipwright.web.membership import GardenRequest, access

LOOKS = ("light", "dark")
YEAR_S = 365 * 24 * 3600


@access("member")
@require_GET
def garden(request: GardenRequest) -> HttpResponse:
    """Show the garden's page."""
    return garden_page(request)


def garden_page(request: GardenRequest, status: int = 200, **more: Any) -> HttpResponse:
    """Return the garden's page, with what went wrong if something did."""
    named = {
        "owner": _("owner"),
        "grower": _("grower"),
        "volunteer": _("volunteer"),
        "reader": _("reader"),
    }
    may_edit = roles.may(request.member, roles.EDIT)
    page = {
        "role": named[request.member.role],
        "version": __version__,
        "looks": [("", _("As the device")), ("light", _("Light page")), ("dark", _("Dark page"))],
        "has": [
            ("places", _("Places"), _("benches, frames, shelves, and what stands over them")),
            ("methods", _("Methods"), _("the usual ways")),
            ("containers", _("Containers"), _("pots and trays")),
            ("media", _("Media"), _("mixes and their drain tests")),
            ("taxa", _("Taxa"), _("kinds of plants, and the rights on them")),
            *([] if may_edit else [("members", _("Members"), _("who may do what"))]),
        ],
        "phones": selectors.phones_of(request.member, request.now),
        "has_password": request.user.has_usable_password(),  # type: ignore[union-attr]
    }
    return render(request, "web/garden.html", page | more, status=status)


@require_POST
@access(roles.GOVERN, sure=True)
def tables(request: GardenRequest) -> HttpResponse:
    """Give every table of the garden in one file, as ``slipwright dump`` writes it."""
    keep_door_event(what="tables-out", now=request.now, member=request.member)
    answer = FileResponse(
        dump_zip(request.garden),
        as_attachment=True,
        filename=f"{_file_name(request)}-{request.today:%Y-%m-%d}.zip",
        content_type="application/zip",
    )
    return cast(HttpResponse, answer)  # streamed, which asks nothing else of those it passes


@access("member")
@require_GET
def calendar(request: GardenRequest) -> HttpResponse:
    """Give the days to look, pot up, give up and cut, and the weeks of the programme, as a calendar."""
    events = events_of(request.garden, load_handbook(), on=request.today)
    feed = calendar_feed(events, name=request.garden.name, stamp=request.now)
    named = f'attachment; filename="{_file_name(request)}.ics"'
    return HttpResponse(
        feed, content_type="text/calendar; charset=utf-8", headers={"Content-Disposition": named}
    )


@access("open")
@require_POST
def look_of_page(request: GardenRequest) -> HttpResponse:
    """Keep on this device whether pages are light or dark, and their language."""
    answer = redirect(own_path(request.POST.get("next", ""), "garden"))
    if "look" in request.POST:
        _keep(answer, "look", request.POST["look"], LOOKS)
    if "tongue" in request.POST:
        _keep(answer, settings.LANGUAGE_COOKIE_NAME, request.POST["tongue"], dict(settings.LANGUAGES))
    return answer


def _keep(answer: HttpResponse, name: str, said: str, known: tuple[str, ...] | dict[str, str]) -> None:
    """Keep a known choice in a cookie; anything else leaves it to the device again."""
    if said in known:
        answer.set_cookie(
            name, said, max_age=YEAR_S, samesite="Lax", secure=settings.SESSION_COOKIE_SECURE, httponly=True
        )
    else:
        answer.delete_cookie(name, samesite="Lax")


def _file_name(request: GardenRequest) -> str:
    """Return the garden's name as a file may be called anywhere."""
    plain = unicodedata.normalize("NFKD", request.garden.name).encode("ascii", "ignore").decode()
    return re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-")[:60] or "garden"
