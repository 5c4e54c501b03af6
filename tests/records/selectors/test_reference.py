"""Reference rows as plain values, and what was seen of a stock plant."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from decimal import Decimal

import pytest

from slipwright.records import selectors
from slipwright.records.errors import NotFound
from slipwright.records.models import Garden, Member, Place
from slipwright.records.services import (
    Lot,
    record_act,
    record_firmness,
    record_stage,
    record_sticking,
    withdraw,
)

ROSE = "Rosa 'Pale Ferry'"


def test_rows_come_as_their_columns_empty_ones_left_out(garden: Garden) -> None:
    rows = selectors.reference_rows(garden, "plants")
    assert rows == [
        {"plant": "rose-gate", "taxon": ROSE, "place": "frame-1"},
        {"plant": "sage-wall", "taxon": "Salvia rosmarinus"},
    ]


def test_places_come_in_the_order_of_the_walk_and_those_without_last(garden: Garden) -> None:
    Place.rows.create(garden=garden, place="attic", kind="shelf")
    names = [row["place"] for row in selectors.reference_rows(garden, "places")]
    assert names == ["mist-1", "frame-1", "attic"]


def test_one_row_is_found_by_its_key_and_the_garden_without_one(garden: Garden) -> None:
    assert selectors.reference_row(garden, "wants", ["roses-27"])["assurance"] == Decimal("0.8")
    assert selectors.reference_row(garden, "garden", [])["time_zone"] == "America/New_York"
    for key in (["nowhere"], [], ["a", "b"]):
        with pytest.raises(NotFound):
            selectors.reference_row(garden, "wants", key)


def test_whether_a_row_is_there_already_and_says_the_same(garden: Garden) -> None:
    same = {"place": "mist-1", "kind": "bench", "cover": "mist", "walk_order": 1, "room_m2": None}
    assert selectors.row_there(garden, "places", same) == "same"
    assert selectors.row_there(garden, "places", {**same, "walk_order": 2}) == "other"
    assert selectors.row_there(garden, "places", {**same, "place": "mist-2"}) == "none"


def test_uses_count_rows_and_batches_that_stand(garden: Garden, grower: Member, now: datetime) -> None:
    lot = Lot(taxon=ROSE, plant="rose-gate", stuck_on=date(2025, 9, 1), n_stuck=9, wood="semi-hardwood")
    first, second = record_sticking(garden=garden, by=grower, now=now, lots=[lot, lot])
    withdraw(
        garden=garden, by=grower, now=now, kind="sticking", withdraws=second.entry_id, at=now, reason="twice"
    )
    assert selectors.uses_of(garden, "taxa", ROSE) == {"wants": 1, "plants": 1, "batches": 1}
    assert [batch.batch for batch in selectors.batches_from_plant(garden, "rose-gate")] == [first.batch]


def test_what_was_seen_comes_newest_first_and_what_was_taken_back_does_not(
    garden: Garden, grower: Member, now: datetime
) -> None:
    who = {"garden": garden, "by": grower, "now": now, "plant": "rose-gate"}
    stage = record_stage(**who, on=date(2025, 6, 1), bbch=61)
    record_act(**who, on=date(2025, 7, 1), act="cut-back")
    record_firmness(**who, on=date(2025, 8, 1), firmness_mid=3)
    seen = selectors.seen_of_plant(garden, "rose-gate")
    assert [(one.kind, one.bbch, one.firmness_mid, one.act) for one in seen] == [
        ("firmness", None, 3, ""),
        ("act", None, None, "cut-back"),
        ("stage", 61, None, ""),
    ]
    withdraw(garden=garden, by=grower, now=now, kind="stage", withdraws=stage.entry_id, at=now, reason="no")
    assert [one.kind for one in selectors.seen_of_plant(garden, "rose-gate")] == ["firmness", "act"]


def test_shoots_cut_are_those_of_a_year_and_batches_that_do_not_say_are_counted(
    garden: Garden, grower: Member, now: datetime
) -> None:
    on = date(2025, 10, 20)
    lot = Lot(taxon=ROSE, plant="rose-gate", stuck_on=on, n_stuck=9, wood="semi-hardwood")
    old = on - timedelta(days=365)
    lots = [Lot(**{**lot, "n_shoots": 3}), lot, Lot(**{**lot, "stuck_on": old, "n_shoots": 5})]
    record_sticking(garden=garden, by=grower, now=now, lots=lots)
    cut = selectors.shoots_cut(garden, on=on)["rose-gate"]
    assert (cut.n_shoots, cut.n_batches_unsaid) == (3, 1)
