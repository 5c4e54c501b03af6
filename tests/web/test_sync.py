"""What phones send: record by record, once, answered in JSON whatever happens."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.db import OperationalError
from django.test import Client
from jsonschema import Draft202012Validator

from slipwright.records import services
from slipwright.records.canonical import sha256
from slipwright.records.models import Garden, Look, Member, Sending, SetAside, Sticking
from slipwright.records.services import turns
from slipwright.web import posted_json
from slipwright.web.posted_json import DEEPEST, NotJson, read_json
from tests.records.making import stick

CONTRACT = json.loads(
    (Path(__file__).parents[2] / "docs" / "contract" / "sync.json").read_text(encoding="utf-8")
)


def fits(told: Any, part: str) -> bool:
    schema = {"$ref": f"#/$defs/{part}", "$defs": CONTRACT["$defs"]}
    return Draft202012Validator(schema).is_valid(told)


@pytest.fixture
def batch(garden: Garden, grower: Member, now: datetime) -> Sticking:
    return stick(garden, grower, now, batch="7K3F")


def look(of: Garden, entry_id: str, **changes: Any) -> dict[str, Any]:
    fields = {"batch": "7K3F", "n_rooted": 2} | changes.pop("fields", {})
    whole = {
        "kind": "look",
        "v": 1,
        "garden": str(of.garden),
        "id": entry_id,
        "by": "grower",
        "on": "2025-10-15",
        "fields": fields,
    }
    return whole | changes


def sending(*contents: Any, sent_at: datetime | None = None, **more: Any) -> dict[str, Any]:
    records = [{"content": content, "sha256": sha256(content)} for content in contents]
    at = (sent_at or datetime.now(UTC)).isoformat()
    return {"v": 1, "sent_at": at, "records": records} | more


def send(client: Client, told: Any, **more: Any) -> Any:
    body = told if isinstance(told, str | bytes) else json.dumps(told)
    return client.post("/sync", body, content_type="application/json", **more)


def statuses(answer: Any) -> list[str]:
    return [one["status"] for one in answer.json()["answers"]]


def test_a_phone_asks_whose_it_is(client: Client, garden: Garden) -> None:
    answer = client.get("/sync")
    told = answer.json()
    assert (answer.status_code, answer["Cache-Control"]) == (200, "no-store")
    assert fits(told, "who")
    assert (told["member"], told["garden"], told["today"]) == ("grower", str(garden.garden), "2025-10-20")
    assert (told["may_record"], told["is_demo"], told["number"]) == (True, False, 0)


def test_it_is_told_the_number_of_the_last_record(client: Client, garden: Garden, batch: Sticking) -> None:
    (answer,) = send(client, sending(look(garden, "a"))).json()["answers"]
    assert client.get("/sync").json()["number"] == answer["number"] == batch.number + 1


def test_the_token_it_is_given_lets_it_send(garden: Garden, client: Client, batch: Sticking) -> None:
    strict = Client(HTTP_HOST="127.0.0.1", enforce_csrf_checks=True)
    strict.cookies = client.cookies
    refused = send(strict, sending())
    assert (refused.status_code, refused.json()) == (403, {"v": 1, "error": "token"})
    token = strict.get("/sync").json()["csrf"]
    answer = send(strict, sending(look(garden, "a")), HTTP_X_CSRFTOKEN=token)
    assert statuses(answer) == ["received"]


def test_each_record_is_answered_in_order_and_a_bad_one_blocks_none(
    client: Client, garden: Garden, batch: Sticking
) -> None:
    told = sending(look(garden, "a"), look(garden, "b", v=9), look(garden, "c"))
    told["records"] += [5, {"content": None}, {"content": {}, "sha256": [1]}]
    answer = send(client, told)
    assert answer.status_code == 200
    assert fits(answer.json(), "answers")
    assert statuses(answer) == ["received", "set-aside", "received", "set-aside", "set-aside", "set-aside"]
    assert [one["id"] for one in answer.json()["answers"]][:3] == ["a", "b", "c"]
    assert [one["why"] for one in answer.json()["answers"]][:3] == ["", "newer", ""]
    assert (Look.rows.count(), SetAside.rows.count()) == (2, 4)
    aside = SetAside.rows.filter(entry_id="b").get()
    assert (str(aside.by), aside.device) == ("grower", None)
    kept = Sending.rows.get()
    assert (kept.n_received, kept.n_aside, kept.first_number, kept.last_number) == (2, 4, 2, 3)


def test_sent_twice_is_sent_once(client: Client, garden: Garden, batch: Sticking) -> None:
    told = sending(look(garden, "a"), look(garden, "b", fields={"batch": "nobody's"}))
    first, again = send(client, told).json(), send(client, told).json()
    assert first["answers"] == again["answers"]
    assert (Look.rows.count(), SetAside.rows.count()) == (1, 1)


def test_what_another_member_or_garden_recorded_is_kept_nowhere(
    client: Client, garden: Garden, batch: Sticking
) -> None:
    elsewhere = "8b0c1f0e-0000-4000-8000-000000000000"
    told = sending(look(garden, "a", by="volunteer"), look(garden, "b", garden=elsewhere))
    assert statuses(send(client, told)) == ["not-yours", "not-yours"]
    assert (Look.rows.count(), SetAside.rows.count(), Sending.rows.count()) == (0, 0, 0)


def test_what_a_reader_recorded_before_is_kept_aside(
    garden: Garden, reader: Member, as_member: Callable[[Member], Client], batch: Sticking
) -> None:
    theirs = as_member(reader)
    assert theirs.get("/sync").json()["may_record"] is False
    assert statuses(send(theirs, sending(look(garden, "a", by="reader")))) == ["set-aside"]
    assert "reader" in SetAside.rows.get().reason


@pytest.mark.parametrize(
    ("off", "clock", "status"),
    [
        (timedelta(minutes=4), "right", "received"),
        (-timedelta(minutes=6), "off", "received"),
        (timedelta(hours=23), "off", "received"),
        (-timedelta(days=3), "ask", "set-aside"),
        (timedelta(days=365 * 200), "ask", "set-aside"),
        (-timedelta(days=365 * 100), "ask", "set-aside"),
    ],
)
def test_a_clock_that_is_out_is_told_and_beyond_a_day_a_person_is_asked(
    client: Client, garden: Garden, batch: Sticking, off: timedelta, clock: str, status: str
) -> None:
    answer = send(client, sending(look(garden, "a"), sent_at=datetime.now(UTC) + off))
    told = answer.json()
    assert fits(told, "answers")
    assert (told["clock"], statuses(answer)) == (clock, [status])
    expected = max(-2e9, min(off.total_seconds(), 2e9))
    assert told["skew_s"] == pytest.approx(expected, abs=30)
    assert Sending.rows.get().skew_s == told["skew_s"]
    if status == "set-aside":
        assert told["answers"][0]["reason"].startswith("this phone's clock differs by ")


def test_what_is_here_already_needs_no_right_clock(client: Client, garden: Garden, batch: Sticking) -> None:
    send(client, sending(look(garden, "a")))
    later = sending(look(garden, "a"), look(garden, "b"), sent_at=datetime.now(UTC) - timedelta(days=3))
    assert statuses(send(client, later)) == ["received", "set-aside"]


def test_the_clock_of_a_demonstration_is_not_compared(
    client: Client, garden: Garden, batch: Sticking
) -> None:
    Garden.objects.filter(pk=garden.pk).update(stands_on="2025-10-20")
    answer = send(client, sending(look(garden, "a"), sent_at=datetime(2015, 1, 1, tzinfo=UTC)))
    assert (answer.json()["clock"], answer.json()["skew_s"], statuses(answer)) == ("right", 0, ["received"])


def test_a_stranger_is_told_in_json(garden: Garden) -> None:
    stranger = Client(HTTP_HOST="127.0.0.1")
    for answer in (stranger.get("/sync"), send(stranger, sending())):
        assert (answer.status_code, answer.json()) == (401, {"v": 1, "error": "signed-out"})
        assert fits(answer.json(), "refusal")


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"\xff",
        "no json",
        "[]",
        "5",
        json.dumps({"v": 1, "records": []}),
        json.dumps({"v": 1, "sent_at": "2025-10-20T09:30:00", "records": []}),
        json.dumps({"v": 1, "sent_at": "0001-01-01T00:00:00+14:00", "records": []}),
        json.dumps({"v": 1, "sent_at": "now", "records": []}),
        json.dumps({"v": 2, "sent_at": "2025-10-20T09:30:00Z", "records": []}),
        json.dumps({"v": True, "sent_at": "2025-10-20T09:30:00Z", "records": []}),
        json.dumps({"v": 1, "sent_at": "2025-10-20T09:30:00Z", "records": {}}),
        '{"v":1,"v":1,"sent_at":"2025-10-20T09:30:00Z","records":[]}',
        '{"v":1,"sent_at":"2025-10-20T09:30:00Z","records":[NaN]}',
        '{"v":1,"sent_at":"2025-10-20T09:30:00Z","records":[1e999]}',
    ],
)
def test_what_is_no_sending_is_refused_with_the_reason(client: Client, body: str | bytes) -> None:
    answer = send(client, body)
    assert (answer.status_code, answer.json()["error"]) == (400, "malformed")
    assert answer.json()["reason"]
    assert fits(answer.json(), "refusal")


def test_too_much_at_once_is_refused(client: Client, garden: Garden, batch: Sticking) -> None:
    many = send(client, sending(*(look(garden, str(n)) for n in range(21))))
    large = send(client, b" " * 200_001)
    huge = send(client, b" " * 1_000_001)
    assert [one.status_code for one in (many, large, huge)] == [413, 413, 413]
    assert all(fits(one.json(), "refusal") for one in (many, large, huge))
    assert Look.rows.count() == 0


def test_another_method_is_refused_in_json(client: Client) -> None:
    answer = client.delete("/sync")
    assert (answer.status_code, answer.json()["error"]) == (405, "method")


@pytest.mark.parametrize(
    ("why", "error"),
    [
        ("database is locked", "busy"),
        ("canceling statement due to lock timeout", "busy"),
        ("database or disk is full", "full"),
        ("could not extend file: No space left on device", "full"),
    ],
)
def test_a_held_garden_and_a_full_disk_are_told(
    client: Client, garden: Garden, batch: Sticking, monkeypatch: pytest.MonkeyPatch, why: str, error: str
) -> None:
    def fail(**_: Any) -> None:
        raise OperationalError(why)

    monkeypatch.setattr("slipwright.records.services.sendings.receive_entry", fail)
    answer = send(client, sending(look(garden, "a")))
    assert (answer.status_code, answer.json()["error"], answer["Retry-After"]) == (503, error, "15")
    assert fits(answer.json(), "refusal")


def test_where_much_is_being_taken_in_a_long_sending_is_told_to_come_again_soon(
    client: Client, garden: Garden, batch: Sticking
) -> None:
    with turns._turns.announced(turns.MOST_AHEAD + 1):
        answer = send(client, sending(*(look(garden, str(n)) for n in range(4))))
        assert send(client, sending(look(garden, "a"))).status_code == 200
    assert (answer.status_code, answer.json()["error"]) == (503, "busy")
    assert 1 <= int(answer["Retry-After"]) <= 4
    assert Look.rows.count() == 1


def test_what_nobody_foresaw_is_told_in_json_too(
    client: Client, garden: Garden, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(**_: Any) -> None:
        raise RuntimeError

    monkeypatch.setattr("slipwright.records.services.sendings.receive_entry", fail)
    client.raise_request_exception = False
    answer = send(client, sending(look(garden, "a")))
    assert (answer.status_code, answer.json()) == (500, {"v": 1, "error": "broken"})


def test_of_a_sending_that_broke_nothing_is_there_and_sent_again_all_is_received(
    client: Client, garden: Garden, batch: Sticking, monkeypatch: pytest.MonkeyPatch
) -> None:
    told = sending(look(garden, "a"), look(garden, "b"))
    kept = services.receive_entry

    def fail_at_b(**asked: Any) -> services.Answer:
        if asked["content"]["id"] == "b":
            raise OperationalError("database is locked")
        return kept(**asked)

    with monkeypatch.context() as broken:
        broken.setattr("slipwright.records.services.sendings.receive_entry", fail_at_b)
        assert send(client, told).status_code == 503
    assert Look.rows.count() == 0
    assert statuses(send(client, told)) == ["received", "received"]
    assert Look.rows.count() == 2


def nested(depth: int) -> bytes:
    return b"[" * depth + b"]" * depth


def test_json_may_lie_so_deep_and_no_deeper() -> None:
    assert read_json(nested(DEEPEST)) is not None
    for depth in (DEEPEST + 1, 100_000):
        with pytest.raises(NotJson, match="deeper"):
            read_json(nested(depth))


@pytest.mark.parametrize("text", ["-Infinity", '{"a":{"b":1,"b":1}}', "-1e400", "9" * 5000, "\ufeff1"])
def test_json_is_read_strictly(text: str) -> None:
    with pytest.raises(NotJson):
        read_json(text.encode())


def test_the_published_schema_is_one() -> None:
    Draft202012Validator.check_schema(CONTRACT)
    assert CONTRACT["$defs"]["sending"]["properties"]["v"]["const"] == posted_json.VERSION
