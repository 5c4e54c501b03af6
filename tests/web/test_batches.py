"""The list of batches."""

from __future__ import annotations

from datetime import date, datetime

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from slipwright.records import codes, services
from slipwright.records.models import Garden, Member
from slipwright.records.selectors.listing import A_PAGE
from tests.records.making import stick
from tests.web.season_made import in_use

ON = date(2025, 10, 20)


def page(client: Client, address: str = "/batches") -> str:
    answer = client.get(address)
    assert answer.status_code == 200
    return answer.content.decode()


@pytest.mark.usefixtures("garden")
def test_without_batches_it_points_to_sticking(client: Client) -> None:
    assert "No batch is under way." in page(client)
    assert "No batch has ended yet." in page(client, "/batches?which=ended")


def test_it_shows_counts_with_words_and_what_does_not_add_up(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    batch = stick(garden, grower, now)
    services.record_look(
        garden=garden, by=grower, now=now, batch=batch.batch, on=ON, n_rooted=5, n_lost=2, n_waiting=9
    )
    shown = page(client)
    assert codes.shown(batch.batch) in shown
    for words in ("20 stuck", "19 days", "mist-1", "5 rooted", "13 waiting", "2 lost", "does not add up"):
        assert words in shown


def test_open_ended_and_all_are_kept_apart(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    alive, dead = (codes.shown(stick(garden, grower, now).batch) for _ in range(2))
    services.record_look(garden=garden, by=grower, now=now, batch=dead.replace("-", ""), on=ON, n_lost=20)
    assert [code in page(client) for code in (alive, dead)] == [True, False]
    assert [code in page(client, "/batches?which=ended") for code in (alive, dead)] == [False, True]
    assert [code in page(client, "/batches?which=all") for code in (alive, dead)] == [True, True]
    assert "ended 20 Oct<" in page(client, "/batches?which=ended")


def test_a_day_of_another_year_is_told_with_its_year(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    stick(garden, grower, now, stuck_on=date(2024, 11, 3))
    stick(garden, grower, now, stuck_on=date(2025, 9, 3))
    shown = page(client)
    assert "3 Nov 2024" in shown
    assert "3 Sep," in shown


def test_of_one_place_and_of_one_plant(client: Client, garden: Garden, grower: Member, now: datetime) -> None:
    rose = codes.shown(stick(garden, grower, now).batch)
    sage = codes.shown(stick(garden, grower, now, taxon="Salvia rosmarinus", place="frame-1").batch)
    for address in ("/batches?place=frame-1", "/batches?taxon=Salvia+rosmarinus"):
        shown = page(client, address)
        assert sage in shown
        assert rose not in shown
    assert "No batch fits this." in page(client, "/batches?place=elsewhere")


def test_fifty_to_a_page_the_newest_first(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    made = [codes.shown(stick(garden, grower, now).batch) for _ in range(A_PAGE + 1)]
    first, second = page(client), page(client, "/batches?page=2")
    assert made[-1] in first
    assert made[0] not in first
    assert "page=2" in first
    assert made[0] in second
    assert made[1] not in second
    assert "There are no more batches." in page(client, "/batches?page=9")
    assert made[-1] in page(client, "/batches?page=x")


def test_a_page_asks_the_database_twelve_times_at_most(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    for _ in range(3):
        stick(garden, grower, now)
    in_use(garden)
    with CaptureQueriesContext(connection) as asked:
        page(client)
    assert len(asked) <= 9
