"""Recording a look: a batch looked at and what was seen."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from django.db import transaction

from slipwright.records import words
from slipwright.records.models import Garden, Look, Member
from slipwright.records.numbering import hold
from slipwright.records.rows import Row
from slipwright.records.services.entry import add, new_id


@transaction.atomic
def record_look(
    *,
    garden: Garden,
    by: Member,
    now: datetime,
    batch: str,
    on: date,
    n_rooted: int | None = None,
    n_lost: int | None = None,
    n_waiting: int | None = None,
    n_removed: int | None = None,
    n_lost_rooted: int | None = None,
    n_tried: int | None = None,
    n_tried_rooted: int | None = None,
    cause: str = "",
    signs: Sequence[str] = (),
    pot_weight: str = "",
    after: str = "",
    note: str = "",
    entry_id: str = "",
) -> Look:
    """Record one batch looked at; ``None`` was not counted, 0 was counted and is none.

    The counts are new since the look before, but for ``n_waiting``, which only checks the sum.
    """
    row: Row = {
        "batch": batch,
        "on": on,
        "n_rooted": n_rooted,
        "n_lost": n_lost,
        "n_waiting": n_waiting,
        "n_removed": n_removed,
        "n_lost_rooted": n_lost_rooted,
        "n_tried": n_tried,
        "n_tried_rooted": n_tried_rooted,
        "cause": cause,
        "signs": ";".join(sorted(signs, key=_order)),
        "pot_weight": pot_weight,
        "after": after,
        "by": by.member,
        "note": note,
        "id": entry_id or new_id(),
    }
    record: Look = add(hold(garden), by=by, now=now, kind="look", row=row).record
    return record


def _order(sign: str) -> int:
    """Sort signs in the order of their list; one that is on no list is refused later, by name."""
    return words.SIGNS.index(sign) if sign in words.SIGNS else len(words.SIGNS)
