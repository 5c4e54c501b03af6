"""Recording a sticking: one lot of cuttings, or several graded ones, in one save."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Required, TypedDict

from django.db import transaction

from slipwright.records import words
from slipwright.records.canonical import Value
from slipwright.records.codes import SHORT, Draws, new_code
from slipwright.records.columns import table_named, table_of_kind
from slipwright.records.errors import BadValue, Refused, UnknownRow
from slipwright.records.models import BatchState, Firmness, Garden, Member, Method, Sticking, Taxon
from slipwright.records.numbering import hold
from slipwright.records.rows import Row, referred, row_of
from slipwright.records.selectors import rights_of, usual_method
from slipwright.records.services.entry import add, id_beside, new_id
from slipwright.records.services.observations import record_firmness

#: The columns a sticking takes over from its method.
_OF_METHOD = {column.name for column in table_named("methods").columns if column.name != "method"} & set(
    table_named("batches").names
)

#: How the note begins that says on what ground a sticking of a protected plant was written down.
GROUND = "ground: "


class Lot(TypedDict, total=False):
    """The columns of one lot that is stuck; ``batch`` and ``id`` are made where left out."""

    batch: str
    taxon: Required[str]
    plant: str
    stuck_on: Required[date]
    n_stuck: Required[int]
    wood: Required[str]
    method: str
    cutting: str
    shoot: str
    part: str
    ripeness: Decimal | None
    n_nodes: int | None
    length_mm: Decimal | None
    diameter_mm: Decimal | None
    n_shoots: int | None
    leaves: str
    cut_on: date | None
    stored: str
    wound: str
    auxin: str
    auxin_form: str
    auxin_mg_per_l: Decimal | None
    auxin_mg_per_kg: Decimal | None
    auxin2: str
    auxin2_mg_per_l: Decimal | None
    dip_s: Decimal | None
    medium: str
    container: str
    n_per_container: int | None
    place: str
    cover: str
    medium_temp_c: Decimal | None
    days_from_bloom: int | None
    want: str
    from_batch: str
    trial: str
    arm: str
    block: str
    minutes: Decimal | None
    note: str
    id: str


@transaction.atomic
def record_sticking(
    *,
    garden: Garden,
    by: Member,
    now: datetime,
    lots: Sequence[Lot],
    already_done: bool = False,
    ground: str = "",
    draws: Draws | None = None,
) -> list[Sticking]:
    """Record one batch a lot; all of them or, if one is refused, none.

    Cuttings of a protected plant without a licence, and of budded or flowering shoots, are refused
    with the reason.  Where it is ``already_done`` the truth is written down with a note of it; for a
    protected plant ``ground`` must then say by what right (one of ``words.GROUNDS``).
    """
    if not lots:
        raise BadValue("lots", "must hold at least one lot")
    held = hold(garden)
    return [
        stick(
            held,
            by=by,
            now=now,
            row={"by": by.member} | _with_code(held, lot, draws),
            already_done=already_done,
            ground=ground,
        )
        for lot in lots
    ]


@transaction.atomic
def record_sticking_as_felt(
    *,
    garden: Garden,
    by: Member,
    now: datetime,
    lots: Sequence[Lot],
    firmness_mid: int | None,
    already_done: bool = False,
    ground: str = "",
) -> tuple[list[Sticking], Firmness | None]:
    """Record lots of one stock plant, and how firm the middle of its shoot felt: both, or neither.

    Nothing is written of the shoot where it was not felt, or no stock plant is named.
    """
    kept = record_sticking(garden=garden, by=by, now=now, lots=lots, already_done=already_done, ground=ground)
    first = kept[0]
    if firmness_mid is None or first.plant is None:
        return kept, None
    felt = record_firmness(
        garden=garden,
        by=by,
        now=now,
        plant=first.plant.plant,
        on=first.stuck_on,
        firmness_mid=firmness_mid,
        entry_id=id_beside(first.entry_id, "firmness"),
    )
    return kept, felt


def lot_by_method(garden: Garden, *, taxon: str, method: str | None = None) -> dict[str, Value]:
    """Return the columns of a lot that follow from a method; without one, from the usual way.

    Empty where the taxon was never stuck by a method.
    """
    if method is None:
        found = usual_method(garden, taxon)
    else:
        found = Method.rows.of(garden).select_related("container", "medium").filter(method=method).first()
        if found is None:
            raise UnknownRow("method", method, "methods")
    if found is None:
        return {}
    row = row_of(found, table_named("methods"))
    return {"method": found.method} | {name: value for name, value in row.items() if name in _OF_METHOD}


def stick(held: Garden, *, by: Member, now: datetime, row: Row, already_done: bool, ground: str) -> Sticking:
    """Add the sticking of a whole ``row`` to a garden that is held, and the notes that go with it."""
    said = _said_beside(held, row, already_done=already_done, ground=ground)
    added = add(held, by=by, now=now, kind="sticking", row=row)
    record: Sticking = added.record
    if added.is_new:
        for what, text in said.items():
            note: Row = {
                "about": record.entry_id,
                "at": now.replace(microsecond=0),
                "text": text,
                "by": by.member,
                "id": id_beside(record.entry_id, what),
            }
            add(held, by=by, now=now, kind="note", row=note)
    return record


def first_fours_in_use(garden: Garden) -> set[str]:
    """Return the first four characters of every batch of the garden that has not ended."""
    codes = BatchState.rows.of(garden).filter(ended_on=None).values_list("batch__batch", flat=True)
    return {code[:SHORT].upper() for code in codes}


def _with_code(held: Garden, lot: Lot, draws: Draws | None) -> dict[str, Value]:
    """Return ``lot`` with an id and a code; a lot that was saved before keeps the code it was given."""
    row: dict[str, Value] = {"id": new_id()}
    row.update({name: value for name, value in lot.items() if value not in (None, "")})  # type: ignore[misc]
    if "batch" not in row:
        before = Sticking.rows.of(held).filter(entry_id=row["id"]).first()
        row["batch"] = before.batch if before else new_code(first_fours_in_use(held), draws)
    return row


def _said_beside(held: Garden, row: Row, *, already_done: bool, ground: str) -> dict[str, str]:
    """Return the notes that must stand beside a sticking; raise ``Refused`` where it may not be."""
    if ground and ground not in words.GROUNDS:
        raise BadValue("ground", f"must be one of {', '.join(words.GROUNDS)}", ground)
    said = {}
    if row.get("shoot") in ("budded", "flowering"):
        if not already_done:
            raise Refused(
                f"The shoot is {row['shoot']}. Flowering and rooting compete, so it is left to bloom.",
                ["Choose a shoot without buds or flowers.", "Wait until its flowers are spent."],
            )
        said["shoot"] = f"already done: stuck from a {row['shoot']} shoot"
    if (reason := _forbidden(held, row)) and not (already_done and ground):
        raise Refused(reason, _DONE_ALREADY if already_done else _NOT_YET)
    if reason:
        said["ground"] = f"{GROUND}{ground}. Already done. {reason}"
    return said


_NOT_YET = (
    "Write the number of the licence into the plant's row in taxa.",
    "If it is done already, say so and on what ground.",
)
_DONE_ALREADY = (f"Say on what ground it was done: {', '.join(words.GROUNDS)}.",)


def _forbidden(held: Garden, row: Row) -> str:
    """Return why the plant may not be multiplied on the day; empty if it may."""
    stuck_on = row.get("stuck_on")
    if not isinstance(stuck_on, date) or not row.get("taxon"):
        return ""  # ``add`` says what is missing
    column = table_of_kind("sticking").column("taxon")
    taxon: Taxon = referred(held, column, str(row["taxon"]))
    standing = rights_of(taxon, on=stuck_on)
    return "" if standing.allowed else standing.reason
