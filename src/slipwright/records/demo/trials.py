"""Two trials of the demonstration garden: one that was counted and judged, one that runs.

The pots are drawn as all batches are. A trial's pots share what is drawn for their taxon and season; each
adds a little of its own.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from functools import cache
from typing import Final

from slipwright.handbook.pages import Wood
from slipwright.records.answers.trials.plan import Arm, Plan, arms_in_row, layout_of, written
from slipwright.records.canonical import Value, plain
from slipwright.records.codes import SHORT, new_code
from slipwright.records.demo.course import Course, outcomes, pot
from slipwright.records.demo.setting import STANDS_ON, Luck, Row, rows_by_hand
from slipwright.records.demo.sticking import Stuck, page_of
from slipwright.rooting.cuttings import Cuttings
from slipwright.rooting.simulate import drawn_counts, hazards_of
from slipwright.rooting.trial_layout import TrialUnit

#: how far pots of one arm lie apart, on the log hazards of rooting and of loss
_POTS_DIFFER: Final = 0.28
_OFFSET: Final = "-07:00"


@dataclass(frozen=True, slots=True)
class _Begun:
    """A trial, what it is about, and what is true of its pots in the invented world."""

    name: str
    question: str
    plan: Plan
    wood: Wood
    n_blocks: int
    n_per_pot: int
    stuck_on: date
    place: str
    by: str
    #: days between two looks
    every: int
    shoots_a_pot: int
    #: what the trial's season adds to the log hazards of rooting and of loss
    effect: tuple[float, float]


def _trials() -> tuple[_Begun, ...]:
    lavender: dict[str, Value] = {
        "wood": "semi-hardwood",
        "cutting": "tip",
        "leaves": "reduced",
        "medium": "Half and half",
    }
    rosemary: dict[str, Value] = {
        "wood": "softwood",
        "leaves": "reduced",
        "medium": "Half and half",
        "auxin": "none",
    }
    dip: dict[str, Value] = {"auxin": "iba", "auxin_form": "talc", "auxin_mg_per_kg": Decimal(1000)}
    return (
        _Begun(
            "Lavender, dip or none",
            "Does the powder help half-ripe lavender, or do we only think so?",
            Plan(
                "Lavandula angustifolia 'Grey Heron'",
                "auxin",
                (Arm("A", "no hormone", {"auxin": "none"}), Arm("B", "IBA 1000 mg/kg, powder", dip)),
                "Every pot is counted 10 weeks after sticking. The verdict is drawn then, from all pots "
                "that were counted, and not before.",
                "Lavender row",
                lavender,
                0.55,
                0.2,
                70,
                4471,
            ),
            "semi-hardwood", 10, 6, date(2014, 9, 2), "Tent 2", "orla", 10, 2, (0.15, 0.0),
        ),
        _Begun(
            "Rosemary, tip or middle",
            "Tips or pieces from the middle of the shoot, in spring?",
            Plan(
                "Salvia rosmarinus 'Curlew Bank'",
                "part",
                (Arm("A", "upper", {"part": "upper"}), Arm("B", "middle", {"part": "middle"})),
                "Every pot is counted 8 weeks after sticking. The verdict is drawn then, from all pots "
                "that were counted, and not before.",
                "Curlew bank",
                rosemary,
                0.6,
                0.25,
                56,
                90210,
            ),
            "softwood", 6, 6, date(2015, 5, 12), "Tent 1", "tam", 8, 2, (0.0, 0.0),
        ),
    )  # fmt: skip


def begin(rows: dict[str, list[Row]]) -> None:
    """Add the trials to the rows of every table."""
    codes = Luck("trial codes")
    used = {row["batch"][:SHORT] for row in rows["batches"]}
    for number, begun in enumerate(_trials()):
        rows["trials"].append(_row(begun))
        rows["notes"].append(_note(begun))
        layout = layout_of(begun.plan, units_per_arm=begun.n_blocks, n_per_unit=begun.n_per_pot)
        for at, unit in enumerate(layout):
            code = new_code(used, codes)
            used.add(code[:SHORT])
            luck = Luck(f"trial pot {number}", at)
            stuck = _stuck(begun, unit, code, luck)
            rows["batches"].append(stuck.row)
            _follow(begun, stuck, luck, rows)


def _row(begun: _Begun) -> Row:
    return {
        "trial": begun.name,
        "question": begun.question,
        "arms": arms_in_row(begun.plan.arms),
        "units_per_arm": str(begun.n_blocks),
        "n_per_unit": str(begun.n_per_pot),
        "stop_rule": begun.plan.stop_rule,
    }


def _note(begun: _Begun) -> Row:
    plan = replace(begun.plan, n_units=begun.n_blocks, n_per_unit=begun.n_per_pot)
    evening = f"{begun.stuck_on - timedelta(days=1)}T19:30:00{_OFFSET}"
    return {"about": begun.name, "at": evening, "text": written(plan), "by": begun.by}


def _stuck(begun: _Begun, unit: TrialUnit, code: str, luck: Luck) -> Stuck:
    plan = begun.plan
    page = page_of(plan.taxon)
    leaf = page.woods[begun.wood]
    arm = next(arm for arm in plan.arms if arm.letter == unit.arm)
    lot = plan.lot_of(arm)
    place = _place(begun.place)
    row: Row = {
        "batch": code,
        "taxon": plan.taxon,
        "plant": plan.plant,
        "stuck_on": begun.stuck_on.isoformat(),
        "n_stuck": str(unit.n_stuck),
        "n_shoots": str(begun.shoots_a_pot),
        "shoot": "vegetative",
        "container": "Trade gallon",
        "n_per_container": str(unit.n_stuck),
        "place": begun.place,
        "cover": place["cover"],
        "medium_temp_c": place["medium_temp_c"],
        "stored": "no",
        "trial": begun.name,
        "arm": arm.letter,
        "block": str(unit.block),
        "minutes": str(6 + luck.whole(0, 4)),
        "by": begun.by,
    }
    row |= {name: str(plain(value)) for name, value in lot.items()}
    cuttings = Cuttings(
        wood=begun.wood,
        ripeness=0.55 if lot.get("part") == "middle" else 0.36,
        auxin="none" if lot.get("auxin") in (None, "none") else "dip",
        strength=float(str(lot.get("auxin_mg_per_kg") or 0)),
        cover="tent",
        warmth_c=float(place["medium_temp_c"]),
        bloom=0.0,
        n_nodes=4,
    )
    return Stuck(row, page, leaf, begun.stuck_on, unit.n_stuck, cuttings, luck)


def _follow(begun: _Begun, stuck: Stuck, luck: Luck, rows: dict[str, list[Row]]) -> None:
    """Look at a pot on the days of all, count it on its day, and pot what has rooted soon after."""
    own = luck.generator.standard_normal(2) * _POTS_DIFFER
    hazards = hazards_of(stuck.cuttings, (begun.effect[0] + own[0], begun.effect[1] + own[1]))
    course = Course(stuck, hazards, rows, luck, waiting=stuck.n_stuck)
    days = list(_look_days(begun))
    last = begun.plan.count_after or 0
    drawn = drawn_counts(luck.generator, hazards, stuck.n_stuck, days)
    for day, (rooted, lost, waiting) in zip(days, drawn.tolist(), strict=True):
        if course.n_waiting == 0:
            break
        seen: dict[str, object] = {"n_rooted": rooted, "n_lost": lost}
        if day >= last and waiting:
            seen |= {"n_lost": lost + waiting, "cause": "given-up"}
        elif lost:
            seen["cause"] = "rot-from-base"
        course.n_rooted += rooted
        course.n_lost += int(str(seen["n_lost"]))
        course.write("looks", stuck.stuck_on + timedelta(days=day), **seen)
    if days and days[-1] >= last:
        pot(course, stuck.stuck_on + timedelta(days=days[-1] + luck.whole(1, 3)))
        outcomes(course)


def _look_days(begun: _Begun) -> Iterator[int]:
    """Yield the days after sticking on which every pot is looked at, that of the count the last."""
    last = begun.plan.count_after or 0
    for day in sorted({*range(begun.every, last, begun.every), last}):
        if begun.stuck_on + timedelta(days=day) < STANDS_ON:
            yield day


@cache
def _place(place: str) -> Row:
    return next(row for row in rows_by_hand("places") if row["place"] == place)
