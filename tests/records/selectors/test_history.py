"""Everything of one batch in order, what was taken back marked."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from slipwright.handbook import load_handbook
from slipwright.records import selectors, services
from slipwright.records.answers.one_batch import one_batch
from slipwright.records.answers.round import forecast_of_batch
from slipwright.records.errors import NotFound
from slipwright.records.models import Garden, Look, Member
from slipwright.records.selectors import entry_of_batch, growing_of, history_of, whole_batch
from tests.records.making import every_kind_of_entry, stick

ON = date(2025, 10, 20)


def _who(garden: Garden, by: Member, now: datetime) -> dict[str, Any]:
    return {"garden": garden, "by": by, "now": now}


def test_all_that_was_written_is_told_in_the_order_of_days(
    garden: Garden, grower: Member, now: datetime
) -> None:
    batch = every_kind_of_entry(garden, grower, now)
    services.record_look(**_who(garden, grower, now), batch=batch.batch, on=date(2025, 10, 9), n_rooted=0)
    history = history_of(garden, whole_batch(garden, batch.batch))
    assert [event.kind for event in history.events] == [
        "look", "look", "potting", "outcome", "act", "note", "photo",
    ]  # fmt: skip
    assert [event.day for event in history.events] == [8, 14, 14, 14, 14, 19, 19]
    assert history.first_potted_on == date(2025, 10, 15)
    assert history.events[1].signs == ("callus",)


def test_what_was_taken_back_stays_with_its_reason_and_does_not_count(
    garden: Garden, grower: Member, now: datetime
) -> None:
    batch = every_kind_of_entry(garden, grower, now)
    look = Look.rows.get(batch=batch)
    services.withdraw(
        **_who(garden, grower, now), withdraws=look.entry_id, reason="other pot", at=now, kind="look"
    )
    history = history_of(garden, whole_batch(garden, batch.batch))
    back = {event.kind: event.taken_back for event in history.events if event.taken_back}
    assert {kind: one.reason for kind, one in back.items()} == {"look": "other pot", "note": "wrong batch"}
    assert history.looks == ()


def test_of_two_looks_from_one_only_the_later_counts(garden: Garden, grower: Member, now: datetime) -> None:
    batch = stick(garden, grower, now)
    who = _who(garden, grower, now)
    first = services.record_look(**who, batch=batch.batch, on=date(2025, 10, 8), n_rooted=1)
    for day in (9, 10):
        services.record_look(
            **who, batch=batch.batch, on=date(2025, 10, day), n_rooted=day, after=first.entry_id
        )
    history = history_of(garden, whole_batch(garden, batch.batch))
    assert [event.counts for event in history.events] == [True, False, True]
    assert [look.n_rooted for look in history.looks] == [1, 10]


def test_notes_about_a_look_are_notes_of_its_batch(garden: Garden, grower: Member, now: datetime) -> None:
    batch = stick(garden, grower, now)
    who = _who(garden, grower, now)
    look = services.record_look(**who, batch=batch.batch, on=date(2025, 10, 8), n_rooted=1)
    services.record_note(**who, about=look.entry_id, at=now, text="white tips")
    assert history_of(garden, batch).events[-1].what.text == "white tips"


def test_it_takes_six_queries_however_much_was_written(garden: Garden, grower: Member, now: datetime) -> None:
    batch = every_kind_of_entry(garden, grower, now)
    with CaptureQueriesContext(connection) as asked:
        history = history_of(garden, batch)
        assert all(event.by for event in history.events)
    assert len(asked) == 6


def test_an_entry_is_found_only_at_its_own_batch(garden: Garden, grower: Member, now: datetime) -> None:
    batch, other = every_kind_of_entry(garden, grower, now), stick(garden, grower, now)
    look = Look.rows.get(batch=batch)
    assert entry_of_batch(garden, batch, "look", look.entry_id).what == look
    assert entry_of_batch(garden, batch, "sticking", batch.entry_id).what == batch
    with pytest.raises(NotFound):
        entry_of_batch(garden, other, "look", look.entry_id)
    with pytest.raises(NotFound):
        entry_of_batch(garden, batch, "potting", look.entry_id)


def test_the_page_forecasts_what_the_round_forecasts(garden: Garden, grower: Member, now: datetime) -> None:
    batch = every_kind_of_entry(garden, grower, now)
    told = one_batch(garden, load_handbook(), batch.batch, on=ON)
    assert told.ahead is not None
    assert told.ahead.told == forecast_of_batch(garden, load_handbook(), batch, on=ON)
    last, settled = told.ahead.told.days[-1].rooted, told.ahead.rooted
    assert (settled.p10, settled.p50, settled.p90) == (last.p10, last.p50, last.p90)
    assert told.ahead.days[-1].on <= told.ahead.told.days[-1].on


def test_plants_stand_less_those_lost_and_those_with_a_fate(
    garden: Garden, grower: Member, now: datetime
) -> None:
    batch = stick(garden, grower, now)
    who = _who(garden, grower, now)
    services.record_potting(**who, batch=batch.batch, on=ON, n_potted=9, place="frame-1")
    services.record_outcome(**who, batch=batch.batch, on=ON, ready_as="weaned", n_reached=8, n_lost=1)
    sold = services.record_outcome(
        **who, batch=batch.batch, on=ON, ready_as="finished", n_reached=3, fate="sold"
    )
    now_standing = growing_of(garden, batch, on=ON)
    assert (now_standing.n_standing, now_standing.reached, now_standing.place) == (5, "finished", "frame-1")
    assert growing_of(garden, batch, on=ON, without=sold.entry_id).n_standing == 8
    assert [one.batch for one in selectors.growing_on(garden, on=ON)] == [batch.batch]
    assert selectors.growing_on(garden, on=date(2025, 10, 1)) == []


def test_pots_of_a_batch_that_was_taken_back_do_not_grow_on(
    garden: Garden, grower: Member, now: datetime
) -> None:
    batch = stick(garden, grower, now)
    who = _who(garden, grower, now)
    potting = services.record_potting(**who, batch=batch.batch, on=ON, n_potted=9)
    services.withdraw(**who, withdraws=potting.entry_id, reason="never was", at=now, kind="potting")
    assert selectors.growing_on(garden, on=ON) == []
    assert growing_of(garden, batch, on=ON).n_standing == 0
