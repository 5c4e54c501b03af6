"""To be written."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render

from slipwright.web.membership import GardenRequest, access


@access("member")
def batch(request: GardenRequest, code: str) -> HttpResponse:
    """To be written."""
    return render(request, "web/refusal.html", {"title": "batch", "why": "To be written."})


@access("member")
def act(request: GardenRequest, code: str) -> HttpResponse:
    """To be written."""
    return render(request, "web/refusal.html", {"title": "act", "why": "To be written."})


@access("member")
def withdraw(request: GardenRequest, code: str) -> HttpResponse:
    """To be written."""
    return render(request, "web/refusal.html", {"title": "withdraw", "why": "To be written."})


@access("member")
def from_label(request: GardenRequest, code: str) -> HttpResponse:
    """To be written."""
    return render(request, "web/refusal.html", {"title": "from_label", "why": "To be written."})
