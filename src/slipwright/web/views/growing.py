"""To be written."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render

from slipwright.web.membership import GardenRequest, access


@access("member")
def growing(request: GardenRequest) -> HttpResponse:
    """To be written."""
    return render(request, "web/refusal.html", {"title": "growing", "why": "To be written."})


@access("member")
def outcome(request: GardenRequest, code: str) -> HttpResponse:
    """To be written."""
    return render(request, "web/refusal.html", {"title": "outcome", "why": "To be written."})


@access("member")
def card(request: GardenRequest, code: str) -> HttpResponse:
    """To be written."""
    return render(request, "web/refusal.html", {"title": "card", "why": "To be written."})


@access("member")
def card_pdf(request: GardenRequest, code: str) -> HttpResponse:
    """To be written."""
    return render(request, "web/refusal.html", {"title": "card_pdf", "why": "To be written."})
