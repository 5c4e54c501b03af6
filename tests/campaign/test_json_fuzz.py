"""JSON as no program should send it: refused in words, never an error of the server's own, never slow."""

from __future__ import annotations

import json
import time
from collections.abc import Callable
from datetime import datetime
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from slipwright.records import services
from slipwright.records.models import Garden, Look, Member, Reading
from slipwright.records.services import instruments
from tests.campaign.conftest import IS_FULL

SQLITE_ONLY = pytest.mark.parametrize("database", ["sqlite"], indirect=True)
#: seconds of this process's own time that no answer may take
MOST_S = 1.0
Send = Callable[[bytes], Any]

_DEEP = 100_000
#: name: what is sent; all of it is refused as no JSON that is read here
REFUSED: dict[str, bytes] = {
    "nothing": b"",
    "lists without end": b"[" * _DEEP,
    "lists within lists": b"[" * _DEEP + b"]" * _DEEP,
    "objects within objects": b'{"a":' * (_DEEP // 5) + b"1" + b"}" * (_DEEP // 5),
    "deeper than it may": b'{"v":1,"readings":' + b"[" * 33 + b"]" * 33 + b"}",
    "NaN": b'{"v":1,"readings":NaN}',
    "Infinity": b'{"v":1,"readings":[-Infinity]}',
    "a number too large": b'{"v":1,"readings":[1e999]}',
    "a number of many digits": b'{"v":1,"readings":[' + b"9" * _DEEP + b"]}",
    "a fraction of many digits": b'{"v":1,"readings":[1e' + b"9" * 1000 + b"]}",
    "a name twice": b'{"v":1,"v":1,"readings":[],"records":[]}',
    "a name twice, deep within": b'{"v":1,"readings":[{"at":1,"at":2}],"records":[{"a":1,"a":1}]}',
    "a name twice, once escaped": b'{"v":1,"\\u0076":1}',
    "Latin-1": '{"v":1,"readings":["é"]}'.encode("latin-1"),
    "UTF-16": '{"v":1}'.encode("utf-16"),
    "a byte order mark": b'\xef\xbb\xbf{"v":1}',
    "half a surrogate in bytes": b'{"v":"\xed\xa0\x80"}',
    "a text that does not end": b'"' + b"\\" * _DEEP,
    "blanks": b" " * _DEEP,
    "a NUL": b'{"v":\x00}',
    "two at once": b'{"v":1}{"v":1}',
    "a comment": b'{"v":1} // so it is',
}


def client_of(member: Member) -> Client:
    client = Client(HTTP_HOST="127.0.0.1")
    client.force_login(services.user_of_member(member))
    return client


@pytest.fixture
def senders(
    garden: Garden,
    owner: Member,
    grower: Member,
    now: datetime,
    monkeypatch: pytest.MonkeyPatch,
    gathered_files: None,
) -> dict[str, Send]:
    """Give what sends bytes to each address that reads JSON."""
    monkeypatch.setattr(instruments, "MOST_SENDINGS", 10**9)
    secret = services.make_token(garden=garden, by=owner, now=now, name="logger")[1]
    machine, phone, desk = Client(HTTP_HOST="127.0.0.1"), client_of(grower), client_of(owner)

    def to_readings(sent: bytes) -> Any:
        return machine.generic(
            "POST", "/api/readings", sent, "application/json", HTTP_AUTHORIZATION=f"Bearer {secret}"
        )

    def to_file(sent: bytes) -> Any:
        return desk.post("/sync/file", {"file": SimpleUploadedFile("phone.json", sent)})

    return {
        "/api/readings": to_readings,
        "/sync": lambda sent: phone.generic("POST", "/sync", sent, "application/json"),
        "/sync/file": to_file,
    }


def asked(send: Send, sent: bytes) -> Any:
    """Send, and see that the answer was no fault of the server's and came soon."""
    begun = time.process_time()
    answer = send(sent)
    took = time.process_time() - begun
    assert answer.status_code < 500, (answer.status_code, sent[:200])
    assert took <= MOST_S, (took, sent[:200])
    return answer


@SQLITE_ONLY
def test_what_is_no_json_is_refused_in_words(senders: dict[str, Send]) -> None:
    for name, sent in REFUSED.items():
        for address, send in senders.items():
            answer = asked(send, sent)
            # what has no content is not called anything either
            refused = (400, 413, 415, 422) if name == "nothing" else (400, 413, 422)
            assert answer.status_code in refused, (name, address, answer.status_code)
            if address != "/sync/file":
                told = answer.json()
                assert told["error"] in ("malformed", "too-large", "not-json"), (name, address)
                assert told["reason"], (name, address)
    assert (Reading.rows.count(), Look.rows.count()) == (0, 0)


_LEAVES = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.text(max_size=20),
    st.sampled_from(["mist-1", "2025-10-01T10:00:00Z", "look", "grower", "\u0000", "\ud800", "x" * 5000]),
    st.sampled_from([10**18, 10**400, -1, 0, 1.5e308, float("nan"), float("inf")]),
)
_NAMES = st.one_of(
    st.sampled_from(
        ["v", "readings", "records", "content", "sha256", "sent_at", "fields", "kind", "id", "by"]
    ),
    st.sampled_from(["on", "at", "garden", "batch", "place", "air_c", "n_rooted", "ground", "about", "file"]),
    st.text(max_size=5),
)
_VALUES = st.recursive(
    _LEAVES,
    lambda inner: st.lists(inner, max_size=6) | st.dictionaries(_NAMES, inner, max_size=8),
    max_leaves=30,
)
#: near to what is sent, with anything for a part of it
_NEAR = st.one_of(
    st.fixed_dictionaries({"readings": st.lists(_VALUES, max_size=5)}),
    st.fixed_dictionaries(
        {
            "v": st.just(1),
            "sent_at": st.sampled_from(["2025-10-20T15:30:00+00:00", "9999-12-31T23:59:59-14:00", "", "now"]),
            "records": st.lists(st.fixed_dictionaries({"content": _VALUES, "sha256": _LEAVES}), max_size=4),
        }
    ),
    st.fixed_dictionaries({"v": _LEAVES, "sent_at": _LEAVES, "records": _VALUES, "readings": _VALUES}),
)
_JSON = st.one_of(_VALUES, _NEAR, _NEAR).map(lambda value: json.dumps(value).encode("utf-8", "surrogatepass"))


@st.composite
def _worn(draw: Any) -> bytes:
    """Draw JSON with a few of its bytes worn."""
    whole = bytearray(draw(_JSON))
    for at in draw(st.lists(st.integers(0, max(0, len(whole) - 1)), max_size=2)):
        whole[at : at + draw(st.integers(0, 2))] = draw(st.binary(max_size=3))
    return bytes(whole)


@SQLITE_ONLY
def test_nothing_that_looks_like_json_breaks_an_address(senders: dict[str, Send]) -> None:
    @settings(
        max_examples=4000 if IS_FULL else 120,
        deadline=None,
        database=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(st.sampled_from(sorted(senders)), st.one_of(_JSON, _worn(), st.binary(max_size=100)))
    def sent(address: str, told: bytes) -> None:
        asked(senders[address], told)

    sent()


@SQLITE_ONLY
def test_what_is_too_large_is_refused_before_it_is_read(senders: dict[str, Send]) -> None:
    filling = b'{"v":1,"sent_at":"","records":[],"more":"' + b"x" * 6_000_000 + b'"}'
    for address, status in (("/api/readings", 413), ("/sync", 413), ("/sync/file", 422)):
        assert asked(senders[address], filling).status_code == status, address
