"""Taking back the last save, for as long as that is offered."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta, tzinfo

import pytest
from django.http import HttpResponse
from django.test import Client

from slipwright.records.models import BatchState, Garden, Look, Member, Potting, Sticking, Withdrawal
from slipwright.web import membership
from tests.records.making import stick


def undo(client: Client) -> HttpResponse:
    """Press Undo on the page that told of the last save."""
    return client.post("/undo", {"saved": client.session.get("saved", {}).get("id", "")})


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


def test_it_is_told_once_and_can_still_be_undone_from_that_page(client: Client, batch: Sticking) -> None:
    post(client, batch, "look", n_rooted="5")
    where = f"/batches/{batch.batch}/look"
    first = client.get(where).content.decode()
    assert 'class="saved"' in first
    assert 'form="undo-form"' in first
    for address in (where, "/", "/garden"):
        page = client.get(address).content.decode()
        assert 'class="saved"' not in page, address
        assert "undo-form" not in page, address
        assert 'action="/undo"' not in page, address
    assert undo(client).status_code == 302
    assert Withdrawal.rows.count() == 1


def test_the_next_save_is_told_again(client: Client, batch: Sticking) -> None:
    for n_rooted in ("5", "1"):
        post(client, batch, "look", n_rooted=n_rooted)
        assert f"{n_rooted} rooted" in client.get("/").content.decode()


def test_undo_takes_the_look_back_and_says_so(client: Client, batch: Sticking) -> None:
    post(client, batch, "look", n_rooted="5")
    answer = undo(client)
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
    undo(client)
    state = BatchState.rows.get(batch=batch)
    assert (state.n_potted, state.n_rooted) == (0, 0)
    assert [gone.withdraws_kind for gone in Withdrawal.rows.order_by("number")] == ["potting", "look"]


def test_pressed_twice_it_undoes_once(client: Client, batch: Sticking) -> None:
    post(client, batch, "look", n_rooted="5", rewetted="1")
    assert undo(client)["Location"] == undo(client)["Location"]
    assert Withdrawal.rows.count() == 2


def test_after_half_a_minute_it_is_no_longer_offered_nor_done(client: Client, batch: Sticking) -> None:
    post(client, batch, "look", n_rooted="5")
    age(client, 31)
    assert 'action="/undo"' not in client.get(f"/batches/{batch.batch}/look").content.decode()
    answer = undo(client)
    assert answer.status_code == 409
    assert f'href="/batches/{batch.batch}"' in answer.content.decode()
    assert not Withdrawal.rows.exists()


def test_within_half_a_minute_it_is(client: Client, batch: Sticking) -> None:
    post(client, batch, "look", n_rooted="5")
    age(client, 25)
    assert undo(client).status_code == 302


def test_with_nothing_saved_there_is_nothing_to_undo(client: Client, garden: Garden) -> None:
    assert undo(client).status_code == 409


def test_a_link_cannot_undo(client: Client, batch: Sticking) -> None:
    post(client, batch, "look", n_rooted="5")
    assert client.get("/undo").status_code == 405
    assert not Withdrawal.rows.exists()


def test_a_volunteer_undoes_their_own_and_nobody_elses(
    client: Client, as_member: Callable[[Member], Client], volunteer: Member, batch: Sticking
) -> None:
    theirs = as_member(volunteer)
    post(theirs, batch, "look", n_rooted="5")
    assert undo(client).status_code == 409
    assert undo(theirs).status_code == 302


def test_undo_on_an_older_page_takes_nothing_newer_back(
    client: Client, garden: Garden, grower: Member, now: datetime, batch: Sticking
) -> None:
    other = stick(garden, grower, now, n_stuck=9, place="frame-1")
    post(client, batch, "look", n_rooted="5")
    older = client.session["saved"]["id"]
    post(client, other, "look", n_rooted="2")
    assert client.post("/undo", {"saved": older}).status_code == 409
    assert not Withdrawal.rows.exists()


def test_a_form_that_was_undone_and_is_sent_again_is_not_told_as_saved(
    client: Client, batch: Sticking
) -> None:
    page = client.get(f"/batches/{batch.batch}/look").content.decode()
    typed = dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', page)) | {"n_rooted": "5"}
    client.post(f"/batches/{batch.batch}/look", typed)
    undo(client)
    answer = client.post(f"/batches/{batch.batch}/look", typed)
    assert answer.status_code == 409
    assert "taken back" in answer.content.decode()
    assert BatchState.rows.get(batch=batch).n_rooted == 0


def test_two_presses_on_two_workers_undo_once(client: Client, batch: Sticking) -> None:
    post(client, batch, "look", n_rooted="5", rewetted="1")
    before = dict(client.session["saved"])
    first = undo(client)
    session = client.session
    session["saved"] = before  # as the other worker read it
    session.save()
    second = undo(client)
    assert (second.status_code, second["Location"]) == (302, first["Location"])
    assert Withdrawal.rows.count() == 2


def test_one_id_of_two_kinds_is_undone_for_each(client: Client, batch: Sticking) -> None:
    page = client.get(f"/batches/{batch.batch}/pot-up").content.decode()
    form = dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', page))
    for typed in ({"roots": "not-yet"}, {"roots": "now", "n_potted": "2"}):
        client.post(f"/batches/{batch.batch}/pot-up", {**form, **typed})
        assert undo(client).status_code == 302
    assert not Look.rows.standing().exists()
    assert not Potting.rows.standing().exists()


def test_a_form_sent_again_minutes_later_is_told_and_not_offered_to_undo(
    client: Client, batch: Sticking, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Later(datetime):
        @classmethod
        def now(cls, tz: tzinfo | None = None) -> datetime:  # type: ignore[override]
            return datetime.now(tz) + timedelta(minutes=3)

    where = f"/batches/{batch.batch}/look"
    page = client.get(where).content.decode()
    typed = dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', page)) | {"n_rooted": "5"}
    client.post(where, typed)
    monkeypatch.setattr(membership, "datetime", Later)
    client.post(where, typed)
    told = client.get("/").content.decode()
    assert "5 rooted" in told
    assert 'action="/undo"' not in told
    assert undo(client).status_code == 409
    assert not Withdrawal.rows.exists()
