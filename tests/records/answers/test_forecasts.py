"""Forecasts in a garden: by the handbook, by what was learned, by a batch's own looks."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from functools import partial
from typing import Any

import pytest

from slipwright.handbook import load_handbook
from slipwright.records import selectors, services
from slipwright.records.answers.one_batch import one_batch
from slipwright.records.answers.recording import on_round
from slipwright.records.answers.refit import learn
from slipwright.records.answers.round import forecast_of_batch, round_of
from slipwright.records.answers.sticking import to_stick
from slipwright.records.answers.told import work_out
from slipwright.records.answers.walk import batches_on_round, learned_for
from slipwright.records.models import Garden, Member, Plant, Sticking
from slipwright.rooting import fitting
from slipwright.rooting.forecast import Forecast
from tests.records import making

HANDBOOK = load_handbook()
STUCK_ON, ON = date(2025, 9, 1), date(2025, 10, 1)


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let one setting of the spreads stand for all, so that a fit takes a moment."""
    monkeypatch.setattr(fitting, "fit", partial(fitting.fit, integrate_up_to=0))


def stick(garden: Garden, by: Member, now: datetime, **columns: Any) -> Sticking:
    return making.stick(garden, by, now, stuck_on=STUCK_ON, **columns)


def look(garden: Garden, by: Member, now: datetime, batch: Sticking, day: int, **counts: int) -> None:
    on = STUCK_ON + timedelta(days=day)
    services.record_look(garden=garden, by=by, now=now, batch=batch.batch, on=on, **counts)


def foretold(garden: Garden, batch: Sticking, on: date = ON) -> Forecast:
    garden.refresh_from_db()
    return forecast_of_batch(garden, HANDBOOK, batch, on=on)


def test_the_batchs_page_the_round_and_the_command_tell_the_same(
    garden: Garden, grower: Member, now: datetime
) -> None:
    batch = stick(garden, grower, now)
    look(garden, grower, now, batch, 14, n_rooted=2, n_lost=1)
    told = foretold(garden, batch)
    page = one_batch(garden, HANDBOOK, batch.batch, on=ON).ahead
    assert page is not None
    assert page.told == told
    walked = batches_on_round(garden, HANDBOOK, selectors.states_of_open_batches(garden))
    (kept,) = work_out(garden, walked, on=ON)
    assert kept.rests_on == told.rests_on.text
    assert kept.curve.p50[-1] == pytest.approx(told.days[-1].rooted.p50, abs=1)


def test_what_was_written_of_a_batch_moves_its_forecast(
    garden: Garden, grower: Member, now: datetime
) -> None:
    covered, bare = (stick(garden, grower, now, n_stuck=60, cover=cover) for cover in ("tent", "open"))
    rooted = [foretold(garden, batch).days[-1].rooted.mean for batch in (covered, bare)]
    assert rooted[1] < rooted[0] - 10


def test_a_garden_that_learned_says_of_how_many_batches_and_uses_no_look_twice(
    garden: Garden, grower: Member, now: datetime
) -> None:
    batches = [stick(garden, grower, now, n_stuck=40) for _ in range(4)]
    for batch in batches:
        look(garden, grower, now, batch, 21, n_rooted=1, n_lost=20)
    before = foretold(garden, batches[0])
    assert before.rests_on.n_batches == 0
    learn(garden, HANDBOOK, now=now)
    after = foretold(garden, batches[0])
    assert after.rests_on.n_batches == 4
    assert "your 4 batches of Rosa 'Pale Ferry'" in after.rests_on.text
    walked = batches_on_round(garden, HANDBOOK, selectors.states_of_batches(garden, [batches[0]]))
    assert [len(seen.counts.looks) for seen in learned_for(garden, walked).seen.values()] == [1]
    # by its own look alone it was told much the same: that look was not counted once more
    assert after.days[-1].rooted.mean == pytest.approx(before.days[-1].rooted.mean, abs=3)

    fresh = stick(garden, grower, now, n_stuck=40)
    other = stick(garden, grower, now, n_stuck=40, taxon="Salvia rosmarinus")
    assert foretold(garden, fresh).days[-1].lost.mean > 8
    assert foretold(garden, fresh).rests_on.prior_share < 0.9
    assert "your 4 batches of other plants" in foretold(garden, other).rests_on.text
    assert "4 batches of Rosa" in to_stick(garden, HANDBOOK, on=ON, taxon="Rosa 'Pale Ferry'").advice.basis


def test_a_look_back_knows_nothing_of_a_look_that_was_learned_from_since(
    garden: Garden, grower: Member, now: datetime
) -> None:
    batches = [stick(garden, grower, now, n_stuck=40) for _ in range(3)]
    for batch in batches:
        look(garden, grower, now, batch, 14, n_rooted=0, n_lost=1)
    before = foretold(garden, batches[0], on=STUCK_ON + timedelta(days=15))
    look(garden, grower, now, batches[0], 18, n_rooted=38)
    garden.refresh_from_db()
    learn(garden, HANDBOOK, now=now)
    after = foretold(garden, batches[0], on=STUCK_ON + timedelta(days=15))
    assert foretold(garden, batches[0]).days[0].rooted.p10 >= 38
    day = 14
    assert after.days[day].rooted.mean == pytest.approx(before.days[day].rooted.mean, abs=6)


def test_a_plant_without_a_page_is_told_by_what_holds_for_any(
    garden: Garden, grower: Member, owner: Member, now: datetime
) -> None:
    services.add_reference(
        garden=garden, by=owner, now=now, table="taxa", row={"taxon": "Nothofagus antarctica"}
    )
    batch = stick(garden, grower, now, taxon="Nothofagus antarctica", wood="hardwood")
    told = foretold(garden, batch)
    assert "the handbook has no page for this one" in told.rests_on.text
    assert told.give_up_on == STUCK_ON + timedelta(days=210)
    assert told.days[-1].rooted.p10 < 8 < 16 < told.days[-1].rooted.p90


def test_a_batch_looked_at_on_its_early_day_keeps_its_place_in_the_round(
    garden: Garden, grower: Member, now: datetime
) -> None:
    Plant.rows.of(garden).delete()
    quick, other = (stick(garden, grower, now, n_stuck=60) for _ in range(2))
    look(garden, grower, now, quick, 14, n_rooted=0, n_lost=0)
    look(garden, grower, now, quick, 28, n_rooted=12, n_lost=0)
    on = STUCK_ON + timedelta(days=33)
    garden.refresh_from_db()
    acts = {act.batch: act.act for act in round_of(garden, HANDBOOK, on=on).acts}
    assert acts == {quick.batch: "look", other.batch: "look"}
    look(garden, grower, now, quick, 33, n_rooted=4, n_lost=0)
    found = on_round(garden, HANDBOOK, quick.batch, on=on)
    assert found is not None
    assert (found.m, found.next_batch) == (2, other.batch)
