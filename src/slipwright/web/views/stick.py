"""To be written."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render

from slipwright.web.membership import GardenRequest, access


@access("member")
def stick(request: GardenRequest) -> HttpResponse:
    """To be written."""
    return render(request, "web/refusal.html", {"title": "stick", "why": "To be written."})


@access("member")
def done(request: GardenRequest) -> HttpResponse:
    """To be written."""
    return render(request, "web/refusal.html", {"title": "done", "why": "To be written."})
