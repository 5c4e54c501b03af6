"""Recording a place walked past: looked at, and nothing to note."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from datetime import date, datetime

from django.db import transaction

from slipwright.records import roles
from slipwright.records.errors import BadValue
from slipwright.records.models import Garden, Look, Member
from slipwright.records.services.looks import record_look


@transaction.atomic
def record_nothing_to_note(
    *, garden: Garden, by: Member, now: datetime, on: date, batches: Sequence[str], entry_id: str
) -> list[Look]:
    """Record a look without counts at each of some batches, all or none.

    The ids of the looks are made from ``entry_id``, the id of the form: pressed twice, it saves once.
    """
    roles.require(by, roles.RECORD, garden)
    try:
        form = uuid.UUID(entry_id)
    except ValueError as error:
        raise BadValue("entry_id", "must be the id the form was given", entry_id) from error
    return [
        record_look(garden=garden, by=by, now=now, batch=batch, on=on, entry_id=str(uuid.uuid5(form, batch)))
        for batch in batches
    ]
