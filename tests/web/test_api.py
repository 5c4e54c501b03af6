"""Instruments send readings: each answered by itself, sent twice received once."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import datetime
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from jsonschema import Draft202012Validator

from slipwright.records import services
from slipwright.records.columns import table_named
from slipwright.records.errors import Refused
from slipwright.records.models import AccessToken, DoorEvent, Garden, Member, Reading
from slipwright.records.openapi import openapi
from slipwright.records.services import instruments
from slipwright.records.tables.loading import load

ONE = {"place": "mist-1", "at": "2025-10-20T10:00:00-04:00", "air_c": 24.5, "rh_percent": 71}


@pytest.fixture
def secret(garden: Garden, owner: Member, now: datetime) -> str:
    """Give the secret of a token."""
    return services.make_token(garden=garden, by=owner, now=now, name="logger")[1]


@pytest.fixture
def send(secret: str) -> Callable[..., Any]:
    """Give a function that sends readings as an instrument does, which has no cookies."""
    client = Client(HTTP_HOST="127.0.0.1", enforce_csrf_checks=True)

    def sent(told: Any, *, token: str = secret, kind: str = "application/json") -> Any:
        data = told if isinstance(told, str) else json.dumps(told)
        headers = {"HTTP_AUTHORIZATION": f"Bearer {token}"} if token else {}
        return client.post("/api/readings", data, content_type=kind, **headers)  # type: ignore[arg-type]

    return sent


def schema(name: str) -> Draft202012Validator:
    whole = openapi()
    return Draft202012Validator({**whole, "$ref": f"#/components/schemas/{name}"})


def test_a_reading_is_kept_and_its_number_told(send: Callable[..., Any]) -> None:
    answer = send({"readings": [ONE]})
    assert answer.status_code == 200
    reading = Reading.rows.get()
    assert answer.json()["answers"] == [
        {"status": "received", "id": reading.entry_id, "number": reading.number}
    ]
    assert (reading.place.place, reading.air_c, reading.at_offset_min) == ("mist-1", Decimal("24.5"), -240)
    schema("Answers").validate(answer.json())


def test_the_same_sent_again_is_received_once(send: Callable[..., Any]) -> None:
    first, second = send({"readings": [ONE, ONE]}), send({"readings": [ONE]})
    assert first.json()["answers"][0] == first.json()["answers"][1] == second.json()["answers"][0]
    assert Reading.rows.count() == 1


def test_a_table_and_an_instrument_make_one_entry(send: Callable[..., Any], tmp_path: Any) -> None:
    send({"readings": [ONE]})
    row = "place,at,air_c,rh_percent\nmist-1,2025-10-20T10:00:00-04:00,24.5,71\n"
    (tmp_path / "readings.csv").write_text(row)
    report = load(tmp_path, now=datetime.fromisoformat("2025-10-21T00:00:00Z"))
    assert (report.accepted, report.unchanged) == (0, 1)


@pytest.mark.parametrize(
    ("change", "column"),
    [
        ({"place": "nowhere"}, "place"),
        ({"place": 3}, "place"),
        ({"place": {}}, "place"),
        ({"at": "2025-10-20T10:00:00"}, "at"),
        ({"at": "20.10.2025"}, "at"),
        ({"at": None}, "at"),
        ({"at": "2999-01-01T00:00:00Z"}, "at"),
        ({"rh_percent": 101}, "rh_percent"),
        ({"air_c": "24.5"}, "air_c"),
        ({"air_c": True}, "air_c"),
        ({"air_c": 1e300}, "air_c"),
        ({"air_c": 1e-9}, "air_c"),
        ({"air_c": []}, "air_c"),
        ({"wind": 3}, "wind"),
        ({"id": ""}, "id"),
        ({"id": 5}, "id"),
        ({"source": "\u0000"}, "source"),
    ],
)
def test_one_that_is_wrong_is_told_and_holds_up_none(
    send: Callable[..., Any], change: dict[str, Any], column: str
) -> None:
    answer = send({"readings": [ONE | change, ONE]})
    assert answer.status_code == 200
    bad, good = answer.json()["answers"]
    assert (bad["status"], bad["column"], good["status"]) == ("refused", column, "received")
    assert bad["rule"]
    assert Reading.rows.count() == 1
    schema("Answers").validate(answer.json())


def test_whole_numbers_nothing_and_utc_are_taken(send: Callable[..., Any]) -> None:
    told = {**ONE, "at": "2025-10-20T14:00:00Z", "air_c": 24.0, "rh_percent": None, "source": None}
    assert send({"readings": [told, told | {"air_c": 24}]}).json()["answers"][0]["status"] == "received"
    assert Reading.rows.get().air_c == 24


def test_an_id_that_stands_on_another_is_refused(send: Callable[..., Any]) -> None:
    send({"readings": [ONE | {"id": "r1"}]})
    (answer,) = send({"readings": [ONE | {"id": "r1", "air_c": 3}]}).json()["answers"]
    assert (answer["status"], answer["id"], answer["column"]) == ("refused", "r1", "id")


@pytest.mark.parametrize(
    ("told", "status", "error"),
    [
        ("{", 400, "malformed"),
        ('{"readings": [NaN]}', 400, "malformed"),
        ("[]", 400, "malformed"),
        ({"readings": [], "more": 1}, 400, "malformed"),
        ({"readings": {}}, 422, "malformed"),
        ({"readings": [ONE] * 1001}, 413, "too-large"),
    ],
)
def test_what_is_refused_as_a_whole_is_told_by_status_and_word(
    send: Callable[..., Any], told: Any, status: int, error: str
) -> None:
    answer = send(told)
    assert (answer.status_code, answer.json()["error"]) == (status, error)
    assert not Reading.rows.exists()
    schema("Refusal").validate(answer.json())


def test_other_kinds_of_content_are_refused(send: Callable[..., Any]) -> None:
    assert send({"readings": []}, kind="text/plain").status_code == 415
    assert send("x" * 1_000_001).status_code == 413


def test_without_a_standing_token_nobody_sends(
    send: Callable[..., Any], garden: Garden, owner: Member, now: datetime, client: Client
) -> None:
    for token in ("", "slip_wrong", "é"):
        answer = send({"readings": [ONE]}, token=token)
        assert (answer.status_code, answer.json()["error"]) == (401, "token")
    # somebody who is signed in, but shows no token
    said = json.dumps({"readings": [ONE]})
    assert client.post("/api/readings", said, content_type="application/json").status_code == 401
    services.end_token(garden=garden, by=owner, now=now, token=AccessToken.objects.get().pk)
    assert send({"readings": [ONE]}).status_code == 401
    assert not Reading.rows.exists()


def test_a_token_falls_with_the_rights_of_who_made_it(send: Callable[..., Any], owner: Member) -> None:
    owner.role = "reader"
    owner.save()
    answer = send({"readings": [ONE]})
    assert (answer.status_code, answer.json()["error"]) == (403, "not-allowed")


def test_a_token_reaches_one_garden_only(
    secret: str, send: Callable[..., Any], now: datetime, garden: Garden
) -> None:
    other = services.make_garden(
        name="Elsewhere", latitude_deg=Decimal(1), longitude_deg=Decimal(1), time_zone="UTC", owner="ada"
    )
    owner = Member.objects.get(garden=other)
    _, theirs = services.make_token(garden=other, by=owner, now=now, name="other")
    (answer,) = send({"readings": [ONE]}, token=theirs).json()["answers"]
    assert answer["column"] == "place"


def test_too_many_sendings_are_put_off(send: Callable[..., Any], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(instruments, "MOST_SENDINGS", 2)
    answers = [send({"readings": []}) for _ in range(3)]
    assert [answer.status_code for answer in answers] == [200, 200, 429]
    assert int(answers[-1]["Retry-After"]) > 0


def test_the_secret_is_kept_nowhere(secret: str) -> None:
    token = AccessToken.objects.get()
    assert secret not in json.dumps([str(value) for value in vars(token).values()])
    assert DoorEvent.objects.get(what="token").told == "made: logger"


def test_the_description_names_every_column_and_its_limits(client: Client) -> None:
    told = Client(HTTP_HOST="127.0.0.1").get("/api/openapi.json").json()
    reading = told["components"]["schemas"]["Reading"]
    assert list(reading["properties"]) == list(table_named("readings").names)
    assert reading["required"] == ["place", "at"]
    assert reading["properties"]["rh_percent"]["maximum"] == 100
    for made in told["components"]["schemas"].values():
        Draft202012Validator.check_schema(made)


def test_the_description_lets_through_what_is_taken_and_not_what_is_refused() -> None:
    readings = schema("Readings")
    assert readings.is_valid({"readings": [ONE]})
    for change in ({"rh_percent": 101}, {"air_c": "24.5"}, {"wind": 3}, {"at": "20.10.2025"}, {"place": ""}):
        assert not readings.is_valid({"readings": [ONE | change]})


def test_a_token_rests_while_whoever_made_it_is_shut_out(
    send: Callable[..., Any], garden: Garden, owner: Member, now: datetime
) -> None:
    other = Member.objects.create(garden=garden, member="ada", role="owner")
    services.user_of_member(other)
    services.user_of_member(owner)
    assert send({"readings": [ONE]}).status_code == 200
    services.shut_out(garden=garden, by=other, now=now, member=owner)
    answer = send({"readings": [ONE]})
    assert (answer.status_code, answer.json()["error"]) == (401, "token")
    services.let_back_in(garden=garden, by=other, now=now, member=owner)
    assert send({"readings": [ONE]}).status_code == 200


def test_a_reading_that_came_to_nothing_leaves_no_number_out_of_step(
    send: Callable[..., Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = Reading.save

    def breaks(self: Reading, **how: Any) -> None:
        whole(self, **how)
        if self.air_c == 33:
            raise Refused("not this one")

    monkeypatch.setattr(Reading, "save", breaks)
    at = "2025-10-20T1{}:00:00-04:00"
    told = [ONE | {"at": at.format(n), "air_c": air_c} for n, air_c in enumerate((20, 33, 21))]
    assert [one["status"] for one in send({"readings": told}).json()["answers"]] == [
        "received",
        "refused",
        "received",
    ]
    assert send({"readings": [ONE | {"at": at.format(5)}]}).status_code == 200
    numbers = list(Reading.rows.order_by("number").values_list("number", flat=True))
    assert numbers == list(range(numbers[0], numbers[0] + 3))
