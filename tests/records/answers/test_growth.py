"""A garden's pottings and outcomes in the answers: the handbook's word first, then more and more its own."""

from __future__ import annotations

from datetime import date, datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from slipwright.handbook import load_handbook
from slipwright.records import services
from slipwright.records.answers.growing import growing_batch
from slipwright.records.answers.growth import growth_of
from slipwright.records.answers.wants import shares_that_live
from slipwright.records.models import Garden, Member, Outcome, Sticking
from slipwright.records.selectors import grown_of
from slipwright.rooting.growing import GrowsOn
from tests.records.making import stick

HANDBOOK = load_handbook()
ROSE = "Rosa 'Pale Ferry'"
POTTED, ON = date(2025, 5, 1), date(2025, 10, 20)


def potted(garden: Garden, by: Member, now: datetime) -> Sticking:
    batch = stick(garden, by, now, n_stuck=20, stuck_on=date(2025, 3, 1))
    services.record_potting(garden=garden, by=by, now=now, batch=batch.batch, on=POTTED, n_potted=10)
    return batch


def became(
    garden: Garden, by: Member, now: datetime, batch: Sticking, ready_as: str, reached: int, lost: int
) -> str:
    services.record_outcome(
        garden=garden,
        by=by,
        now=now,
        batch=batch.batch,
        on=date(2025, 7, 1) if ready_as == "weaned" else ON,
        ready_as=ready_as,
        n_reached=reached,
        n_lost=lost,
    )
    garden.refresh_from_db()
    return batch.batch


def known(garden: Garden) -> GrowsOn:
    garden.refresh_from_db()
    return growth_of(garden, HANDBOOK, on=ON).of(ROSE, HANDBOOK.page_of(ROSE))


def test_pottings_and_outcomes_are_gathered_in_one_query(
    garden: Garden, grower: Member, now: datetime
) -> None:
    for _ in range(3):
        became(garden, grower, now, potted(garden, grower, now), "weaned", 9, 1)
    with CaptureQueriesContext(connection) as asked:
        found = grown_of(garden, on=ON)
    assert len(asked) == 1
    assert len(found) == 3
    assert found[0].potted == ((POTTED, 10),)
    assert [(one.ready_as, one.n_reached, one.n_lost) for one in found[0].became] == [("weaned", 9, 1)]
    assert grown_of(garden, on=date(2025, 4, 30)) == []
    assert grown_of(garden, on=date(2025, 5, 2))[0].became == ()


def test_a_garden_that_wrote_nothing_down_has_the_handbooks_word(garden: Garden) -> None:
    page = HANDBOOK.page_of(ROSE)
    assert page is not None
    assert page.survive_percent is not None
    assert known(garden).n_batches == 0
    shares = shares_that_live(garden, HANDBOOK, [(ROSE, "finished"), (ROSE, "rooted")], on=ON)
    assert shares == pytest.approx([page.survive_percent.p50 / 100, 1])


def test_heavy_losses_make_a_want_ask_for_more(garden: Garden, grower: Member, now: datetime) -> None:
    before = shares_that_live(garden, HANDBOOK, [(ROSE, "finished")], on=ON)
    for _ in range(3):
        became(garden, grower, now, potted(garden, grower, now), "finished", 2, 8)
    assert shares_that_live(garden, HANDBOOK, [(ROSE, "finished")], on=ON)[0] < before[0] - 0.2


def test_an_outcome_taken_back_teaches_nothing(garden: Garden, grower: Member, now: datetime) -> None:
    batch = potted(garden, grower, now)
    became(garden, grower, now, batch, "finished", 2, 8)
    assert known(garden).n_batches == 1
    (outcome,) = Outcome.rows.filter(batch=batch)
    services.withdraw(
        garden=garden, by=grower, now=now, withdraws=outcome.entry_id, at=now, reason="other pots"
    )
    assert known(garden).n_batches == 0


def test_plants_potted_late_are_not_finished_before_they_are_established(
    garden: Garden, grower: Member, now: datetime
) -> None:
    for _ in range(3):
        became(garden, grower, now, potted(garden, grower, now), "established", 9, 1)
    late = stick(garden, grower, now, n_stuck=20, stuck_on=date(2023, 12, 1))
    services.record_potting(garden=garden, by=grower, now=now, batch=late.batch, on=ON, n_potted=10)
    garden.refresh_from_db()
    told = growing_batch(garden, HANDBOOK, late, on=ON)
    assert [stage.ready_as for stage in told.coming] == ["weaned", "established", "finished"]
    for day in ("p10", "p50", "p90"):
        days = [getattr(stage, day) for stage in told.coming]
        assert days == sorted(days)
        assert days[0] >= ON
    assert not told.due


def test_only_pottings_and_outcomes_make_it_be_worked_out_again(
    garden: Garden, grower: Member, now: datetime
) -> None:
    batch = potted(garden, grower, now)
    first = growth_of(garden, HANDBOOK, on=ON)
    services.record_look(garden=garden, by=grower, now=now, batch=batch.batch, on=ON, n_rooted=1)
    garden.refresh_from_db()
    assert growth_of(garden, HANDBOOK, on=ON) is first
    became(garden, grower, now, batch, "weaned", 9, 1)
    assert growth_of(garden, HANDBOOK, on=ON) is not first


def test_the_days_to_come_say_what_they_rest_on(garden: Garden, grower: Member, now: datetime) -> None:
    batch = potted(garden, grower, now)
    before = growing_batch(garden, HANDBOOK, batch, on=date(2025, 5, 2)).coming[0]
    assert "the handbook alone" in before.rests_on
    assert not before.learned
    for _ in range(3):
        became(garden, grower, now, potted(garden, grower, now), "weaned", 10, 0)
    after = growing_batch(garden, HANDBOOK, batch, on=ON).coming[0]
    assert after.ready_as == "weaned"
    assert after.p50 > before.p50
    assert after.rests_on.startswith("30 plants of 3 of your 4 potted batches; the handbook ")
    assert "common practice, no source" in after.rests_on
