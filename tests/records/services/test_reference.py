"""Changing reference rows; every change is kept."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Any

import pytest

from slipwright.records import services
from slipwright.records.errors import BadValue, ChangedSince, NotAllowed, NotFound, Refused, UnknownRow
from slipwright.records.models import Garden, Hours, Member, Place, Plant, ReferenceEdit, Taxon, WeatherDay


@pytest.fixture
def who(garden: Garden, owner: Member, now: datetime) -> dict[str, Any]:
    return {"garden": garden, "by": owner, "now": now}


def test_an_edit_changes_the_row_and_is_kept(who: dict[str, Any], owner: Member, now: datetime) -> None:
    services.edit_reference(
        **who, table="places", key=("mist-1",), changes={"medium_temp_c": Decimal("21.50"), "cover": ""}
    )
    place = Place.rows.get(place="mist-1")
    assert (place.medium_temp_c, place.cover) == (Decimal("21.5"), "")
    edit = ReferenceEdit.rows.get()
    assert (edit.number, edit.table, edit.key, edit.by, edit.at) == (1, "places", "mist-1", owner, now)
    assert edit.before == {"place": "mist-1", "kind": "bench", "cover": "mist", "walk_order": 1}
    assert edit.after == {"place": "mist-1", "kind": "bench", "walk_order": 1, "medium_temp_c": "21.5"}


def test_an_edit_that_changes_nothing_is_none(who: dict[str, Any]) -> None:
    services.edit_reference(**who, table="places", key=("mist-1",), changes={"walk_order": 1})
    assert ReferenceEdit.rows.count() == 0


def test_edits_are_numbered(who: dict[str, Any]) -> None:
    for order in (5, 6, 7):
        services.edit_reference(**who, table="places", key=("mist-1",), changes={"walk_order": order})
    assert list(ReferenceEdit.rows.order_by("pk").values_list("number", flat=True)) == [1, 2, 3]


def test_references_of_a_reference_row_are_looked_up(who: dict[str, Any]) -> None:
    services.edit_reference(**who, table="plants", key=("sage-wall",), changes={"place": "mist-1"})
    assert str(Plant.rows.get(plant="sage-wall").place) == "mist-1"
    services.edit_reference(**who, table="plants", key=("sage-wall",), changes={"place": None})
    assert Plant.rows.get(plant="sage-wall").place is None
    with pytest.raises(UnknownRow, match="places"):
        services.edit_reference(**who, table="plants", key=("sage-wall",), changes={"place": "moon"})
    with pytest.raises(UnknownRow, match="batches"):
        services.edit_reference(**who, table="plants", key=("sage-wall",), changes={"from_batch": "?"})


@pytest.mark.parametrize(
    ("table", "key", "changes", "error"),
    [
        ("places", ("mist-1",), {"place": "mist-2"}, BadValue),
        ("places", ("mist-1",), {"kind": ""}, BadValue),
        ("places", ("mist-1",), {"kind": "sofa"}, BadValue),
        ("places", ("mist-1",), {"shade_percent": Decimal(101)}, BadValue),
        ("places", ("mist-1",), {"colour": "green"}, BadValue),
        ("places", ("mist-9",), {"kind": "bench"}, NotFound),
        ("places", (), {"kind": "bench"}, BadValue),
        ("looks", ("x",), {"n_rooted": 1}, BadValue),
        ("nowhere", ("x",), {}, BadValue),
        ("garden", (), {"time_zone": "Mars/Olympus"}, BadValue),
        ("garden", (), {"garden": "8b0c1f0e-0000-4000-8000-000000000000"}, BadValue),
        ("media", ("half-and-half",), {"parts": "perlite"}, BadValue),
    ],
)
@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
def test_what_will_not_do_changes_nothing(
    who: dict[str, Any], table: str, key: Any, changes: Any, error: type[Exception]
) -> None:
    with pytest.raises(error):
        services.edit_reference(**who, table=table, key=key, changes=changes)
    assert ReferenceEdit.rows.count() == 0


def test_rows_are_added(who: dict[str, Any]) -> None:
    services.add_reference(
        **who,
        table="taxa",
        row={"taxon": "Salvia 'Grey Heron'", "rights": "protected", "rights_until": date(2031, 1, 1)},
    )
    assert Taxon.rows.get(taxon="Salvia 'Grey Heron'").rights_until == date(2031, 1, 1)
    edit = ReferenceEdit.rows.get()
    assert (edit.before, edit.after["rights_until"]) == (None, "2031-01-01")
    with pytest.raises(BadValue, match="already exists"):
        services.add_reference(**who, table="taxa", row={"taxon": "Salvia 'Grey Heron'"})
    with pytest.raises(ValueError, match="heron"):
        services.add_reference(**who, table="taxa", row={"taxon": "grey heron!"})


def test_rows_with_two_key_columns_are_found_by_both(who: dict[str, Any]) -> None:
    on = date(2025, 10, 20)
    days = {"from_on": on, "to_on": date(2025, 12, 1)}
    services.add_reference(**who, table="hours", row=days | {"hours_per_week": Decimal(4)})
    services.edit_reference(
        **who, table="hours", key=tuple(days.values()), changes={"hours_per_week": Decimal(6)}
    )
    assert Hours.rows.get().hours_per_week == 6
    weather = {"on": on, "tmin_c": Decimal(3), "tmax_c": Decimal(12)}
    services.add_reference(**who, table="weather", row=weather)
    services.add_reference(**who, table="weather", row=weather | {"made_on": date(2025, 10, 18)})
    services.edit_reference(**who, table="weather", key=(on, None), changes={"rain_mm": Decimal(7)})
    assert WeatherDay.rows.get(made_on=None).rain_mm == 7
    assert WeatherDay.rows.get(made_on__isnull=False).rain_mm is None
    with pytest.raises(BadValue):
        services.edit_reference(**who, table="weather", key=(on, None), changes={"tmax_c": Decimal(2)})


def test_only_an_owner_changes_the_garden_or_its_members(
    who: dict[str, Any], grower: Member, garden: Garden
) -> None:
    services.edit_reference(**who, table="garden", key=(), changes={"round_days": 5})
    assert Garden.objects.get(pk=garden.pk).round_days == 5
    for table, key, changes in (
        ("garden", (), {"round_days": 6}),
        ("members", ("reader",), {"role": "owner"}),
    ):
        with pytest.raises(NotAllowed):
            services.edit_reference(**who | {"by": grower}, table=table, key=key, changes=changes)


def test_a_garden_keeps_an_owner(who: dict[str, Any]) -> None:
    edit = who | {"table": "members", "changes": {"role": "grower"}}
    with pytest.raises(Refused, match="at least one owner"):
        services.edit_reference(**edit, key=("owner",))
    services.edit_reference(**who, table="members", key=("grower",), changes={"role": "owner"})
    services.edit_reference(**edit, key=("owner",))
    assert Member.objects.get(member="owner").role == "grower"


def test_a_member_is_added(who: dict[str, Any]) -> None:
    member = services.add_member(**who, member="p2", role="volunteer", shown_as="the Saturday crew")
    assert str(member) == "the Saturday crew"
    with pytest.raises(BadValue, match="role"):
        services.add_member(**who, member="p3", role="king")
    with pytest.raises(BadValue, match="already exists"):
        services.add_member(**who, member="p2", role="reader")


def test_what_was_left_as_it_was_seen_is_not_changed_back(who: dict[str, Any]) -> None:
    Place.rows.filter(place="mist-1").update(cover="tent")
    services.edit_reference(
        **who,
        table="places",
        key=("mist-1",),
        changes={"cover": "mist", "walk_order": 7, "kind": "bench"},
        seen={"kind": "bench", "cover": "mist", "walk_order": "1"},
    )
    place = Place.rows.get(place="mist-1")
    assert (place.cover, place.walk_order) == ("tent", 7)


def test_a_column_changed_since_it_was_seen_is_not_written_over(who: dict[str, Any]) -> None:
    Place.rows.filter(place="mist-1").update(cover="tent")
    with pytest.raises(ChangedSince) as since:
        services.edit_reference(
            **who,
            table="places",
            key=("mist-1",),
            changes={"cover": "", "walk_order": 7},
            seen={"kind": "bench", "cover": "mist", "walk_order": "1"},
        )
    assert since.value.columns == ("cover",)
    assert since.value.row["cover"] == "tent"
    assert Place.rows.get(place="mist-1").walk_order == 1
