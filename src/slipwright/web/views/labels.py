"""To be written."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render

from slipwright.web.membership import GardenRequest, access


@access("member")
def labels(request: GardenRequest) -> HttpResponse:
    """To be written."""
    return render(request, "web/refusal.html", {"title": "labels", "why": "To be written."})


@access("member")
def labels_pdf(request: GardenRequest) -> HttpResponse:
    """To be written."""
    return render(request, "web/refusal.html", {"title": "labels_pdf", "why": "To be written."})
