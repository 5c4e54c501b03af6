"""Forecasts against what came: in words first, as made and as worked out afterwards, and what is left out."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from functools import partial
from typing import Any, get_args

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from slipwright.handbook import load_handbook
from slipwright.records import services
from slipwright.records.answers.forecasts import calibration
from slipwright.records.answers.forecasts.turned_out import Scores, Verdict
from slipwright.records.answers.refit import learn
from slipwright.records.models import ForecastMade, Garden, Member
from slipwright.rooting import fitting
from tests.records.making import stick

HANDBOOK = load_handbook()
TODAY = date(2025, 10, 20)


@pytest.fixture(autouse=True)
def _quick_fits(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(fitting, "fit", partial(fitting.fit, integrate_up_to=0))


def page(client: Client) -> str:
    answer = client.get("/findings/forecasts")
    assert answer.status_code == 200
    return " ".join(answer.content.decode().split())


def hold(garden: Garden, now: datetime) -> None:
    """Learn, and hold forecasts against what came."""
    learn(Garden.objects.get(pk=garden.pk), HANDBOOK, now=now, anew=True)
    calibration.rescore(Garden.objects.get(pk=garden.pk), HANDBOOK, on=TODAY)


def made(garden: Garden, batch: Any, points: list[int], by_handbook: list[int]) -> None:
    """Keep a forecast made when a batch was stuck, for a week later."""
    ForecastMade.rows.create(
        garden=garden,
        batch=batch,
        made_on=batch.stuck_on,
        by_day=batch.stuck_on + timedelta(days=7),
        n_stuck=batch.n_stuck,
        n_looks=0,
        n_learned_from=0,
        rooted=points,
        by_handbook=by_handbook,
    )


@pytest.fixture
def ten(garden: Garden, grower: Member, now: datetime) -> Garden:
    """Ten batches of 20: forecast 4 to 8, the handbook alone 10; 5 rooted in nine of them and 12 in one."""
    for k in range(10):
        batch = stick(garden, grower, now)
        made(garden, batch, [3] + [4] * 5 + [5] * 6 + [8] * 7, [10] * 19)
        services.record_look(
            garden=garden,
            by=grower,
            now=now,
            batch=batch.batch,
            on=batch.stuck_on + timedelta(days=7),
            n_rooted=12 if k == 9 else 5,
            n_lost=0,
        )
    hold(garden, now)
    return garden


def test_before_anything_is_known_it_says_when_it_will_be(client: Client) -> None:
    told = page(client)
    assert "Nothing yet" in told
    assert "once a batch has been looked at on its day or later" in told


def test_it_says_in_words_how_many_ranges_held(client: Client, ten: Garden) -> None:
    told = page(client)
    assert "Of 10 ranges given, 9 held what came: 8 in 10 were meant." in told
    assert "They hold as often as they should." in told
    assert "As they were made" in told
    assert "Worked out afterwards" not in told


def test_it_says_by_how_much_learning_lies_nearer_than_the_handbook(client: Client, ten: Garden) -> None:
    told = page(client)
    assert "those of the handbook alone 4.7." in told
    assert "nearer (8 times in 10:" in told


def test_each_forecast_stands_beside_what_came(client: Client, ten: Garden) -> None:
    told = page(client)
    assert told.count("4 to 8 of 20 forecast, 5 rooted") == 9
    assert told.count("4 to 8 of 20 forecast, 12 rooted") == 1
    assert told.count("<strong>not held</strong>") == 1
    assert 'aria-label="Forecasts come as often as they say"' in told


def test_ranges_that_miss_are_said_to_be_too_narrow(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    for _ in range(9):
        batch = stick(garden, grower, now)
        made(garden, batch, [15] * 19, [15] * 19)
        on = batch.stuck_on + timedelta(days=7)
        services.record_look(
            garden=garden, by=grower, now=now, batch=batch.batch, on=on, n_rooted=2, n_lost=0
        )
    hold(garden, now)
    told = page(client)
    assert "Of 9 ranges given, 0 held what came" in told
    assert "They are too narrow" in told
    assert "Fewer rooted than the middle said" in told
    assert "No difference to tell yet" in told or "as near as the handbook alone" in told


def test_few_forecasts_are_said_to_be_too_few_and_what_would_settle_it(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    batch = stick(garden, grower, now)
    made(garden, batch, [4] * 19, [4] * 19)
    services.record_look(
        garden=garden,
        by=grower,
        now=now,
        batch=batch.batch,
        on=TODAY - timedelta(days=12),
        n_rooted=4,
        n_lost=0,
    )
    hold(garden, now)
    told = page(client)
    assert "Of 1 range given, 1 held what came" in told
    assert "That is too little to tell how good they are." in told
    assert "7 batches more of which it is known what came" in told


def test_what_is_left_out_is_said(client: Client, ten: Garden, grower: Member, now: datetime) -> None:
    made(ten, stick(ten, grower, now), [4] * 19, [4] * 19)
    hold(ten, now)
    assert "1: nobody has looked on their day or since" in page(client)


def test_seasons_from_tables_are_marked_as_worked_out_afterwards(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    for year in (2022, 2023, 2024):
        for _ in range(4):
            batch = stick(garden, grower, now, stuck_on=date(year, 6, 1)).batch
            on = date(year, 8, 1)
            services.record_look(garden=garden, by=grower, now=now, batch=batch, on=on, n_rooted=13, n_lost=7)
    hold(garden, now)
    told = page(client)
    assert "Worked out afterwards" in told
    assert "Nobody was told these." in told
    assert "the plain average of batches before" in told
    assert "Of 8 ranges given" in told


def test_the_page_reads_what_is_kept_and_counts_nothing(client: Client, ten: Garden) -> None:
    page(client)
    with CaptureQueriesContext(connection) as queries:
        page(client)
    assert not any("records_look" in one["sql"] or "forecastmade" in one["sql"] for one in queries)
    assert len(queries) <= 9


@pytest.mark.parametrize("verdict", get_args(Verdict))
def test_every_verdict_has_its_words(
    client: Client, ten: Garden, monkeypatch: pytest.MonkeyPatch, verdict: str
) -> None:
    monkeypatch.setattr(Scores, "verdict", property(lambda scores: verdict))
    told = page(client)
    assert ("Perhaps they are a little" in told) == verdict.startswith("perhaps")


def test_nothing_is_said_beside_the_plain_average_by_the_one_batch_that_had_one(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    sticking = [date(2024, 4, 1), date(2024, 9, 1)]
    for stuck_on in [*sticking[:1] * 8, *sticking[1:]]:
        batch = stick(garden, grower, now, stuck_on=stuck_on)
        made(garden, batch, [5] * 19, [10] * 19)
        ForecastMade.rows.filter(batch=batch).update(by_day=stuck_on + timedelta(days=60))
        services.record_look(
            garden=garden,
            by=grower,
            now=now,
            batch=batch.batch,
            on=stuck_on + timedelta(days=60),
            n_rooted=5,
            n_lost=15,
        )
    hold(garden, now)
    told = page(client)
    assert "the plain average of batches before" in told
    beside = told.split("the plain average of batches before")[1]
    assert beside.split(".", 2)[2].strip().startswith("That is too little to tell which is better.")
