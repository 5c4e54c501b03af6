"""What is refused, and in what words: never that something was not saved when it was."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest
from django.contrib.sessions.backends.db import SessionStore
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import OperationalError
from django.test import Client
from django.urls import reverse

from slipwright.records import services
from slipwright.records.errors import Busy
from slipwright.records.models import Device, Garden, Look, Member, Sticking
from slipwright.web import membership
from tests.records.conftest import database
from tests.records.making import stick

__all__ = ["database"]


@pytest.fixture
def batch(garden: Garden, grower: Member, now: datetime) -> Sticking:
    """Give a batch of roses."""
    return stick(garden, grower, now)


def no_room(*_: object, **__: object) -> None:
    raise OperationalError("database or disk is full")


LOOK = {"entry_id": "look-1", "act_id": "act-1", "n_rooted": "1"}


def test_a_disk_that_fills_up_after_the_record_is_not_told_as_nothing_kept(
    client: Client, batch: Sticking, monkeypatch: pytest.MonkeyPatch
) -> None:
    client.raise_request_exception = False
    with monkeypatch.context() as full:
        full.setattr(SessionStore, "save", no_room)
        answer = client.post(f"/batches/{batch.batch}/look", LOOK)
    assert Look.rows.count() == 1
    assert answer.status_code == 503
    assert "may have been kept" in answer.content.decode()
    assert "not saved" not in answer.content.decode()


def test_a_disk_that_is_full_before_it_is_told_as_ever(
    client: Client, batch: Sticking, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("slipwright.web.views.look._keep", no_room)
    answer = client.post(f"/batches/{batch.batch}/look", LOOK)
    assert answer.status_code == 503
    assert "was not saved" in answer.content.decode()


def test_a_phone_is_answered_though_nobody_could_note_when_it_was_seen(
    garden: Garden, owner: Member, volunteer: Member, monkeypatch: pytest.MonkeyPatch
) -> None:
    services.user_of_member(owner)
    code = services.make_pair_code(by=owner, member=volunteer, now=datetime.now(UTC))
    phone = Client(HTTP_HOST="127.0.0.1")
    phone.post(reverse("pair", args=[code]))
    monkeypatch.setattr(membership, "phone_seen", no_room)
    assert phone.post("/sync", "{}", content_type="application/json").status_code == 400
    assert Device.objects.count() == 1


def test_whoever_brings_a_file_while_others_send_is_told_when_to_come_again(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    def busy(**_: object) -> None:
        raise Busy(3)

    monkeypatch.setattr(services, "receive_file", busy)
    for as_json in ({}, {"HTTP_ACCEPT": "application/json"}):
        file = SimpleUploadedFile("kept.json", b'{"v":1,"records":[]}')
        answer = client.post("/sync/file", {"file": file}, **as_json)  # type: ignore[arg-type]
        assert (answer.status_code, answer["Retry-After"]) == (503, "3")


def test_a_file_of_too_many_records_is_refused_on_its_page(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("slipwright.records.services.sendings.MOST_IN_FILE", 1)
    file = SimpleUploadedFile("kept.json", b'{"v":1,"records":[{},{}]}')
    answer = client.post("/sync/file", {"file": file})
    assert answer.status_code == 422
    assert "must hold at most 1 records" in answer.content.decode()


# --- NUL, which PostgreSQL keeps in no text -----------------------------------------------------------


@pytest.mark.parametrize(
    "address",
    [
        "/photos/%00",
        "/batches/%00",
        "/search?q=%00",
        "/rows/places/row?key=%00",
        "/batches?place=a%00b",
        "/people?%00=1",
        "/let-in/%00",
        "/who-did-what?before=%00",
    ],
)
def test_there_is_nothing_at_an_address_with_nul(address: str, client: Client) -> None:
    assert client.get(address).status_code == 404
    assert client.get(address, HTTP_ACCEPT="application/json").json()["error"] == "not-found"
    assert client.get(address.replace("%00", "%2500")).status_code != 500


@pytest.mark.parametrize(
    ("address", "typed"),
    [
        ("/photos", {"id": "a\0", "about": "mist-1", "file": SimpleUploadedFile("a.jpg", b"x")}),
        ("/batches/{}/look", {"entry_id": "\0"}),
        ("/batches/{}/withdraw", {"kind": "look", "entry": "\0"}),
        ("/rows/places/new", {"place": "a\0b", "kind": "bench"}),
        ("/undo", {"\0": "1"}),
    ],
)
def test_a_form_with_nul_is_refused_whole(
    address: str, typed: dict[str, Any], client: Client, batch: Sticking
) -> None:
    assert client.post(address.format(batch.batch), typed).status_code == 400
    as_json = client.post(address.format(batch.batch), typed, HTTP_ACCEPT="application/json")
    assert (as_json.status_code, as_json.json()["error"]) == (400, "malformed")


def test_so_are_names_and_passwords_with_nul(garden: Garden, owner: Member) -> None:
    services.user_of_member(owner)
    stranger = Client(HTTP_HOST="127.0.0.1")
    assert stranger.post("/sign-in", {"username": "nobody\0", "password": "x\0"}).status_code == 400


def test_a_session_with_nul_is_none(client: Client) -> None:
    client.cookies[next(iter(client.cookies))] = "\0" * 32
    assert client.get("/batches").status_code == 302


def test_what_instruments_and_phones_send_may_hold_nul_and_breaks_nothing(
    client: Client, garden: Garden, owner: Member, now: datetime
) -> None:
    secret = services.make_token(garden=garden, by=owner, now=now, name="logger")[1]
    reading = '{"readings":[{"place":"\\u0000","at":"2025-10-20T10:00:00Z","air_c":1,"id":"\\u0000"}]}'
    answer = client.post(
        "/api/readings", reading, content_type="application/json", HTTP_AUTHORIZATION=f"Bearer {secret}"
    )
    assert answer.json()["answers"][0]["status"] == "refused"
    content = '{"kind":"look","id":"\\u0000","garden":"\\u0000","fields":{"batch":"\\u0000"}}'
    sent = f'{{"v":1,"sent_at":"{now.isoformat()}","records":[{{"content":{content},"sha256":"\\u0000"}}]}}'
    answer = client.post("/sync", sent, content_type="application/json")
    assert answer.json()["answers"][0]["status"] == "set-aside"
