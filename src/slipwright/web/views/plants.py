"""To be written."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render

from slipwright.web.membership import GardenRequest, access


@access("member")
def plants(request: GardenRequest) -> HttpResponse:
    """To be written."""
    return render(request, "web/refusal.html", {"title": "plants", "why": "To be written."})


@access("member")
def plant(request: GardenRequest, key: str) -> HttpResponse:
    """To be written."""
    return render(request, "web/refusal.html", {"title": "plant", "why": "To be written."})


@access("member")
def seen(request: GardenRequest, key: str) -> HttpResponse:
    """To be written."""
    return render(request, "web/refusal.html", {"title": "seen", "why": "To be written."})
