"""What pages hand to the scripts that keep records on a phone."""

from __future__ import annotations

import json
from collections.abc import Sequence

from django import template

from slipwright.web.phone_words import PhoneWord
from slipwright.web.phone_words import phone_words as words_of_phone

register = template.Library()


@register.simple_tag
def phone_words() -> list[PhoneWord]:
    """Return the words the scripts say."""
    return words_of_phone()


@register.filter
def as_json(values: Sequence[str]) -> str:
    """Show a list of texts as a script reads it."""
    return json.dumps(list(values), separators=(",", ":"))
