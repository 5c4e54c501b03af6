"""How chances and shares are shown."""

from __future__ import annotations

from decimal import Decimal

from django import template
from django.utils.translation import gettext as _

from slipwright.advice._wording import tenths
from slipwright.craft.said import in_tongue
from slipwright.web.shares import in_words

register = template.Library()


@register.filter
def in_tenths(share: Decimal | float) -> str:
    """Show a chance as people say it: one that was chosen exactly, one that was worked out in tenths."""
    if isinstance(share, Decimal):
        return in_words(share)
    return in_tongue(tenths(share), _)


@register.filter
def wished(share: Decimal | float) -> str:
    """Show a chance that somebody wished for, exactly."""
    return in_words(share)
