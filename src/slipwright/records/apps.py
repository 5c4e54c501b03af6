"""The records application."""

from django.apps import AppConfig


class RecordsConfig(AppConfig):
    """Every model of Slipwright."""

    name = "slipwright.records"
    label = "records"
    default_auto_field = "django.db.models.BigAutoField"
