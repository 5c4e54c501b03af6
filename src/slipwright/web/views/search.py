"""Finding: a batch by its code, anything by its name."""

from __future__ import annotations

from urllib.parse import urlencode

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from slipwright.handbook import load_handbook
from slipwright.records.selectors.search import Found
from slipwright.records.selectors.search import search as found_for
from slipwright.web.membership import GardenRequest, access

#: longer than this is no name
_MOST = 200


@require_safe
@access("member")
def search(request: GardenRequest) -> HttpResponse:
    """Show what answers to some words; go to the batch whose code they are."""
    asked = request.GET.get("q", "").strip()[:_MOST]
    found = found_for(request.garden, asked, load_handbook()) if asked else Found()
    if found.exact and found.n == 1:
        return redirect("batch", found.exact)
    batches = reverse("batches")
    return render(
        request,
        "web/search.html",
        {
            "asked": asked,
            "found": found,
            "rows": [
                {"batch": now, "days": ((now.ended_on or request.today) - now.stuck_on).days}
                for now in found.batches
            ],
            "taxa": [
                {"taxon": one, "at": f"{batches}?{urlencode({'which': 'all', 'taxon': one.taxon})}"}
                for one in found.taxa
            ],
            "places": [
                {"place": one, "at": f"{batches}?{urlencode({'place': one.place})}"} for one in found.places
            ],
        },
    )
