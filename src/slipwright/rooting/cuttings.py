"""What the two clocks are told of a batch, and what is believed of each term before any record.

The logarithm of a clock's hazard is a sum: what the cuttings are times a coefficient each, what genus,
taxon, wood, season and batch have in common, and a curve in the logarithm of time.  Here stand the terms
and the priors of their coefficients, in one list.  A value nobody wrote down stands at its reference, with
a term of its own that says so.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from slipwright.handbook.pages import Wood

Clock = Literal["rooting", "loss"]
CLOCKS: tuple[Clock, Clock] = ("rooting", "loss")
Part = Literal["level", "slope", "bend"]
Form = Literal["piece", "tip", "heel", "mallet", "single-node"]
Auxin = Literal["none", "dip", "talc", "soak"]
Cover = Literal["mist", "tent", "open"]
Leaves = Literal["kept", "reduced", "none"]


@dataclass(frozen=True, slots=True)
class Term:
    """A coefficient of both clocks: its name, what it moves, prior (mean, sd) on rooting and on loss.

    ``level`` moves the log hazard itself, ``slope`` how it changes with the logarithm of time, ``bend``
    with its square.
    """

    name: str
    rooting: tuple[float, float]
    loss: tuple[float, float]
    part: Part = "level"


_FEW_KNOW = (0.0, 0.3)

#: every term of the model; all priors are our own, tuned until the curves follow rules of thumb:
#: common practice, no source
TERMS: tuple[Term, ...] = (
    Term("intercept", (-3.05, 0.35), (-5.70, 0.40)),
    Term("without_row", (0.0, 0.36), (0.0, 0.45)),
    Term("ripeness", (-2.0, 0.4), (-1.4, 0.4)),
    Term("ripeness_2", (-1.7, 0.4), (0.75, 0.4)),
    Term("softwood", (0.30, 0.35), (0.35, 0.35)),
    Term("hardwood", (-1.70, 0.45), (-0.80, 0.45)),
    Term("dip", (1.0, 0.35), (0.0, 0.25)),
    Term("dip_2", (-0.36, 0.15), (0.05, 0.10)),
    Term("talc", (0.40, 0.30), (0.0, 0.25)),
    Term("talc_strength", (0.20, 0.20), (0.0, 0.15)),
    Term("soak", (0.40, 0.30), (0.0, 0.25)),
    Term("soak_strength", (0.20, 0.20), (0.0, 0.15)),
    Term("leafless", (-0.60, 0.35), (-0.40, 0.35)),
    Term("leaves_reduced", _FEW_KNOW, _FEW_KNOW),
    Term("tent", (0.0, 0.25), (0.10, 0.30)),
    Term("uncovered", (-0.30, 0.30), (1.20, 0.40)),
    Term("warmth", (0.40, 0.20), (0.15, 0.20)),
    Term("warmth_2", (-0.20, 0.12), (0.10, 0.12)),
    Term("bloom", (-0.80, 0.35), (0.20, 0.30)),
    Term("spent", (-1.0, 0.5), (0.0, 0.3)),
    Term("nodes", (-0.10, 0.20), (-0.25, 0.20)),
    Term("short_without_mist", (0.0, 0.10), (0.15, 0.20)),
    Term("length", _FEW_KNOW, _FEW_KNOW),
    Term("tip", _FEW_KNOW, _FEW_KNOW),
    Term("heel", _FEW_KNOW, _FEW_KNOW),
    Term("mallet", _FEW_KNOW, _FEW_KNOW),
    Term("single_node", _FEW_KNOW, _FEW_KNOW),
    Term("wound", _FEW_KNOW, _FEW_KNOW),
    Term("stored", _FEW_KNOW, _FEW_KNOW),
    Term("unknown_ripeness", _FEW_KNOW, _FEW_KNOW),
    Term("unknown_dose", _FEW_KNOW, _FEW_KNOW),
    Term("unknown_cover", _FEW_KNOW, _FEW_KNOW),
    Term("unknown_warmth", _FEW_KNOW, _FEW_KNOW),
    Term("unknown_bloom", _FEW_KNOW, _FEW_KNOW),
    Term("unknown_nodes", _FEW_KNOW, _FEW_KNOW),
    Term("time", (2.0, 0.45), (-0.30, 0.30), "slope"),
    Term("time_softwood", (0.0, 0.20), (0.0, 0.20), "slope"),
    Term("time_hardwood", (0.9, 0.30), (0.30, 0.25), "slope"),
    Term("time_2", (-0.50, 0.25), (0.0, 0.15), "bend"),
)
PARTS: dict[str, Part] = {term.name: term.part for term in TERMS}
PRIOR_MEANS = {term.name: (term.rooting[0], term.loss[0]) for term in TERMS}
#: prior of the level of each medium, container and study beside the usual one, on both clocks
LEVEL_SD = {"medium": 0.3, "container": 0.3, "study": 0.5}
USUAL_RIPENESS, USUAL_WARMTH_C, USUAL_NODES, USUAL_LENGTH_MM = 0.5, 20.0, 3, 100.0


@dataclass(frozen=True, slots=True)
class Cuttings:
    """What was stuck, as far as the two clocks depend on it; ``None`` was not written down.

    ``ripeness`` is where along the shoot, 0 tip to 1 base; ``strength`` mg/L of a dip or a soak as acid,
    mg/kg of a talc; ``bloom`` 0 clear of bloom to 1 in full flower; ``warmth_c`` of the medium; ``spent``
    what the handbook takes off the odds of a spent shoot, as a factor (1: the shoot is not spent).

    ``usual`` are the cuttings a row of the handbook speaks of: what was not written down then stands at the
    row's values, and terms count only what differs from them, for the row's level is in the offset of
    `slipwright.rooting.learned.Kind`.  Without a row all is counted from the reference values.
    """

    wood: Wood = "semi-hardwood"
    ripeness: float | None = USUAL_RIPENESS
    auxin: Auxin | None = "none"
    strength: float | None = 0.0
    leaves: Leaves = "kept"
    cover: Cover | None = "mist"
    warmth_c: float | None = USUAL_WARMTH_C
    bloom: float | None = 0.0
    spent: float = 1.0
    n_nodes: int | None = USUAL_NODES
    length_mm: float | None = None
    form: Form = "piece"
    wounded: bool = False
    stored: bool = False
    medium: str = ""
    container: str = ""
    study: str = ""
    usual: Cuttings | None = None

    def terms(self) -> Mapping[str, float]:
        """How much of each term of `TERMS` these cuttings have; absent is nought [-].

        Levels of medium, container and study are named ``medium[NAME]`` and so on.
        """
        found = self._amounts()
        if self.usual:
            row = self.usual._amounts()
            found = {name: amount - row[name] for name, amount in found.items()}
        found |= self._unknowns() | {"intercept": 1.0, "time": 1.0, "time_2": 1.0}
        found["without_row"] = float(self.usual is None)
        found |= {f"time_{wood}": float(self.wood == wood) for wood in ("softwood", "hardwood")}
        for kind in LEVEL_SD:
            if name := getattr(self, kind):
                found[f"{kind}[{name}]"] = 1.0
        return {name: value for name, value in found.items() if value}

    def _amounts(self) -> dict[str, float]:
        """Return the terms that a row of the handbook speaks of too."""
        usual = self.usual or _REFERENCE
        along = 2 * _known(self.ripeness, usual.ripeness, USUAL_RIPENESS) - 1
        warmth = (_known(self.warmth_c, usual.warmth_c, USUAL_WARMTH_C) - USUAL_WARMTH_C) / 5
        nodes = (_known(self.n_nodes, usual.n_nodes, USUAL_NODES) - USUAL_NODES) / 2
        length = _known(self.length_mm, usual.length_mm, USUAL_LENGTH_MM)
        cover = self.cover or usual.cover
        leafless = self.leaves == "none"
        return {
            "ripeness": along,
            "ripeness_2": along**2,
            "softwood": float(self.wood == "softwood"),
            "hardwood": float(self.wood == "hardwood"),
            **self._hormone(usual),
            "leafless": float(leafless),
            "leaves_reduced": float(self.leaves == "reduced"),
            "tent": float(cover == "tent" and not leafless),
            "uncovered": float(cover == "open" and not leafless),
            "warmth": warmth,
            "warmth_2": warmth**2,
            "bloom": _known(self.bloom, usual.bloom, 0.0),
            "spent": -math.log(self.spent),
            "nodes": nodes,
            # steady damp matters to the short ones; a long cutting is no better off for want of mist
            "short_without_mist": max(-nodes, 0.0) if cover in ("tent", "open") and not leafless else 0.0,
            "length": math.log(length / USUAL_LENGTH_MM),
            "tip": float(self.form == "tip"),
            "heel": float(self.form == "heel"),
            "mallet": float(self.form == "mallet"),
            "single_node": float(self.form == "single-node"),
            "wound": float(self.wounded),
            "stored": float(self.stored),
        }

    def _hormone(self, usual: Cuttings) -> dict[str, float]:
        """Hormone: a dip by its strength alone; talc and soak have a level and a strength of their own."""
        auxin = self.auxin or usual.auxin or "none"
        strength = self.strength if self.auxin else None
        if strength is None:
            strength = usual.strength if usual.auxin == auxin else None
        if strength is None:
            strength = _STRENGTHS[auxin]
        dip = math.log1p(strength / 1000) if auxin == "dip" else 0.0
        found = {"dip": dip, "dip_2": dip**2}
        for form in ("talc", "soak"):
            had = auxin == form
            found[form] = float(had)
            found[f"{form}_strength"] = math.log(max(strength, 1.0) / _STRENGTHS[form]) if had else 0.0
        return found

    def _unknowns(self) -> dict[str, float]:
        """Return the terms of what nobody wrote down."""
        return {
            "unknown_ripeness": float(self.ripeness is None),
            "unknown_dose": float(self.auxin is None or (self.auxin != "none" and self.strength is None)),
            "unknown_cover": float(self.cover is None and self.leaves != "none"),
            "unknown_warmth": float(self.warmth_c is None),
            "unknown_bloom": float(self.bloom is None),
            "unknown_nodes": float(self.n_nodes is None),
        }


def _known(own: float | None, usual: float | None, reference: float) -> float:
    return next(value for value in (own, usual, reference) if value is not None)


#: strengths that stand in for one nobody wrote down, and that talc and soak are counted from
_STRENGTHS: dict[str, float] = {"none": 0.0, "dip": 1000.0, "talc": 3000.0, "soak": 100.0}
_REFERENCE = Cuttings()
