"""What the forms of a trial sent: its plan, and the pots that were stuck of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, cast

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from slipwright.records import words
from slipwright.records.answers import sticking
from slipwright.records.answers.stick_choices import Choices
from slipwright.records.answers.trials.now import TrialNow
from slipwright.records.answers.trials.plan import (
    FEWEST_ARMS,
    LETTERS,
    MOST_PER_POT,
    MOST_UNITS,
    THINGS,
    Arm,
    Plan,
    layout_of,
)
from slipwright.records.canonical import Value
from slipwright.records.errors import BadValue
from slipwright.records.services import Lot
from slipwright.records.services.entry import id_beside
from slipwright.web import trials_words
from slipwright.web.asked import Posted
from slipwright.web.named import named

MOST_WEEKS = 104
USUAL_PER_POT = 6
#: things that are said by a number
NUMBERS = ("n_nodes", "length_mm")
_WORDS: Mapping[str, tuple[str, ...]] = {
    "wound": words.WOUNDS,
    "leaves": words.LEAVES,
    "part": words.PARTS,
    "cutting": words.CUTTINGS,
    "stored": words.STORED,
}
LABELS: Mapping[str, str | Promise] = {
    "trial": gettext_lazy("Name"),
    "question": gettext_lazy("The question"),
    "way": gettext_lazy("The way of all pots"),
    "usual": gettext_lazy("Of 100, how many root the usual way"),
    "matters": gettext_lazy("The difference that matters"),
    "n_per_unit": gettext_lazy("Cuttings in each pot"),
    "units_per_arm": gettext_lazy("Pots of each way"),
    "weeks": gettext_lazy("Weeks until the count"),
    "stop_more": gettext_lazy("What else you will go by"),
    "arms": gettext_lazy("The ways"),
    "place": gettext_lazy("Place"),
    "stuck_on": gettext_lazy("Day of sticking"),
    "entry_id": gettext_lazy("This form"),
    "anyway": gettext_lazy("Leave it this season"),
    "n_shoots": gettext_lazy("Shoots cut in all"),
}


@dataclass(frozen=True, slots=True)
class Draft:
    """A plan as it is being made: what was said so far, and the size that was asked for."""

    trial: str
    question: str
    plan: Plan
    n_per_unit: int
    units_per_arm: int | None
    usual: tuple[float, float, float]


def draft_of(
    posted: Posted,
    known: sticking.ToStick,
    differs: str,
    ways: Mapping[str, Mapping[str, Value]],
    choices: Choices,
) -> Draft:
    """Return the plan a form says; raise ``BadValue`` where a field is missing or wrong."""
    way = ways.get(posted.text("way"))
    if way is None:
        raise BadValue("way", _("choose a way"))
    usual = _share(posted, "usual", 1, 99)
    matters = _share(posted, "matters", 1, 90)
    weeks = _between(posted, "weeks", 1, MOST_WEEKS)
    arms = _arms(posted, differs, choices)
    plan = Plan(
        taxon=known.taxon,
        differs=differs,
        arms=arms,
        stop_rule=trials_words.stop_rule_in_words(weeks, " ".join(posted.text("stop_more").split())),
        plant=known.plant,
        way=way,
        usual=usual,
        matters=matters,
        count_after=7 * weeks,
        seed=posted.whole("seed") or 0,
    )
    return Draft(
        " ".join(posted.text("trial").split()),
        " ".join(posted.text("question").split()),
        plan,
        _between(posted, "n_per_unit", 1, MOST_PER_POT),
        _between(posted, "units_per_arm", 2, MOST_UNITS) if posted.text("units_per_arm") else None,
        usual_range(known, usual),
    )


def usual_range(known: sticking.ToStick, usual: float | None = None) -> tuple[float, float, float]:
    """Return 10, 50 and 90 per cent points of the share that roots the usual way.

    They are what is learned of the plant; where the gardener says another middle, they move with it.
    """
    low, middle, high = known.plan.odds.p_rooted if known.plan else (0.35, 0.5, 0.65)
    moved = (usual - middle) if usual is not None else 0.0
    return tuple(min(max(share + moved, 0.03), 0.97) for share in (low, middle, high))  # type: ignore[return-value]


def values_of(differs: str, choices: Choices) -> list[tuple[str, str]]:
    """Return what an arm may be where it is one of a list, and how each is said."""
    if differs == "medium":
        return [(one.medium, one.medium) for one in choices.media]
    if differs == "container":
        return [(one.container, one.container) for one in choices.containers]
    return [(word, named(word)) for word in _WORDS.get(differs, ())]


def _arms(posted: Posted, differs: str, choices: Choices) -> tuple[Arm, ...]:
    found: list[Arm] = []
    for letter in LETTERS:
        way = _dip(posted, letter) if differs == "auxin" else _one(posted, letter, differs, choices)
        if not way:
            continue
        name = trials_words.arm_in_words(differs, way)
        if any(way == arm.way or name == arm.name for arm in found):
            raise BadValue(f"arm_{letter}", _("is the same as another: each way must differ"))
        found.append(Arm(LETTERS[len(found)], name, way))
    if len(found) < FEWEST_ARMS:
        raise BadValue("arms", _("say at least two ways"))
    return tuple(found)


def _one(posted: Posted, letter: str, differs: str, choices: Choices) -> dict[str, Value]:
    field = f"arm_{letter}"
    if not posted.text(field):
        return {}
    if differs == "n_nodes":
        return {differs: _between(posted, field, 1, 100)}
    if differs == "length_mm":
        length = posted.number(field)
        if length is None or not 0 < length <= 5000:
            raise BadValue(field, _("must be a length in millimetres"))
        return {differs: length}
    return {differs: posted.word(field, [value for value, _said in values_of(differs, choices)])}


def _dip(posted: Posted, letter: str) -> dict[str, Value]:
    auxin = posted.word(f"arm_{letter}", words.AUXINS)
    if not auxin:
        return {}
    if auxin == "none":
        return {"auxin": auxin}
    form = posted.word(f"form_{letter}", words.AUXIN_FORMS)
    strength: Decimal | None = posted.number(f"strength_{letter}")
    if not form:
        raise BadValue(f"form_{letter}", _("say how the hormone is given"))
    if strength is None or strength <= 0:
        raise BadValue(f"strength_{letter}", _("say how strong it is"))
    unit = "auxin_mg_per_kg" if form == "talc" else "auxin_mg_per_l"
    return {"auxin": auxin, "auxin_form": form, unit: strength}


def in_words(error: BadValue) -> dict[str, Any]:
    """Return what is wrong, with the name of its field as the page has it."""
    column = error.column
    label: str | Promise = LABELS.get(column, column)
    for field in ("arm", "form", "strength", "n"):
        if column.startswith(f"{field}_") and column[-1] in LETTERS:
            label = _("Way %(letter)s") % {"letter": column[-1]}
    return {"column": column, "label": label, "rule": error.rule, "value": error.value or None}


def lots_of(posted: Posted, now: TrialNow, choices: Choices, today: Any, entry_id: str) -> list[Lot]:
    """Return the pots that were stuck, block by block as they stand; each is a batch of its own."""
    place = posted.text("place")
    places = (*choices.places, *choices.far_places)
    if places and place not in {one.place for one in places}:
        raise BadValue("place", _("say where they stand"))
    cover = next((one.cover for one in places if one.place == place), "")
    stuck_on = posted.day("stuck_on") or today
    row, plan = now.row, now.plan
    said: dict[str, Value] = {"place": place, "shoot": posted.word("shoot", words.SHOOTS)}
    units = layout_of(plan, units_per_arm=now.n_units, n_per_unit=now.n_per_unit)
    shoots = _shared_out(posted.whole("n_shoots"), len(units))
    arms = {arm.letter: arm for arm in plan.arms}
    lots = []
    for at, unit in enumerate(units):
        typed = posted.text(f"n_{at + 1}")
        n = _between(posted, f"n_{at + 1}", 0, MOST_PER_POT) if typed else unit.n_stuck
        if not n:
            continue
        lot = sticking.lot_of_way(plan.lot_of(arms[unit.arm]), said, place_cover=cover) | {
            "taxon": plan.taxon,
            "plant": plan.plant,
            "stuck_on": stuck_on,
            "n_stuck": n,
            "n_per_container": n,
            "n_shoots": shoots[at],
            "trial": row.trial,
            "arm": unit.arm,
            "block": str(unit.block),
            "id": id_beside(entry_id, f"pot {at + 1}"),
        }
        lots.append(cast(Lot, {name: value for name, value in lot.items() if value not in (None, "")}))
    return lots


def _shared_out(n: int | None, pots: int) -> list[int | None]:
    """Return shoots by pot, as even as they go; a pot of none says nothing of them."""
    if not n:
        return [None] * pots
    each, more = divmod(n, pots)
    return [(each + (at < more)) or None for at in range(pots)]


def _share(posted: Posted, name: str, low: int, high: int) -> float:
    return _between(posted, name, low, high) / 100


def _between(posted: Posted, name: str, low: int, high: int) -> int:
    number = posted.whole(name)
    if number is None or not low <= number <= high:
        rule = _("must be a whole number from %(low)s to %(high)s") % {"low": low, "high": high}
        raise BadValue(name, rule, number)
    return number


def things() -> list[tuple[str, str | Promise]]:
    """Return what arms may differ in, with its words."""
    return [(thing, trials_words.THINGS[thing]) for thing in THINGS]
