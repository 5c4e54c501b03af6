"""Where the pages stand."""

from __future__ import annotations

from django.urls import include, path

urlpatterns = [path("", include("slipwright.web.urls"))]
handler404 = "slipwright.web.refusals.not_found"
handler403 = "slipwright.web.refusals.not_allowed"
handler500 = "slipwright.web.refusals.broken"
