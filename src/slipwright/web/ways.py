"""A way of making cuttings, told in the words of the shed."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from slipwright.craft.figures import plain
from slipwright.craft.said import in_tongue

Words = Mapping[str, str | Promise]

WOODS: Words = {
    "softwood": gettext_lazy("softwood"),
    "semi-hardwood": gettext_lazy("semi-hardwood"),
    "hardwood": gettext_lazy("hardwood"),
}
CUTTINGS: Words = {
    "piece": gettext_lazy("pieces"),
    "tip": gettext_lazy("tips"),
    "heel": gettext_lazy("heels"),
    "mallet": gettext_lazy("mallets"),
    "single-node": gettext_lazy("single nodes"),
}
LEAVES: Words = {
    "kept": gettext_lazy("leaves kept"),
    "reduced": gettext_lazy("leaves reduced"),
    "none": gettext_lazy("no leaves"),
}
AUXINS: Words = {
    "none": gettext_lazy("no hormone"),
    "iba": gettext_lazy("IBA"),
    "naa": gettext_lazy("NAA"),
    "k-iba": gettext_lazy("K-IBA"),
    "k-naa": gettext_lazy("K-NAA"),
}
AUXIN_FORMS: Words = {
    "quick-dip": gettext_lazy("quick dip"),
    "soak": gettext_lazy("soak"),
    "talc": gettext_lazy("powder"),
    "gel": gettext_lazy("gel"),
}
COVERS: Words = {
    "mist": gettext_lazy("under mist"),
    "tent": gettext_lazy("in a tent or bag"),
    "open": gettext_lazy("no cover"),
}
GROUNDS: Words = {
    "licence": gettext_lazy("a licence"),
    "private-use": gettext_lazy("private use"),
    "experiment": gettext_lazy("an experiment"),
    "expired": gettext_lazy("the right had ended"),
    "other": gettext_lazy("another ground"),
}


def way_in_words(lot: Mapping[str, Any]) -> str:
    """Return a way of sticking in a sentence without its stop; empty for an empty way."""
    parts = [
        _wood(lot),
        _word(LEAVES, lot, "leaves"),
        *_nodes(lot),
        hormone_in_words(lot),
        str(lot.get("medium") or ""),
    ]
    parts += [pots_in_words(lot), _word(COVERS, lot, "cover")]
    if lot.get("wound") == "yes":
        parts.insert(2, _("wounded"))
    return "; ".join(part for part in parts if part)


def _wood(lot: Mapping[str, Any]) -> str:
    wood, cutting = _word(WOODS, lot, "wood"), _word(CUTTINGS, lot, "cutting")
    return " ".join(part for part in (wood, cutting) if part)


def _nodes(lot: Mapping[str, Any]) -> list[str]:
    n = lot.get("n_nodes")
    return [ngettext("%(n)d node", "%(n)d nodes", n) % {"n": n}] if n else []


def hormone_in_words(lot: Mapping[str, Any]) -> str:
    """Return the hormone of a way: what, how strong, how given."""
    auxin = _word(AUXINS, lot, "auxin")
    if lot.get("auxin") in (None, "", "none"):
        return auxin
    words = " ".join(part for part in (auxin, _strength(lot)) if part)
    how = [_word(AUXIN_FORMS, lot, "auxin_form")]
    if lot.get("dip_s"):
        how.append(_("%(n)s s") % {"n": _plain(lot["dip_s"])})
    return ", ".join(part for part in (words, *how) if part)


def _strength(lot: Mapping[str, Any]) -> str:
    if lot.get("auxin_mg_per_l"):
        return f"{_plain(lot['auxin_mg_per_l'])} mg/L"
    if lot.get("auxin_mg_per_kg"):
        return f"{_plain(lot['auxin_mg_per_kg'])} mg/kg"
    return ""


def pots_in_words(lot: Mapping[str, Any]) -> str:
    """Return how many to what container, as far as a way says it."""
    pot, n = lot.get("container"), lot.get("n_per_container")
    if pot and n:
        return _("%(n)s to a %(pot)s") % {"n": n, "pot": pot}
    if n:
        return _("%(n)s to a pot") % {"n": n}
    return str(pot or "")


def _word(words: Words, lot: Mapping[str, Any], name: str) -> str:
    value = str(lot.get(name) or "")
    return str(words[value]) if value in words else ""


def _plain(value: Decimal | int) -> str:
    return in_tongue(plain(float(value), 4), _)
