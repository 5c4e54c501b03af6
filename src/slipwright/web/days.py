"""Days in figures and short words, as the tongue of the page writes its months."""

from __future__ import annotations

import re
from datetime import date
from typing import Any

from django.template.defaultfilters import date as date_or_nothing
from django.utils import dateformat
from django.utils.dates import MONTHS

_SHORT_MONTH = re.compile(r"(?<!\\)M")


def in_form(on: date, form: str) -> str:
    """Return a day or a time in one of Django's forms: 12 Jun, and 12 jun where months are written small."""
    return dateformat.format(on, _of_tongue(form))


def in_form_or_nothing(on: Any, form: str | None = None) -> str:
    """Return what Django's own filter does, months as the tongue writes them."""
    return str(date_or_nothing(on, _of_tongue(form) if form else form))


def _of_tongue(form: str) -> str:
    return _SHORT_MONTH.sub("b", form) if str(MONTHS[6]).islower() else form
