"""How what was set aside is told on a page."""

from __future__ import annotations

from django import template
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from slipwright.records.columns import table_named
from slipwright.web.aside_words import MEANS, WHY, said_of, settled_words

register = template.Library()
_MINUTE_S, _HOUR_MIN, _DAY_MIN = 60, 60, 24 * 60
_TWO_HOURS_MIN = 2 * _HOUR_MIN


@register.filter
def why(word: str) -> str:
    """Say why it was set aside."""
    return str(WHY.get(word, word))


@register.filter
def means(word: str) -> str:
    """Say what that means and what can be done."""
    return str(MEANS.get(word, ""))


@register.filter
def settled(word: str) -> str:
    """Say what came of it."""
    return settled_words(word) if word else ""


@register.filter
def moment(text: str) -> str:
    """Show a day or a moment that came as text."""
    return said_of(table_named("looks").column("on"), text)


@register.filter
def apart(skew_s: int) -> str:
    """Say how far a phone's clock was out."""
    minutes = round(abs(skew_s) / _MINUTE_S)
    if _TWO_HOURS_MIN <= minutes < _DAY_MIN:
        hours = round(minutes / _HOUR_MIN)
        told = ngettext("%(n)d hour", "%(n)d hours", hours) % {"n": hours}
    elif minutes < _DAY_MIN:
        told = ngettext("%(n)d minute", "%(n)d minutes", minutes) % {"n": minutes}
    else:
        days = round(minutes / _DAY_MIN)
        told = ngettext("%(n)d day", "%(n)d days", days) % {"n": days}
    return (_("%(told)s fast") if skew_s > 0 else _("%(told)s slow")) % {"told": told}
