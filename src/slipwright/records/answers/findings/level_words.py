"""What the things in which batches differ are called, and the levels they fall into."""

from __future__ import annotations

from collections.abc import Mapping

from slipwright.craft.figures import plain
from slipwright.craft.said import Said
from slipwright.outputs import measures
from slipwright.records.answers.findings.kept import Level

TITLES: Mapping[str, str] = {
    "dose": Said("Hormone and dose"),
    "length": Said("Length"),
    "cover": Said("Cover"),
    "warmth": Said("Warmth of the medium"),
    "bloom": Said("Days from bloom"),
    "firmness": Said("Firmness of the shoot"),
    "month": Said("Month"),
    "place": Said("Place"),
    "season": Said("Season"),
}
NAMES: Mapping[str, str] = {
    "tip": Said("tip"),
    "upper": Said("upper part"),
    "middle": Said("middle"),
    "lower": Said("lower part"),
    "base": Said("base"),
    "none": Said("no hormone"),
    "mist": Said("mist"),
    "tent": Said("tent or bag"),
    "open": Said("no cover"),
    "clear": Said("4 weeks or more from bloom"),
    "near": Said("2 to 4 weeks from bloom"),
    "in-flower": Said("less than 2 weeks from bloom"),
}
_FIRMNESS: Mapping[str, str] = {
    "1": Said("soft (folds over)"),
    "2": Said("tender (snaps clean)"),
    "3": Said("firm (springs back)"),
    "4": Said("hard (hardly bends, cracks)"),
    "5": Said("woody (does not bend)"),
}
_MONTHS = (
    Said("January"),
    Said("February"),
    Said("March"),
    Said("April"),
    Said("May"),
    Said("June"),
    Said("July"),
    Said("August"),
    Said("September"),
    Said("October"),
    Said("November"),
    Said("December"),
)


def level_words(factor: str, level: Level, first: measures.First = "metric") -> str:
    """Return what a level is called, its measure in the garden's units."""
    name, value = level.name, level.value or 0.0
    if factor in ("place", "season"):
        # whatever a grower called it
        return name
    if factor == "length":
        return measures.length_text(value, first=first)
    if factor == "warmth":
        return measures.temperature_text(value, first=first)
    if factor == "month":
        return _MONTHS[int(name) - 1]
    if factor == "firmness":
        return _FIRMNESS[name]
    if name.startswith("dip"):
        return Said("dip of {n} mg/L", n=plain(value, 0))
    if name.startswith("talc"):
        return Said("talc of {n} mg/kg", n=plain(value, 0))
    if name == "soak":
        return Said("soak of {n} mg/L", n=plain(value, 0))
    return NAMES.get(name, name)
