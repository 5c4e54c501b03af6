"""Setting on the clock of a demonstration, so that a season can be gone through in an hour."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from slipwright.craft.said import in_tongue
from slipwright.records import roles
from slipwright.records.errors import BadValue, Refused
from slipwright.records.services import set_on
from slipwright.web.asked import whole_of
from slipwright.web.membership import GardenRequest, access
from slipwright.web.saved import remember

#: how far on from its first day a demonstration is gone through
MOST_YEARS = 20


@require_POST
@access(roles.RECORD)
def demo_day(request: GardenRequest) -> HttpResponse:
    """Set the demonstration's clock on; of any other garden it is refused."""
    # what makes the demonstration brings a lot with it, and is needed in a demonstration only
    from slipwright.records.demo import STANDS_ON

    until = STANDS_ON.replace(year=STANDS_ON.year + MOST_YEARS)
    try:
        days = whole_of(request.POST.get("days", "")) or 0
        set_on(garden=request.garden, by=request.member, days=days, until=until)
    except (BadValue, Refused) as error:
        why = error.rule if isinstance(error, BadValue) else error.reason
        told = {"title": _("The clock stays"), "why": in_tongue(why, _)}
        return render(request, "web/not_undone.html", told, status=409)
    remember(request, _("Time has passed: look what there is to do."), [])
    return redirect("today")
