"""How the days of a range are shown beside one another."""

from __future__ import annotations

from datetime import date

from django import template

from slipwright.web.templatetags.slip import day, day_year

register = template.Library()


@register.filter
def beside(on: date | None, other: date | None) -> str:
    """Show a day of a range whose last day carries its year: with its own only where that differs."""
    return day(on) if on and other and on.year == other.year else day_year(on)
