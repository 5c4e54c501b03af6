"""What a trial taught: settled only when it is, and how many pots would settle it."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest
from click.testing import CliRunner

from slipwright.cli.trial import trial as command_of_trials
from slipwright.records.answers.trials.now import TrialNow, trial_now
from slipwright.records.answers.trials.plan import Arm, Plan
from slipwright.records.answers.trials.table import command, file_name, trial_csv
from slipwright.records.answers.trials.told import TrialTold, told_of
from slipwright.records.models import Garden, Member
from tests.records.answers.trial_making import DUE_ON, NAME, PLAN, STUCK_ON, count, fix, stick_all
from tests.records.making import stick

pytestmark = pytest.mark.parametrize("database", ["sqlite"], indirect=True)


def _now(
    garden: Garden,
    by: Member,
    at: datetime,
    none: Sequence[int],
    gel: Sequence[int],
    *,
    plan: Plan = PLAN,
    each: int = 8,
) -> TrialNow:
    blocks = max(len(none), len(gel))
    fix(garden, by, at, plan=plan, blocks=blocks, each=each)
    pots = stick_all(garden, by, at, plan=plan, blocks=blocks, each=each)
    count(garden, by, at, pots, {"A": none, "B": gel})
    return trial_now(garden, NAME, on=DUE_ON)


def _told(now: TrialNow) -> TrialTold:
    found = told_of(now)
    assert found is not None
    return found


def test_a_large_difference_over_many_pots_is_settled(garden: Garden, grower: Member, now: datetime) -> None:
    told = _told(_now(garden, grower, now, [2, 3, 2, 3, 2, 3], [6, 7, 6, 7, 6, 7]))
    verdict = told.verdict
    assert (verdict.kind, verdict.ahead.letter, verdict.behind.letter) == ("settled", "B", "A")
    assert 0.3 < verdict.low < verdict.by < verdict.high < 0.7
    assert [(one.n_pots, one.n_rooted, one.n_tried) for one in told.arms] == [(6, 15, 48), (6, 39, 48)]


def test_a_worse_way_is_told_as_the_other_being_ahead(garden: Garden, grower: Member, now: datetime) -> None:
    verdict = _told(_now(garden, grower, now, [7] * 6, [2] * 6)).verdict
    assert (verdict.kind, verdict.ahead.letter) == ("settled", "A")
    assert verdict.by > 0
    assert verdict.p > 0.97


def test_a_small_lead_is_not_settled_and_says_how_many_pots_would_settle_it(
    garden: Garden, grower: Member, now: datetime
) -> None:
    verdict = _told(_now(garden, grower, now, [4, 5, 4, 5], [5, 5, 4, 5])).verdict
    assert verdict.kind == "open"
    assert verdict.low < 0 < verdict.high
    assert verdict.n_to_settle is not None
    assert 10 < verdict.n_to_settle < 30


def test_ways_that_differ_by_less_than_what_matters_are_settled_as_alike(
    garden: Garden, grower: Member, now: datetime
) -> None:
    plan = replace(PLAN, matters=0.4)
    verdict = _told(_now(garden, grower, now, [4, 5] * 4, [5, 4] * 4, plan=plan)).verdict
    assert (verdict.kind, verdict.matters) == ("alike", 0.4)


def test_each_way_is_told_from_the_first_as_the_plan_has_it(
    garden: Garden, grower: Member, now: datetime
) -> None:
    plan = replace(PLAN, arms=(*PLAN.arms, Arm("C", "no leaves", {"leaves": "none"})))
    fix(garden, grower, now, plan=plan, blocks=5)
    pots = stick_all(garden, grower, now, plan=plan, blocks=5)
    count(garden, grower, now, pots, {"A": [4] * 5, "B": [8] * 5, "C": [0] * 5})
    told = _told(trial_now(garden, NAME, on=DUE_ON))
    # C over B is the largest of the three
    assert {told.verdict.ahead.letter, told.verdict.behind.letter} in ({"A", "B"}, {"A", "C"})
    assert [(one.arm.letter, one.against.letter) for one in told.pairs] == [
        ("B", "A"),
        ("C", "A"),
        ("C", "B"),
    ]


def test_a_pot_that_names_no_way_is_left_out_of_the_page_and_of_the_table(
    garden: Garden, grower: Member, now: datetime
) -> None:
    found = _now(garden, grower, now, [2, 3, 2], [6, 7, 6])
    odd = stick(garden, grower, now, trial=NAME, arm="Z", block="4", stuck_on=STUCK_ON, n_stuck=8)
    count(garden, grower, now, [odd], {"Z": [8]})
    with_odd = trial_now(garden, NAME, on=DUE_ON)
    assert (with_odd.n_of_no_way, with_odd.may_judge) == (1, True)
    assert _told(with_odd).verdict == _told(found).verdict
    (line,) = [row for row in b"".join(trial_csv(with_odd)).decode().splitlines() if odd.batch in row]
    assert ",8,," in line


def test_one_pot_of_each_settles_nothing(garden: Garden, grower: Member, now: datetime) -> None:
    assert _told(_now(garden, grower, now, [0], [40], each=40)).verdict.kind == "unrepeated"


def test_nothing_is_told_as_long_as_one_way_was_not_counted(
    garden: Garden, grower: Member, now: datetime
) -> None:
    assert told_of(_now(garden, grower, now, [4, 4, 4, 4], [])) is None


def test_the_table_is_read_by_the_command_as_it_stands(
    garden: Garden, grower: Member, now: datetime, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    found = _now(garden, grower, now, [2, 3, 2, 3, 2], [6, 7, 6, 7, 6, 7])
    monkeypatch.chdir(tmp_path)
    Path(file_name(found)).write_bytes(b"".join(trial_csv(found)))
    words = command(found)
    assert words.startswith("slipwright trial trial-dip-or-none.csv --rooted rooted")
    answer = CliRunner().invoke(command_of_trials, shlex.split(words)[2:])
    assert answer.exit_code == 0, answer.output
    assert "IBA 1000 mg/L, gel did better than no hormone" in answer.output
    assert "1 row has no count" in answer.output
    by_page = _told(found).fit.contrasts[0].difference
    assert f"by {round(100 * by_page.mean)} in 100" in answer.output
