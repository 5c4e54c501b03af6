"""Where a trial stands: a pot is judged by its count on the day the plan fixed, and by nothing sooner."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest

from slipwright.handbook import load_handbook
from slipwright.records import services
from slipwright.records.answers.forecasts import made as forecasts_made
from slipwright.records.answers.trials.ahead import pots_ahead
from slipwright.records.answers.trials.count import count_page, pots_to_count
from slipwright.records.answers.trials.now import trial_now, trials_now
from slipwright.records.answers.trials.plan import written
from slipwright.records.errors import NotFound
from slipwright.records.models import ForecastMade, Garden, Look, Member, Note, Trial
from tests.records.answers.trial_making import DUE_ON, NAME, PLAN, STUCK_ON, count, fix, stick_all
from tests.records.making import stick

pytestmark = pytest.mark.parametrize("database", ["sqlite"], indirect=True)
EARLY = DUE_ON - timedelta(days=1)
TODAY = date(2025, 10, 20)


def test_a_trial_is_planned_runs_waits_for_its_count_and_is_counted(
    garden: Garden, grower: Member, now: datetime
) -> None:
    fix(garden, grower, now)
    assert trial_now(garden, NAME, on=TODAY).state == "planned"
    pots = stick_all(garden, grower, now)
    running = trial_now(garden, NAME, on=EARLY)
    assert (running.state, running.due_on, running.may_judge) == ("running", DUE_ON, False)
    assert trial_now(garden, NAME, on=DUE_ON).state == "due"
    count(garden, grower, now, pots, {"A": [4] * 4, "B": [6] * 3})
    due = trial_now(garden, NAME, on=DUE_ON)
    assert (due.state, due.n_due, len(due.counted), due.may_judge) == ("due", 1, 7, False)
    last = next(pot for pot in due.pots if pot.state == "due")
    services.record_look(
        garden=garden, by=grower, now=now, batch=last.pot.batch, on=DUE_ON, n_rooted=0, n_lost=0
    )
    done = trial_now(garden, NAME, on=DUE_ON)
    assert (done.state, done.may_judge) == ("done", True)


def test_the_verdict_waits_two_weeks_for_a_pot_that_is_not_counted_and_no_longer(
    garden: Garden, grower: Member, now: datetime
) -> None:
    fix(garden, grower, now)
    count(garden, grower, now, stick_all(garden, grower, now), {"A": [4] * 4, "B": [6] * 3})
    last = DUE_ON + timedelta(days=14)
    assert trial_now(garden, NAME, on=DUE_ON).waits_until == last
    assert not trial_now(garden, NAME, on=last).may_judge
    assert trial_now(garden, NAME, on=last + timedelta(days=1)).may_judge


def test_a_trial_whose_pots_all_came_early_to_their_end_waits_for_its_day(
    garden: Garden, grower: Member, now: datetime
) -> None:
    fix(garden, grower, now)
    for pot in stick_all(garden, grower, now):
        said = {"n_rooted": 1, "n_lost": 7, "cause": "given-up"}
        services.record_look(garden=garden, by=grower, now=now, batch=pot.batch, on=EARLY, **said)  # type: ignore[arg-type]
    early, due = (trial_now(garden, NAME, on=on) for on in (EARLY, DUE_ON))
    assert (early.state, early.may_judge) == ("running", False)
    assert (due.state, due.may_judge, due.n_given_up) == ("done", True, 56)


def test_what_is_found_later_on_the_day_of_the_count_belongs_to_it(
    garden: Garden, grower: Member, now: datetime
) -> None:
    fix(garden, grower, now)
    pots = stick_all(garden, grower, now)
    for n in (2, 3):
        count(garden, grower, now, pots, {"A": [n] * 4, "B": [n] * 4})
    assert {pot.n_rooted for pot in trial_now(garden, NAME, on=TODAY).pots} == {5}


def test_pots_counted_long_after_their_day_are_told(garden: Garden, grower: Member, now: datetime) -> None:
    fix(garden, grower, now)
    pots = stick_all(garden, grower, now)
    count(garden, grower, now, pots, {"A": [2] * 4, "B": [2] * 3}, on=DUE_ON + timedelta(days=14))
    count(garden, grower, now, pots[-1:], {"A": [2], "B": [2]}, on=DUE_ON + timedelta(days=15))
    count(garden, grower, now, pots, {"B": [0] * 4}, on=DUE_ON + timedelta(days=15))
    assert trial_now(garden, NAME, on=TODAY).n_late == 1


def test_a_plan_taken_back_once_pots_are_stuck_stands_and_none_written_later_takes_its_place(
    garden: Garden, grower: Member, now: datetime
) -> None:
    fix(garden, grower, now)
    stick_all(garden, grower, now)
    note = Note.rows.of(garden).get()
    services.withdraw(
        garden=garden, by=grower, now=now, at=now, withdraws=note.entry_id, reason="another rule"
    )
    later = written(replace(PLAN, count_after=7, stop_rule="now"))
    services.record_note(garden=garden, by=grower, now=now, about=NAME, at=now, text=later)
    found = trial_now(garden, NAME, on=EARLY)
    assert (found.plan.stop_rule, found.plan.count_after) == (PLAN.stop_rule, 56)
    assert (found.row.plan_taken_back, found.is_planned_late) == (True, True)


def test_a_plan_taken_back_before_anything_was_stuck_is_no_plan(
    garden: Garden, grower: Member, now: datetime
) -> None:
    fix(garden, grower, now)
    note = Note.rows.of(garden).get()
    services.withdraw(garden=garden, by=grower, now=now, at=now, withdraws=note.entry_id, reason="not now")
    assert trial_now(garden, NAME, on=EARLY).row.plan == ""


def test_a_size_changed_in_the_table_does_not_move_what_was_fixed(
    garden: Garden, grower: Member, now: datetime
) -> None:
    fix(garden, grower, now, plan=replace(PLAN, n_units=4, n_per_unit=8))
    Trial.rows.of(garden).update(units_per_arm=2, n_per_unit=30)
    found = trial_now(garden, NAME, on=EARLY)
    assert (found.n_units, found.n_per_unit) == (4, 8)


def test_a_block_may_be_called_anything(garden: Garden, grower: Member, now: datetime) -> None:
    fix(garden, grower, now)
    for block in ("²", "1"):
        stick(garden, grower, now, trial=NAME, arm="A", block=block, stuck_on=STUCK_ON)
    assert [pot.block for pot in trial_now(garden, NAME, on=TODAY).pots] == [1, 2]


def test_what_is_counted_before_its_day_is_not_judged_by(
    garden: Garden, grower: Member, now: datetime
) -> None:
    fix(garden, grower, now)
    pots = stick_all(garden, grower, now)
    count(garden, grower, now, pots, {"A": [3] * 4, "B": [5] * 4}, on=EARLY)
    found = trial_now(garden, NAME, on=EARLY)
    assert not found.counted
    assert {pot.n_seen for pot in found.pots} == {3, 5}
    assert all(pot.n_rooted is None for pot in found.pots)


def test_counts_add_up_to_the_day_and_what_roots_later_is_left_out(
    garden: Garden, grower: Member, now: datetime
) -> None:
    fix(garden, grower, now)
    pots = stick_all(garden, grower, now)
    for on, n in ((EARLY, 2), (DUE_ON, 1), (DUE_ON + timedelta(days=9), 3)):
        count(garden, grower, now, pots, {"A": [n] * 4, "B": [n] * 4}, on=on)
    found = trial_now(garden, NAME, on=TODAY)
    assert {(pot.n_rooted, pot.n_tried, pot.counted_on) for pot in found.pots} == {(3, 8, DUE_ON)}


def test_a_look_that_counted_nothing_is_no_count(garden: Garden, grower: Member, now: datetime) -> None:
    fix(garden, grower, now)
    pots = stick_all(garden, grower, now)
    for pot in pots:
        services.record_look(garden=garden, by=grower, now=now, batch=pot.batch, on=DUE_ON)
    assert trial_now(garden, NAME, on=DUE_ON).n_due == 8


def test_a_pot_in_which_nothing_waits_is_counted_and_what_was_taken_away_counts_not_at_all(
    garden: Garden, grower: Member, now: datetime
) -> None:
    fix(garden, grower, now)
    pots = stick_all(garden, grower, now)
    services.record_look(
        garden=garden, by=grower, now=now, batch=pots[0].batch, on=EARLY, n_rooted=5, n_lost=1, n_removed=2
    )
    found = trial_now(garden, NAME, on=EARLY)
    (pot,) = found.counted
    assert (pot.n_rooted, pot.n_tried, pot.counted_on) == (5, 6, EARLY)
    assert not found.may_judge, "one pot that came early to its end is no verdict"


def test_a_pot_whose_sticking_was_taken_back_is_no_pot_of_the_trial(
    garden: Garden, grower: Member, now: datetime
) -> None:
    fix(garden, grower, now)
    pots = stick_all(garden, grower, now)
    services.withdraw(
        garden=garden,
        by=grower,
        now=now,
        at=now,
        kind="sticking",
        withdraws=pots[0].entry_id,
        reason="knocked over at once",
    )
    assert len(trial_now(garden, NAME, on=EARLY).pots) == 7


def test_a_trial_of_the_tables_needs_no_plan(garden: Garden, grower: Member, now: datetime) -> None:
    Trial.rows.create(
        garden=garden,
        trial="by hand",
        question="?",
        arms="dip;none",
        units_per_arm=1,
        n_per_unit=20,
        stop_rule="counted after 8 weeks",
    )
    for arm, block in (("dip", "north"), ("none", "south"), ("other", "")):
        stick(garden, grower, now, trial="by hand", arm=arm, block=block, stuck_on=STUCK_ON)
    found = trial_now(garden, "by hand", on=TODAY)
    assert [(pot.block, pot.arm.name if pot.arm else None) for pot in found.pots] == [
        (1, "dip"),
        (2, "none"),
        (3, None),
    ]
    assert (found.state, found.due_on) == ("due", DUE_ON)


def test_what_needs_a_count_stands_first(garden: Garden, grower: Member, now: datetime) -> None:
    fix(garden, grower, now, name="planned")
    fix(garden, grower, now, name="running")
    stick_all(garden, grower, now, name="running", stuck_on=TODAY)
    fix(garden, grower, now, name="to count")
    stick_all(garden, grower, now, name="to count")
    assert [one.row.trial for one in trials_now(garden, ["planned", "running", "to count"], on=TODAY)] == [
        "to count",
        "running",
        "planned",
    ]


def test_there_is_no_trial_of_another_name(garden: Garden) -> None:
    with pytest.raises(NotFound):
        trial_now(garden, NAME, on=TODAY)


def test_each_pot_that_is_counted_is_a_look_of_its_own(garden: Garden, grower: Member, now: datetime) -> None:
    fix(garden, grower, now)
    stick_all(garden, grower, now)
    waits = pots_to_count(garden, count_page(trial_now(garden, NAME, on=DUE_ON)).pots)
    assert len(waits) == 8
    counts = [
        services.PotCount(batch=one.pot.pot.batch, n_rooted=8, n_lost=0, after=one.after, id=f"count {at}")
        for at, one in enumerate(waits)
    ]
    for _ in range(2):
        services.count_trial(garden=garden, by=grower, now=now, on=DUE_ON, counts=counts)
    assert Look.rows.of(garden).count() == 8
    found = trial_now(garden, NAME, on=DUE_ON)
    assert found.state == "done"
    assert count_page(found).pots == ()
    assert PLAN.count_after == (DUE_ON - STUCK_ON).days


def test_a_pot_of_a_trial_is_forecast_for_its_count_and_all_pots_together_are_told(
    garden: Garden, grower: Member, now: datetime
) -> None:
    fix(garden, grower, now, blocks=2)
    pots = stick_all(garden, grower, now, blocks=2)
    assert pots_ahead(garden, trial_now(garden, NAME, on=STUCK_ON)) is None
    forecasts_made.refresh(Garden.objects.get(pk=garden.pk), load_handbook(), on=STUCK_ON, now=now)
    made = ForecastMade.rows.of(garden).filter(batch=pots[0]).order_by("by_day")
    assert [one.by_day for one in made] == [STUCK_ON + timedelta(days=7), DUE_ON]
    running = trial_now(garden, NAME, on=STUCK_ON)
    ahead = pots_ahead(garden, running)
    assert ahead is not None
    assert (ahead.n_stuck, ahead.on) == (32, DUE_ON)
    assert 0 <= ahead.low < ahead.high <= 32
    assert ahead.low == sum(ForecastMade.rows.get(batch=pot, by_day=DUE_ON).rooted[1] for pot in pots)
    assert pots_ahead(garden, trial_now(garden, NAME, on=DUE_ON)) is None
