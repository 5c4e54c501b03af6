"""To be written."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render

from slipwright.web.membership import GardenRequest, access


@access("member")
def look(request: GardenRequest, code: str) -> HttpResponse:
    """To be written."""
    return render(request, "web/refusal.html", {"title": "look", "why": "To be written."})
