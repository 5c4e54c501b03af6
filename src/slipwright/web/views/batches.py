"""To be written."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render

from slipwright.web.membership import GardenRequest, access


@access("member")
def batches(request: GardenRequest) -> HttpResponse:
    """To be written."""
    return render(request, "web/refusal.html", {"title": "batches", "why": "To be written."})
