"""To be written."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render

from slipwright.web.membership import GardenRequest, access


@access("open")
def one_pot(request: GardenRequest) -> HttpResponse:
    """To be written."""
    return render(request, "web/refusal.html", {"title": "one_pot", "why": "To be written."})


@access("open")
def one_pot_pdf(request: GardenRequest) -> HttpResponse:
    """To be written."""
    return render(request, "web/refusal.html", {"title": "one_pot_pdf", "why": "To be written."})
