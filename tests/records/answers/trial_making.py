"""Trials for tests: fixed, stuck and counted through the services."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta
from decimal import Decimal

from slipwright.records import services
from slipwright.records.answers.trials.plan import Arm, Plan, arms_in_row, layout_of, written
from slipwright.records.models import Garden, Member, Sticking
from slipwright.records.services.entry import new_id

NAME = "Dip or none"
STUCK_ON = date(2025, 8, 1)
DUE_ON = STUCK_ON + timedelta(days=56)
PLAN = Plan(
    taxon="Rosa 'Pale Ferry'",
    differs="auxin",
    arms=(
        Arm("A", "no hormone", {"auxin": "none"}),
        Arm(
            "B", "IBA 1000 mg/L, gel", {"auxin": "iba", "auxin_form": "gel", "auxin_mg_per_l": Decimal(1000)}
        ),
    ),
    stop_rule="Every pot is counted 8 weeks after sticking, and judged then.",
    plant="rose-gate",
    way={"wood": "semi-hardwood", "leaves": "reduced", "auxin": "naa", "dip_s": Decimal(5)},
    usual=0.5,
    matters=0.2,
    count_after=56,
    seed=7,
)


def fix(
    garden: Garden,
    by: Member,
    now: datetime,
    *,
    plan: Plan = PLAN,
    blocks: int = 4,
    each: int = 8,
    name: str = NAME,
) -> None:
    """Fix a plan."""
    services.fix_trial(
        garden=garden,
        by=by,
        now=now,
        trial=name,
        question="Does the dip help?",
        arms=arms_in_row(plan.arms),
        units_per_arm=blocks,
        n_per_unit=each,
        stop_rule=plan.stop_rule,
        plan=written(plan),
        entry_id=new_id(),
    )


def stick_all(
    garden: Garden,
    by: Member,
    now: datetime,
    *,
    plan: Plan = PLAN,
    blocks: int = 4,
    each: int = 8,
    name: str = NAME,
    stuck_on: date = STUCK_ON,
) -> list[Sticking]:
    """Stick every pot of a plan."""
    arms = {arm.letter: arm for arm in plan.arms}
    lots: list[services.Lot] = [
        {
            **plan.lot_of(arms[unit.arm]),  # type: ignore[typeddict-item]
            "id": new_id(),
            "taxon": plan.taxon,
            "stuck_on": stuck_on,
            "n_stuck": unit.n_stuck,
            "place": "mist-1",
            "trial": name,
            "arm": unit.arm,
            "block": str(unit.block),
        }
        for unit in layout_of(plan, units_per_arm=blocks, n_per_unit=each)
    ]
    return services.stick_trial(garden=garden, by=by, now=now, trial=name, lots=lots)


def count(
    garden: Garden,
    by: Member,
    now: datetime,
    pots: Sequence[Sticking],
    rooted: Mapping[str, Sequence[int]],
    *,
    on: date = DUE_ON,
) -> None:
    """Count pots, the given number rooted by arm in the order they stand."""
    left = {arm: list(numbers) for arm, numbers in rooted.items()}
    for pot in pots:
        if left.get(pot.arm):
            n = left[pot.arm].pop(0)
            services.record_look(garden=garden, by=by, now=now, batch=pot.batch, on=on, n_rooted=n, n_lost=0)
