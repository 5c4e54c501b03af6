"""How names, days, codes, measures and signs are shown."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from functools import lru_cache
from typing import Any

from django import template
from django.templatetags.static import static
from django.utils import dateformat
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from slipwright.craft import figures
from slipwright.craft.figures import plain
from slipwright.craft.name_parts import NotAPlantName
from slipwright.craft.names import plant_name
from slipwright.craft.said import in_tongue
from slipwright.handbook import load_handbook
from slipwright.outputs import measures
from slipwright.records import codes
from slipwright.web.days import in_form, in_form_or_nothing
from slipwright.web.known_as import known_as
from slipwright.web.named import named as named_word
from slipwright.web.tongue import tongue

register = template.Library()


@register.filter
@lru_cache(maxsize=2000)
def taxon(name: str) -> SafeString:
    """Show a botanical name: genus and species in italics, the cultivar upright in single quotes."""
    try:
        runs = plant_name(name).runs()
    except NotAPlantName:
        return format_html("{}", name)
    return format_html_join(
        "", "{}", ((format_html("<i>{}</i>", text) if italic else text,) for text, italic in runs)
    )


@register.filter
def called(taxon: str) -> str:
    """Show what people call a taxon in the tongue of the page, where the handbook knows it."""
    page = load_handbook().page_of(taxon)
    return next(iter(page.names_of(taxon, tongue())), "") if page else ""


register.filter("date", in_form_or_nothing, expects_localtime=True, is_safe=False)
register.filter("known_as", known_as)


@register.filter
def code(batch: str) -> str:
    """Show a batch's code in two halves, as its label has it."""
    return codes.shown(batch)


@register.filter
def day(on: date | None) -> str:
    """Show a day in short: 10 Sep."""
    return "" if on is None else in_form(on, "j M")


@register.filter
def day_year(on: date | None) -> str:
    """Show a day with its year: 10 Sep 2026."""
    return "" if on is None else in_form(on, "j M Y")


@register.filter
def weekday(on: date | None) -> str:
    """Show a day in full: Thursday 10 September."""
    return "" if on is None else dateformat.format(on, _("l j F"))


@register.filter
def drawn(svg: str) -> SafeString:
    """Put in a drawing made by ``slipwright.outputs``, which escapes every word in it."""
    return mark_safe(svg)  # noqa: S308  (made here, of escaped words)


@register.filter
def number(value: float | Decimal | None) -> str:
    """Show a number without trailing noughts, as the tongue of the page writes it."""
    return "" if value is None else in_tongue(plain(float(value), 4), _)


@register.filter
def money(amount: float) -> str:
    """Show an amount of money as the papers write it, in the tongue of the page."""
    return in_tongue(figures.money(amount), _)


@register.filter
def in_length(mm: float | Decimal, units: str) -> str:
    """Show a length, the garden's unit first."""
    return in_tongue(measures.length_text(float(mm), first="us" if units == "us" else "metric"), _)


@register.filter
def volume(ml: float | Decimal, units: str) -> str:
    """Show a volume in millilitres, the garden's unit first."""
    return in_tongue(measures.volume_text(float(ml) / 1000, first="us" if units == "us" else "metric"), _)


@register.filter
def warmth(c: float | Decimal, units: str) -> str:
    """Show a temperature, the garden's unit first."""
    return in_tongue(measures.temperature_text(float(c), first="us" if units == "us" else "metric"), _)


@register.filter
def said(text: str) -> str:
    """Show a sentence of the advice in the tongue of the page."""
    return in_tongue(text, _)


@register.filter
def named(word: str) -> str:
    """Show a word of a closed list as it is said."""
    return named_word(word)


@register.filter
def get(mapping: Any, key: Any) -> Any:
    """Look a key up."""
    return mapping.get(key) if mapping else None


@register.simple_tag
def icon(name: str, size: str = "") -> SafeString:
    """Draw a sign of ``icons.svg``; the word beside it says what it means."""
    return format_html(
        '<svg class="icon{}" aria-hidden="true"><use href="{}#{}"/></svg>',
        f" {size}" if size else "",
        static("web/icons.svg"),
        name,
    )
