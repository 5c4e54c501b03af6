"""The plan of a trial: fixed by a note that cannot change, read back as written, sized and laid out."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from decimal import Decimal

import pytest

from slipwright.craft.errors import BadArgument
from slipwright.records import services
from slipwright.records.answers.trials.plan import (
    Arm,
    arms_from_row,
    arms_in_row,
    layout_of,
    plan_of,
    size_of,
    written,
)
from slipwright.records.errors import BadValue, Clash, Refused
from slipwright.records.models import Garden, Member, Note, Trial
from slipwright.records.selectors.trials import TrialRow, trial_rows
from slipwright.records.services.entry import new_id
from tests.records.answers.trial_making import NAME, PLAN, fix, stick_all

SQLITE = pytest.mark.parametrize("database", ["sqlite"], indirect=True)


def _row(plan: str = "", arms: str = "dip;none", stop_rule: str = "when it is done") -> TrialRow:
    return TrialRow(NAME, "Does it help?", arms, 4, 8, stop_rule, plan)


def test_a_plan_reads_back_as_it_was_written() -> None:
    assert plan_of(_row(written(PLAN))) == PLAN


def test_words_in_a_plan_cannot_pass_for_its_other_lines() -> None:
    plan = replace(PLAN, stop_rule="judged\ncount after days: 1", plant="a: b")
    read = plan_of(_row(written(plan)))
    assert (read.count_after, read.plant) == (56, "a: b")
    assert read.stop_rule == "judged count after days: 1"


@pytest.mark.parametrize(
    ("line", "field"),
    [
        ("way: [1]", "way"),
        ('way: {"n_nodes": "x", "length_mm": "x", "dip_s": NaN, "wood": ["soft"]}', "way"),
        ('way: {"n_nodes": 1e999999, "length_mm": 1e300, "plant": null}', "way"),
        ('way: {"length_mm": {"x": 1}, "n_nodes": 2.5, "wounds": true}', "way"),
        ("way: " + "[" * 100_000, "way"),
        ("count after days: 999999999", "count_after"),
        ("count after days: " + "9" * 5000, "count_after"),
        ("pots of each way: 999999999", "n_units"),
        ("cuttings in each pot: 999999999", "n_per_unit"),
        ("usual share: nan", "usual"),
        ("difference that matters: inf", "matters"),
    ],
)
def test_what_cannot_be_read_in_a_plan_is_left_out_of_it(line: str, field: str) -> None:
    read = plan_of(_row(f"Trial plan, fixed beforehand.\ntaxon: Rosa\n{line}"))
    assert not getattr(read, field)
    assert read.taxon == "Rosa"


def test_one_value_that_cannot_be_read_takes_no_other_with_it() -> None:
    read = plan_of(_row('Trial plan, fixed beforehand.\nway: {"n_nodes": "x", "wood": "hardwood"}'))
    assert read.way == {"wood": "hardwood"}


def test_arms_have_letters_and_names_and_stand_for_themselves_without() -> None:
    assert arms_from_row(arms_in_row(PLAN.arms))[1] == Arm("B", "IBA 1000 mg/L, gel")
    assert arms_from_row("dip;none") == (Arm("dip", "dip"), Arm("none", "none"))
    assert arms_from_row("A plant;B") == (Arm("A plant", "A plant"), Arm("B", "B"))


def test_an_arm_has_the_way_of_all_but_for_the_one_thing() -> None:
    none, gel = (PLAN.lot_of(arm) for arm in PLAN.arms)
    assert none == {"wood": "semi-hardwood", "leaves": "reduced", "auxin": "none"}
    assert gel["auxin_mg_per_l"] == Decimal(1000)
    assert "dip_s" not in gel, "the dip of the way all have is not that of the arm"


@pytest.mark.parametrize(
    ("said", "days"),
    [
        ("all pots looked at for 16 weeks", 112),
        ("a los 90 días", 90),
        ("when the pots are full", None),
        ("look after 4 weeks, judge after 12 weeks", None),
    ],
)
def test_without_a_plan_the_stop_rule_tells_when_pots_are_counted(said: str, days: int | None) -> None:
    assert plan_of(_row(stop_rule=said)).count_after == days


def test_the_bench_is_drawn_by_lot_and_stays_as_it_was_drawn() -> None:
    first, again = (layout_of(PLAN, units_per_arm=12, n_per_unit=8) for _ in range(2))
    assert first == again
    assert all({unit.arm for unit in first if unit.block == block} == {"A", "B"} for block in range(1, 13))
    assert len({unit.arm for unit in first if unit.position == 1}) == 2
    other = layout_of(replace(PLAN, seed=8), units_per_arm=12, n_per_unit=8)
    assert [unit.arm for unit in other] != [unit.arm for unit in first]


def test_the_size_has_a_range_and_more_pots_find_more() -> None:
    found = size_of((0.4, 0.5, 0.6), 0.2, 2, 8)
    assert found.n_units == found.needed.likely == 17
    assert found.needed.fewest is not None
    assert found.needed.fewest < 17 < (found.needed.most or 0)
    assert 0.8 <= found.power < 0.85
    assert size_of((0.4, 0.5, 0.6), 0.2, 2, 8, 8).power < 0.55
    assert size_of((0.4, 0.5, 0.6), 0.2, 4, 8).p_false_alarm > 0.1


def test_a_difference_no_bench_can_tell_is_refused() -> None:
    with pytest.raises(BadArgument, match="even 1,000 pots"):
        size_of((0.4, 0.5, 0.6), 0.01, 2, 1)


@SQLITE
def test_a_plan_is_fixed_by_a_note_and_a_form_sent_twice_fixes_it_once(
    garden: Garden, grower: Member, now: datetime
) -> None:
    told = {
        "trial": NAME,
        "question": "Does it help?",
        "arms": arms_in_row(PLAN.arms),
        "units_per_arm": 4,
        "n_per_unit": 8,
        "stop_rule": PLAN.stop_rule,
        "plan": written(PLAN),
        "entry_id": new_id(),
    }
    for _ in range(2):
        services.fix_trial(garden=garden, by=grower, now=now, **told)  # type: ignore[arg-type]
    assert Trial.rows.of(garden).count() == Note.rows.of(garden).count() == 1
    (row,) = trial_rows(garden, trials=[NAME])
    assert plan_of(row) == PLAN
    assert row.planned_by == "grower"
    with pytest.raises(Clash):
        services.fix_trial(
            garden=garden, by=grower, now=now, **{**told, "plan": written(replace(PLAN, matters=0.4))}
        )  # type: ignore[arg-type]
    with pytest.raises(BadValue, match="another trial"):
        services.fix_trial(garden=garden, by=grower, now=now, **{**told, "entry_id": new_id()})  # type: ignore[arg-type]


@SQLITE
def test_what_the_table_says_later_does_not_move_the_rule(
    garden: Garden, grower: Member, now: datetime
) -> None:
    fix(garden, grower, now)
    Trial.rows.of(garden).update(stop_rule="stop as soon as the dip is ahead")
    (row,) = trial_rows(garden, trials=[NAME])
    assert plan_of(row).stop_rule == PLAN.stop_rule


@SQLITE
def test_the_pots_of_a_trial_are_stuck_once(garden: Garden, grower: Member, now: datetime) -> None:
    fix(garden, grower, now)
    pots = stick_all(garden, grower, now)
    assert len(pots) == 8
    with pytest.raises(Refused, match="stuck already"):
        stick_all(garden, grower, now)


@SQLITE
def test_a_trial_cannot_be_called_as_a_page_is(garden: Garden, grower: Member, now: datetime) -> None:
    for name in ("new", "roses/count", "..", "/roses", "roses/../none"):
        with pytest.raises(BadValue, match="name of its own"):
            fix(garden, grower, now, name=name)
