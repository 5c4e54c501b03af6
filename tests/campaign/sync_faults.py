"""Faults as they are made, put into the receiving service for as long as a sequence lasts."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import ExitStack, contextmanager
from typing import Any
from unittest import mock

from django.db import connection, transaction

from slipwright.records import services, states, sums
from slipwright.records.canonical import sha256
from slipwright.records.models import Garden, Look
from slipwright.records.services import Answer, entry, receive_entry, sendings
from slipwright.records.services.entry import find_entry
from slipwright.records.sums import LookSeen

NOT_CHECKED = "what is there already is not looked for"
TOO_EARLY = "acknowledged before it is committed"
APART = "totals in a transaction of their own"
OVERWRITTEN = "another content of the same id overwrites"
NEWEST_CLOCK = "the newest clock of a phone wins"
SERVER_FAULTS = (NOT_CHECKED, TOO_EARLY, APART, OVERWRITTEN, NEWEST_CLOCK)


@contextmanager
def planted(fault: str) -> Iterator[None]:
    """Put a fault into the service."""
    with ExitStack() as stack:
        if fault == NOT_CHECKED:
            stack.enter_context(mock.patch.object(sendings, "receive_entry", _not_checked))
        elif fault == OVERWRITTEN:
            with connection.cursor() as cursor:
                cursor.execute("DROP TRIGGER records_look_no_update")
            stack.enter_context(mock.patch.object(sendings, "receive_entry", _overwriting))
        elif fault == APART:
            waiting: list[int] = []

            def later(garden: Garden, pks: Iterable[int] | None = None) -> int:
                waiting.extend(pks or ())
                return 0

            receive = services.receive_sending

            def apart(*, garden: Garden, **asked: Any) -> services.Receipt:
                waiting.clear()
                receipt = receive(garden=garden, **asked)
                if waiting:
                    with transaction.atomic():
                        states.resum(garden, set(waiting))
                return receipt

            stack.enter_context(mock.patch.object(entry, "resum", later))
            stack.enter_context(mock.patch.object(services, "receive_sending", apart))
        elif fault == NEWEST_CLOCK:
            stack.enter_context(mock.patch.object(sums, "counted_looks", _newest_clock))
        yield


def _is_there(garden: Garden, content: Any) -> Any:
    return next(iter(find_entry(garden, content["id"])), None)


def _not_checked(*, garden: Garden, content: Any, sha256: str, **asked: Any) -> Answer:
    before = _is_there(garden, content)
    if before is None or before.sha256 != sha256:
        return receive_entry(garden=garden, content=content, sha256=sha256, **asked)
    again = content | {"id": f"{content['id']}-{garden.pk}-{Look.rows.count()}"}
    receive_entry(garden=garden, content=again, sha256=_hash(again), **asked)
    return Answer("received", before.kind, before.entry_id, sha256, before.received_at, before.number)


def _overwriting(*, garden: Garden, content: Any, sha256: str, **asked: Any) -> Answer:
    before = _is_there(garden, content)
    if not isinstance(before, Look) or before.sha256 == sha256:
        return receive_entry(garden=garden, content=content, sha256=sha256, **asked)
    with transaction.atomic():
        Look.rows.filter(pk=before.pk).update(n_rooted=content["fields"].get("n_rooted"), sha256=sha256)
        states.resum(garden, [before.batch_id])
    return Answer("received", before.kind, before.entry_id, sha256, before.received_at, before.number)


def _hash(content: Any) -> str:
    return sha256(content)


def _newest_clock(looks: Iterable[LookSeen]) -> tuple[list[LookSeen], bool]:
    """Let the look count whose id, which begins with the phone's clock, is the newest."""
    newest: dict[str, LookSeen] = {}
    for look in sorted(looks, key=lambda look: look.entry_id):
        newest[look.after or look.entry_id] = look
    return sorted(newest.values(), key=lambda look: (look.on, look.number)), False
