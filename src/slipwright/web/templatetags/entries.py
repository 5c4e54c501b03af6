"""How the words of the closed lists are said on a page."""

from __future__ import annotations

from decimal import Decimal

from django import template
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

register = template.Library()

WORDS: dict[str, str | Promise] = {
    "rot-from-base": _("rot from base"),
    "dieback-from-top": _("dieback from top"),
    "dried": _("dried"),
    "scorched": _("scorched"),
    "frost": _("frost"),
    "mould": _("mould"),
    "pest": _("pest"),
    "disturbed": _("disturbed"),
    "given-up": _("given up"),
    "unknown": _("don't know"),
    "new-leaf": _("new leaf"),
    "leaf-drop": _("leaf drop"),
    "callus": _("callus"),
    "roots-at-holes": _("roots at the holes"),
    "same": _("pot same in the hand"),
    "lighter": _("pot lighter in the hand"),
    "cut-back": _("Cut back"),
    "deadhead": _("Take off dead flowers"),
    "feed": _("Feed"),
    "water": _("Water"),
    "re-wet": _("Re-wet"),
    "shade": _("Shade"),
    "unshade": _("Take the shade off"),
    "loosen-cover": _("Loosen the cover"),
    "uncover": _("Uncover"),
    "move": _("Move"),
    "pinch": _("Pinch"),
    "pot-on": _("Pot on"),
    "protect-from-frost": _("Protect from frost"),
    "spray": _("Spray"),
    "clean": _("Clean"),
    "rooted": _("rooted"),
    "potted": _("potted"),
    "weaned": _("weaned"),
    "established": _("established"),
    "finished": _("finished"),
    "planted": _("planted"),
    "given": _("given away"),
    "sold": _("sold"),
    "kept-as-stock": _("kept as stock"),
    "discarded": _("thrown away"),
    "softwood": _("softwood"),
    "semi-hardwood": _("semi-hardwood"),
    "hardwood": _("hardwood"),
    "piece": _("piece"),
    "tip": _("tip"),
    "heel": _("heel"),
    "mallet": _("mallet"),
    "single-node": _("single node"),
    "vegetative": _("vegetative shoot"),
    "budded": _("shoot in bud"),
    "flowering": _("shoot in flower"),
    "spent": _("spent shoot"),
    "upper": _("upper part of the shoot"),
    "middle": _("middle of the shoot"),
    "lower": _("lower part of the shoot"),
    "mixed": _("mixed parts of the shoot"),
    "kept": _("leaves kept"),
    "reduced": _("leaves cut back"),
    "damp-bag": _("kept in a damp bag"),
    "cool": _("kept in the cool"),
    "heeled-in": _("kept heeled in"),
    "none": _("none"),
    "iba": "IBA",
    "naa": "NAA",
    "k-iba": "K-IBA",
    "k-naa": "K-NAA",
    "quick-dip": _("quick dip"),
    "soak": _("soak"),
    "talc": _("talc"),
    "gel": _("gel"),
    "mist": _("mist"),
    "tent": _("tent"),
    "open": pgettext_lazy("cover", "no cover"),
    "sticking": _("sticking"),
    "look": _("look"),
    "potting": _("potting"),
    "outcome": _("outcome"),
    "act": pgettext_lazy("entry", "act"),
    "note": _("note"),
    "more-than-stuck": _("More were counted as rooted, lost or removed than were stuck."),
    "waiting-differs": _("What was said to wait is not what the sum leaves."),
    "two-looks-from-one": _("Two looks were made from the same earlier look; the later one counts."),
    "lost-more-than-rooted": _("More rooted ones were lost than had rooted."),
    "potted-more-than-rooted": _("More were potted than had rooted."),
    "tried-differs": _("Of those tried, more had rooted than were tried."),
    "before-sticking": _("Something is dated before the day it was stuck."),
}


@register.filter
def said(word: str) -> str:
    """Say one word of a closed list; one that is not in it stands as it is."""
    return str(WORDS.get(word, word))


@register.filter
def plainly(value: float | Decimal | None) -> str:
    """Show a strength without trailing noughts, thousands parted."""
    return "" if value is None else f"{float(value):,.4f}".rstrip("0").rstrip(".")
