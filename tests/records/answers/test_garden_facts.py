"""What a process remembers of a garden for the page of a batch is never older than what was written."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from slipwright.handbook import load_handbook
from slipwright.records import selectors, services
from slipwright.records.answers.garden_facts import bloom_here, places_here, usual_here
from slipwright.records.answers.histories import record_of, record_of_page
from slipwright.records.models import Garden, Member, Sticking
from slipwright.rooting.history import BatchRecord
from tests.records.making import every_kind_of_entry, stick

HANDBOOK = load_handbook()
ON = date(2025, 10, 10)


@pytest.fixture
def who(garden: Garden, owner: Member, now: datetime) -> dict[str, Any]:
    return {"garden": garden, "by": owner, "now": now}


def _on_its_page(garden: Garden, batch: Sticking) -> BatchRecord:
    garden.refresh_from_db()
    whole = selectors.whole_batch(garden, batch.batch)
    (counts,) = selectors.counts_of(garden, [selectors.state_of_batch(whole)]).values()
    warmth = selectors.medium_warmth(garden, whole)
    return record_of_page(garden, HANDBOOK, whole, counts, warmth.c if warmth else None)


def _in_bulk(garden: Garden, batch: Sticking) -> BatchRecord:
    (now,) = selectors.states_of_batches(garden, [batch])
    return record_of(garden, HANDBOOK, now)


def test_a_batch_read_with_all_it_refers_to_stands_as_one_read_by_columns(
    garden: Garden, grower: Member, now: datetime
) -> None:
    for batch in every_kind_of_entry(garden, grower, now), stick(garden, grower, now, place=None):
        (state,) = selectors.states_of_batches(garden, [batch])
        with CaptureQueriesContext(connection) as asked:
            assert selectors.state_of_batch(selectors.whole_batch(garden, batch.batch)) == state
        assert len(asked) == 1
        assert _on_its_page(garden, batch) == _in_bulk(garden, batch)


def test_what_was_written_since_counts_at_once(who: dict[str, Any]) -> None:
    garden = who["garden"]
    batch = stick(**who, plant="rose-gate", medium="half-and-half", container="pot-1l")

    def told() -> BatchRecord:
        found = _on_its_page(garden, batch)
        assert found == _in_bulk(garden, batch)
        return found

    before = told()
    assert before.cuttings.medium == ""
    for bbch, on in ((60, ON), (69, date(2025, 10, 18))):
        services.record_stage(**who, plant="rose-gate", on=on, bbch=bbch)
    seen = told()
    assert seen.cuttings.bloom != before.cuttings.bloom
    services.add_reference(**who, table="media", row={"medium": "sharp sand", "parts": "sand:1"})
    stuck = [stick(**who, medium="sharp sand") for _ in range(2)]
    assert told().cuttings.medium == "half-and-half"
    services.withdraw(**who, withdraws=stuck[0].entry_id, at=who["now"], reason="stuck elsewhere")
    services.withdraw(**who, withdraws=stuck[1].entry_id, at=who["now"], reason="stuck elsewhere")
    assert told().cuttings.medium == ""
    services.record_reading(
        **who, place="mist-1", at=datetime.fromisoformat("2025-10-02T12:00+00:00"), medium_c=Decimal(23)
    )
    assert told().cuttings.warmth_c == 23


def test_weather_and_places_that_come_in_are_known_at_once(who: dict[str, Any]) -> None:
    garden = who["garden"]
    assert bloom_here(garden, HANDBOOK)._weather is None
    assert "cold-house" not in places_here(garden)
    day: dict[str, Any] = {"on": ON, "tmin_c": Decimal(6), "tmax_c": Decimal(14)}
    services.add_reference(**who, table="weather", row=day)
    services.add_reference(**who, table="places", row={"place": "cold-house", "kind": "shelf"})
    garden.refresh_from_db()
    assert bloom_here(garden, HANDBOOK)._weather is not None
    assert "cold-house" in places_here(garden)


def test_nothing_is_asked_twice_while_nothing_is_written(who: dict[str, Any]) -> None:
    garden = who["garden"]
    batch = stick(**who, plant="rose-gate", medium="half-and-half")
    services.record_stage(**who, plant="rose-gate", on=ON, bbch=60)
    _on_its_page(garden, batch)
    whole = selectors.whole_batch(garden, batch.batch)
    (counts,) = selectors.counts_of(garden, [selectors.state_of_batch(whole)]).values()
    with CaptureQueriesContext(connection) as asked:
        record_of_page(garden, HANDBOOK, whole, counts, None)
        usual_here(garden)
        first = places_here(garden)
    assert [query["sql"][:90] for query in asked if "records_place" not in query["sql"]] == []
    assert places_here(garden) is first
