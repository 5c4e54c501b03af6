"""Recording a sticking."""

from __future__ import annotations

import random
from datetime import date, datetime
from decimal import Decimal
from typing import Any

import pytest

from slipwright.records import codes, services
from slipwright.records.contents import content_of
from slipwright.records.errors import BadValue, Clash, NotAllowed, Refused, UnknownRow
from slipwright.records.models import BatchState, Garden, Member, Note, Sticking, Taxon
from tests.records.conftest import small_garden
from tests.records.making import STUCK_ON, stick

PROTECTED = "Lavandula 'Night Tide'"


def lot(**columns: Any) -> Any:
    return {
        "taxon": "Rosa 'Pale Ferry'",
        "stuck_on": STUCK_ON,
        "n_stuck": 20,
        "wood": "semi-hardwood",
    } | columns


def test_a_sticking_gets_a_code_a_number_and_a_state(garden: Garden, grower: Member, now: datetime) -> None:
    batch = stick(garden, grower, now, n_stuck=24)
    assert codes.is_code(batch.batch)
    assert batch.number == 1
    assert batch.received_at == now
    assert batch.by == grower
    state = BatchState.rows.of(garden).get(batch=batch)
    assert (state.n_stuck, state.n_waiting, state.ended_on) == (24, 24, None)
    assert state.place is not None
    assert state.place.place == "mist-1"


def test_its_content_leaves_out_what_is_empty(garden: Garden, grower: Member, now: datetime) -> None:
    batch = stick(garden, grower, now, length_mm=Decimal("112.50"), note="")
    assert content_of(Sticking.rows.get()) == {
        "kind": "sticking",
        "v": 1,
        "garden": str(garden.garden),
        "id": batch.entry_id,
        "by": "grower",
        "on": "2025-10-01",
        "fields": {
            "batch": batch.batch,
            "taxon": "Rosa 'Pale Ferry'",
            "n_stuck": 20,
            "wood": "semi-hardwood",
            "length_mm": "112.5",
            "place": "mist-1",
        },
    }


def test_graded_lots_are_saved_together(garden: Garden, grower: Member, now: datetime) -> None:
    upper, lower = services.record_sticking(
        garden=garden,
        by=grower,
        now=now,
        lots=[lot(part="upper", n_stuck=12), lot(part="lower", n_stuck=8)],
    )
    assert upper.batch[:4] != lower.batch[:4]
    assert (upper.number, lower.number) == (1, 2)


def test_one_lot_refused_means_none_is_saved(garden: Garden, grower: Member, now: datetime) -> None:
    with pytest.raises(UnknownRow, match="place"):
        services.record_sticking(
            garden=garden, by=grower, now=now, lots=[lot(), lot(place="a bench nobody built")]
        )
    assert Sticking.rows.count() == 0
    assert BatchState.rows.count() == 0
    assert Garden.objects.get(pk=garden.pk).last_number == 0


def test_saved_twice_with_its_id_it_is_one_batch(garden: Garden, grower: Member, now: datetime) -> None:
    first = stick(garden, grower, now, id="made-on-a-phone")
    again = stick(garden, grower, now, id="made-on-a-phone")
    assert again.pk == first.pk
    assert again.batch == first.batch
    assert Garden.objects.get(pk=garden.pk).last_number == 1


def test_the_same_id_saying_something_else_clashes(garden: Garden, grower: Member, now: datetime) -> None:
    stick(garden, grower, now, id="made-on-a-phone")
    with pytest.raises(Clash, match="made-on-a-phone"):
        stick(garden, grower, now, id="made-on-a-phone", n_stuck=21)


def test_a_code_is_never_given_twice(garden: Garden, grower: Member, now: datetime) -> None:
    stick(garden, grower, now, batch="our own name")
    with pytest.raises(BadValue, match="code of another batch"):
        stick(garden, grower, now, batch="our own name")


def test_a_first_four_in_use_is_drawn_again(garden: Garden, grower: Member, now: datetime) -> None:
    def seeded() -> Sticking:
        return services.record_sticking(
            garden=garden, by=grower, now=now, lots=[lot()], draws=random.Random(8)
        )[0]

    first, second = seeded(), seeded()
    assert first.batch[:4] != second.batch[:4]
    services.withdraw(garden=garden, by=grower, now=now, withdraws=first.entry_id, reason="a slip", at=now)
    assert first.batch[:4] not in services.stickings.first_fours_in_use(garden)


@pytest.mark.parametrize(
    ("columns", "column"),
    [
        ({"n_stuck": 0}, "n_stuck"),
        ({"wood": "softish"}, "wood"),
        ({"ripeness": Decimal("1.01")}, "ripeness"),
        ({"length_mm": 12.5}, "length_mm"),
        ({"n_nodes": 101}, "n_nodes"),
        ({"taxon": "Rosa 'Unheard Of'"}, "taxon"),
        ({"from_batch": "no such batch"}, "from_batch"),
        ({"note": "a bell \x07"}, "note"),
        ({"arm": "two\nlines"}, "arm"),
        ({"batch": "x" * 101}, "batch"),
        ({"stuck_on": date(2025, 10, 22)}, "stuck_on"),
        ({"thickness": 3}, "thickness"),
        ({"dip_s": Decimal("0.0000001")}, "dip_s"),
    ],
)
@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
def test_what_breaks_a_rule_names_its_column(
    garden: Garden, grower: Member, now: datetime, columns: dict[str, Any], column: str
) -> None:
    with pytest.raises(BadValue) as caught:
        stick(garden, grower, now, **columns)
    assert caught.value.column == column
    assert Sticking.rows.count() == 0


