"""The one page that is served without https beside pages that are not: how a phone comes to trust them."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.urls import path

from slipwright.web.views import trust

urlpatterns = [
    path("trust", trust.trust, name="trust"),
    path("trust/garden-authority.crt", trust.authority, name="trust-authority"),
]


def handler404(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Tell that nothing else is here, and where the one page is."""
    return HttpResponse("Only /trust is here.\n", status=404, content_type="text/plain")
