"""Making a garden."""

from __future__ import annotations

import uuid
from decimal import Decimal
from typing import Any

import pytest

from slipwright.records import services
from slipwright.records.errors import BadValue
from slipwright.records.models import Garden, Member
from tests.databases import Database

WHERE: dict[str, Any] = {
    "name": "Saltmarsh Lane Community Garden",
    "latitude_deg": Decimal("41.1"),
    "longitude_deg": Decimal("-72.4"),
    "time_zone": "America/New_York",
    "owner": "p1",
}


def test_a_garden_has_an_owner_from_the_start(database: Database) -> None:
    garden = services.make_garden(**WHERE, owner_shown_as="the warden")
    member = Member.objects.get()
    assert (member.garden, member.role, str(member)) == (garden, "owner", "the warden")
    assert Garden.objects.get().last_number == 0


def test_it_may_bring_its_own_id(database: Database) -> None:
    own = uuid.uuid4()
    assert services.make_garden(**WHERE, garden=own).garden == own
    with pytest.raises(BadValue, match="already exists"):
        services.make_garden(**WHERE, garden=own)
    assert Garden.objects.count() == 1


@pytest.mark.parametrize(
    ("column", "value"),
    [("latitude_deg", Decimal(91)), ("time_zone", "Nowhere"), ("name", ""), ("units", "cubits")],
)
@pytest.mark.parametrize("database", ["sqlite"], indirect=True)
def test_what_will_not_do_makes_no_garden(database: Database, column: str, value: Any) -> None:
    with pytest.raises(BadValue, match=column):
        services.make_garden(**WHERE | {column: value})
    assert Garden.objects.count() == 0