@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
def test_another_gardens_rows_are_unknown(garden: Garden, grower: Member, now: datetime) -> None:
    other = small_garden("Tern Point")
    Taxon.rows.create(garden=other, taxon="Ribes nigrum")
    with pytest.raises(UnknownRow, match="Ribes nigrum"):
        stick(garden, grower, now, taxon="Ribes nigrum")


@pytest.mark.parametrize("shoot", ["budded", "flowering"])
def test_a_shoot_in_bud_or_flower_is_refused(
    garden: Garden, grower: Member, now: datetime, shoot: str
) -> None:
    with pytest.raises(Refused, match=shoot) as caught:
        stick(garden, grower, now, shoot=shoot)
    assert caught.value.doors
    done = services.record_sticking(
        garden=garden, by=grower, now=now, lots=[lot(shoot=shoot)], already_done=True
    )
    note = Note.rows.of(garden).get()
    assert (note.about, note.text) == (done[0].entry_id, f"already done: stuck from a {shoot} shoot")


def test_a_spent_shoot_is_stuck_without_a_word(garden: Garden, grower: Member, now: datetime) -> None:
    stick(garden, grower, now, shoot="spent")
    assert Note.rows.count() == 0


def test_a_protected_plant_is_refused_with_the_reason(garden: Garden, grower: Member, now: datetime) -> None:
    with pytest.raises(Refused, match="licence") as caught:
        stick(garden, grower, now, taxon=PROTECTED)
    assert any("licence" in door for door in caught.value.doors)
    assert Sticking.rows.count() == 0


def test_what_is_done_already_asks_its_ground(garden: Garden, grower: Member, now: datetime) -> None:
    record: dict[str, Any] = {"garden": garden, "by": grower, "now": now, "already_done": True}
    lots = [lot(taxon=PROTECTED, id="kept")]
    with pytest.raises(Refused) as caught:
        services.record_sticking(**record, lots=lots)
    assert "ground" in caught.value.doors[0]
    with pytest.raises(BadValue, match="ground"):
        services.record_sticking(**record, lots=lots, ground="because")
    batch = services.record_sticking(**record, lots=lots, ground="private-use")[0]
    note = Note.rows.of(garden).get()
    assert note.about == batch.entry_id
    assert note.text.startswith("ground: private-use. ")
    services.record_sticking(**record, lots=lots, ground="private-use")
    assert Note.rows.count() == 1


def test_a_licence_that_holds_opens_the_door(garden: Garden, grower: Member, now: datetime) -> None:
    services.edit_reference(
        garden=garden,
        by=grower,
        now=now,
        table="taxa",
        key=(PROTECTED,),
        changes={"rights": "licensed", "licence": "SL-7", "licence_until": date(2025, 10, 1)},
    )
    stick(garden, grower, now, taxon=PROTECTED)
    with pytest.raises(Refused):
        stick(garden, grower, now, taxon=PROTECTED, stuck_on=date(2025, 10, 2))


def test_a_reader_sticks_nothing(garden: Garden, reader: Member, now: datetime) -> None:
    with pytest.raises(NotAllowed):
        stick(garden, reader, now)
    assert Sticking.rows.count() == 0


def test_nothing_to_stick_is_refused(garden: Garden, grower: Member, now: datetime) -> None:
    with pytest.raises(BadValue, match="lots"):
        services.record_sticking(garden=garden, by=grower, now=now, lots=[])


def test_a_sticking_and_how_its_shoot_felt_are_kept_together_or_not_at_all(
    garden: Garden, grower: Member, now: datetime
) -> None:
    who: dict[str, Any] = {"garden": garden, "by": grower, "now": now}
    with pytest.raises(BadValue, match="firmness_mid"):
        services.record_sticking_as_felt(**who, lots=[lot(plant="rose-gate")], firmness_mid=9)
    assert not Sticking.rows.exists()
    kept, felt = services.record_sticking_as_felt(**who, lots=[lot(plant="rose-gate")], firmness_mid=3)
    assert felt is not None
    assert (felt.firmness_mid, felt.on, felt.plant.plant) == (3, kept[0].stuck_on, "rose-gate")


def test_of_a_taxon_that_is_no_stock_plant_nothing_felt_is_kept(
    garden: Garden, grower: Member, now: datetime
) -> None:
    kept, felt = services.record_sticking_as_felt(
        garden=garden, by=grower, now=now, lots=[lot()], firmness_mid=3
    )
    assert (len(kept), felt) == (1, None)
