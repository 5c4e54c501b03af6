"""Stages of growth and firmness of a shoot in words, for the figures the records keep."""

from __future__ import annotations

from typing import NamedTuple

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy


class StageWord(NamedTuple):
    """A stage as people say it, and its figure on the general BBCH scale."""

    bbch: int
    words: str | Promise
    icon: str


#: general BBCH scale: Hack H. and others 1992, BBCH monograph (from memory). "Growth stopped" is 91 in
#: woody plants: shoot growth completed, leaves still green; 7 is the bursting of buds, 31 the beginning of
#: shoot growth
STAGES = (
    StageWord(7, gettext_lazy("Buds breaking"), "new-leaf"),
    StageWord(31, gettext_lazy("Shoots growing"), "new-leaf"),
    StageWord(51, gettext_lazy("Buds show"), "flower"),
    StageWord(61, gettext_lazy("First flower"), "flower"),
    StageWord(65, gettext_lazy("Full flower"), "flower"),
    StageWord(69, gettext_lazy("Flowers over"), "flower"),
    StageWord(91, gettext_lazy("Growth stopped"), "bend"),
    StageWord(93, gettext_lazy("Leaves falling"), "leaf-drop"),
)

#: the figures about each stage that are still called so
_NEAR = tuple(
    (first, last, stage)
    for (first, last), stage in zip(
        ((7, 9), (31, 39), (51, 59), (60, 62), (63, 66), (67, 69), (91, 92), (93, 97)), STAGES, strict=True
    )
)

#: what a bent shoot says: from memory
FIRMNESS: dict[int, str | Promise] = {
    1: gettext_lazy("soft: folds over"),
    2: gettext_lazy("tender: snaps clean"),
    3: gettext_lazy("firm: springs back"),
    4: gettext_lazy("hard: hardly bends, cracks"),
    5: gettext_lazy("woody: does not bend"),
}


def stage_words(bbch: int) -> str:
    """Return a growth stage in words; one without words of its own by its figure."""
    for stage in STAGES:
        if stage.bbch == bbch:
            return str(stage.words)
    for first, last, stage in _NEAR:
        if first <= bbch <= last:
            return _("%(stage)s (BBCH %(bbch)s)") % {"stage": stage.words, "bbch": bbch}
    return _("Stage %(bbch)s (BBCH)") % {"bbch": bbch}


def firmness_words(tip: int | None, mid: int | None, base: int | None) -> str:
    """Return how firm a shoot felt, part by part, parts that nobody felt left out."""
    parts = ((_("tip"), tip), (_("middle"), mid), (_("base"), base))
    return "; ".join(f"{part} {FIRMNESS[felt]}" for part, felt in parts if felt in FIRMNESS)
