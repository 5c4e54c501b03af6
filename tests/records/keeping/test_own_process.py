"""Programmes are made in a process of its own, which ends with the helper; broken, it is started anew."""

from __future__ import annotations

import os
import signal
import threading
import time
from collections.abc import Iterator
from datetime import date, datetime

import pytest

from slipwright.records.keeping import own_process
from slipwright.records.keeping.making import Outcome
from slipwright.records.keeping.own_process import OwnProcess
from slipwright.records.keeping.planning import Planning
from slipwright.records.models import Garden, PlanState
from slipwright.records.selectors import plans as found
from slipwright.records.services import plans
from tests.databases import Database

ON = date(2025, 10, 20)


@pytest.fixture
def own(database: Database, monkeypatch: pytest.MonkeyPatch) -> Iterator[OwnProcess]:
    """Give a process that opens the database of the test."""
    monkeypatch.setenv("SLIPWRIGHT_DATABASE_URL", database.url)
    monkeypatch.setenv("DJANGO_SETTINGS_MODULE", "slipwright.config.settings")
    process = OwnProcess(threading.Event())
    yield process
    process.close()


def taken(garden: Garden, now: datetime) -> tuple[int, int]:
    plans.ask_plan(garden, on=ON, now=now, by=None)
    plan = plans.take_plan()
    assert plan is not None
    return plan.pk, plan.taken


def test_it_makes_what_it_is_asked_for_and_starts_anew_where_it_broke(
    own: OwnProcess, garden: Garden, now: datetime
) -> None:
    plan = taken(garden, now)
    assert own.make(*plan) == Outcome(is_made=True)
    assert found.plan_of(garden, plan[0]).state == PlanState.MADE
    assert own._process is not None
    before = own._process.pid
    assert before is not None
    os.kill(before, signal.SIGKILL)
    own._process.join(5)
    assert own.make(-1, 1) == Outcome()
    assert own._process.pid != before


def test_while_it_makes_one_it_gives_signs_and_makes_none_that_another_took(
    own: OwnProcess, garden: Garden, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(own_process, "_LOOK_S", 0.01)
    monkeypatch.setattr(own_process, "_ALIVE_S", 0.02)
    pk, n_taken = taken(garden, now)
    signs: list[float] = []
    assert own.make(pk, n_taken + 1, alive=lambda: signs.append(time.monotonic())) == Outcome()
    assert len(signs) > 1
    assert found.plan_of(garden, pk).state == PlanState.RUNNING


def test_one_that_breaks_while_it_makes_has_broken_off(
    own: OwnProcess, garden: Garden, now: datetime
) -> None:
    plan = taken(garden, now)
    outcomes: list[Outcome] = []
    thread = threading.Thread(target=lambda: outcomes.append(own.make(*plan)))
    thread.start()
    while own._process is None or own._process.pid is None:
        time.sleep(0.01)
    os.kill(own._process.pid, signal.SIGKILL)
    thread.join(10)
    assert outcomes == [Outcome(broke_off=True)]


def test_told_to_stop_it_ends_what_it_is_at(own: OwnProcess, garden: Garden, now: datetime) -> None:
    plan = taken(garden, now)
    own._stop.set()
    assert own.make(*plan) == Outcome(stopped=True)
    assert own._process is None


def test_it_ends_when_it_is_not_needed_for_long(own: OwnProcess, monkeypatch: pytest.MonkeyPatch) -> None:
    assert own.make(-1, 1) == Outcome()
    own.rest()
    assert own._process is not None
    monkeypatch.setattr(own_process, "IDLE_S", -1.0)
    own.rest()
    assert own._process is None


def test_the_helper_makes_them_there(
    own: OwnProcess, garden: Garden, now: datetime, database: Database
) -> None:
    plan = plans.ask_plan(garden, on=ON, now=now, by=None)
    planning = Planning(pytest.fail, lambda: pytest.fail("made here"), apart=True)
    over = time.monotonic() + 30
    with planning.beside():
        while found.plan_of(garden, plan.pk).state != PlanState.MADE:
            assert time.monotonic() < over
            time.sleep(0.05)
