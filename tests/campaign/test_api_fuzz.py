"""Generated calls of the addresses that programs ask: none breaks them, none is let in that may not.

Schemathesis makes the calls from the descriptions that instruments and phones go by, of what fits them
and of what does not. Part of what fits is made to be of this garden, so that it is taken in as well.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from django.conf import settings as django
from django.core.handlers.wsgi import WSGIHandler
from django.test import Client
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from schemathesis.checks import not_a_server_error
from schemathesis.core.failures import FailureGroup
from schemathesis.openapi.checks import JsonSchemaError
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from slipwright.records import services
from slipwright.records.canonical import sha256
from slipwright.records.models import Garden, Member, Reading, Sending
from slipwright.records.openapi import openapi
from slipwright.records.services import instruments
from tests.campaign.conftest import IS_FULL, Parts
from tests.records.making import stick

SQLITE_ONLY = pytest.mark.parametrize("database", ["sqlite"], indirect=True)
EACH, EACH_QUICK, ALL_PARTS = 1000, 150, 10
CONTRACT = Path(__file__).parents[2] / "docs" / "contract"
CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
]
MODES = tuple(schemathesis.GenerationMode)
Who = Callable[[str, Any], dict[str, Any]]


class Pages(WSGIHandler):
    """The pages, asked with cookies that no client keeps for itself."""

    cookies: dict[str, str] = {}

    def __call__(self, environ: Any, start_response: Any) -> Any:
        environ["HTTP_COOKIE"] = "; ".join(f"{name}={text}" for name, text in self.cookies.items())
        return super().__call__(environ, start_response)


def calls(description: dict[str, Any], app: WSGIHandler) -> st.SearchStrategy[Any]:
    """Return generated calls of every address described."""
    schema = schemathesis.openapi.from_dict(description)
    schema.app = app
    found = [result.ok() for result in schema.get_all_operations()]
    return st.one_of([one.as_strategy(generation_mode=mode) for one in found for mode in MODES])


def told_of(case: Any) -> Any:
    """Return the JSON a call sends, and nothing where it sends none."""
    return case.body if isinstance(case.body, dict | list) else None


def ask(case: Any, **with_: Any) -> Any:
    """Ask, and check the answer by its description."""
    headers = {**with_.pop("headers", {}), "Accept-Encoding": "identity"}
    answer = case.call(base_url="http://127.0.0.1", headers=headers, **with_)
    case.validate_response(answer, checks=CHECKS)
    return answer


def run(parts: Parts, cases: st.SearchStrategy[Any], one: Callable[[Any], str]) -> Counter[str]:
    """Make the calls of each part that is to be done; ``one`` makes one call and says what came of it."""
    seen: Counter[str] = Counter()
    for part in parts.of(1, ALL_PARTS):
        n = EACH if IS_FULL else EACH_QUICK

        @seed(part)
        @settings(
            max_examples=n,
            deadline=None,
            database=None,
            suppress_health_check=list(HealthCheck),
            phases=[Phase.generate],
        )
        @given(cases)
        def generated(case: Any) -> None:
            seen[one(case)] += 1

        generated()
        parts.done(part, seen=dict(sorted(seen.items())))
    return seen


# --- readings -----------------------------------------------------------------------------------------


@pytest.fixture
def tokens(garden: Garden, owner: Member, now: datetime, monkeypatch: pytest.MonkeyPatch) -> dict[str, str]:
    """Give what may be shown for a token; one of them lets in, as often as it likes."""
    monkeypatch.setattr(instruments, "MOST_SENDINGS", 10**9)
    right = services.make_token(garden=garden, by=owner, now=now, name="logger")[1]
    token, ended = services.make_token(garden=garden, by=owner, now=now, name="old logger")
    services.end_token(garden=garden, by=owner, now=now, token=token.pk)
    shown = {"right": right, "ended": ended, "near": right[:-1], "long": right * 50, "strange": "é\u0000ñ"}
    return {name: f"Bearer {secret}" for name, secret in shown.items()} | {"none": "", "basic": "Basic YTpi"}


@SQLITE_ONLY
def test_instruments_break_nothing_and_need_a_token(
    garden: Garden, tokens: dict[str, str], parts: Callable[[str], Parts]
) -> None:
    description = openapi()
    reading = Draft202012Validator({**description, "$ref": "#/components/schemas/Reading"})

    cases = calls(description, Pages())

    @st.composite
    def generated(draw: Any) -> tuple[Any, str]:
        case = draw(cases)
        told = told_of(case)
        if isinstance(told, dict) and isinstance(told.get("readings"), list) and draw(st.booleans()):
            for one in filter(lambda one: isinstance(one, dict), told["readings"]):
                one["place"] = "mist-1"
                one["at"] = f"2025-10-{draw(st.integers(1, 19)):02d}T10:00:00Z"
        return case, draw(st.sampled_from(["right"] * 6 + sorted(tokens)))

    def one(drawn: tuple[Any, str]) -> str:
        case, shown = drawn
        case.headers = {name: text for name, text in (case.headers or {}).items() if name != "Authorization"}
        # what is no text of a header is sent as the bytes it is
        header = tokens[shown].encode("utf-8").decode("latin-1").replace("\x00", "")
        answer = ask(case, headers={"Authorization": header} if header else {})
        if case.method == "POST" and case.path == "/api/readings" and shown != "right":
            assert answer.status_code == 401
        if answer.status_code == 200 and case.method == "POST":
            _items_answered(told_of(case), answer.json(), reading)
        return f"{case.method} {case.path} {shown}: {answer.status_code}"

    seen = run(parts("api-fuzz-readings"), generated(), one)
    if seen:
        assert seen["POST /api/readings right: 200"] > 20
        assert seen["POST /api/readings none: 401"] + seen["POST /api/readings ended: 401"] > 2
        assert Reading.rows.of(garden).exists()


def _items_answered(told: Any, answered: Any, reading: Draft202012Validator) -> None:
    """Each reading has its answer, and one that does not fit the description is refused."""
    assert len(answered["answers"]) == len(told["readings"])
    for sent, answer in zip(told["readings"], answered["answers"], strict=True):
        if not reading.is_valid(sent):
            assert answer["status"] == "refused", (sent, answer)


# --- phones -------------------------------------------------------------------------------------------


def sync_described() -> dict[str, Any]:
    """Return the contract of /sync as a description that calls can be made from."""
    sync = json.loads((CONTRACT / "sync.json").read_text(encoding="utf-8"))["$defs"]
    entry = json.loads((CONTRACT / "entry.schema.json").read_text(encoding="utf-8"))
    text = json.dumps(sync).replace("#/$defs/", "#/components/schemas/")
    schemas = json.loads(text.replace('"entry.schema.json"', '"#/components/schemas/entry"'))
    told = {
        name: {"application/json": {"schema": {"$ref": f"#/components/schemas/{name}"}}} for name in schemas
    }
    refusals = {
        status: {"description": "refused", "content": told["refusal"]}
        for status in ("400", "401", "403", "413", "503")
    }
    return {
        "openapi": "3.1.0",
        "info": {"title": "sync", "version": "1"},
        "paths": {
            "/sync": {
                "get": {"responses": {"200": {"description": "who", "content": told["who"]}} | refusals},
                "post": {
                    "requestBody": {"required": True, "content": told["sending"]},
                    "responses": {"200": {"description": "taken in", "content": told["answers"]}} | refusals,
                },
            }
        },
        "components": {"schemas": schemas | {"entry": entry}},
    }


@SQLITE_ONLY
def test_phones_break_nothing_and_must_be_signed_in(
    garden: Garden, grower: Member, now: datetime, parts: Callable[[str], Parts]
) -> None:
    batch = stick(garden, grower, now, batch="7K3F", n_stuck=500)
    client = Client(HTTP_HOST="127.0.0.1")
    client.force_login(services.user_of_member(grower))
    token = client.get("/sync").json()["csrf"]
    own = {name: morsel.value for name, morsel in client.cookies.items()}
    strangers = {**own, django.SESSION_COOKIE_NAME: "x" * 32}
    pages = Pages()
    cases = calls(sync_described(), pages)

    @st.composite
    def generated(draw: Any) -> tuple[Any, str]:
        case = draw(cases)
        told = told_of(case)
        if isinstance(told, dict) and isinstance(told.get("records"), list) and draw(st.booleans()):
            for one in filter(lambda one: isinstance(one, dict), told["records"]):
                _made_ours(one, garden, batch.batch)
        return case, draw(st.sampled_from(["own"] * 6 + ["stranger", "no-token", "signed-out"]))

    def one(drawn: tuple[Any, str]) -> str:
        case, who = drawn
        pages.cookies = {"own": own, "no-token": own, "stranger": strangers, "signed-out": {}}[who]
        answer = ask(case, headers={} if who == "no-token" else {"X-CSRFToken": token})
        if who in ("stranger", "signed-out"):
            assert answer.status_code in (401, 403)
        if case.method == "POST" and who == "no-token":
            assert answer.status_code == 403
        if answer.status_code == 200 and case.method == "POST":
            assert len(answer.json()["answers"]) == len(told_of(case)["records"])
        return f"{case.method} {who}: {answer.status_code}"

    seen = run(parts("api-fuzz-sync"), generated(), one)
    if seen:
        assert seen["POST own: 200"] > 20, seen
        assert seen["POST own: 400"] > 5
        assert Sending.rows.filter(n_aside__gt=0).exists()


def _made_ours(record: dict[str, Any], garden: Garden, batch: str) -> None:
    """Let a record be of this garden and sealed, whatever else it says."""
    content = record.get("content")
    if not isinstance(content, dict):
        return
    content["garden"], content["by"] = str(garden.garden), "grower"
    if isinstance(content.get("fields"), dict) and "batch" in content["fields"]:
        content["fields"]["batch"] = batch
    try:
        record["sha256"] = sha256(content)
    except (TypeError, ValueError, OverflowError, RecursionError):
        record["sha256"] = "0" * 64


def test_planted_an_answer_of_another_form_is_caught(
    garden: Garden, tokens: dict[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(instruments.ReadingAnswer, "as_json", lambda answer: {"status": "perhaps", "id": 1})
    schema = schemathesis.openapi.from_dict(openapi())
    schema.app = Pages()
    case = schema["/api/readings"]["POST"].Case(
        body={"readings": [{"place": "mist-1", "at": "2025-10-01T10:00:00Z"}]}, media_type="application/json"
    )
    with pytest.raises(FailureGroup) as caught:
        ask(case, headers={"Authorization": tokens["right"]})
    assert {type(one) for one in caught.value.exceptions} == {JsonSchemaError}
