"""When the helper works findings out anew: after quiet, not before they are due, once for each fit."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from slipwright.handbook import load_handbook
from slipwright.records.answers.findings import made as findings_made
from slipwright.records.answers.forecasts import calibration
from slipwright.records.answers.remembered import Remembered
from slipwright.records.answers.trials import kept as trials_kept
from slipwright.records.keeping.helper import Helper
from slipwright.records.keeping.showing import Showing
from slipwright.records.models import Garden, Member
from tests.records.making import stick

MORNING = datetime(2025, 10, 20, 14, 0, tzinfo=UTC)
HANDBOOK = load_handbook()


class Shown:
    """Stands in for the findings: due at a time, and worked out by being asked."""

    def __init__(self) -> None:
        self.due: datetime | None = MORNING
        self.renewed: list[int] = []
        self.is_broken = False

    def due_at(self, garden: Garden) -> datetime | None:
        return self.due

    def renew(self, garden: Garden, handbook: Any) -> bool:
        if self.is_broken:
            raise ValueError("broken")
        self.renewed.append(garden.last_number)
        return True


@pytest.fixture
def shown(monkeypatch: pytest.MonkeyPatch) -> Shown:
    stand_in = Shown()
    monkeypatch.setattr(findings_made, "due_at", stand_in.due_at)
    monkeypatch.setattr(findings_made, "renew", stand_in.renew)
    return stand_in


def one_pass(showing: Showing, garden: Garden, minutes: float) -> bool:
    fresh = Garden.objects.get(pk=garden.pk)
    return showing.one_pass(fresh, HANDBOOK, now=MORNING + timedelta(minutes=minutes))


def test_it_waits_for_two_minutes_of_quiet_and_does_it_once(
    garden: Garden, grower: Member, now: datetime, shown: Shown
) -> None:
    showing = Showing()
    assert not one_pass(showing, garden, 0)
    stick(garden, grower, now)
    assert not one_pass(showing, garden, 2)
    assert not one_pass(showing, garden, 3.9)
    assert one_pass(showing, garden, 4)
    assert not one_pass(showing, garden, 60)
    assert len(shown.renewed) == 1


def test_it_waits_until_they_are_due(garden: Garden, shown: Shown) -> None:
    shown.due = MORNING + timedelta(minutes=45)
    showing = Showing()
    for minutes in (0, 2, 30, 44):
        assert not one_pass(showing, garden, minutes)
    assert one_pass(showing, garden, 45)


def test_findings_that_are_of_the_fit_cost_no_query_again(garden: Garden, shown: Shown) -> None:
    shown.due = None
    showing = Showing()
    one_pass(showing, garden, 0)
    one_pass(showing, garden, 2)
    known = Garden.objects.get(pk=garden.pk)
    with CaptureQueriesContext(connection) as asked:
        showing.one_pass(known, HANDBOOK, now=MORNING + timedelta(minutes=30))
    assert len(asked) == 0
    assert not shown.renewed


def test_what_could_not_be_worked_out_is_tried_again_later(garden: Garden, shown: Shown) -> None:
    showing = Showing()
    shown.is_broken = True
    one_pass(showing, garden, 0)
    with pytest.raises(ValueError, match="broken"):
        one_pass(showing, garden, 2)
    assert not one_pass(showing, garden, 3)
    shown.is_broken = False
    assert one_pass(showing, garden, 12)


def test_the_helper_sees_to_it(garden: Garden, shown: Shown, monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[str] = []

    def noted(self: Showing, garden: Garden, handbook: Any, *, now: datetime) -> bool:
        seen.append(garden.name)
        return False

    monkeypatch.setattr(Showing, "one_pass", noted)
    Helper(lambda fault: None).one_pass(now=MORNING)
    assert seen == [garden.name]


def test_forecasts_of_a_large_garden_are_held_against_what_came_in_quiet(
    garden: Garden, shown: Shown, monkeypatch: pytest.MonkeyPatch
) -> None:
    scored: list[int] = []

    def rescore(garden: Garden, handbook: Any, *, on: Any, at_most: int) -> bool:
        scored.append(at_most)
        return len(scored) <= 2

    shown.due = None
    monkeypatch.setattr(calibration, "rescore", rescore)
    showing = Showing()
    assert not one_pass(showing, garden, 0)
    assert scored == []
    # one season in each pass, and in the next the one after it
    assert one_pass(showing, garden, 2)
    assert one_pass(showing, garden, 2.1)
    assert not one_pass(showing, garden, 2.2)
    assert not one_pass(showing, garden, 20)
    assert scored == [1, 1, 1]


@pytest.mark.parametrize(("at_once", "n"), [(1_000, 1), (0, 0)])
def test_only_those_of_a_small_garden_are_at_once(
    garden: Garden, now: datetime, monkeypatch: pytest.MonkeyPatch, at_once: int, n: int
) -> None:
    scored: list[bool] = []

    class Fit:
        n_batches = 10

    monkeypatch.setattr(calibration, "_DONE", Remembered())
    monkeypatch.setattr(calibration, "fit_now", lambda *asked, **more: Fit)
    monkeypatch.setattr(calibration, "rescore", lambda *asked, **more: scored.append(True))
    monkeypatch.setattr(calibration, "AT_ONCE", at_once)
    calibration.refresh(garden, HANDBOOK, on=MORNING.date(), now=now)
    assert len(scored) == n


def test_a_fault_in_them_is_not_met_in_each_pass_and_keeps_no_trial_waiting(
    garden: Garden, shown: Shown, monkeypatch: pytest.MonkeyPatch
) -> None:
    tried: list[bool] = []
    faults: list[str] = []
    kept: list[bool] = []

    class Fit:
        n_batches = 10

    def rescore(*asked: Any, **more: Any) -> bool:
        tried.append(True)
        raise ValueError("broken")

    def trials(*asked: Any, **more: Any) -> int:
        kept.append(True)
        return 0

    monkeypatch.setattr(calibration, "_DONE", Remembered())
    monkeypatch.setattr(calibration, "fit_now", lambda *asked, **more: Fit)
    monkeypatch.setattr(calibration, "rescore", rescore)
    monkeypatch.setattr(trials_kept, "refresh", trials)
    helper = Helper(faults.append)
    # the first pass writes what a new garden lacks
    helper.one_pass(now=MORNING - timedelta(seconds=2))
    tried.clear()
    kept.clear()
    for seconds in (0, 2, 4):
        helper.one_pass(now=MORNING + timedelta(seconds=seconds))
    assert len(kept) == 3
    assert len(tried) <= 1
    assert [fault for fault in faults if "broken" in fault] == [
        f"forecasts of {garden.name}: ValueError: broken"
    ]
