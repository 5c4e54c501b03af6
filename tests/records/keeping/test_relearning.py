"""When the helper learns again: after quiet, not too often, each night from nothing, and after a load."""

from __future__ import annotations

import os
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from slipwright.handbook import load_handbook
from slipwright.records.answers import refit
from slipwright.records.keeping import diary
from slipwright.records.keeping.relearning import Relearning
from slipwright.records.model_version import model_version
from slipwright.records.models import Garden, Member
from slipwright.records.selectors import fits
from slipwright.records.services.fits import FitFacts, keep_fit
from tests.records.making import stick

HANDBOOK = load_handbook()
#: ten in the morning at the garden
MORNING = datetime(2025, 10, 20, 14, 0, tzinfo=UTC)


class Learner:
    """Stands in for learning: notes when and how, and keeps an empty fit."""

    def __init__(self) -> None:
        self.calls: list[tuple[datetime, bool]] = []
        self.is_broken = False

    def __call__(self, garden: Garden, handbook: Any, *, now: datetime, full: bool, progress: Any) -> bool:
        self.calls.append((now, full))
        if self.is_broken:
            raise ValueError("broken")
        as_read = (now, garden.last_number, garden.last_edit)
        facts = FitFacts(model_version(), str(len(self.calls)), full, 1, 1, *as_read, 0.1, True, {})
        keep_fit(garden, facts, shared=b"", start=b"", nodes=())
        return True


@pytest.fixture
def learner(monkeypatch: pytest.MonkeyPatch) -> Learner:
    """Put a stand-in in the place of learning."""
    stand_in = Learner()
    monkeypatch.setattr(refit, "learn", stand_in)
    return stand_in


class Helper:
    """Passes of the helper at seconds after the morning."""

    def __init__(self, garden: Garden) -> None:
        self.relearning = Relearning()
        self.garden = garden

    def pass_at(self, seconds: float) -> bool:
        """Make one pass."""
        garden = Garden.objects.get(pk=self.garden.pk)
        return self.relearning.one_pass(garden, HANDBOOK, now=MORNING + timedelta(seconds=seconds))


def at(seconds: float) -> datetime:
    """Return a time so long after the morning."""
    return MORNING + timedelta(seconds=seconds)


def test_it_waits_until_nothing_was_written_for_ten_seconds(
    garden: Garden, grower: Member, now: datetime, learner: Learner
) -> None:
    helper = Helper(garden)
    for seconds in (0, 4, 8):
        stick(garden, grower, now)
        assert not helper.pass_at(seconds)
    assert not helper.pass_at(17)
    assert helper.pass_at(18)
    assert learner.calls == [(at(18), True)]


def test_it_learns_at_most_once_a_minute_and_goes_on_from_the_fit_before(
    garden: Garden, grower: Member, now: datetime, learner: Learner
) -> None:
    helper = Helper(garden)
    helper.pass_at(0)
    assert helper.pass_at(10)
    stick(garden, grower, now)
    assert not helper.pass_at(12)
    assert not helper.pass_at(60)
    assert helper.pass_at(71)
    assert learner.calls == [(at(10), True), (at(71), False)]


def test_a_garden_in_which_nothing_was_written_costs_no_query(garden: Garden, learner: Learner) -> None:
    helper = Helper(garden)
    helper.pass_at(0)
    helper.pass_at(10)
    known = Garden.objects.get(pk=garden.pk)
    with CaptureQueriesContext(connection) as asked:
        helper.relearning.one_pass(known, HANDBOOK, now=at(600))
    assert len(asked) == 0
    assert len(learner.calls) == 1


def test_what_could_not_be_learned_is_tried_again_a_minute_later(garden: Garden, learner: Learner) -> None:
    helper = Helper(garden)
    learner.is_broken = True
    helper.pass_at(0)
    with pytest.raises(ValueError, match="broken"):
        helper.pass_at(10)
    assert not helper.pass_at(40)
    learner.is_broken = False
    assert helper.pass_at(71)


def test_each_night_it_learns_from_nothing_what_came_since(
    garden: Garden, grower: Member, now: datetime, learner: Learner
) -> None:
    helper = Helper(garden)
    hours = 3600
    helper.pass_at(0)
    helper.pass_at(10)
    stick(garden, grower, now)
    helper.pass_at(100)
    helper.pass_at(110)
    assert [full for _, full in learner.calls] == [True, False]
    # three in the morning there
    assert not helper.pass_at(16.9 * hours)
    assert helper.pass_at(17.1 * hours)
    assert [full for _, full in learner.calls] == [True, False, True]
    # nothing was written on the next day, but what the records mean may be another
    helper.pass_at(41.1 * hours)
    assert [full for _, full in learner.calls] == [True, False, True, True]


def test_a_helper_started_after_the_night_makes_up_for_it(
    garden: Garden, grower: Member, now: datetime, learner: Learner
) -> None:
    first = Helper(garden)
    first.pass_at(0)
    first.pass_at(10)
    stick(garden, grower, now)
    first.pass_at(100)
    first.pass_at(110)
    second = Helper(garden)
    second.pass_at(30 * 3600)
    assert second.pass_at(30 * 3600 + 10)
    assert learner.calls[-1][1]


def test_a_load_asks_for_learning_from_nothing(
    garden: Garden, grower: Member, now: datetime, learner: Learner
) -> None:
    helper = Helper(garden)
    helper.pass_at(0)
    helper.pass_at(10)
    stick(garden, grower, now)
    diary.leave("learn-asked")
    left_at = at(200).timestamp()
    os.utime(diary.beside("learn-asked"), (left_at, left_at))
    helper.pass_at(210)
    assert helper.pass_at(220)
    assert learner.calls[-1] == (at(220), True)
    stick(garden, grower, now)
    helper.pass_at(300)
    assert helper.pass_at(310)
    assert learner.calls[-1] == (at(310), False)


def test_another_model_is_learned_by_at_once(
    garden: Garden, learner: Learner, monkeypatch: pytest.MonkeyPatch
) -> None:
    helper = Helper(garden)
    helper.pass_at(0)
    helper.pass_at(10)
    monkeypatch.setattr(fits, "model_version", lambda: "another")
    second = Helper(garden)
    second.pass_at(100)
    assert second.pass_at(110)


def test_only_the_helper_without_patience_learns_in_its_first_pass(garden: Garden, learner: Learner) -> None:
    fresh = Garden.objects.get(pk=garden.pk)
    assert not Relearning().one_pass(fresh, HANDBOOK, now=MORNING)
    assert Relearning(quiet_for=timedelta(0)).one_pass(fresh, HANDBOOK, now=MORNING)
