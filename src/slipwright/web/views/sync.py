"""What phones kept while they had no signal: where they ask who they are, and where they send it.

The addresses and their answers are told in ``docs/sync.md``.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from django.http import HttpResponse
from django.middleware.csrf import get_token

from slipwright.records import roles, services
from slipwright.records.answers.set_aside import why_aside
from slipwright.records.errors import Busy
from slipwright.records.services import Answer, Sent
from slipwright.web.membership import GardenRequest, access
from slipwright.web.posted_json import VERSION, NotJson, answer_json, read_json, refuse_json

MOST_RECORDS = 20
MOST_BYTES = 200_000


@access("member")
def sync(request: GardenRequest) -> HttpResponse:
    """Say whose phone this is and what it needs to send; take in what it sends."""
    if request.method in ("GET", "HEAD"):
        return _who(request)
    if request.method != "POST":
        answer = refuse_json(405, "method")
        answer["Allow"] = "GET, HEAD, POST"
        return answer
    if len(request.body) > MOST_BYTES:
        return refuse_json(413, "too-large", f"at most {MOST_BYTES} bytes at once")
    try:
        sent_at, sent = _asked(read_json(request.body))
    except NotJson as error:
        return refuse_json(400, "malformed", str(error))
    if len(sent) > MOST_RECORDS:
        return refuse_json(413, "too-large", f"at most {MOST_RECORDS} records at once")
    try:
        receipt = services.receive_sending(
            garden=request.garden,
            by=request.member,
            now=request.now,
            sent=sent,
            sent_at=sent_at,
            device=request.device,
        )
    except Busy as busy:
        refused = refuse_json(503, "busy")
        refused["Retry-After"] = str(busy.wait_s)
        return refused
    return answer_json(
        {
            "received_at": told_moment(request.now),
            "skew_s": receipt.skew_s,
            "clock": receipt.clock,
            "answers": [told_answer(answer) for answer in receipt.answers],
        }
    )


def _who(request: GardenRequest) -> HttpResponse:
    return answer_json(
        {
            "member": request.member.member,
            "shown_as": str(request.member),
            "garden": str(request.garden.garden),
            "garden_name": request.garden.name,
            "today": request.today.isoformat(),
            "now": told_moment(request.now),
            "number": request.last_number,
            "csrf": get_token(request),
            "may_record": roles.may(request.member, roles.RECORD),
            "is_demo": request.garden.stands_on is not None,
        }
    )


def _asked(told: Any) -> tuple[datetime, list[Sent]]:
    sent = records_of(told)
    at = told.get("sent_at")
    try:
        sent_at = datetime.fromisoformat(at).astimezone(UTC) if isinstance(at, str) else None
    except (ValueError, OverflowError):
        sent_at = None
    if sent_at is None or datetime.fromisoformat(at).tzinfo is None:
        raise NotJson("sent_at must be a moment with its offset from UTC, such as 2026-10-20T09:30:00+01:00")
    return sent_at, sent


def records_of(told: Any) -> list[Sent]:
    """Return the records of a sending, or of a file that a phone wrote; each as it came."""
    if not isinstance(told, Mapping) or isinstance(told.get("v"), bool) or told.get("v") != VERSION:
        raise NotJson(f"it must be an object with v = {VERSION}")
    records = told.get("records")
    if not isinstance(records, list):
        raise NotJson("records must be a list")
    return [_sent(one) for one in records]


def _sent(one: Any) -> Sent:
    if not isinstance(one, Mapping):
        return Sent(one, "")
    ground = one.get("ground")
    return Sent(one.get("content"), one.get("sha256"), ground if isinstance(ground, str) else "")


def told_answer(answer: Answer) -> dict[str, Any]:
    """Return an answer as plain data."""
    return {
        "id": answer.entry_id,
        "kind": answer.kind,
        "sha256": answer.sha256,
        "status": answer.status,
        "number": answer.number,
        "why": why_aside(answer.reason) if answer.status == "set-aside" else "",
        "reason": answer.reason,
        "received_at": told_moment(answer.received_at),
    }


def told_moment(at: datetime) -> str:
    """Return a moment in UTC, to the second."""
    return at.astimezone(UTC).isoformat(timespec="seconds")
