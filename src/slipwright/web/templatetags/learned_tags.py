"""How what was learned is shown."""

from __future__ import annotations

from django import template
from django.utils.translation import gettext as _

from slipwright.craft.figures import FIRM, plain
from slipwright.craft.said import in_tongue
from slipwright.records.answers.contrasts import factor

register = template.Library()


@register.filter
def times(multiple: float) -> str:
    """Show how many times as fast."""
    return in_tongue(factor(multiple), _)


@register.filter
def percent(share: float) -> str:
    """Show a share of the whole."""
    return f"{in_tongue(plain(100 * share, 0), _)}{FIRM}%"


@register.filter
def own_width(share: float) -> str:
    """Return how wide a bar of 100 is that shows what is not belief any more."""
    return f"{100 * (1 - share):.0f}"
