"""Reading gardens, members, stock plants, wants, labels and weather."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Any

import pytest

from slipwright.records import selectors, services
from slipwright.records.errors import Ambiguous, NotFound, SeveralGardens
from slipwright.records.models import Garden, Member, WeatherDay
from slipwright.records.services.stickings import lot_by_method
from tests.databases import Database
from tests.records.conftest import small_garden
from tests.records.making import stick

ON = date(2025, 10, 15)


@pytest.fixture
def who(garden: Garden, grower: Member, now: datetime) -> dict[str, Any]:
    return {"garden": garden, "by": grower, "now": now}


def test_the_only_garden_needs_no_name(garden: Garden) -> None:
    assert selectors.the_garden() == garden


def test_without_a_garden_that_is_said(database: Database) -> None:
    with pytest.raises(NotFound, match="slipwright load makes one"):
        selectors.the_garden()
    with pytest.raises(NotFound, match="none yet"):
        selectors.the_garden("Tern Point")


def test_several_gardens_must_be_named(garden: Garden) -> None:
    other = small_garden("Tern Point")
    with pytest.raises(SeveralGardens) as caught:
        selectors.the_garden()
    assert caught.value.names == ("Saltmarsh Lane Community Garden", "Tern Point")
    assert selectors.the_garden("tern point ") == other
    assert selectors.the_garden(str(garden.garden).upper()) == garden
    with pytest.raises(NotFound, match="there is Saltmarsh Lane Community Garden, Tern Point"):
        selectors.the_garden("Dune End")


def test_two_gardens_of_one_name_are_told_by_their_ids(garden: Garden) -> None:
    twin = small_garden()
    with pytest.raises(Ambiguous):
        selectors.the_garden(garden.name)
    with pytest.raises(SeveralGardens, match=str(twin.garden)):
        selectors.the_garden()


def test_members_are_found_by_their_short_id(garden: Garden, grower: Member) -> None:
    assert selectors.member_named(garden, "grower") == grower
    with pytest.raises(NotFound, match="owner"):
        selectors.member_named(garden, "nobody")
    with pytest.raises(NotFound, match="who recorded"):
        selectors.member_named(garden, None)
    Member.objects.exclude(pk=grower.pk).delete()
    assert selectors.member_named(garden, None) == grower


def test_stock_plants_carry_the_last_that_was_seen(who: dict[str, Any], garden: Garden) -> None:
    services.record_stage(**who, plant="rose-gate", on=date(2025, 9, 1), bbch=60)
    services.record_stage(**who, plant="rose-gate", on=date(2025, 10, 1), bbch=69)
    late = services.record_stage(**who, plant="rose-gate", on=date(2025, 10, 2), bbch=10)
    services.withdraw(**who, withdraws=late.entry_id, reason="another plant", at=who["now"])
    services.record_firmness(**who, plant="rose-gate", on=date(2025, 10, 1), firmness_mid=3)
    services.record_firmness(**who, plant="rose-gate", on=date(2025, 10, 18), firmness_mid=4)
    rose, sage = selectors.stock_plants(garden, on=ON)
    assert (rose.plant, rose.taxon, rose.place, rose.flowers) == (
        "rose-gate",
        "Rosa 'Pale Ferry'",
        "frame-1",
        "repeat",
    )
    assert (rose.bbch, rose.bbch_on) == (69, date(2025, 10, 1))
    assert (rose.firmness_mid, rose.firmness_tip, rose.firmness_on) == (3, None, date(2025, 10, 1))
    assert (sage.plant, sage.place, sage.bbch, sage.rights.allowed) == ("sage-wall", "", None, True)


def test_rights_are_asked_of_the_day(who: dict[str, Any], garden: Garden) -> None:
    services.add_reference(
        **who, table="plants", row={"plant": "lavender", "taxon": "Lavandula 'Night Tide'"}
    )
    found = {stock.plant: stock for stock in selectors.stock_plants(garden, on=ON)}
    assert not found["lavender"].rights.allowed
    later = {stock.plant: stock for stock in selectors.stock_plants(garden, on=date(2041, 1, 1))}
    assert later["lavender"].rights.allowed


def test_the_usual_way_is_the_method_of_the_last_batch(who: dict[str, Any], garden: Garden) -> None:
    rose = "Rosa 'Pale Ferry'"
    assert selectors.usual_method(garden, rose) is None
    assert lot_by_method(garden, taxon=rose) == {}
    services.add_reference(**who, table="methods", row={"method": "heel", "wood": "hardwood"})
    stick(**who, method="rose-autumn", stuck_on=date(2025, 9, 1))
    last = stick(**who, method="heel", stuck_on=date(2025, 10, 1))
    stick(**who, stuck_on=date(2025, 10, 9))
    found = selectors.usual_method(garden, rose)
    assert str(found) == "heel"
    services.withdraw(**who, withdraws=last.entry_id, reason="slip", at=who["now"])
    assert str(selectors.usual_method(garden, rose)) == "rose-autumn"
    assert lot_by_method(garden, taxon=rose) == {
        "method": "rose-autumn",
        "wood": "semi-hardwood",
        "auxin": "iba",
        "auxin_form": "talc",
        "auxin_mg_per_kg": Decimal(3000),
        "container": "pot-1l",
        "medium": "half-and-half",
        "cover": "mist",
    }
    assert lot_by_method(garden, taxon=rose, method="heel") == {"method": "heel", "wood": "hardwood"}


def test_wants_say_how_far_they_have_come(who: dict[str, Any], garden: Garden) -> None:
    services.add_reference(
        **who,
        table="wants",
        row={
            "want": "sage-26",
            "taxon": "Salvia rosmarinus",
            "n_wanted": 10,
            "ready_by": date(2026, 5, 1),
            "ready_as": "potted",
            "assurance": Decimal("0.9"),
        },
    )
    one, two, slip = (stick(**who, want="roses-27") for _ in range(3))
    services.record_look(**who, batch=one.batch, on=ON, n_rooted=5, n_lost=2)
    services.record_look(**who, batch=two.batch, on=ON, n_rooted=1)
    services.withdraw(**who, withdraws=slip.entry_id, reason="slip", at=who["now"])
    sage, roses = selectors.wants(garden)
    assert (sage.want, sage.n_stuck) == ("sage-26", 0)
    assert (roses.want, roses.n_wanted, roses.n_stuck, roses.n_rooted, roses.n_waiting) == (
        "roses-27",
        40,
        40,
        6,
        32,
    )


def test_labels_of_named_batches_of_those_since_and_of_all(who: dict[str, Any], garden: Garden) -> None:
    old = stick(**who, stuck_on=date(2025, 9, 1), container="pot-1l", n_per_container=7)
    new = stick(**who, stuck_on=ON, plant="rose-gate")
    ended = stick(**who, stuck_on=ON)
    services.record_look(**who, batch=ended.batch, on=ON, n_lost=20)
    slip = stick(**who)
    services.withdraw(**who, withdraws=slip.entry_id, reason="slip", at=who["now"])

    def codes(*named: str, **asked: Any) -> list[str]:
        return [label.batch for label in selectors.labels_of(garden, named, on=ON, **asked)]

    assert codes() == [old.batch, new.batch]
    assert codes(since=ON) == [new.batch, ended.batch]
    assert codes(new.batch[:4], old.batch.lower()) == [old.batch, new.batch]
    first = selectors.labels_of(garden, [old.batch], on=ON)[0]
    assert (first.taxon, first.n_stuck, first.container, first.n_containers, first.place) == (
        "Rosa 'Pale Ferry'",
        20,
        "pot-1l",
        3,
        "mist-1",
    )
    assert first.rights.allowed


def test_the_weather_of_a_day_is_what_was_observed_else_the_newest_forecast(garden: Garden) -> None:
    def day(on: date, tmax_c: int, made_on: date | None = None) -> None:
        WeatherDay.rows.create(garden=garden, on=on, tmin_c=0, tmax_c=tmax_c, made_on=made_on)

    day(ON, 11)
    day(ON, 12, date(2025, 10, 14))
    day(date(2025, 10, 16), 13, date(2025, 10, 15))
    day(date(2025, 10, 16), 14, date(2025, 10, 13))
    assert selectors.weather_on(garden, date(2025, 10, 14)) is None
    found = selectors.weather_of(garden, from_on=date(2025, 10, 1), to_on=date(2025, 10, 31))
    assert [(row.on, row.tmax_c) for row in found] == [(ON, 11), (date(2025, 10, 16), 13)]
    assert selectors.weather_of(small_garden("Tern Point"), from_on=ON, to_on=ON) == []
