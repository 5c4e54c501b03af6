"""The plan of a trial: ways that differ in one thing, how large it is, and where each pot stands.

A plan is fixed by a note about the trial, written before the first pot is stuck. A note cannot be changed:
the rule by which the trial stops stands there with its day and who wrote it.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from functools import lru_cache

import numpy as np

from slipwright.craft.errors import BadArgument
from slipwright.records.canonical import Value, plain
from slipwright.records.columns import table_named
from slipwright.records.selectors.trials import PLAN_BEGINS, TrialRow
from slipwright.rooting.trial_layout import TrialUnit, trial_layout
from slipwright.rooting.trial_power import power_to_tell
from slipwright.rooting.trial_range import UnitsNeeded, range_of_units, shares_of_arms
from slipwright.rooting.trial_sizes import BATCH_SPREAD, Size, plan_trial

LETTERS = "ABCD"
FEWEST_ARMS, MOST_ARMS = 2, len(LETTERS)
#: what arms may differ in: the columns of a sticking it is written in
THINGS: dict[str, tuple[str, ...]] = {
    "auxin": ("auxin", "auxin_form", "auxin_mg_per_l", "auxin_mg_per_kg"),
    "wound": ("wound",),
    "leaves": ("leaves",),
    "part": ("part",),
    "medium": ("medium",),
    "container": ("container",),
    "cutting": ("cutting",),
    "n_nodes": ("n_nodes",),
    "length_mm": ("length_mm",),
    "stored": ("stored",),
}
#: what is left of a way where its arms differ in the hormone
_OF_DIP = ("auxin", "auxin_form", "auxin_mg_per_l", "auxin_mg_per_kg", "auxin2", "auxin2_mg_per_l", "dip_s")
#: a difference to find where the plan says none: common practice, no source
USUAL_MATTERS = 0.2
#: pots of each way, and cuttings in each pot
MOST_UNITS, MOST_PER_POT = 200, 200
#: digits of a number, and days until the count, beyond which a note is not read
_MOST_DIGITS, _MOST_DAYS = 9, 10 * 366
_SPAN = re.compile(r"(\d{1,3})\s*(weeks?|wk|semanas?|days?|días?|d)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Arm:
    """One way of a trial: the letter that stands on its pots, what it is called, and what is done in it."""

    letter: str
    name: str
    way: Mapping[str, Value] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Plan:
    """What was fixed of a trial beforehand. Shares of 0 to 1; ``count_after`` days from sticking.

    ``n_units`` pots of each way hold ``n_per_unit`` cuttings each.
    """

    taxon: str
    differs: str
    arms: tuple[Arm, ...]
    stop_rule: str
    plant: str = ""
    way: Mapping[str, Value] = field(default_factory=dict)
    usual: float | None = None
    matters: float | None = None
    count_after: int | None = None
    seed: int = 0
    n_units: int | None = None
    n_per_unit: int | None = None

    def lot_of(self, arm: Arm) -> dict[str, Value]:
        """Return the columns of a pot of an arm: the way all have, and the one thing that differs."""
        return self.way_of_all | dict(arm.way)

    @property
    def way_of_all(self) -> dict[str, Value]:
        """The way without the one thing the arms differ in, and without how many go to a pot."""
        dropped = _OF_DIP if self.differs == "auxin" else THINGS.get(self.differs, ())
        return {
            name: value
            for name, value in self.way.items()
            if name not in dropped and name != "n_per_container"
        }


def arms_in_row(arms: Sequence[Arm]) -> str:
    """Return arms as their column has them: a letter and a name each, parted by semicolons."""
    return ";".join(f"{arm.letter} {arm.name}" for arm in arms)


def arms_from_row(text: str) -> tuple[Arm, ...]:
    """Return the arms a trial's column names; without letters a name stands for itself."""
    parts = [part.strip() for part in text.split(";")]
    split = [part.partition(" ") for part in parts]
    lettered = all(
        first == letter and rest for (first, _, rest), letter in zip(split, LETTERS * 7, strict=False)
    )
    if lettered and len(parts) <= MOST_ARMS:
        return tuple(Arm(first, rest.strip()) for first, _, rest in split)
    return tuple(Arm(part, part) for part in parts)


def written(plan: Plan) -> str:
    """Return a plan as its note has it: a line for each thing that was fixed."""
    lines = [
        PLAN_BEGINS,
        f"taxon: {plan.taxon}",
        f"plant: {plan.plant}",
        f"differs in: {plan.differs}",
        f"way: {_as_json(plan.way)}",
        *(f"arm {arm.letter}: {arm.name} {_as_json(arm.way)}" for arm in plan.arms),
        f"usual share: {'' if plan.usual is None else f'{plan.usual:g}'}",
        f"difference that matters: {'' if plan.matters is None else f'{plan.matters:g}'}",
        f"count after days: {plan.count_after or ''}",
        f"pots of each way: {plan.n_units or ''}",
        f"cuttings in each pot: {plan.n_per_unit or ''}",
        f"layout drawn by: {plan.seed}",
        f"stop rule: {' '.join(plan.stop_rule.split())}",
    ]
    return "\n".join(lines)


