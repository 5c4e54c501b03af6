"""To be written."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render

from slipwright.web.membership import GardenRequest, access


@access("open")
def set_up(request: GardenRequest) -> HttpResponse:
    """To be written."""
    return render(request, "web/refusal.html", {"title": "set_up", "why": "To be written."})


@access("open")
def sign_in(request: GardenRequest) -> HttpResponse:
    """To be written."""
    return render(request, "web/refusal.html", {"title": "sign_in", "why": "To be written."})


@access("open")
def sign_out(request: GardenRequest) -> HttpResponse:
    """To be written."""
    return render(request, "web/refusal.html", {"title": "sign_out", "why": "To be written."})


@access("open")
def let_in(request: GardenRequest, code: str) -> HttpResponse:
    """To be written."""
    return render(request, "web/refusal.html", {"title": "let_in", "why": "To be written."})
