"""To be written."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render

from slipwright.web.membership import GardenRequest, access


@access("member")
def today(request: GardenRequest) -> HttpResponse:
    """To be written."""
    return render(request, "web/refusal.html", {"title": "today", "why": "To be written."})


@access("member")
def nothing_to_note(request: GardenRequest) -> HttpResponse:
    """To be written."""
    return render(request, "web/refusal.html", {"title": "nothing_to_note", "why": "To be written."})
