"""Programmes are made beside the rest, put back when the helper stops, and taken from one that is gone."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.db import OperationalError, connection
from django.test.utils import CaptureQueriesContext

from slipwright.craft.said import Said
from slipwright.handbook import load_handbook
from slipwright.records.answers.programme import planned
from slipwright.records.answers.programme.planned import why_not_made
from slipwright.records.errors import Refused
from slipwright.records.keeping import planning
from slipwright.records.keeping.helper import Helper
from slipwright.records.keeping.planning import BROKE_OFF, LEFT_S, Planning
from slipwright.records.models import Garden, Member, PlanState, SeasonPlan, Want
from slipwright.records.selectors import plans as found
from slipwright.records.services import plans
from slipwright.records.services.plans import Made, ask_plan
from tests.records.conftest import small_garden

HANDBOOK = load_handbook()
ON = date(2025, 10, 20)
MADE = Made(b"", b"", "0 0 prior", 1.0)
Make = Callable[..., bool]


@pytest.fixture
def making(monkeypatch: pytest.MonkeyPatch) -> Callable[[Make], None]:
    """Put a function in the place of what makes programmes."""
    return lambda make: monkeypatch.setattr(planned, "make_plan", make)


def quickly(plan: SeasonPlan, handbook: Any, *, now: datetime, progress: Any) -> bool:
    return plans.finish_plan(plan, MADE, now=now)


def ask(garden: Garden, *, more_h: int = 0) -> SeasonPlan:
    change = {"kind": "hours", "more_h": more_h} if more_h else {}
    return ask_plan(garden, on=ON, now=datetime.now(UTC), by=None, change=change)


def planner(told: Callable[[str], None] = pytest.fail, **more: Any) -> Planning:
    return Planning(told, lambda: HANDBOOK, **more)


def state(plan: SeasonPlan) -> tuple[str, str]:
    now = found.plan_of(plan.garden, plan.pk)
    return now.state, now.wrong


@contextmanager
def within(seconds: float = 5.0) -> Iterator[Callable[[], None]]:
    """Give what waits a little, and fails once the time is over."""
    over = time.monotonic() + seconds

    def wait() -> None:
        assert time.monotonic() < over, "it took too long"
        time.sleep(0.01)

    yield wait


def test_all_that_is_asked_for_is_made_one_after_the_other(
    garden: Garden, making: Callable[[Make], None]
) -> None:
    other = small_garden("Long Reach")
    asked = [ask(garden), ask(garden, more_h=2), ask(other)]
    order: list[int] = []

    def make(plan: SeasonPlan, handbook: Any, **more: Any) -> bool:
        order.append(plan.pk)
        return quickly(plan, handbook, **more)

    making(make)
    assert planner().one_pass() == 3
    assert order == [plan.pk for plan in asked]
    assert {state(plan) for plan in asked} == {(PlanState.MADE, "")}
    assert planner().one_pass() == 0


def test_beside_the_helper_one_is_made_soon_after_it_is_asked_for(
    garden: Garden, making: Callable[[Make], None]
) -> None:
    making(quickly)
    with planner().beside(), within() as wait:
        plan = ask(garden)
        while state(plan)[0] != PlanState.MADE:
            wait()


def test_while_one_is_made_others_write(
    garden: Garden, owner: Member, making: Callable[[Make], None]
) -> None:
    begun, go_on = threading.Event(), threading.Event()

    def make(plan: SeasonPlan, handbook: Any, *, now: datetime, progress: Any) -> bool:
        progress(1, 2, "choosing among the plans")
        begun.set()
        assert go_on.wait(5)
        return quickly(plan, handbook, now=now, progress=progress)

    making(make)
    plan = ask(garden)
    with planner().beside():
        assert begun.wait(5)
        Want.rows.of(garden).update(n_wanted=41)
        now = found.plan_of(garden, plan.pk)
        assert (now.state, now.done, now.doing) == (PlanState.RUNNING, 0.5, "choosing among the plans")
        go_on.set()
        with within() as wait:
            while state(plan)[0] != PlanState.MADE:
                wait()


def test_how_far_it_has_come_is_written_now_and_then(garden: Garden, making: Callable[[Make], None]) -> None:
    ticks = iter(n / 10 for n in range(1000))
    written: list[float] = []

    def make(plan: SeasonPlan, handbook: Any, *, now: datetime, progress: Any) -> bool:
        for n in range(20):
            progress(n, 20, "listing")
            written.append(found.plan_of(garden, plan.pk).done)
        return quickly(plan, handbook, now=now, progress=progress)

    making(make)
    ask(garden)
    planner(clock=lambda: next(ticks)).one_pass()
    assert sorted(set(written)) == [0.0, 0.25, 0.5, 0.75]


def test_one_that_is_dropped_while_it_is_made_is_given_up(
    garden: Garden, making: Callable[[Make], None]
) -> None:
    def make(plan: SeasonPlan, handbook: Any, *, now: datetime, progress: Any) -> bool:
        plans.drop_plan(plan)
        progress(1, 2, "listing")
        raise AssertionError("it went on")

    making(make)
    ask(garden)
    assert planner().one_pass() == 0
    assert not found.plans_of(garden)


def test_when_the_helper_stops_one_is_put_back(garden: Garden, making: Callable[[Make], None]) -> None:
    begun = threading.Event()

    def make(plan: SeasonPlan, handbook: Any, *, now: datetime, progress: Any) -> bool:
        begun.set()
        with within() as wait:
            while True:
                progress(1, 2, "listing")
                wait()

    making(make)
    plan = ask(garden)
    with planner().beside():
        assert begun.wait(5)
    assert state(plan) == (PlanState.ASKED, "")


@pytest.mark.parametrize("error", [BrokenProcessPool("a process ended"), OperationalError("locked")])
def test_one_that_breaks_off_is_made_once_more_and_then_failed(
    garden: Garden, making: Callable[[Make], None], error: Exception
) -> None:
    seen: list[str] = []

    def make(plan: SeasonPlan, handbook: Any, **more: Any) -> bool:
        seen.append(plan.wrong)
        raise error

    making(make)
    plan, told = ask(garden), list[str]()
    assert planner(told.append).one_pass() == 0
    assert seen == ["", BROKE_OFF]
    assert state(plan)[0] == PlanState.FAILED
    why = why_not_made(found.plan_of(garden, plan.pk))
    assert isinstance(why, Said)
    assert "twice" in why
    assert len(told) == 1


def test_a_fault_is_told_and_kept_and_stops_nothing(garden: Garden, making: Callable[[Make], None]) -> None:
    def make(plan: SeasonPlan, handbook: Any, **more: Any) -> bool:
        if not plan.change:
            raise ValueError("the year\nis out of range")
        return quickly(plan, handbook, **more)

    making(make)
    bad, good, told = ask(garden), ask(garden, more_h=1), list[str]()
    assert planner(told.append).one_pass() == 1
    why = why_not_made(found.plan_of(garden, bad.pk))
    assert isinstance(why, Said)
    assert "fault of the program" in why
    assert state(bad)[0] == PlanState.FAILED
    assert state(good)[0] == PlanState.MADE
    assert told == [f"programme of {garden.name}: ValueError: the year; is out of range"]


def test_what_cannot_be_tried_is_said_so_that_it_can_be_said_in_another_tongue(
    garden: Garden, making: Callable[[Make], None]
) -> None:
    def make(plan: SeasonPlan, handbook: Any, **more: Any) -> bool:
        raise Refused(Said("There is no method called {method}", method="rose-autumn"))

    making(make)
    plan = ask(garden)
    planner().one_pass()
    why = why_not_made(found.plan_of(garden, plan.pk))
    assert why == "There is no method called rose-autumn"
    assert isinstance(why, Said)
    assert why.template == "There is no method called {method}"


def test_one_left_by_a_helper_that_is_gone_is_taken_again_once(
    garden: Garden, making: Callable[[Make], None]
) -> None:
    making(quickly)
    plan = ask(garden)
    clock = [0.0]
    helper = planner(clock=lambda: clock[0])
    taken = plans.take_plan()
    assert taken is not None
    for clock[0] in (0.0, LEFT_S - 1):
        assert helper.one_pass() == 0
    plans.tell_alive(taken)
    clock[0] = LEFT_S + 1
    assert helper.one_pass() == 0
    clock[0] = 2 * LEFT_S + 1
    assert helper.one_pass() == 1
    assert state(plan) == (PlanState.MADE, "")


def test_of_two_helpers_on_one_programme_only_the_one_that_took_it_last_writes(
    garden: Garden, making: Callable[[Make], None]
) -> None:
    ask(garden)
    clock = [0.0]
    other = planner(clock=lambda: clock[0])

    def slow(plan: SeasonPlan, handbook: Any, *, now: datetime, progress: Any) -> bool:
        for clock[0] in (0.0, LEFT_S):
            other._look_after_others()
        again = plans.take_plan()
        assert again is not None
        assert again.pk == plan.pk
        assert not plans.tell_progress(plan, 0.9, "choosing among the plans")
        assert not plans.finish_plan(plan, MADE, now=now)
        assert not plans.put_plan_back(plan)
        assert not plans.fail_plan(plan, "it broke", now=now)
        assert quickly(again, handbook, now=now, progress=progress)
        return False

    making(slow)
    assert planner().one_pass() == 0
    assert [plan.state for plan in found.plans_of(garden)] == [PlanState.MADE]


def test_what_ended_two_helpers_is_not_tried_a_third_time(garden: Garden) -> None:
    plan, told, clock = ask(garden), list[str](), [0.0]
    helper = planner(told.append, clock=lambda: clock[0])
    for n, expected in enumerate((PlanState.ASKED, PlanState.FAILED)):
        assert plans.take_plan()
        for clock[0] in (n * 1000.0, n * 1000.0 + LEFT_S):
            helper._look_after_others()
        assert state(plan)[0] == expected
    assert len(told) == 1


def test_a_quiet_garden_with_wants_is_planned_for_once(
    garden: Garden, now: datetime, making: Callable[[Make], None]
) -> None:
    making(quickly)
    one = planner()
    passes = [one.ask_first(garden, now=now + timedelta(seconds=s)) for s in (0, 9, 10, 11)]
    assert passes == [False, False, True, False]
    [plan] = found.plans_asked(garden)
    assert (plan.on, plan.change, plan.asked_by) == (ON, {}, None)
    with CaptureQueriesContext(connection) as asked:
        assert not one.ask_first(garden, now=now + timedelta(seconds=20))
    assert not asked.captured_queries
    assert not planner(quiet_for=timedelta(0)).ask_first(garden, now=now)


def test_a_garden_in_which_somebody_writes_waits_for_its_first_programme(
    garden: Garden, now: datetime
) -> None:
    one = planner()
    for s in (0, 6, 12, 18):
        garden.last_edit += 1
        assert not one.ask_first(garden, now=now + timedelta(seconds=s))
    assert one.ask_first(garden, now=now + timedelta(seconds=28))


def test_without_wants_to_come_nothing_is_asked_for(garden: Garden, now: datetime) -> None:
    Want.rows.of(garden).update(ready_by=ON - timedelta(days=1))
    one = planner(quiet_for=timedelta(0))
    assert not one.ask_first(garden, now=now)
    Want.rows.of(garden).update(ready_by=ON + timedelta(days=300))
    garden.last_edit += 1
    assert one.ask_first(garden, now=now)


def test_the_helper_sees_to_the_first_programme(garden: Garden, now: datetime) -> None:
    helper = Helper(told=pytest.fail, plans=planner(quiet_for=timedelta(0)))
    helper.one_pass(now=now)
    assert len(found.plans_asked(garden)) == 1
    helper.one_pass(now=now)
    assert len(found.plans_asked(garden)) == 1


def test_the_helper_goes_on_when_the_look_for_programmes_fails(
    garden: Garden, making: Callable[[Make], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    making(quickly)
    take, n_looks, told = planning.take_plan, [0], list[str]()

    def held() -> SeasonPlan | None:
        n_looks[0] += 1
        if n_looks[0] < 3:
            raise OperationalError("database is locked")
        return take()

    monkeypatch.setattr(planning, "take_plan", held)
    monkeypatch.setattr(planning, "LOOK_S", 0.01)
    plan = ask(garden)
    with planner(told.append).beside(), within() as wait:
        while state(plan)[0] != PlanState.MADE:
            wait()
    assert told == ["programmes: OperationalError: database is locked"]
