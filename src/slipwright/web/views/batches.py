"""The list of batches: those under way first, page by page."""

from __future__ import annotations

from typing import cast
from urllib.parse import urlencode

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from slipwright.records.selectors.listing import Which, listed_batches, place_names, taxon_names
from slipwright.web.asked import whole_of
from slipwright.web.membership import GardenRequest, access


@require_safe
@access("member")
def batches(request: GardenRequest) -> HttpResponse:
    """Show one page of batches: open, ended or all; of one place, of one plant."""
    asked = request.GET
    which = asked.get("which", "")
    which = which if which in ("open", "ended", "all") else "open"
    place, taxon = asked.get("place", ""), asked.get("taxon", "")
    page = asked.get("page", "")
    listed = listed_batches(
        request.garden,
        which=cast(Which, which),
        place=place,
        taxon=taxon,
        page=whole_of(page) or 1,
    )

    def at(**more: object) -> str:
        said = {"which": which, "place": place, "taxon": taxon} | more
        return f"{reverse('batches')}?{urlencode({name: to for name, to in said.items() if to})}"

    ways = (("open", _("Open")), ("ended", _("Ended")), ("all", _("All")))
    return render(
        request,
        "web/batches.html",
        {
            "listed": listed,
            "rows": [
                {"batch": now, "days": ((now.ended_on or request.today) - now.stuck_on).days}
                for now in listed.batches
            ],
            "which": which,
            "place": place,
            "taxon": taxon,
            "ways": [{"way": way, "words": words, "at": at(which=way)} for way, words in ways],
            "places": place_names(request.garden),
            "taxa": taxon_names(request.garden),
            "newer_at": at(page=page_before) if (page_before := listed.page - 1) else "",
            "older_at": at(page=listed.page + 1) if listed.has_more else "",
            "unsifted_at": at(place="", taxon=""),
        },
    )
