"""Recording a potting; potting more than are rooted also says that those had rooted."""

from __future__ import annotations

from datetime import date, datetime

from django.db import transaction

from slipwright.records.columns import table_of_kind
from slipwright.records.models import BatchState, Garden, Look, Member, Potting
from slipwright.records.numbering import hold
from slipwright.records.rows import Row, checked
from slipwright.records.services.entry import add, id_beside, kept_before, new_id, standing_sticking


@transaction.atomic
def record_potting(
    *,
    garden: Garden,
    by: Member,
    now: datetime,
    batch: str,
    on: date,
    n_potted: int,
    container: str = "",
    medium: str = "",
    place: str = "",
    note: str = "",
    entry_id: str = "",
) -> Potting:
    """Record rooted cuttings potted up.

    Where fewer are known to have rooted than are potted, a look of that day is added for the rest:
    what is potted has rooted. It stands before the potting in number, so the sum reads in order.
    """
    held = hold(garden)
    row: Row = {
        "batch": batch,
        "on": on,
        "n_potted": n_potted,
        "container": container,
        "medium": medium,
        "place": place,
        "by": by.member,
        "note": note,
        "id": entry_id or new_id(),
    }
    table = table_of_kind("potting")
    full = checked(table, row)
    if kept_before(held, table, full) is None and (short := _short(held, batch, n_potted)) > 0:
        look: Row = {
            "batch": batch,
            "on": on,
            "n_rooted": short,
            "by": by.member,
            "note": "rooted, as seen at potting",
            "id": id_beside(str(full["id"]), "look"),
        }
        add(held, by=by, now=now, kind="look", row=look)
    record: Potting = add(held, by=by, now=now, kind="potting", row=full).record
    return record


def look_beside(garden: Garden, potting: Potting) -> Look | None:
    """Return the look that was added beside a potting, because more were potted than had rooted."""
    return Look.rows.of(garden).filter(entry_id=id_beside(potting.entry_id, "look")).first()


def _short(held: Garden, batch: str, n_potted: int) -> int:
    state = BatchState.rows.of(held).get(batch=standing_sticking(held, batch))
    return n_potted - max(state.n_to_pot, 0)
