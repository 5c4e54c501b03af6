"""What waits for a person to decide: what was kept aside, looks made after the same thing, odd clocks."""

from __future__ import annotations

from datetime import datetime, timedelta
from itertools import groupby

from slipwright.records.errors import NotFound
from slipwright.records.models import BatchState, Garden, Look, Sending, SetAside, Sticking
from slipwright.records.sums import TWO_LOOKS_FROM_ONE

#: what is shown of a long list
MOST_SHOWN = 100
#: phones whose clock was off are named for so long
CLOCKS_FOR = timedelta(days=30)
#: seconds a clock may differ and is right
_CLOCK_OFF_S = 300


def open_asides(garden: Garden) -> list[SetAside]:
    """Return what is kept aside and not settled, oldest first, as far as one page shows it. One query."""
    rows = SetAside.rows.of(garden).filter(settled_at=None).select_related("by", "device")
    return list(rows.order_by("received_at", "pk")[:MOST_SHOWN])


def aside_of(garden: Garden, pk: int) -> SetAside:
    """Return something kept aside, settled or not; raise ``NotFound`` where there is nothing."""
    rows = SetAside.rows.of(garden).select_related("by", "device", "settled_by")
    found: SetAside | None = rows.filter(pk=pk).first()
    if found is None:
        raise NotFound("nothing of this garden was set aside under this address")
    return found


def n_to_settle(garden: Garden) -> int:
    """Return how many things wait for a person to decide. One query."""
    asides = SetAside.rows.of(garden).filter(settled_at=None).values_list("pk")
    return asides.union(_with_rivals(garden).values_list("pk"), all=True).count()


def n_asides(garden: Garden) -> int:
    """Return how many records are kept aside and not settled. One query."""
    return int(SetAside.rows.of(garden).filter(settled_at=None).count())


def batches_with_rivals(garden: Garden) -> list[Sticking]:
    """Return the batches with looks made after the same thing, each with its taxon. One query."""
    states = _with_rivals(garden).select_related("batch__taxon").order_by("batch__number")
    return [state.batch for state in states[:MOST_SHOWN]]


def rival_looks(garden: Garden, sticking: Sticking) -> list[list[Look]]:
    """Return the looks at a batch that were made after the same thing, together, later ones last."""
    rows = Look.rows.of(garden).standing().filter(batch=sticking).exclude(after="").select_related("by")
    by_after = groupby(rows.order_by("after", "on", "number"), key=lambda look: look.after)
    groups = [list(looks) for _, looks in by_after]
    return sorted((group for group in groups if len(group) > 1), key=lambda group: group[-1].number)


def clocks_off(garden: Garden, now: datetime) -> list[Sending]:
    """Return the sendings of late whose phone had another time than we, newest first. One query."""
    rows = Sending.rows.of(garden).filter(received_at__gte=now - CLOCKS_FOR)
    off = rows.exclude(skew_s__range=(-_CLOCK_OFF_S, _CLOCK_OFF_S)).select_related("by", "device")
    return list(off.order_by("-received_at")[:20])


def stickings_of(garden: Garden, codes: set[str]) -> dict[str, Sticking]:
    """Return the batches with these codes, each with its taxon. One query."""
    rows = Sticking.rows.of(garden).filter(batch__in=codes).select_related("taxon")
    return {row.batch: row for row in rows}


def _with_rivals(garden: Garden):  # type: ignore[no-untyped-def]
    return BatchState.rows.of(garden).filter(withdrawn=False, flags__contains=TWO_LOOKS_FROM_ONE)
