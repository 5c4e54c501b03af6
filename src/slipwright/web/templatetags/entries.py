"""How entries, their fields and what does not add up are told on a page."""

from __future__ import annotations

from typing import Any

from django import template
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from slipwright.records.errors import BadValue
from slipwright.web.asked import told

register = template.Library()

KINDS: dict[str, str | Promise] = {
    "sticking": _("sticking"),
    "look": _("look"),
    "potting": _("potting"),
    "outcome": _("outcome"),
    "act": pgettext_lazy("entry", "act"),
    "note": _("note"),
    "photo": _("photo"),
}
FLAGS: dict[str, str | Promise] = {
    "more-than-stuck": _("More were counted as rooted, lost or removed than were stuck."),
    "waiting-differs": _("The number counted as still waiting is not what the sum leaves."),
    "two-looks-from-one": _("Two looks were made from the same earlier look; the later one counts."),
    "lost-more-than-rooted": _("More rooted ones were lost than had rooted."),
    "potted-more-than-rooted": _("More were potted than had rooted."),
    "tried-differs": _("Of those tried, more had rooted than were tried."),
    "before-sticking": _("Something is dated before the day it was stuck."),
}
FIELDS: dict[str, str | Promise] = {
    "act": _("Done"),
    "to_place": _("Move to"),
    "on": _("Day"),
    "note": _("In words"),
    "text": _("Note"),
    "reason": _("What is wrong with it"),
    "at": _("When"),
    "ready_as": _("How far they have come"),
    "n_reached": _("How many is this about"),
    "n_lost": _("How many were lost on the way"),
    "fate": _("Where they went"),
    "to": _("To whom or where"),
    "n": _("How many cards"),
}


@register.filter
def kind(word: str) -> str:
    """Say what kind of entry it is."""
    return str(KINDS.get(word, word))


@register.filter
def flag(word: str) -> str:
    """Say what does not add up."""
    return str(FLAGS.get(word, word))


def told_of(error: BadValue) -> dict[str, Any]:
    """Return what is wrong as the page tells it, the field by the name it has there."""
    return told(error, FIELDS)
