"""What was learned: told with its moment, beside what was believed, and plant by plant."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from functools import partial
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from slipwright.handbook import load_handbook
from slipwright.records import services
from slipwright.records.answers.refit import learn
from slipwright.records.models import Garden, Member
from slipwright.rooting import fitting
from tests.records.making import stick

ROSE = {"taxon": "Rosa 'Pale Ferry'", "wood": "semi-hardwood"}


def page(client: Client, address: str, **asked: str) -> str:
    """Return a page that is there."""
    answer = client.get(address, asked)
    assert answer.status_code == 200
    return answer.content.decode()


@pytest.fixture
def batch(garden: Garden, grower: Member, now: datetime, monkeypatch: pytest.MonkeyPatch) -> str:
    """A batch that was looked at, and learned from."""
    monkeypatch.setattr(fitting, "fit", partial(fitting.fit, integrate_up_to=0))
    code = stick(garden, grower, now, n_stuck=30).batch
    who: dict[str, Any] = {"garden": garden, "by": grower, "now": now}
    services.record_look(**who, batch=code, on=date(2025, 10, 15), n_rooted=2, n_lost=9)
    assert learn(Garden.objects.get(pk=garden.pk), load_handbook(), now=now)
    return code


def test_before_any_count_it_says_what_forecasts_rest_on(client: Client) -> None:
    told = page(client, "/learned")
    assert "Nothing yet" in told
    assert "rests on the handbook alone" in told
    assert "Learned up to" not in page(client, "/")


def test_it_says_from_how_much_and_up_to_when(client: Client, batch: str) -> None:
    told = page(client, "/learned")
    assert "From 1 look at 1 batch." in told
    assert "Learned up to 20 Oct, 11:30." in told
    assert "is learned after a little quiet" not in told
    assert "as believed before any record" in told
    assert "still mostly what was believed before any record" in told
    assert "the handbook's" in told


def test_today_and_the_batch_say_up_to_when(
    client: Client, batch: str, garden: Garden, grower: Member, now: datetime
) -> None:
    for address in ("/", f"/batches/{batch}"):
        assert "Learned up to 20 Oct, 11:30." in page(client, address)
    services.record_note(garden=garden, by=grower, now=now, about=batch, at=now, text="by the door")
    for address in ("/", f"/batches/{batch}", "/learned"):
        assert "What was written since is learned after a little quiet." in page(client, address)


def test_saying_up_to_when_costs_no_query(
    client: Client, batch: str, garden: Garden, monkeypatch: pytest.MonkeyPatch
) -> None:
    page(client, "/")

    def n_queries() -> int:
        with CaptureQueriesContext(connection) as asked:
            page(client, "/")
        return len(asked)

    told = n_queries()
    monkeypatch.setattr("slipwright.web.views.today.fit_now", lambda *_, **__: None)
    assert told == n_queries()


def test_a_plant_is_shown_beside_the_handbook(client: Client, batch: str) -> None:
    assert "/learned/plant?taxon=Rosa+%27Pale+Ferry%27&amp;wood=semi-hardwood" in page(client, "/learned")
    told = page(client, "/learned/plant", **ROSE)
    assert "Rosa" in told
    assert "the handbook, 8 times in 10" in told
    assert "with your records, 8 times in 10" in told
    assert "times as fast as the handbook says" in told
    assert "Rests on 1 look at 1 batch of this plant" in told


def test_of_a_plant_nothing_was_learned_of_all_is_shown_instead(client: Client, batch: str) -> None:
    answer = client.get("/learned/plant", {"taxon": "Salvia rosmarinus", "wood": "softwood"})
    assert (answer.status_code, answer["Location"]) == (302, "/learned")


def test_the_table_tells_what_the_bars_show(client: Client, batch: str) -> None:
    told = page(client, "/learned")
    assert "leafy cuttings without cover" in told
    assert told.count("<tr>") > 40


def test_counts_that_do_not_add_up_are_named(
    client: Client, batch: str, garden: Garden, grower: Member, now: datetime
) -> None:
    who: dict[str, Any] = {"garden": garden, "by": grower, "now": now}
    services.record_look(**who, batch=batch, on=date(2025, 10, 18), n_rooted=40)
    learn(Garden.objects.get(pk=garden.pk), load_handbook(), now=now + timedelta(hours=1))
    assert f"Counts do not add up in {batch}" in page(client, "/learned")


def test_the_garden_page_leads_there(client: Client) -> None:
    assert 'href="/learned"' in page(client, "/garden")
