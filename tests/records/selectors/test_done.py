"""What was done on a day, with the rules and stickings read along with it, is what each query alone says."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from slipwright.records import selectors, services
from slipwright.records.models import Garden, Member, Taxon, Want
from slipwright.records.selectors.done import DoneOn, done_on
from slipwright.records.selectors.own_rules import own_rules_of
from slipwright.records.selectors.season_stuck import stuck_since
from slipwright.records.selectors.season_wanted import wanted_now
from slipwright.records.services.own_rules import state_rule
from tests.records.conftest import small_garden
from tests.records.making import stick

ON = date(2025, 10, 20)


@pytest.fixture
def who(garden: Garden, grower: Member, now: datetime) -> dict[str, Any]:
    """Give a garden, who writes in it, and when."""
    return {"garden": garden, "by": grower, "now": now}


def done(garden: Garden, **more: Any) -> DoneOn:
    batches = selectors.states_of_open_batches(garden)
    with CaptureQueriesContext(connection) as asked:
        found = done_on(garden, ON, batches, **more)
    assert len(asked) == 1
    return found


def test_nothing_was_done_in_a_garden_without_entries(garden: Garden) -> None:
    assert done(garden) == DoneOn()
    assert done(garden, stuck_after=0) == DoneOn(wanted={"roses-27": ""})


def test_what_is_wanted_comes_with_why_it_may_not_be_multiplied_on_the_day(garden: Garden) -> None:
    rose = Want.rows.get(garden=garden, want="roses-27").taxon
    taxa = Taxon.rows.of(garden).filter(pk=rose.pk)
    for licence_until, n_barred in ((ON, 0), (ON - timedelta(days=1), 1)):
        taxa.update(rights="licensed", licence="L 1", licence_until=licence_until)
        found = done(garden, stuck_after=0).wanted
        assert found == {one.want: one.why_not for one in wanted_now(garden, on=ON)}
        assert sum(bool(why_not) for why_not in found.values()) == n_barred


def test_rules_and_stickings_come_also_where_nothing_was_looked_at(who: dict[str, Any]) -> None:
    garden = who["garden"]
    state_rule(**who, plant="Rosa", wood="hardwood", rule="Cut long", evidence="")
    state_rule(**who, plant="", wood="", rule="Cut early", evidence="41 in 3 batches. More is in the book.")
    services.record_note(**who, about=str(garden.garden), at=who["now"], text="The gate sticks")
    late = stick(**who, want="roses-27", stuck_on=ON)
    stick(**who, want="roses-27", plant="rose-gate", method="rose-autumn")
    stick(**who)
    found = done(garden, stuck_after=0)
    assert list(found.rules) == own_rules_of(garden)
    assert [rule.rule for rule in found.rules] == ["Cut early", "Cut long"]
    assert list(found.stuck) == stuck_since(garden, 0)
    assert [(one.plant, one.method) for one in found.stuck] == [("rose-gate", "rose-autumn"), ("", "")]
    assert (found.looked, found.n_potted) == ({}, 0)
    assert list(done(garden, stuck_after=late.number).stuck) == stuck_since(garden, late.number)
    assert done(garden).stuck == ()


def test_looks_and_pottings_of_the_day_are_told_and_none_of_another_garden(who: dict[str, Any]) -> None:
    garden, now = who["garden"], who["now"]
    batch, other = stick(**who), stick(**who)
    services.record_look(**who, batch=batch.batch, on=date(2025, 10, 19), n_rooted=4)
    services.record_look(**who, batch=batch.batch, on=ON, n_rooted=4)
    for n in (2, 3):
        services.record_potting(**who, batch=batch.batch, on=ON, n_potted=n)
    services.record_potting(**who, batch=batch.batch, on=date(2025, 10, 19), n_potted=1)
    away = small_garden("Long Reach")
    theirs = {"garden": away, "by": Member.objects.get(garden=away, role="grower"), "now": now}
    state_rule(**theirs, plant="", wood="", rule="Cut late", evidence="")
    stick(**theirs, want="roses-27")
    found = done(garden, stuck_after=0)
    assert found == DoneOn({batch.pk: now}, 5, wanted={"roses-27": ""})
    assert other.pk not in found.looked


def test_what_was_taken_back_is_not_told(who: dict[str, Any]) -> None:
    garden, now = who["garden"], who["now"]
    batch = stick(**who, want="roses-27")
    look = services.record_look(**who, batch=batch.batch, on=ON, n_rooted=4)
    rule = state_rule(**who, plant="", wood="", rule="Cut late", evidence="")
    nothing = DoneOn(wanted={"roses-27": ""})
    assert done(garden, stuck_after=0) != nothing
    for entry in (look, rule, batch):
        services.withdraw(**who, withdraws=entry.entry_id, reason="wrong tray", at=now)
    assert done(garden, stuck_after=0) == nothing
