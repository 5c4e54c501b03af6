"""The words of the records' closed lists as they are said on a page."""

from __future__ import annotations

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

#: word of a record: as it is said
NAMES: dict[str, str | Promise] = {
    # wood, form of cutting, shoot
    "softwood": _("softwood"),
    "semi-hardwood": _("semi-hardwood"),
    "hardwood": _("hardwood"),
    "piece": _("piece of a shoot"),
    "tip": _("tip"),
    "heel": _("heel"),
    "mallet": _("mallet"),
    "single-node": _("single node"),
    "vegetative": _("no flower on it"),
    "budded": _("in bud"),
    "flowering": _("flowering"),
    "spent": _("flowers over"),
    "upper": _("upper"),
    "middle": _("middle"),
    "lower": _("lower"),
    "mixed": _("mixed"),
    # leaves, storage, wound
    "kept": _("kept"),
    "reduced": _("reduced"),
    "damp-bag": _("in a damp bag"),
    "cool": _("cool"),
    "heeled-in": _("heeled in"),
    "yes": _("yes"),
    "no": _("no"),
    "none": _("none"),
    # hormone
    "iba": _("IBA"),
    "naa": _("NAA"),
    "k-iba": _("K-IBA"),
    "k-naa": _("K-NAA"),
    "quick-dip": _("quick dip"),
    "soak": _("soak"),
    "talc": _("talc"),
    "gel": _("gel"),
    # places
    "mist": _("mist"),
    "tent": _("tent (bag or sheet)"),
    "open": _("open"),
    "bench": _("bench"),
    "frame": _("frame"),
    "shelf": _("shelf"),
    "nursery": _("nursery"),
    # looks
    "rot-from-base": _("rot from base"),
    "dieback-from-top": _("dieback from top"),
    "dried": _("dried"),
    "scorched": _("scorched"),
    "frost": _("frost"),
    "mould": _("mould"),
    "pest": _("pest"),
    "disturbed": _("disturbed"),
    "given-up": _("given up"),
    "unknown": _("don’t know"),
    "new-leaf": _("new leaf"),
    "leaf-drop": _("leaf drop"),
    "callus": _("callus"),
    "roots-at-holes": _("roots at the holes"),
    "not-ready": _("not yet ready to pot"),
    "same": _("same"),
    "lighter": _("lighter"),
    # growing on
    "rooted": _("rooted"),
    "potted": _("potted"),
    "weaned": _("weaned"),
    "established": _("established"),
    "finished": _("finished"),
    "planted": _("planted out"),
    "given": _("given away"),
    "sold": _("sold"),
    "kept-as-stock": _("kept as stock"),
    "discarded": _("thrown out"),
    # acts
    "cut-back": _("cut back"),
    "deadhead": _("dead-headed"),
    "feed": _("fed"),
    "water": _("watered"),
    "re-wet": _("wetted again"),
    "shade": _("shaded"),
    "unshade": _("shade taken off"),
    "loosen-cover": _("cover loosened"),
    "uncover": _("uncovered"),
    "move": _("moved"),
    "pinch": _("pinched"),
    "pot-on": _("potted on"),
    "protect-from-frost": _("protected from frost"),
    "spray": _("sprayed"),
    "clean": _("cleaned"),
    # taxa, people, garden
    "once": _("once a year"),
    "repeat": _("repeatedly"),
    "protected": _("protected"),
    "licensed": _("licensed"),
    "deciduous": _("deciduous"),
    "semi-evergreen": _("semi-evergreen"),
    "evergreen": _("evergreen"),
    "owner": _("owner"),
    "grower": _("grower"),
    "volunteer": _("volunteer"),
    "reader": _("reader"),
    "metric": _("metric first"),
    "us": _("US first"),
    # grounds
    "licence": _("licence"),
    "private-use": _("private use"),
    "experiment": _("experiment"),
    "expired": _("the right has ended"),
    "other": _("other"),
}


def named(word: str) -> str:
    """Return a word of a closed list as it is said; a word of no list as it stands."""
    return str(NAMES.get(word, word))