def plan_of(row: TrialRow) -> Plan:
    """Return the plan of a trial; of one that was only entered in the table, as far as that tells it.

    Its stop rule is then searched for the weeks or days after which pots are counted.
    """
    said = dict(line.partition(": ")[::2] for line in row.plan.splitlines() if ": " in line)
    if not said:
        return Plan("", "", arms_from_row(row.arms), row.stop_rule, count_after=_span(row.stop_rule))
    return Plan(
        said.get("taxon", ""),
        said.get("differs in", ""),
        tuple(_arm(letter, said[f"arm {letter}"]) for letter in LETTERS if f"arm {letter}" in said)
        or arms_from_row(row.arms),
        said.get("stop rule", row.stop_rule),
        said.get("plant", ""),
        _from_json(said.get("way", "{}")),
        _share(said.get("usual share", "")),
        _share(said.get("difference that matters", "")),
        _whole(said.get("count after days", ""), _MOST_DAYS),
        _whole(said.get("layout drawn by", "")) or 0,
        _whole(said.get("pots of each way", ""), MOST_UNITS),
        _whole(said.get("cuttings in each pot", ""), MOST_PER_POT),
    )


def layout_of(plan: Plan, *, units_per_arm: int, n_per_unit: int) -> tuple[TrialUnit, ...]:
    """Return the pots of a plan as they stand, the same for as long as the plan stands."""
    return trial_layout(
        [arm.letter for arm in plan.arms],
        n_units_per_arm=units_per_arm,
        n_per_unit=n_per_unit,
        generator=np.random.default_rng(plan.seed),
    )


@dataclass(frozen=True, slots=True)
class SizeFound:
    """How large a trial must be: units an arm with their range, other sizes, and the chance of the one meant.

    ``n_units`` is the number meant, ``power`` its chance to tell an arm from the first where they differ by
    what matters; ``p_false_alarm`` the chance that some arm is told where none differs.
    """

    needed: UnitsNeeded
    n_units: int
    power: float
    others: tuple[Size, ...]
    p_false_alarm: float


@lru_cache(maxsize=64)
def size_of(
    usual: tuple[float, float, float],
    matters: float,
    n_arms: int,
    n_per_unit: int,
    n_units: int | None = None,
    spread: float = BATCH_SPREAD,
) -> SizeFound:
    """Return how large a trial must be; ``n_units`` is a number somebody means to stick of each arm."""
    needed = range_of_units(usual, matters, n_arms=n_arms, n_per_unit=n_per_unit, spread=spread)
    shares = shares_of_arms(usual[1], matters, n_arms)
    meant = n_units or needed.likely
    if meant is None:
        rule = "be larger, or the pots hold more cuttings: even 1,000 pots of each would not tell it"
        raise BadArgument("matters", rule, matters)
    a, b = list(shares.values())[:2]
    power = power_to_tell((a, b), n_units_per_arm=meant, n_per_unit=n_per_unit, spread=spread, n_arms=n_arms)
    try:
        found = plan_trial(shares, spread=spread, n_per_unit=n_per_unit)
    except BadArgument:
        return SizeFound(needed, meant, power, (), 0.05)
    others = sorted((found.size, *found.alternatives), key=lambda size: size.n_per_unit)
    return SizeFound(needed, meant, power, tuple(others), found.p_false_alarm)


def _arm(letter: str, text: str) -> Arm:
    name, brace, way = text.partition(" {")
    return Arm(letter, name.strip(), _from_json(brace.strip() + way) if brace else {})


def _as_json(way: Mapping[str, Value]) -> str:
    return json.dumps({name: plain(value) for name, value in way.items()}, ensure_ascii=False)


def _from_json(text: str) -> dict[str, Value]:
    """Return columns of a sticking; what is no column of it, or cannot be read, is left out."""
    try:
        read = json.loads(text)
    except (ValueError, RecursionError):
        return {}
    if not isinstance(read, dict):
        return {}
    batches = table_named("batches")
    found = {
        name: _value(batches.column(name).kind, value)
        for name, value in read.items()
        if name in batches.names
    }
    return {name: value for name, value in found.items() if value is not None}


def _value(kind: str, value: object) -> Value:
    """Return a value of a column of this kind; nothing where it is none."""
    if value == "" or not isinstance(value, str | int | float):
        return None
    if kind not in ("integer", "decimal"):
        return str(value)
    try:
        number = Decimal(str(value))
    except ArithmeticError:
        return None
    if not number.is_finite() or abs(number.adjusted()) > _MOST_DIGITS:
        return None
    if kind == "decimal":
        return number
    return int(number) if number == int(number) else None


def _share(text: str) -> float | None:
    try:
        share = float(text)
    except ValueError:
        return None
    return share if math.isfinite(share) and 0 <= share <= 1 else None


def _whole(text: str, most: int = 10**_MOST_DIGITS - 1) -> int | None:
    text = text.strip()
    is_one = text.isascii() and text.isdigit() and len(text) <= _MOST_DIGITS
    return int(text) if is_one and int(text) <= most else None


def _span(stop_rule: str) -> int | None:
    found = _SPAN.findall(stop_rule)
    if len(found) != 1:
        return None
    number, unit = found[0]
    return int(number) * (7 if unit.lower().startswith(("w", "s")) else 1)
