"""Instruments: what lets them add readings, and the readings they send."""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from slipwright.records import roles
from slipwright.records.canonical import plain
from slipwright.records.columns import table_named
from slipwright.records.contents import VERSION, received
from slipwright.records.errors import BadValue, Clash, NotFound, Refused
from slipwright.records.models import AccessToken, DoorEvent, Garden, Member, Reading, Tries
from slipwright.records.numbering import hold
from slipwright.records.services.entry import add
from slipwright.records.tables.sealing import Sealer

READINGS = table_named("readings")
#: What a token begins with, so that one that lies about is known for what it is.
PREFIX = "slip_"
#: Readings one sending may hold, and how many are taken in while the garden is held.
MOST_READINGS = 1000
_AT_ONCE = 100
#: An instrument may send so often at once, and then once in so many seconds.
MOST_SENDINGS = 60
EACH_S = 2.0
#: The last use is written down no oftener than this.
_NOTED_EACH = timedelta(minutes=5)


@dataclass(frozen=True, slots=True)
class ReadingAnswer:
    """What became of one reading: its id and number, or the column and the rule it breaks."""

    entry_id: str = ""
    number: int | None = None
    column: str = ""
    rule: str = ""

    def as_json(self) -> dict[str, Any]:
        """Return it as the address answers."""
        if self.rule:
            return {"status": "refused", "id": self.entry_id, "column": self.column, "rule": self.rule}
        return {"status": "received", "id": self.entry_id, "number": self.number}


@transaction.atomic
def make_token(*, garden: Garden, by: Member, now: datetime, name: str) -> tuple[AccessToken, str]:
    """Make a token for an instrument and return it with its secret, which is kept nowhere."""
    roles.require(by, roles.GOVERN, garden)
    name = name.strip()
    if not name or len(name) > 100 or not name.isprintable():
        raise BadValue("name", _("must be a short name"), name)
    secret = PREFIX + secrets.token_urlsafe(32)
    token = AccessToken.objects.create(
        garden=garden, name=name, sha256=_sha256(secret), made_by=by, made_at=now
    )
    _noted(garden, by, now, f"made: {name}")
    return token, secret


@transaction.atomic
def end_token(*, garden: Garden, by: Member, now: datetime, token: int) -> AccessToken:
    """End a token: what is sent with it from now on is refused."""
    roles.require(by, roles.GOVERN, garden)
    found = AccessToken.objects.filter(garden=garden, pk=token).first()
    if found is None:
        raise NotFound("there is no such token")
    if found.ended_at is None:
        found.ended_at = now
        found.save(update_fields=["ended_at"])
        _noted(garden, by, now, f"ended: {found.name}")
    return found


def token_shown(secret: str, *, now: datetime) -> AccessToken | None:
    """Return the token with this secret, unless it was ended or who made it cannot come in any more."""
    found = (
        AccessToken.objects.select_related("garden", "made_by__garden")
        .filter(sha256=_sha256(secret), ended_at=None)
        .exclude(made_by__user__is_active=False)
        .first()
    )
    if found is not None and (found.last_used_at is None or now - found.last_used_at > _NOTED_EACH):
        found.last_used_at = now
        found.save(update_fields=["last_used_at"])
    return found


@transaction.atomic
def may_send(token: AccessToken, *, now: datetime) -> bool:
    """Return whether a token may be used once more now, and count it."""
    key = f"token-{token.pk}"
    Tries.objects.get_or_create(key=key, defaults={"left": float(MOST_SENDINGS), "at": now})
    tries = Tries.objects.select_for_update().get(key=key)
    waited_s = max((now - tries.at).total_seconds(), 0.0)
    left = min(tries.left + waited_s / EACH_S, float(MOST_SENDINGS))
    tries.left, tries.at = max(left - 1, 0.0), now
    tries.save(update_fields=["left", "at"])
    return left >= 1


def receive_readings(*, token: AccessToken, now: datetime, sent: Sequence[Any]) -> list[ReadingAnswer]:
    """Take in what an instrument sends, each reading by itself; the same sent again is received once.

    A reading without an id gets the one its row in a table would get, so that both are one entry.
    """
    roles.require(token.made_by, roles.RECORD, token.garden)
    answers: list[ReadingAnswer] = []
    for first in range(0, len(sent), _AT_ONCE):
        with transaction.atomic():
            hold(token.garden)
            chunk = sent[first : first + _AT_ONCE]
            answers += [_taken(token.garden, token.made_by, now, told) for told in chunk]
    return answers


def _taken(garden: Garden, by: Member, now: datetime, told: Any) -> ReadingAnswer:
    said = told.get("id") if isinstance(told, Mapping) else None
    entry_id = said[:100] if isinstance(said, str) else ""
    try:
        row = _row(str(garden.garden), told)
        entry_id = str(row["id"])
        with transaction.atomic():
            # read anew: where the one before came to nothing, its number was given back
            record: Reading = add(hold(garden), by=by, now=now, kind=Reading.kind, row=row).record
    except BadValue as error:
        return ReadingAnswer(entry_id, column=error.column, rule=error.rule)
    except Clash:
        return ReadingAnswer(entry_id, column="id", rule="stands on another reading")
    except Refused as error:
        return ReadingAnswer(entry_id, column="place", rule=error.reason)
    return ReadingAnswer(record.entry_id, record.number)


def _row(garden: str, told: Any) -> dict[str, Any]:
    if not isinstance(told, Mapping):
        raise BadValue("readings", "must be objects", told)
    if unknown := sorted(set(told) - set(READINGS.names)):
        raise BadValue(unknown[0], "is not a column of readings")
    fields = {
        column.name: _as_text(column.name, value) if column.kind == "decimal" else value
        for column in READINGS.field_columns
        if (value := told.get(column.name)) is not None
    }
    at = told.get("at")
    at = f"{at[:-1]}+00:00" if isinstance(at, str) and at.endswith("Z") else at
    given = "id" in told
    whole = {"kind": Reading.kind, "v": VERSION, "garden": garden, "at": at, "fields": fields}
    _, row = received(whole | {"id": told["id"] if given else "-"})
    if not given:
        names = [name for name in READINGS.names if name != "id"]
        values = {name: value for name in names if (value := plain(row.get(name))) is not None}
        row["id"] = Sealer(READINGS, garden, names).seal(values)[0]
    return row


def _as_text(name: str, value: Any) -> str:
    """Return a JSON number as the text of a decimal."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise BadValue(name, "must be a number", value)
    text = f"{value:.17f}".rstrip("0").rstrip(".") if "e" in repr(value) else repr(value)
    return text[:-2] if text.endswith(".0") else text


def _noted(garden: Garden, by: Member, now: datetime, told: str) -> None:
    DoorEvent.objects.create(garden=garden, what="token", told=told[:200], member=by, at=now)


def _sha256(secret: str) -> str:
    return hashlib.sha256(secret.encode("utf-8", "replace")).hexdigest()
