"""Taking back the last save, for as long as that is offered."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest
from django.test import Client

from slipwright.records.models import BatchState, Garden, Look, Member, Potting, Sticking, Withdrawal
from tests.records.making import stick


@pytest.fixture
def batch(garden: Garden, grower: Member, now: datetime) -> Sticking:
    """Give a batch of 18 roses."""
    return stick(garden, grower, now, n_stuck=18, place="frame-1")


def post(client: Client, batch: Sticking, what: str, **typed: str) -> None:
    page = client.get(f"/batches/{batch.batch}/{what}").content.decode()
    hidden = dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', page))
    assert client.post(f"/batches/{batch.batch}/{what}", {**hidden, **typed}).status_code == 302


def age(client: Client, seconds: float) -> None:
    """Make the last save older than it is."""
    session = client.session
    saved = session["saved"]
    saved["at"] = (datetime.now(UTC) - timedelta(seconds=seconds)).isoformat()
    session["saved"] = saved
    session.save()


def test_the_next_page_offers_to_undo(client: Client, batch: Sticking) -> None:
    post(client, batch, "look", n_rooted="5", n_lost="1")
    page = client.get(f"/batches/{batch.batch}/look").content.decode()
    assert "5 rooted, 1 lost" in page
    assert 'action="/undo"' in page


def test_undo_takes_the_look_back_and_says_so(client: Client, batch: Sticking) -> None:
    post(client, batch, "look", n_rooted="5")
    answer = client.post("/undo")
    assert (answer.status_code, answer["Location"]) == (302, f"/batches/{batch.batch}")
    assert Look.rows.count() == 1
    assert BatchState.rows.get(batch=batch).n_rooted == 0
    assert Withdrawal.rows.get().reason == "undone at once"
    page = client.get(f"/batches/{batch.batch}/look").content.decode()
    assert "Taken back: 5 rooted · Rosa &#x27;Pale Ferry&#x27;" in page
    assert 'action="/undo"' not in page


def test_all_that_one_save_wrote_goes_together(client: Client, batch: Sticking) -> None:
    post(client, batch, "pot-up", n_potted="3", roots="now")
    assert (Look.rows.count(), Potting.rows.count()) == (1, 1)
    client.post("/undo")
    state = BatchState.rows.get(batch=batch)
    assert (state.n_potted, state.n_rooted) == (0, 0)
    assert [gone.withdraws_kind for gone in Withdrawal.rows.order_by("number")] == ["potting", "look"]


def test_pressed_twice_it_undoes_once(client: Client, batch: Sticking) -> None:
    post(client, batch, "look", n_rooted="5", rewetted="1")
    assert client.post("/undo")["Location"] == client.post("/undo")["Location"]
    assert Withdrawal.rows.count() == 2


def test_after_half_a_minute_it_is_no_longer_offered_nor_done(client: Client, batch: Sticking) -> None:
    post(client, batch, "look", n_rooted="5")
    age(client, 31)
    assert 'action="/undo"' not in client.get(f"/batches/{batch.batch}/look").content.decode()
    answer = client.post("/undo")
    assert answer.status_code == 409
    assert f'href="/batches/{batch.batch}"' in answer.content.decode()
    assert not Withdrawal.rows.exists()


def test_within_half_a_minute_it_is(client: Client, batch: Sticking) -> None:
    post(client, batch, "look", n_rooted="5")
    age(client, 25)
    assert client.post("/undo").status_code == 302


def test_with_nothing_saved_there_is_nothing_to_undo(client: Client, garden: Garden) -> None:
    assert client.post("/undo").status_code == 409


def test_a_link_cannot_undo(client: Client, batch: Sticking) -> None:
    post(client, batch, "look", n_rooted="5")
    assert client.get("/undo").status_code == 405
    assert not Withdrawal.rows.exists()


def test_a_volunteer_undoes_their_own_and_nobody_elses(
    client: Client, as_member: Callable[[Member], Client], volunteer: Member, batch: Sticking
) -> None:
    theirs = as_member(volunteer)
    post(theirs, batch, "look", n_rooted="5")
    assert client.post("/undo").status_code == 409
    assert theirs.post("/undo").status_code == 302
