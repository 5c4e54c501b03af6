"""Wrong passwords and codes at the door: slowed down before anything is hashed, and told alike."""

from __future__ import annotations

import os
import re
import sys
import threading
from datetime import UTC, datetime
from typing import Any

import pytest
from django.contrib.auth import hashers
from django.test import Client, RequestFactory, override_settings

from slipwright.records import hashing, services
from slipwright.records.hashing import QuietHasher
from slipwright.records.models import DoorEvent, User
from slipwright.web.tries import address_of
from tests.web.conftest import PASSWORD

pytestmark = pytest.mark.usefixtures("quick_hashes")


def signing_in(address: str = "127.0.0.1", **typed: str) -> Any:
    return Client(HTTP_HOST="127.0.0.1", REMOTE_ADDR=address).post(
        "/sign-in", {"username": "orla", "password": "wrong"} | typed
    )


def told(answer: Any) -> str:
    return re.sub(r'value="[^"]*"|data-now="\d+"', "", answer.content.decode())


@override_settings(ALLOWED_HOSTS=["*"], SECURE_PROXY_SSL_HEADER=("HTTP_X_TLS", "1"))
def test_after_ten_wrong_ones_the_right_one_waits_too_and_nothing_is_hashed(
    orla: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("orla", "nobody"):
        for _ in range(10):
            assert signing_in(username=name).status_code == 422
    monkeypatch.setattr(hashers.MD5PasswordHasher, "encode", lambda *_all: pytest.fail("it was hashed"))
    refused = [signing_in(username=name, password=PASSWORD) for name in ("orla", "nobody")]
    assert [answer.status_code for answer in refused] == [429, 429]
    assert told(refused[0]) == told(refused[1])
    assert 0 < int(refused[0]["Retry-After"]) <= 60


def test_the_owner_comes_in_from_elsewhere_meanwhile(orla: User) -> None:
    for _ in range(11):
        signing_in()
    client = Client(HTTP_HOST="127.0.0.1", REMOTE_ADDR="192.0.2.9")
    answer = client.post("/sign-in", {"username": "orla", "password": PASSWORD}, secure=True)
    assert answer.status_code == 302


def test_an_unknown_name_is_hashed_for_too(orla: User, monkeypatch: pytest.MonkeyPatch) -> None:
    hashed = []
    whole = hashers.MD5PasswordHasher.encode
    monkeypatch.setattr(hashers.MD5PasswordHasher, "encode", lambda *given: hashed.append(1) or whole(*given))
    counts = []
    for name in ("orla", "nobody"):
        hashed.clear()
        signing_in(username=name)
        counts.append(len(hashed))
    assert counts[0] == counts[1] == 1


def test_codes_are_slowed_down_as_well(orla: User) -> None:
    code = services.make_code(purpose="sign-in", user=orla, now=datetime.now(UTC), minutes=10)
    client = Client(HTTP_HOST="127.0.0.1")
    for _ in range(5):
        assert client.post("/let-in/never-was").status_code == 422
        assert client.post("/pair/NEVER-WAS").status_code == 422
    for way in (f"/let-in/{code}", "/pair/NEVER-WAS"):
        assert client.post(way).status_code == 429


def test_whoever_finds_the_door_busy_is_told_when_to_come_again(
    orla: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("slipwright.records.services.throttle._NEXT.acquire", lambda **_how: False)
    answer = signing_in(password=PASSWORD)
    assert (answer.status_code, answer["Retry-After"]) == (429, "3")


def test_the_book_tells_of_a_wrong_password_and_never_what_was_typed(orla: User) -> None:
    signing_in(username="orla", password="my real secret")
    signing_in(username="my real secret", password="x")
    events = list(DoorEvent.objects.order_by("pk"))
    assert [event.what for event in events] == ["wrong-password"] * 2
    assert events[0].member is not None
    assert events[1].garden is None
    assert "secret" not in "".join(event.told for event in events)


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere threads have no place of their own")
def test_passwords_are_hashed_behind_everything_else_and_kept_as_ever() -> None:
    kept = QuietHasher().encode(PASSWORD, "salt", 10)
    assert kept == hashers.PBKDF2PasswordHasher().encode(PASSWORD, "salt", 10)
    behind = next(thread for thread in threading.enumerate() if thread.name.startswith("hashing"))
    assert behind.native_id is not None
    here = os.getpriority(os.PRIO_PROCESS, threading.get_native_id())
    assert os.getpriority(os.PRIO_PROCESS, behind.native_id) > here


def test_passwords_are_hashed_where_no_thread_may_step_back(monkeypatch: pytest.MonkeyPatch) -> None:
    def denied(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(os, "setpriority", denied, raising=False)
    hashing._hashing.cache_clear()
    try:
        assert QuietHasher().encode(PASSWORD, "salt", 10).startswith("pbkdf2_sha256$10$")
    finally:
        hashing._hashing.cache_clear()


@pytest.mark.parametrize(
    ("n", "said", "address"),
    [
        (0, "203.0.113.5", "192.0.2.1"),
        (1, "203.0.113.5", "203.0.113.5"),
        (1, "6.6.6.6, 203.0.113.5", "203.0.113.5"),
        (2, "6.6.6.6, 203.0.113.5, 10.0.0.2", "203.0.113.5"),
        (1, "", "192.0.2.1"),
        (1, "203.0.113.5:5678", "203.0.113.5"),
        (1, "[2001:db8::5]:5678", "2001:db8::5"),
        (1, "2001:db8::5", "2001:db8::5"),
        (1, "unknown", "192.0.2.1"),
    ],
)
def test_an_address_is_believed_of_servers_of_ones_own_only(n: int, said: str, address: str) -> None:
    request = RequestFactory().get("/", REMOTE_ADDR="192.0.2.1", HTTP_X_FORWARDED_FOR=said)
    with override_settings(PROXIES=n):
        assert address_of(request) == address
