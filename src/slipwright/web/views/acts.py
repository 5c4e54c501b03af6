"""Who did what: the entries, the edits and the door's book of the garden, day by day."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from itertools import groupby
from typing import Any
from zoneinfo import ZoneInfo

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from slipwright.records import roles, selectors
from slipwright.records.selectors import Deed
from slipwright.web.membership import GardenRequest, access
from slipwright.web.row_labels import TABLES


@require_safe
@access(roles.GOVERN)
@never_cache
def who_did_what(request: GardenRequest) -> HttpResponse:
    """Show who did what, newest first, of everybody or of one member."""
    named = request.GET.get("of", "")
    members = selectors.members_of(request.garden)
    chosen = next((one for one in members if one.member == named), None)
    page = selectors.deeds_of(request.garden, by=chosen, before=request.GET.get("before", ""))
    zone = ZoneInfo(request.garden.time_zone)
    said = [(deed.at.astimezone(zone), deed) for deed in page.deeds]
    alike = [(key, len(list(lines))) for key, lines in groupby(said, key=_alike)]
    told = [(at, deed, _words(deed), n) for (at, deed), n in alike]
    days = [(day, list(lines)) for day, lines in groupby(told, key=lambda one: one[0].date())]
    context: dict[str, Any] = {"days": days, "members": members, "chosen": chosen, "older": page.older}
    return render(request, "web/acts.html", context)


def _alike(said: tuple[datetime, Deed]) -> tuple[datetime, Deed]:
    """Return what lines have in common that are told as one: all but the second they were made at."""
    at = said[0].replace(second=0, microsecond=0)
    return at, replace(said[1], at=at)


def _words(deed: Deed) -> str:
    """Return a deed as a page tells it, without who and when."""
    table, _blank, key = deed.of.partition(" ")
    title = str(TABLES[table].title) if table in TABLES else table
    told = {
        "added": _("added to %(table)s: %(key)s") % {"table": title, "key": key},
        "changed": _("changed in %(table)s: %(key)s") % {"table": title, "key": key},
        "clock": _("sent from a phone whose clock differs by %(time)s") % {"time": _span(deed.skew_s)},
        "signed-in": _("signed in"),
        "signed-out": _("signed out"),
        "wrong-password": _("wrong password for this name"),
        "let-in": _("let in by a link"),
        "phone-let-in": _("let a phone in"),
        "phone-let-out": _("let a phone out"),
        "password": _("new password"),
        "member": _("members"),
        "token": _("token of an instrument"),
        "tables-out": _("took all tables out"),
        "backup": _("backup"),
        "restored": _("put a backup back"),
        "sticking": _("stuck cuttings"),
        "look": _("looked at"),
        "potting": _("potted up"),
        "outcome": _("outcome"),
        "act": _("did"),
        "stage": _("stage seen"),
        "firmness": _("bent a shoot"),
        "bed": _("looked at the bed"),
        "reading": _("reading"),
        "note": _("note"),
        "photo": _("photo"),
        "withdrawal": _("took back"),
    }
    return told.get(deed.what, deed.what)


def _span(seconds: int) -> str:
    days, rest = divmod(abs(seconds), 86_400)
    if days:
        return _("%(n)d d") % {"n": days}
    return _("%(hours)d h %(minutes)d min") % {"hours": rest // 3600, "minutes": rest % 3600 // 60}
