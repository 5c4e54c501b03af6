"""Verdicts are kept with what was learned, and the list of trials works out next to none itself."""

from __future__ import annotations

from datetime import datetime

import pytest

from slipwright.handbook import load_handbook
from slipwright.records.answers.refit import learn
from slipwright.records.answers.trials import kept as trials_kept
from slipwright.records.answers.trials.kept import refresh, verdicts_of
from slipwright.records.answers.trials.now import TrialNow, trials_now
from slipwright.records.answers.trials.told import told_of
from slipwright.records.models import Garden, Member
from slipwright.records.services import record_look
from tests.records.answers.trial_making import DUE_ON, count, fix, stick_all

pytestmark = pytest.mark.parametrize("database", ["sqlite"], indirect=True)
NAMES = ("first", "second")


def again(garden: Garden) -> Garden:
    return Garden.objects.get(pk=garden.pk)


@pytest.fixture
def judged(garden: Garden, grower: Member, now: datetime) -> list[TrialNow]:
    """Two trials counted to the last pot, in a garden that was learned from."""
    for name, gel in zip(NAMES, ([6, 7, 6], [2, 3, 2]), strict=True):
        fix(garden, grower, now, name=name, blocks=3)
        pots = stick_all(garden, grower, now, name=name, blocks=3)
        count(garden, grower, now, pots, {"A": [2, 3, 2], "B": gel})
    learn(again(garden), load_handbook(), now=now)
    return trials_now(garden, NAMES, on=DUE_ON)


def test_what_is_kept_is_what_the_trial_s_own_page_works_out(
    garden: Garden, judged: list[TrialNow], monkeypatch: pytest.MonkeyPatch
) -> None:
    assert refresh(again(garden), on=DUE_ON) == 2
    monkeypatch.setattr(trials_kept, "told_of", lambda now: pytest.fail("worked out again"))
    kept = verdicts_of(again(garden), judged)
    told = {now.row.trial: told_of(now) for now in judged}
    assert kept == {name: one.verdict for name, one in told.items() if one}
    assert refresh(again(garden), on=DUE_ON) == 0


def test_a_page_works_out_one_that_is_missing_and_leaves_the_rest_to_the_helper(
    garden: Garden, judged: list[TrialNow]
) -> None:
    assert len(verdicts_of(again(garden), judged)) == 1


def test_another_count_has_another_verdict_and_a_later_fit_keeps_the_others(
    garden: Garden, grower: Member, judged: list[TrialNow], now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    refresh(again(garden), on=DUE_ON)
    pot = judged[0].pots[0].pot
    record_look(garden=garden, by=grower, now=now, batch=pot.batch, on=DUE_ON, n_rooted=1, n_lost=0)
    learn(again(garden), load_handbook(), now=now)
    assert refresh(again(garden), on=DUE_ON) == 1


def test_a_trial_of_which_too_little_was_counted_is_kept_as_such(
    garden: Garden, grower: Member, now: datetime
) -> None:
    fix(garden, grower, now, blocks=2, name="first")
    pots = stick_all(garden, grower, now, blocks=2, name="first")
    for pot in pots:
        if pot.arm == "B":
            record_look(garden=garden, by=grower, now=now, batch=pot.batch, on=DUE_ON, n_removed=8)
    count(garden, grower, now, pots, {"A": [2, 3]})
    learn(again(garden), load_handbook(), now=now)
    assert refresh(again(garden), on=DUE_ON) == 1
    assert verdicts_of(again(garden), trials_now(garden, ["first"], on=DUE_ON)) == {"first": None}
