"""The season report of a garden: what is counted in it, and what is not."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from slipwright.outputs.season_told import SeasonReport
from slipwright.records import services
from slipwright.records.answers.report.season_report import (
    days_of_season,
    season_report_of,
    seasons_of_garden,
)
from slipwright.records.errors import NotFound
from slipwright.records.models import BatchState, Cost, Garden, Member, Sticking, Want
from tests.records.making import stick

STUCK_ON = date(2025, 5, 1)


@pytest.fixture
def who(garden: Garden, grower: Member, now: datetime) -> dict[str, Any]:
    return {"garden": garden, "by": grower, "now": now}


@pytest.fixture
def batch(garden: Garden, grower: Member, now: datetime) -> Sticking:
    return stick(
        garden, grower, now, stuck_on=STUCK_ON, want="roses-27", container="pot-1l", n_per_container=10,
        medium="half-and-half", minutes=Decimal(30),
    )  # fmt: skip


def report(garden: Garden, season: str = "2025", on: date = date(2025, 10, 20)) -> SeasonReport:
    garden.refresh_from_db()
    return season_report_of(garden, season=season, on=on)


@pytest.mark.parametrize("season", ["0000", "0001", "9999", "²²²²", "٢٠٢٥", "20255", "last", ""])
@pytest.mark.parametrize("latitude", [51, -40])
def test_what_names_no_year_with_all_its_days_is_refused(garden: Garden, season: str, latitude: int) -> None:
    Garden.objects.filter(pk=garden.pk).update(latitude_deg=latitude)
    with pytest.raises(NotFound, match="by its year"):
        report(garden, season)


@pytest.mark.parametrize("season", ["0002", "9998"])
def test_the_furthest_seasons_are_told_as_empty(garden: Garden, season: str) -> None:
    assert report(garden, season).answer == f"Nothing was stuck in the season {season}."


def after(days: int) -> date:
    return STUCK_ON + timedelta(days=days)


def test_it_counts_what_the_cuttings_came_to(who: dict[str, Any], batch: Sticking) -> None:
    services.record_look(**who, batch=batch.batch, on=after(30), n_rooted=8, n_lost=3, cause="dried")
    services.record_look(**who, batch=batch.batch, on=after(40), n_lost=2, cause="rot-from-base")
    told = report(who["garden"])
    assert (told.n_stuck, told.n_rooted, told.n_lost, told.n_waiting) == (20, 8, 5, 7)
    assert told.answer == "Of 20 cuttings stuck, 8 rooted and 5 were lost; 7 still wait."
    assert [(one.cause, one.n) for one in told.losses] == [("dried", 3), ("rot-from-base", 2)]
    assert told.losses_said == "Most were lost to one thing, dried: 3 of 5."
    (plant,) = told.plants
    assert (plant.taxon, plant.wood, plant.n_batches, plant.n_stuck) == (
        "Rosa 'Pale Ferry'",
        "semi-hardwood",
        1,
        20,
    )


def test_what_was_stuck_is_rooted_lost_waiting_or_taken_away(who: dict[str, Any], batch: Sticking) -> None:
    services.record_look(**who, batch=batch.batch, on=after(30), n_rooted=8, n_lost=3, n_removed=4)
    told = report(who["garden"])
    assert told.n_stuck == told.n_rooted + told.n_lost + told.n_waiting + told.n_removed
    assert told.n_removed == 4
    assert told.answer.endswith("5 still wait; 4 were taken away.")
    (plant,) = told.plants
    assert plant.n_stuck == plant.n_rooted + plant.n_lost + plant.n_waiting + plant.n_removed
    assert told.as_json()["plants"][0]["n_removed"] == 4


def test_where_more_is_counted_than_stuck_it_says_that_the_sums_do_not_meet(
    who: dict[str, Any], batch: Sticking
) -> None:
    assert report(who["garden"]).remarks == ()
    BatchState.rows.filter(batch=batch).update(n_waiting=-2, n_lost=22)
    (remark,) = report(who["garden"]).remarks
    assert batch.batch in remark


def test_causes_of_which_as_many_were_lost_are_named_together(who: dict[str, Any], batch: Sticking) -> None:
    services.record_look(**who, batch=batch.batch, on=after(30), n_lost=3, cause="dried")
    services.record_look(**who, batch=batch.batch, on=after(40), n_lost=3, cause="frost")
    services.record_look(**who, batch=batch.batch, on=after(50), n_lost=1, cause="pest")
    assert report(who["garden"]).losses_said == "The commonest were dried, frost: 3 each, of 7."


def test_half_is_not_most(who: dict[str, Any], batch: Sticking) -> None:
    for day, cause, n in ((30, "dried", 4), (40, "frost", 3), (50, "pest", 1)):
        services.record_look(**who, batch=batch.batch, on=after(day), n_lost=n, cause=cause)
    assert report(who["garden"]).losses_said == "The commonest was dried: 4 of 8."


def test_a_loss_nobody_explained_is_told_as_that_and_comes_last(who: dict[str, Any], batch: Sticking) -> None:
    services.record_look(**who, batch=batch.batch, on=after(30), n_rooted=9, n_lost=5)
    services.record_look(**who, batch=batch.batch, on=after(40), n_lost=1, n_lost_rooted=1, cause="frost")
    told = report(who["garden"])
    assert [(one.cause, one.n) for one in told.losses] == [("frost", 2), ("not-said", 5)]
    assert told.losses_said.endswith("Of all lost, 1 had rooted before.")


def test_a_withdrawn_look_and_a_withdrawn_batch_count_for_nothing(
    who: dict[str, Any], batch: Sticking, now: datetime
) -> None:
    look = services.record_look(**who, batch=batch.batch, on=after(30), n_lost=3, cause="dried")
    services.withdraw(**who, withdraws=look.entry_id, reason="wrong", at=now)
    assert report(who["garden"]).losses == ()
    services.withdraw(**who, withdraws=batch.entry_id, reason="wrong", at=now)
    assert report(who["garden"]).n_stuck == 0


def test_another_season_is_left_out(who: dict[str, Any], batch: Sticking) -> None:
    assert report(who["garden"], "2024").n_stuck == 0
    assert report(who["garden"], "2024").answer == "Nothing was stuck in the season 2024."
    assert seasons_of_garden(who["garden"]) == ["2025"]


def test_in_the_south_a_season_is_named_by_the_year_its_summer_ends_in(
    who: dict[str, Any], batch: Sticking
) -> None:
    days = days_of_season("2026", south=True)
    assert (days.first, days.last) == (date(2025, 7, 2), date(2026, 7, 1))
    garden = who["garden"]
    Garden.objects.filter(pk=garden.pk).update(latitude_deg=Decimal("-41"))
    garden.refresh_from_db()
    stick(garden, who["by"], who["now"], stuck_on=date(2025, 9, 1))
    assert report(garden, "2026").n_stuck == 20
    assert seasons_of_garden(garden) == ["2026", "2025"]


@pytest.mark.parametrize(
    ("ready_by", "n_wanted", "state", "said"),
    [
        (after(60), 8, "met", "met"),
        (after(35), 8, "late", "met, late"),
        (after(60), 11, "short", "3 short"),
        (date(2025, 12, 1), 11, "open", "due 1 Dec 2025"),
    ],
)
def test_a_want_is_met_in_time_late_short_or_still_open(
    who: dict[str, Any], batch: Sticking, ready_by: date, n_wanted: int, state: str, said: str
) -> None:
    garden = who["garden"]
    Want.rows.filter(garden=garden).update(ready_by=ready_by, n_wanted=n_wanted, ready_as="potted")
    services.record_look(**who, batch=batch.batch, on=after(30), n_rooted=8)
    services.record_potting(**who, batch=batch.batch, on=after(40), n_potted=8)
    (want,) = report(garden).wants
    assert (want.n_there, want.state, want.said) == (8, state, said)


def test_plants_count_for_a_want_by_how_far_they_came_and_once_only(
    who: dict[str, Any], batch: Sticking
) -> None:
    garden = who["garden"]
    Want.rows.filter(garden=garden).update(ready_by=date(2025, 10, 1), n_wanted=6, ready_as="weaned")
    services.record_look(**who, batch=batch.batch, on=after(30), n_rooted=8)
    services.record_potting(**who, batch=batch.batch, on=after(40), n_potted=8)
    services.record_outcome(**who, batch=batch.batch, on=after(60), ready_as="weaned", n_reached=7, n_lost=1)
    services.record_outcome(
        **who, batch=batch.batch, on=after(90), ready_as="established", n_reached=5, fate="given"
    )
    (want,) = report(garden).wants
    assert want.n_there == 7
    assert want.state == "met"
    assert report(garden).wants_said == "The one want that was due is met."


def test_a_want_due_in_the_season_is_told_though_it_was_stuck_for_before(
    who: dict[str, Any], batch: Sticking
) -> None:
    Want.rows.filter(garden=who["garden"]).update(ready_by=date(2026, 3, 1), ready_as="rooted")
    services.record_look(**who, batch=batch.batch, on=after(30), n_rooted=8)
    told = report(who["garden"], "2026", date(2026, 4, 1))
    assert told.n_stuck == 0
    assert [(one.want, one.n_there, one.said) for one in told.wants] == [("roses-27", 8, "32 short")]


def test_what_a_plant_cost_stands_beside_what_one_is_worth(who: dict[str, Any], batch: Sticking) -> None:
    garden = who["garden"]
    Want.rows.filter(garden=garden).update(ready_as="rooted", value_each=Decimal(5))
    services.record_look(**who, batch=batch.batch, on=after(30), n_rooted=8)
    assert report(garden).costs_said.startswith("No cost is written down")
    for item, unit, cost in (("pot-1l", "each", "0.3"), ("perlite", "litre", "1"), ("labour", "hour", "12")):
        Cost.rows.create(garden=garden, item=item, unit=unit, cost=Decimal(cost))
    told = report(garden)
    (line,) = told.costs
    # two pots, a litre of perlite, half an hour
    assert line.spent == pytest.approx(2 * 0.3 + 1 + 6)
    assert line.each == pytest.approx(7.6 / 8)
    assert line.said == "4.05 cheaper"
    assert "vermiculite" in told.costs_left_out
    assert "Batches without" not in told.costs_left_out
    assert "7.60" in told.costs_said


def test_without_a_price_nothing_is_set_beside_buying(who: dict[str, Any], batch: Sticking) -> None:
    Cost.rows.create(garden=who["garden"], item="pot-1l", unit="each", cost=Decimal("0.3"))
    told = report(who["garden"])
    assert told.costs == ()
    assert "nothing to set beside buying" in told.costs_said


def test_batches_of_which_pots_medium_or_minutes_are_not_known_are_told(
    who: dict[str, Any], batch: Sticking, now: datetime
) -> None:
    garden = who["garden"]
    for item, unit, cost in (("pot-1l", "each", "0.3"), ("labour", "hour", "12")):
        Cost.rows.create(garden=garden, item=item, unit=unit, cost=Decimal(cost))
    assert "Batches without" not in report(garden).costs_left_out
    stick(garden, who["by"], now, stuck_on=STUCK_ON)
    stick(garden, who["by"], now, stuck_on=STUCK_ON, container="pot-1l", n_per_container=10)
    told = report(garden).costs_left_out
    assert "Batches without minutes, their hours not counted: 2." in told
    assert "Batches without a container, their pots and medium not counted: 1." in told
    assert "Batches without a medium, what fills the pots not counted: 1." in told
    assert told.startswith("Labels, hormone, potting on, water, light and the wait are not counted.")
    Cost.rows.filter(garden=garden, item="labour").update(cost=0)  # hours are given
    assert "Batches without minutes" not in report(garden).costs_left_out


def test_of_a_season_in_which_nothing_was_stuck_no_cost_is_told(who: dict[str, Any], batch: Sticking) -> None:
    Cost.rows.create(garden=who["garden"], item="pot-1l", unit="each", cost=Decimal("0.3"))
    told = report(who["garden"], "2024")
    assert (told.costs_said, told.costs_left_out) == ("", "")


def test_what_was_spent_is_told_before_anything_has_rooted(who: dict[str, Any], batch: Sticking) -> None:
    Cost.rows.create(garden=who["garden"], item="pot-1l", unit="each", cost=Decimal("0.3"))
    told = report(who["garden"])
    assert told.n_rooted == 0
    assert "came to 0.60" in told.costs_said


def test_before_anything_is_learned_it_says_so(who: dict[str, Any], batch: Sticking) -> None:
    told = report(who["garden"])
    assert told.findings == ()
    assert told.findings_said.startswith("Nothing is learned yet")


def test_a_season_is_a_year(garden: Garden) -> None:
    for wrong in ("", "last", "20255", "-201"):
        with pytest.raises(NotFound, match="by its year"):
            report(garden, wrong)


def test_plain_data_and_sentences_tell_the_same(who: dict[str, Any], batch: Sticking) -> None:
    services.record_look(**who, batch=batch.batch, on=after(30), n_rooted=8, n_lost=3, cause="dried")
    told = report(who["garden"])
    assert told.as_json()["losses"] == [{"cause": "dried", "n": 3}]
    assert "   dried: 3" in told.in_words()
