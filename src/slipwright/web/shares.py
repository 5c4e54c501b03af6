"""Chances and shares as people say them: 8 in 10."""

from __future__ import annotations

from decimal import Decimal

from django.utils.translation import gettext as _

#: assurances to choose from, and what some of them are called beside tenths
ASSURANCES = tuple(Decimal(said) for said in ("0.5", "0.6", "0.7", "0.8", "0.9", "0.95"))
SHARES = tuple(Decimal(said) for said in ("0.1", "0.2", "0.25", "0.3", "0.4", "0.5"))
_OF = (10, 4, 20, 100, 1000)


def in_words(share: Decimal | float) -> str:
    """Return a share in the smallest of tens, quarters, twenties and hundreds that says it."""
    exact = Decimal(str(share))
    for whole in _OF:
        part = exact * whole
        if part == part.to_integral_value():
            return _("%(part)s in %(whole)s") % {"part": int(part), "whole": whole}
    return f"{exact.normalize():f}"
