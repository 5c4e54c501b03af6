"""A line of the programme as it fills in the form for sticking."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from slipwright.records.answers.programme.lines_now import LineNow, lines_now
from slipwright.records.answers.stick_choices import Choices
from slipwright.records.answers.sticking import ToStick
from slipwright.records.errors import NotFound
from slipwright.records.selectors.plans import plan_content, plan_of
from slipwright.records.selectors.season_stuck import number_of, stuck_since
from slipwright.web.asked import whole_of
from slipwright.web.membership import GardenRequest

#: what the form says of a way that is no method of the garden
_MADE = ("wood", "cutting", "leaves", "auxin", "auxin_form", "medium")


@dataclass(frozen=True, slots=True)
class FromLine:
    """A line that somebody wants to stick, and the plants its shoots come from."""

    now: LineNow
    plants: tuple[str, ...]

    @property
    def told(self) -> Mapping[str, Any]:
        """All that the programme tells of it."""
        return self.now.told

    @property
    def taxon(self) -> str:
        """What is stuck."""
        return str(self.told["taxon"])

    @property
    def plant(self) -> str:
        """The stock plant it is cut from, the first that something is left of; empty where none is known."""
        left = self.now.left_of_plants
        return next((one for one in self.plants if left.get(one)), self.plants[0] if self.plants else "")

    def n_from(self, plant: str) -> int:
        """Return how many of the cuttings that are left come from one of its plants, by its shoots.

        Where all of it is stuck, or nothing is known of the plant, it is all of them.
        """
        left = self.now.n_left
        return self.now.left_of_plants.get(plant, left) if left else int(self.told["n_to_stick"])


def line_asked(request: GardenRequest, asked: Mapping[str, str]) -> FromLine | None:
    """Return the line an address names, as it stands today; None where it names none."""
    plan_pk, n = whole_of(asked.get("plan", "")), whole_of(asked.get("line", ""))
    if plan_pk is None or n is None:
        return None
    try:
        plan = plan_of(request.garden, plan_pk)
    except NotFound:  # it was dropped since
        return None
    stuck = stuck_since(request.garden, number_of(plan))
    lines = lines_now(plan_content(plan).get("lines", ()), stuck, on=request.today)
    found = next((line for line in lines if line.n == n), None)
    if found is None:
        return None
    return FromLine(found, tuple(one["plant"] for one in found.told.get("shoots", ()) if one["plant"]))


def typed_of(line: FromLine, known: ToStick, choices: Choices) -> dict[str, Any]:
    """Return the fields of the form, filled in from a line."""
    told = line.told
    typed: dict[str, Any] = {
        "n_stuck": line.n_from(known.plant) or "",
        "want": told["want"],
        "place": _place(told, choices),
        **_way(told, known, choices),
    }
    if any(one.container == told.get("container") for one in choices.containers):
        typed["container"] = told["container"]
    if told.get("n_per_container"):
        typed["n_per_container"] = told["n_per_container"]
    return typed


def places_of(line: FromLine, choices: Choices) -> list[str]:
    """Return the places whose leaves are kept as the line asks for."""
    there = (*choices.places, *choices.far_places)
    return [one.place for one in there if one.cover == line.told.get("cover")]


def _place(told: Mapping[str, Any], choices: Choices) -> str:
    there = [one.place for one in (*choices.places, *choices.far_places) if one.cover == told.get("cover")]
    return there[0] if len(there) == 1 else choices.only_place


def _way(told: Mapping[str, Any], known: ToStick, choices: Choices) -> dict[str, Any]:
    method, wood = told.get("method") or "", told["wood"]
    if known.usual and known.usual.lot.get("method") == method and known.usual.lot.get("wood") == wood:
        return {"way": "usual"}
    lots = dict(choices.methods)
    if method in lots:
        return {"way": "other", "method": method, "wood": "" if lots[method].get("wood") == wood else wood}
    if known.by_handbook.get("wood") == wood:
        return {"way": "handbook"}
    made = {name: told[name] for name in _MADE if told.get(name)}
    if told.get("auxin_mg_per_l"):
        made |= {"strength": told["auxin_mg_per_l"], "strength_unit": "mg/L"}
    elif told.get("auxin_mg_per_kg"):
        made |= {"strength": told["auxin_mg_per_kg"], "strength_unit": "mg/kg"}
    return {"way": "other", **made}
