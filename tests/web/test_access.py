"""Who may ask for what: every address, by every method, as everybody, of one's own garden and another."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

import pytest
from django.test import Client

from slipwright.records.models import Garden
from slipwright.web.urls import urlpatterns
from tests.web.access_asking import World, ask, header_faults, mismatches, world_of
from tests.web.access_table import TABLE, Row

pytestmark = pytest.mark.usefixtures("quick_hashes")

_UNSAFE = [row for row in TABLE if row.post]
#: asked by programs with a token of their own: a browser's cookie counts for nothing there
_WITHOUT_COOKIES = {"api-readings"}


@pytest.fixture
def world(garden: Garden, now: datetime) -> World:
    return world_of(garden, now)


def test_every_address_stands_in_the_table() -> None:
    assert {pattern.name for pattern in urlpatterns} == {row.name for row in TABLE}


def test_everybody_is_answered_as_the_table_says(world: World) -> None:
    found = [fault for row in TABLE for fault in mismatches(world, row)]
    assert not found, "\n".join(found)


def test_other_methods_are_not_answered(world: World) -> None:
    for row in TABLE:
        for method in ("PUT", "PATCH", "DELETE"):
            answer = ask(world.clients["o"], method, world.address(row))
            assert answer.status in (401, 403, 405), (method, row.address, answer.status)
            assert not answer.written
            assert not header_faults(answer)


def test_no_form_is_taken_without_the_token_or_from_elsewhere(world: World) -> None:
    strict = Client(HTTP_HOST="127.0.0.1", enforce_csrf_checks=True)
    strict.cookies = world.clients["o"].cookies.copy()
    strict.get("/garden")
    token = next(one.value for name, one in strict.cookies.items() if name.startswith("csrf"))
    for row in _UNSAFE:
        if row.name in _WITHOUT_COOKIES:
            continue
        address = world.address(row)
        asked: list[dict[str, Any]] = [
            {},
            {"HTTP_X_CSRFTOKEN": "a" * 32},
            {"HTTP_X_CSRFTOKEN": token, "HTTP_ORIGIN": "https://elsewhere.example"},
            {"HTTP_X_CSRFTOKEN": token, "HTTP_ORIGIN": "null"},
        ]
        for headers in asked:
            assert strict.post(address, **headers).status_code == 403, (address, headers)
    answer = strict.post("/garden/look-of-page", {"look": "dark"}, HTTP_X_CSRFTOKEN=token)
    assert answer.status_code == 302


def test_what_an_instrument_sends_rests_on_no_cookie(world: World) -> None:
    assert ask(world.clients["o"], "POST", "/api/readings").status == 401


@pytest.mark.parametrize(
    ("address", "more", "status"),
    [
        ("/nowhere", {}, 404),
        ("/", {"HTTP_HOST": "elsewhere.example"}, 400),
        ("/batches/7ZZZZZZ1", {}, 404),
        ("/sign-out", {}, 405),
        ("/photos", {"CONTENT_LENGTH": "999999999"}, 413),
    ],
)
def test_errors_carry_the_headers_too(address: str, more: dict[str, str], status: int, world: World) -> None:
    answer = world.clients["o"].get(address, **more)  # type: ignore[arg-type]
    headers = {name.lower(): value for name, value in answer.headers.items()}
    assert answer.status_code == status
    assert "default-src" in headers["content-security-policy"]
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "same-origin"


def test_what_breaks_carries_the_headers_too(world: World, monkeypatch: pytest.MonkeyPatch) -> None:
    def breaks(*_all: Any, **_more: Any) -> Any:
        raise RuntimeError

    monkeypatch.setattr("slipwright.web.views.today.told_round", breaks)
    client = Client(HTTP_HOST="127.0.0.1", raise_request_exception=False)
    client.cookies = world.clients["o"].cookies.copy()
    answer = client.get("/")
    assert answer.status_code == 500
    assert "default-src" in answer["Content-Security-Policy"]
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert "RuntimeError" not in answer.content.decode()


# --- planted holes ------------------------------------------------------------------------------------


def _pattern(row: Row) -> Any:
    return next(pattern for pattern in urlpatterns if pattern.name == row.name)


#: one row an address, that of an object where there is one
_ONCE = {row.name: row for row in sorted(TABLE, key=lambda row: "{" in row.address)}
_GUARDED = [row for row in _ONCE.values() if {row.get, row.post} - {None, "ogvrps", ""}]
_OF_OBJECTS = [row for row in _ONCE.values() if "{" in row.address]


def test_a_view_that_asks_nobody_who_they_are_is_found(world: World) -> None:
    owner = world.members["o"]

    def planted(whole: Any) -> Any:
        def open_to_all(request: Any, *args: Any, **kwargs: Any) -> Any:
            request.member, request.garden, request.device = owner, owner.garden, None
            request.session["sure_at"] = request.now.isoformat()
            return whole(request, *args, **kwargs)

        return open_to_all

    assert [row.name for row in _GUARDED if not _found_with(world, row, planted)] == []


def test_a_view_that_looks_into_every_garden_is_found(world: World) -> None:
    theirs = world.other_owner

    def planted(whole: Any) -> Any:
        def of_any_garden(request: Any, *args: Any, **kwargs: Any) -> Any:
            asked = (*map(str, kwargs.values()), *request.GET.values())
            if request.member and any(value in asked for value in world.other.values()):
                theirs.role = request.member.role
                request.member, request.garden = theirs, theirs.garden
            return whole(request, *args, **kwargs)

        return of_any_garden

    assert len(_OF_OBJECTS) >= 20
    assert [row.name for row in _OF_OBJECTS if not _found_with(world, row, planted)] == []


def _found_with(world: World, row: Row, planted: Callable[[Any], Any]) -> list[str]:
    pattern = _pattern(row)
    whole = pattern.callback
    pattern.callback = planted(whole)
    try:
        return mismatches(world, row, at_once=True)
    finally:
        pattern.callback = whole
