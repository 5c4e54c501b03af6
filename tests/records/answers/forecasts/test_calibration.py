"""Forecasts are kept as they were made, and held against what came."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from functools import partial
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from slipwright.handbook import load_handbook
from slipwright.records import services
from slipwright.records.answers.forecasts import afterwards as afterwards_of
from slipwright.records.answers.forecasts import calibration
from slipwright.records.answers.forecasts import made as forecasts_made
from slipwright.records.answers.forecasts.afterwards import seasons_looked_back
from slipwright.records.answers.forecasts.calibration import rescore, scores_of
from slipwright.records.answers.forecasts.turned_out import Scores, scores_from, scores_in
from slipwright.records.answers.refit import learn
from slipwright.records.models import ForecastMade, Garden, GardenFit, Look, Member, Sticking
from slipwright.rooting import fitting
from slipwright.rooting.counts import BatchCounts, LookCounts
from slipwright.rooting.cuttings import Cuttings
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import Kind, Learned, before_records
from slipwright.rooting.reliability import Reliability
from tests.records.making import STUCK_ON, stick

HANDBOOK = load_handbook()


@pytest.fixture(autouse=True)
def _quick_fits(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(fitting, "fit", partial(fitting.fit, integrate_up_to=0))


def again(garden: Garden) -> Garden:
    return Garden.objects.get(pk=garden.pk)


def day(n: int) -> date:
    return STUCK_ON + timedelta(days=n)


def forecast(garden: Garden, n: int, now: datetime) -> int:
    return forecasts_made.refresh(again(garden), HANDBOOK, on=day(n), now=now)


@pytest.fixture
def who(garden: Garden, grower: Member, now: datetime) -> dict[str, Any]:
    return {"garden": garden, "by": grower, "now": now}


@pytest.fixture
def batch(garden: Garden, grower: Member, now: datetime) -> Sticking:
    return stick(garden, grower, now, n_stuck=12)


def test_a_forecast_is_made_when_stuck_and_again_after_each_look_and_not_else(
    garden: Garden, who: dict[str, Any], batch: Sticking, now: datetime
) -> None:
    assert forecast(garden, 0, now) == 1
    made = list(ForecastMade.rows.of(garden).order_by("by_day"))
    assert [one.by_day for one in made] == [day(7), day(112)]
    assert all((one.made_on, one.n_stuck, one.n_looks) == (STUCK_ON, 12, 0) for one in made)
    assert all(len(one.rooted) == len(one.by_handbook) == 19 for one in made)
    assert made[1].rooted == sorted(made[1].rooted)
    assert forecast(garden, 0, now) == forecast(garden, 1, now) == 0
    services.record_look(**who, batch=batch.batch, on=day(8), n_rooted=2, n_lost=0)
    assert forecast(garden, 8, now) == 1
    after = list(ForecastMade.rows.filter(made_on=day(8)).order_by("by_day"))
    assert [one.by_day for one in after] == [day(15), day(112)]
    assert after[0].rooted[0] >= 2
    assert [one.rooted for one in ForecastMade.rows.filter(made_on=STUCK_ON).order_by("by_day")] == [
        one.rooted for one in made
    ]


def test_a_second_look_on_a_day_puts_its_forecast_in_the_place_of_the_first_s(
    garden: Garden, who: dict[str, Any], batch: Sticking, now: datetime
) -> None:
    for n_rooted in (1, 5):
        services.record_look(**who, batch=batch.batch, on=day(8), n_rooted=n_rooted, n_lost=0)
        assert forecast(garden, 8, now) == 1
    made = ForecastMade.rows.of(garden).order_by("by_day")
    assert [(one.by_day, one.n_looks) for one in made] == [(day(15), 2), (day(112), 2)]
    assert made[0].rooted[0] >= 6


def test_a_batch_that_has_ended_or_is_not_yet_stuck_is_not_forecast(
    garden: Garden, grower: Member, who: dict[str, Any], batch: Sticking, now: datetime
) -> None:
    services.record_look(**who, batch=batch.batch, on=day(8), n_rooted=2, n_lost=10)
    stick(garden, grower, now, stuck_on=day(12))
    assert forecast(garden, 10, now) == 0
    assert forecast(garden, 12, now) == 1


def test_a_garden_in_which_nothing_was_written_costs_one_query(
    garden: Garden, batch: Sticking, now: datetime
) -> None:
    asked = again(garden)
    calibration.refresh(asked, HANDBOOK, on=day(0), now=now)
    with CaptureQueriesContext(
        connection,
    ) as queries:
        calibration.refresh(asked, HANDBOOK, on=day(0), now=now)
    assert len(queries) == 1


def test_what_came_is_held_against_what_was_forecast(
    garden: Garden, who: dict[str, Any], batch: Sticking, now: datetime
) -> None:
    forecast(garden, 0, now)
    services.record_look(**who, batch=batch.batch, on=day(7), n_rooted=1, n_lost=0)
    forecast(garden, 7, now)
    learn(again(garden), HANDBOOK, now=now)
    assert rescore(again(garden), HANDBOOK, on=day(20))
    made, afterwards = scores_of(again(garden))
    assert afterwards is None
    assert made is not None
    assert (made.n_made, made.left_out) == (4, {"not-yet": 2, "no-look": 1})
    assert made.whole is not None
    assert (made.whole.n, made.whole.n_average, made.verdict) == (1, 0, "too-few")
    (one,) = made.latest
    assert (one.batch, one.by_day, one.came) == (batch.batch, day(7), 1)
    assert not rescore(again(garden), HANDBOOK, on=day(20))


def test_what_turned_out_stays_told_until_the_next_fit_is_held_against_it(
    garden: Garden, who: dict[str, Any], batch: Sticking, now: datetime
) -> None:
    forecast(garden, 0, now)
    services.record_look(**who, batch=batch.batch, on=day(7), n_rooted=1, n_lost=0)
    learn(again(garden), HANDBOOK, now=now)
    rescore(again(garden), HANDBOOK, on=day(20))
    services.record_look(**who, batch=batch.batch, on=day(14), n_rooted=1, n_lost=10)
    learn(again(garden), HANDBOOK, now=now)
    (before, _) = scores_of(again(garden))
    assert before is not None
    assert before.n_made - sum(before.left_out.values()) == 1
    rescore(again(garden), HANDBOOK, on=day(120))
    (after, _) = scores_of(again(garden))
    assert after is not None
    assert after.left_out == {}
    GardenFit.rows.update(found={})
    assert scores_of(again(garden)) == (None, None)


def test_a_batch_taken_back_is_not_held_against_its_forecast(
    garden: Garden, grower: Member, who: dict[str, Any], batch: Sticking, now: datetime
) -> None:
    other = stick(garden, grower, now, n_stuck=9)
    forecast(garden, 0, now)
    for code in (batch.batch, other.batch):
        services.record_look(**who, batch=code, on=day(7), n_rooted=1, n_lost=0)
    (look,) = Look.rows.filter(batch=other)
    for entry in (look, other):
        services.withdraw(**who, withdraws=entry.entry_id, reason="not stuck", at=now)
    learn(again(garden), HANDBOOK, now=now)
    rescore(again(garden), HANDBOOK, on=day(20))
    (made, _) = scores_of(again(garden))
    assert made is not None
    assert [one.batch for one in made.latest] == [batch.batch]


def test_a_garden_just_loaded_is_forecast_some_batches_in_a_pass(
    garden: Garden, grower: Member, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(forecasts_made, "A_PASS", 2)
    for _ in range(3):
        stick(garden, grower, now)
    assert [forecast(garden, 0, now) for _ in range(3)] == [2, 1, 0]


def test_before_its_day_no_forecast_is_held_against_anything(
    garden: Garden, who: dict[str, Any], batch: Sticking, now: datetime
) -> None:
    # all rooted within three weeks: of later days only what such quick batches did would be known
    forecast(garden, 0, now)
    services.record_look(**who, batch=batch.batch, on=day(20), n_rooted=12, n_lost=0)
    learn(again(garden), HANDBOOK, now=now)
    rescore(again(garden), HANDBOOK, on=day(20))
    (made, _) = scores_of(again(garden))
    assert made is not None
    assert made.left_out == {"looks-apart": 1, "not-yet": 1}


# --- worked out afterwards ----------------------------------------------------------------------------


def record(code: str, season: int, n_rooted: int) -> BatchRecord:
    stuck_on = date(season, 6, 1)
    looks = (LookCounts(stuck_on + timedelta(days=30), n_rooted, 10 - n_rooted),)
    kind = Kind("Rosa", "Rosa", "semi-hardwood", str(season), code)
    return BatchRecord(Cuttings(), kind, BatchCounts(stuck_on, 10, looks))


def test_each_season_is_forecast_from_what_was_known_before_it() -> None:
    records = [
        record(f"{season}-{k}", season, season - 2017 + k) for season in (2020, 2021, 2022) for k in (0, 1)
    ]
    patience = dict.fromkeys((one.kind.batch for one in records), 120.0)
    taught: list[list[str]] = []

    def learn_from(earlier: Sequence[BatchRecord]) -> Learned:
        taught.append([one.kind.season for one in earlier])
        assert all(one.counts.looks for one in earlier)
        return before_records()

    seasons, is_all = seasons_looked_back(records, records, patience, learn_from)
    looked = [one for season in seasons.values() for one in season.looked]
    n_asked = sum(season.n_asked for season in seasons.values())
    assert is_all
    assert taught == [["2020"] * 2, ["2020"] * 2 + ["2021"] * 2]
    assert (n_asked, [one.season for one in looked]) == (4, ["2021", "2021", "2022", "2022"])
    assert [one.came for one in looked] == [4, 5, 5, 6]
    # 7 of 20 rooted in 2020, 16 of 40 by 2022
    assert [one.average and one.average[9] for one in looked] == [3, 3, 4, 4]


def test_records_loaded_from_tables_are_worked_out_afterwards_and_once(
    garden: Garden, grower: Member, who: dict[str, Any], now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    for year in (2023, 2024):
        for n_rooted in (3, 6):
            code = stick(garden, grower, now, n_stuck=10, stuck_on=date(year, 6, 1)).batch
            looked_on = date(year, 7, 1)
            services.record_look(**who, batch=code, on=looked_on, n_rooted=n_rooted, n_lost=10 - n_rooted)
    learn(again(garden), HANDBOOK, now=now)
    rescore(again(garden), HANDBOOK, on=day(20))
    made, afterwards = scores_of(again(garden))
    assert made is None
    assert afterwards is not None
    assert afterwards.whole is not None
    assert (afterwards.whole.n, [one.what for one in afterwards.seasons]) == (2, ["2024"])
    monkeypatch.setattr(calibration, "fitted", lambda records: pytest.fail("worked out again"))
    learn(again(garden), HANDBOOK, now=now, anew=True)
    assert rescore(again(garden), HANDBOOK, on=day(20))
    assert scores_of(again(garden))[1] == afterwards


def test_of_many_seasons_one_is_worked_out_each_time_and_none_twice(
    garden: Garden, grower: Member, who: dict[str, Any], now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    taught: list[int] = []

    def learn_from(earlier: Sequence[BatchRecord]) -> Learned:
        taught.append(len(earlier))
        return before_records()

    monkeypatch.setattr(calibration, "fitted", learn_from)
    for year in (2021, 2022, 2023, 2024):
        code = stick(garden, grower, now, n_stuck=10, stuck_on=date(year, 6, 1)).batch
        services.record_look(**who, batch=code, on=date(year, 7, 1), n_rooted=4, n_lost=6)
    learn(again(garden), HANDBOOK, now=now)
    told = []
    while rescore(again(garden), HANDBOOK, on=day(20), at_most=1):
        _, afterwards = scores_of(again(garden))
        told.append(afterwards and [one.what for one in afterwards.seasons])
        # learned anew meanwhile, which is no reason to begin again
        learn(again(garden), HANDBOOK, now=now, anew=True)
        assert len(told) < 9
        if told[-1]:
            break
    assert taught == [1, 2, 3]
    assert told == [None, None, ["2022", "2023", "2024"]]


def test_the_helper_goes_on_with_the_next_season_in_the_next_pass(
    garden: Garden, grower: Member, who: dict[str, Any], now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    taught: list[int] = []

    def learn_from(earlier: Sequence[BatchRecord]) -> Learned:
        taught.append(len(earlier))
        return before_records()

    monkeypatch.setattr(calibration, "fitted", learn_from)
    for year in (2022, 2023, 2024):
        code = stick(garden, grower, now, n_stuck=10, stuck_on=date(year, 6, 1)).batch
        services.record_look(**who, batch=code, on=date(year, 7, 1), n_rooted=4, n_lost=6)
    learn(again(garden), HANDBOOK, now=now)
    told = []
    for _ in range(4):
        calibration.refresh(again(garden), HANDBOOK, on=day(20), now=now)
        told.append(list(taught))
    assert told == [[1], [1, 2], [1, 2], [1, 2]]


def test_of_forecasts_made_only_the_newest_of_the_newest_seasons_are_read(
    garden: Garden, grower: Member, who: dict[str, Any], now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    for year in (2022, 2023, 2024):
        for _ in range(2):
            batch = stick(garden, grower, now, n_stuck=10, stuck_on=date(year, 6, 1))
            services.record_look(**who, batch=batch.batch, on=date(year, 7, 1), n_rooted=4, n_lost=6)
            for by_day in (date(year, 7, 1), day(300)):
                ForecastMade.rows.create(
                    garden=garden,
                    batch=batch,
                    made_on=batch.stuck_on,
                    by_day=by_day,
                    n_stuck=10,
                    n_looks=0,
                    n_learned_from=0,
                    rooted=[4] * 19,
                    by_handbook=[5] * 19,
                )

    def seasons_told() -> tuple[int, int, list[str]]:
        learn(again(garden), HANDBOOK, now=now, anew=True)
        assert rescore(again(garden), HANDBOOK, on=day(20))
        made, afterwards = scores_of(again(garden))
        assert made is not None
        assert made.whole is not None
        # forecasts that are no longer read were made all the same
        assert afterwards is None
        return made.whole.n, made.left_out["not-yet"], [one.what for one in made.seasons]

    assert seasons_told() == (6, 6, ["2022", "2023", "2024"])
    monkeypatch.setattr(afterwards_of, "MOST_SEASONS", 2)
    assert seasons_told() == (4, 4, ["2023", "2024"])
    monkeypatch.setattr(calibration, "MOST_MADE", 3)
    assert seasons_told() == (3, 4, ["2023", "2024"])


def test_a_few_batches_more_do_not_have_all_seasons_learned_from_again_within_the_month() -> None:
    before = {"mark": "a", "model": "m", "n_asked": 100, "worked_on": "2025-10-01"}
    rests = before | {"mark": "b", "n_asked": 105, "worked_on": "2025-10-20"}
    assert calibration._stands(before, rests)
    assert not calibration._stands(before, rests | {"n_asked": 150})
    assert not calibration._stands(before, rests | {"model": "another"})
    assert not calibration._stands(before, rests | {"worked_on": "2025-11-01"})
    assert calibration._stands(before, rests | {"mark": "a", "worked_on": "2026-11-01"})


def test_batches_whose_patience_has_not_ended_are_not_worked_out_afterwards(
    garden: Garden, grower: Member, who: dict[str, Any], now: datetime
) -> None:
    for year in (2024, 2025):
        code = stick(garden, grower, now, n_stuck=10, stuck_on=date(year, 9, 1)).batch
        services.record_look(**who, batch=code, on=date(year, 10, 1), n_rooted=10, n_lost=0)
    learn(again(garden), HANDBOOK, now=now)
    rescore(again(garden), HANDBOOK, on=date(2025, 10, 20))
    assert scores_of(again(garden)) == (None, None)


def test_pots_of_one_trial_count_as_one_batch() -> None:
    records = [record(f"{season}-{k}", season, 3 + k % 4) for season in (2020, 2021) for k in range(16)]
    patience = dict.fromkeys((one.kind.batch for one in records), 120.0)
    seasons, _ = seasons_looked_back(records, records, patience, lambda _: before_records())
    looked = [one for season in seasons.values() for one in season.looked]
    by_code = {one.kind.batch: one for one in records}
    trials = {one.batch: "dip or none" for one in looked[:12]}
    apart, together = (
        scores_from(scores_in(looked, by_code, n_made=16, left_out={}, trials=which))
        for which in ({}, trials)
    )
    assert apart is not None
    assert together is not None
    assert apart.ranges is not None
    assert together.ranges is not None
    assert (apart.ranges.n_batches, together.ranges.n_batches) == (16, 5)
    assert together.ranges.held_low < apart.ranges.held_low
    assert together.verdict == "too-few"


def test_a_verdict_is_passed_on_what_chance_does_once_in_twenty_and_hinted_at_before() -> None:
    def verdict(n_held: int) -> str:
        bands = {"held_low": 75.0, "held_high": 88.0, "held_sure": (72.0, 91.0), "middle_sure": (0.4, 0.6)}
        curve = (0.5,) * 19
        ranges = Reliability(100, 100, curve, curve, curve, n_held, 82.0, **bands)  # type: ignore[arg-type]
        return Scores(100, 0, {}, ranges, None, [], [], []).verdict

    found = [verdict(n) for n in (71, 72, 75, 88, 91, 92)]
    assert found == ["too-narrow", "perhaps-narrow", "as-meant", "as-meant", "perhaps-wide", "too-wide"]


def test_what_is_summed_up_comes_back_as_it_was_kept() -> None:
    records = [record(f"{season}-{k}", season, 3 + k) for season in (2020, 2021) for k in range(4)]
    patience = dict.fromkeys((one.kind.batch for one in records), 120.0)
    seasons, _ = seasons_looked_back(records, records, patience, lambda _: before_records())
    looked = [one for season in seasons.values() for one in season.looked]
    by_code = {one.kind.batch: one for one in records}
    kept = scores_in(looked, by_code, n_made=4, left_out={}, trials={})
    scores = scores_from(kept)
    assert scores is not None
    assert scores.whole is not None
    assert scores.whole.ours == scores.whole.handbook
    assert scores.whole.than_handbook.share == pytest.approx(0)
    assert [one.came for one in scores.latest] == [6, 5, 4, 3]
    assert scores_from(None) is None
