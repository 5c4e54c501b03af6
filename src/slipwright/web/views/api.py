"""Where instruments send their readings; told in ``docs/api.md``."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.views.decorators.csrf import csrf_exempt

from slipwright.records import services
from slipwright.records.models import AccessToken
from slipwright.records.openapi import openapi as described
from slipwright.web.membership import GardenRequest, access
from slipwright.web.posted_json import NotJson, answer_json, read_json, refuse_json

#: a thousand readings with long names, and then some
MOST_BYTES = 1_000_000
#: seconds after which a token that was used too often may be used again
RETRY_AFTER_S = 5


@csrf_exempt
@access("open")
def readings(request: GardenRequest) -> HttpResponse:
    """Take in readings, each with its own answer. Nothing here rests on a cookie."""
    if request.method != "POST":
        answer: HttpResponse = refuse_json(405, "method")
        answer["Allow"] = "POST"
        return answer
    token = _token(request)
    if token is None:
        answer = refuse_json(401, "token", "send Authorization: Bearer, with a token made in this garden")
        answer["WWW-Authenticate"] = 'Bearer realm="readings"'
        return answer
    if not services.may_send(token, now=request.now):
        answer = refuse_json(429, "too-often")
        answer["Retry-After"] = str(RETRY_AFTER_S)
        return answer
    if request.content_type != "application/json":
        return refuse_json(415, "not-json", "send Content-Type: application/json")
    if int(request.META.get("CONTENT_LENGTH") or 0) > MOST_BYTES:
        return refuse_json(413, "too-large", f"at most {MOST_BYTES} bytes at once")
    try:
        told = read_json(request.body)
    except NotJson as error:
        return refuse_json(400, "malformed", str(error))
    return _received(request, token, told)


def _received(request: GardenRequest, token: AccessToken, told: Any) -> HttpResponse:
    if not isinstance(told, dict) or set(told) != {"readings"}:
        return refuse_json(400, "malformed", 'must be {"readings": [...]}')
    sent = told["readings"]
    if not isinstance(sent, list):
        return refuse_json(422, "malformed", "readings must be a list")
    if len(sent) > services.MOST_READINGS:
        return refuse_json(413, "too-large", f"at most {services.MOST_READINGS} readings at once")
    answers = services.receive_readings(token=token, now=request.now, sent=sent)
    return answer_json({"answers": [answer.as_json() for answer in answers]})


def _token(request: HttpRequest) -> AccessToken | None:
    kind, _, secret = request.headers.get("Authorization", "").partition(" ")
    if kind.lower() != "bearer" or not secret.strip():
        return None
    return services.token_shown(secret.strip(), now=request.now)  # type: ignore[attr-defined]


@access("open")
def openapi(request: GardenRequest) -> HttpResponse:
    """Describe the address, as OpenAPI has it."""
    if request.method not in ("GET", "HEAD"):
        answer: HttpResponse = refuse_json(405, "method")
        answer["Allow"] = "GET, HEAD"
        return answer
    shown = answer_json(described())
    shown["Cache-Control"] = "public, max-age=3600"
    return shown
