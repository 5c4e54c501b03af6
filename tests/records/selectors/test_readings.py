"""The mean of what was read of the medium over the first days of a batch."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from slipwright.records import selectors, services
from slipwright.records.models import Garden, Member, Place
from slipwright.records.selectors.readings import mean_medium
from tests.records.making import stick

EAST = timezone(timedelta(hours=-4))
ON = date(2025, 10, 1)


@pytest.fixture
def who(garden: Garden, grower: Member, now: datetime) -> dict[str, Any]:
    return {"garden": garden, "by": grower, "now": datetime(2026, 1, 5, tzinfo=UTC)}


def _read(who: dict[str, Any], at: datetime, medium_c: str | None, place: str = "mist-1") -> Any:
    warmth = None if medium_c is None else Decimal(medium_c)
    return services.record_reading(**who, place=place, at=at, medium_c=warmth, air_c=Decimal(10))


def _pk(name: str) -> int:
    return Place.rows.get(place=name).pk


def test_it_holds_the_readings_of_28_calendar_days_as_written_down(
    who: dict[str, Any], garden: Garden
) -> None:
    _read(who, datetime(2025, 9, 30, 23, 59, tzinfo=EAST), "79")
    _read(who, datetime(2025, 10, 1, 0, 0, tzinfo=EAST), "18")
    _read(who, datetime(2025, 10, 12, 12, 0, tzinfo=EAST), None)
    _read(who, datetime(2025, 10, 28, 23, 59, tzinfo=EAST), "21.5")
    _read(who, datetime(2025, 10, 29, 0, 0, tzinfo=EAST), "79")
    asked = (_pk("mist-1"), ON)
    assert mean_medium(garden, [asked]) == {asked: (19.75, 2)}


def test_a_reading_of_another_place_or_taken_back_has_no_part(who: dict[str, Any], garden: Garden) -> None:
    at = datetime(2025, 10, 2, 8, 0, tzinfo=EAST)
    wrong = _read(who, at, "45")
    _read(who, at + timedelta(hours=1), "18.3")
    _read(who, at, "11", "frame-1")
    services.withdraw(**who, withdraws=wrong.entry_id, reason="in the sun", at=at)
    asked = [(_pk("mist-1"), ON), (_pk("frame-1"), ON), (_pk("frame-1"), date(2024, 10, 1))]
    assert mean_medium(garden, asked) == {asked[0]: (18.3, 1), asked[1]: (11.0, 1)}


def test_many_days_and_places_are_read_in_one_query(who: dict[str, Any], garden: Garden) -> None:
    for n in range(40):
        _read(who, datetime(2025, 10, 1, 9, 0, tzinfo=EAST) + timedelta(days=n), str(10 + n))
    asked = [(_pk("mist-1"), ON + timedelta(days=n)) for n in range(0, 60, 3)]
    with CaptureQueriesContext(connection) as queries:
        found = mean_medium(garden, asked)
    assert len(queries) == 1
    for place, day in asked:
        read = [10 + n for n in range(40) if 0 <= n - (day - ON).days < 28]
        told = (sum(read) / len(read), len(read)) if read else None
        assert found.get((place, day)) == told


def test_the_page_of_a_batch_tells_the_same_mean(who: dict[str, Any], garden: Garden) -> None:
    batch = stick(**who, medium_temp_c=Decimal(25))
    assert selectors.medium_warmth(garden, batch) == selectors.Warmth(25.0, "batch")
    _read(who, datetime(2025, 10, 3, 9, 0, tzinfo=EAST), "19.2")
    assert selectors.medium_warmth(garden, batch) == selectors.Warmth(19.2, "readings", 1)
