"""The application of the pages."""

from __future__ import annotations

from django.apps import AppConfig


class WebConfig(AppConfig):
    """The pages."""

    name = "slipwright.web"
    label = "web"
