"""To be written."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render

from slipwright.web.membership import GardenRequest, access


@access("member")
def wants(request: GardenRequest) -> HttpResponse:
    """To be written."""
    return render(request, "web/refusal.html", {"title": "wants", "why": "To be written."})


@access("member")
def rows(request: GardenRequest, table: str) -> HttpResponse:
    """To be written."""
    return render(request, "web/refusal.html", {"title": "rows", "why": "To be written."})


@access("member")
def new(request: GardenRequest, table: str) -> HttpResponse:
    """To be written."""
    return render(request, "web/refusal.html", {"title": "new", "why": "To be written."})


@access("member")
def row(request: GardenRequest, table: str) -> HttpResponse:
    """To be written."""
    return render(request, "web/refusal.html", {"title": "row", "why": "To be written."})
