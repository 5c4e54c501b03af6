"""Recording what became of plants, what was done, and what was seen of plants, beds and air."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from slipwright.records.models import Act, Bed, Firmness, Garden, Member, Note, Outcome, Reading, Stage
from slipwright.records.numbering import hold
from slipwright.records.rows import Row
from slipwright.records.services.entry import add, new_id


@transaction.atomic
def record_outcome(
    *,
    garden: Garden,
    by: Member,
    now: datetime,
    batch: str,
    on: date,
    ready_as: str,
    n_reached: int | None = None,
    n_lost: int | None = None,
    fate: str = "",
    to: str = "",
    note: str = "",
    entry_id: str = "",
) -> Outcome:
    """Record how many plants of a batch became ready, were lost on the way, and where they went."""
    row: Row = {
        "batch": batch,
        "on": on,
        "ready_as": ready_as,
        "n_reached": n_reached,
        "n_lost": n_lost,
        "fate": fate,
        "to": to,
        "by": by.member,
        "note": note,
        "id": entry_id or new_id(),
    }
    record: Outcome = add(hold(garden), by=by, now=now, kind="outcome", row=row).record
    return record


@transaction.atomic
def record_act(
    *,
    garden: Garden,
    by: Member,
    now: datetime,
    on: date,
    act: str,
    batch: str = "",
    place: str = "",
    plant: str = "",
    amount: Decimal | None = None,
    unit: str = "",
    to_place: str = "",
    note: str = "",
    entry_id: str = "",
) -> Act:
    """Record something done to a batch, at a place or to a stock plant; a move says where to."""
    row: Row = {
        "on": on,
        "batch": batch,
        "place": place,
        "plant": plant,
        "act": act,
        "amount": amount,
        "unit": unit,
        "to_place": to_place,
        "by": by.member,
        "note": note,
        "id": entry_id or new_id(),
    }
    record: Act = add(hold(garden), by=by, now=now, kind="act", row=row).record
    return record


@transaction.atomic
def record_stage(
    *,
    garden: Garden,
    by: Member,
    now: datetime,
    plant: str,
    on: date,
    bbch: int,
    note: str = "",
    entry_id: str = "",
) -> Stage:
    """Record the growth stage of a stock plant, on the BBCH scale."""
    row: Row = {
        "plant": plant,
        "on": on,
        "bbch": bbch,
        "by": by.member,
        "note": note,
        "id": entry_id or new_id(),
    }
    record: Stage = add(hold(garden), by=by, now=now, kind="stage", row=row).record
    return record


@transaction.atomic
def record_firmness(
    *,
    garden: Garden,
    by: Member,
    now: datetime,
    plant: str,
    on: date,
    firmness_tip: int | None = None,
    firmness_mid: int | None = None,
    firmness_base: int | None = None,
    note: str = "",
    entry_id: str = "",
) -> Firmness:
    """Record how firm a shoot felt at its tip, middle and base, 1 soft to 5 woody."""
    row: Row = {
        "plant": plant,
        "on": on,
        "firmness_tip": firmness_tip,
        "firmness_mid": firmness_mid,
        "firmness_base": firmness_base,
        "by": by.member,
        "note": note,
        "id": entry_id or new_id(),
    }
    record: Firmness = add(hold(garden), by=by, now=now, kind="firmness", row=row).record
    return record


@transaction.atomic
def record_bed(
    *,
    garden: Garden,
    by: Member,
    now: datetime,
    place: str,
    at: datetime,
    seen: str,
    entry_id: str = "",
) -> Bed:
    """Record what was seen of a mist bed."""
    row: Row = {"place": place, "at": at, "seen": seen, "by": by.member, "id": entry_id or new_id()}
    record: Bed = add(hold(garden), by=by, now=now, kind="bed", row=row).record
    return record


@transaction.atomic
def record_reading(
    *,
    garden: Garden,
    by: Member,
    now: datetime,
    place: str,
    at: datetime,
    air_c: Decimal | None = None,
    rh_percent: Decimal | None = None,
    medium_c: Decimal | None = None,
    light_w_m2: Decimal | None = None,
    source: str = "",
    entry_id: str = "",
) -> Reading:
    """Record what an instrument read; the row itself does not say who read it."""
    row: Row = {
        "place": place,
        "at": at,
        "air_c": air_c,
        "rh_percent": rh_percent,
        "medium_c": medium_c,
        "light_w_m2": light_w_m2,
        "source": source,
        "id": entry_id or new_id(),
    }
    record: Reading = add(hold(garden), by=by, now=now, kind="reading", row=row).record
    return record


@transaction.atomic
def record_note(
    *,
    garden: Garden,
    by: Member,
    now: datetime,
    about: str,
    at: datetime,
    text: str,
    entry_id: str = "",
) -> Note:
    """Record words about any row or entry, named by its id."""
    row: Row = {"about": about, "at": at, "text": text, "by": by.member, "id": entry_id or new_id()}
    record: Note = add(hold(garden), by=by, now=now, kind="note", row=row).record
    return record
