"""Histories that no grower would wish for: the fit comes to rest, and says what is left to say."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from bench import worlds
from slipwright.rooting.counts import BatchCounts, LookCounts
from slipwright.rooting.curves import fates
from slipwright.rooting.cuttings import Cuttings
from slipwright.rooting.fit import Fit
from slipwright.rooting.fitting import fit
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import Kind, before_records
from slipwright.rooting.taxon_effects import taxon_effects

ON = date(2026, 6, 1)
ROSE = Kind("Rosa", "Rosa 'Ice Lantern'", "semi-hardwood", "2026", "B")
NEXT_TIME = replace(ROSE, season="2027", batch="")


def batch(n_stuck: int, *looks: tuple[int, LookCounts], name: str = "B") -> BatchRecord:
    dated = tuple(replace(look, on=ON + timedelta(days=day)) for day, look in looks)
    return BatchRecord(Cuttings(), replace(ROSE, batch=name), BatchCounts(ON, n_stuck, dated))


def found(**numbers: int | None) -> LookCounts:
    return LookCounts(ON, **numbers)


ALL_LOST_AT_ONCE = batch(20, (7, found(n_rooted=0, n_lost=20)))
ALL_ROOTED = batch(25, (21, found(n_rooted=25, n_lost=0)))
NOTHING_FOR_LONG = batch(12, *((day, found(n_rooted=0, n_lost=0)) for day in range(30, 301, 30)))
ONE_CUTTING = batch(1, (30, found(n_rooted=1, n_lost=0)))
MANY_CUTTINGS = batch(500, (20, found(n_rooted=40, n_lost=20)), (60, found(n_rooted=380, n_lost=30)))
ROOTED_OF_N = batch(30, (60, found(n_rooted=0)))
CONTRADICTORY = batch(10, (20, found(n_rooted=8, n_lost=9, n_waiting=7)), (30, found(n_rooted=6, n_lost=4)))
MORE_WAITING_THAN_STUCK = batch(10, (20, found(n_waiting=14)), (30, found(n_waiting=16)))
LOOKED_ON_THE_DAY = batch(10, (0, found(n_rooted=0, n_lost=2)), (0, found(n_rooted=0, n_lost=1)))
AFTER_YEARS = batch(10, (1500, found(n_rooted=5, n_lost=0)))
TORTURES = {name.lower(): value for name, value in list(globals().items()) if isinstance(value, BatchRecord)}


def p_rooted(learned_of: Fit | None, day: float) -> float:
    learned = learned_of.learned() if learned_of else before_records()
    return float(fates(learned.clocks(Cuttings(), NEXT_TIME), [day])[0].mean())


def well(told: Fit) -> bool:
    doubtful = [(one.mean, one.sd) for one in (*told.effects(), *taxon_effects(told))]
    spreads = [(one.mean, one.sd) for one in told.spreads()]
    return (
        told.converged and bool(np.isfinite(doubtful + spreads).all()) and all(sd > 0 for _, sd in doubtful)
    )


@pytest.mark.parametrize("record", TORTURES.values(), ids=TORTURES)
def test_alone_it_is_fitted_and_leaves_finite_answers(record: BatchRecord) -> None:
    told = fit([record], n_points=8)
    assert told.n_batches == 1
    assert well(told)
    assert np.isfinite(fates(told.learned().clocks(record.cuttings, record.kind), [1, 56, 2000])).all()


@pytest.mark.parametrize("n_points", [8, 0])
def test_all_in_one_history_they_are_fitted(n_points: int) -> None:
    records = [replace(one, kind=replace(one.kind, batch=name)) for name, one in TORTURES.items()]
    told = fit(records, n_points=n_points) if n_points else fit(records, integrate_up_to=0)
    assert told.n_batches == len(records)
    assert well(told)


def test_all_lost_at_once_lowers_what_is_hoped_for_the_next() -> None:
    assert p_rooted(fit([ALL_LOST_AT_ONCE], n_points=8), 56) < p_rooted(None, 56) - 0.1


def test_all_rooted_raises_it() -> None:
    assert p_rooted(fit([ALL_ROOTED], n_points=8), 56) > p_rooted(None, 56) + 0.1


def test_nothing_for_three_hundred_days_lowers_it() -> None:
    assert p_rooted(fit([NOTHING_FOR_LONG], n_points=8), 56) < p_rooted(None, 56) - 0.1


def test_one_cutting_moves_it_less_than_twenty_five() -> None:
    before = p_rooted(None, 56)
    moved = [p_rooted(fit([one], n_points=8), 56) - before for one in (ONE_CUTTING, ALL_ROOTED)]
    assert abs(moved[0]) < 0.5 * moved[1]


def test_five_hundred_cuttings_leave_little_doubt_of_their_own_batch() -> None:
    told = fit([MANY_CUTTINGS], n_points=8).learned()
    p = fates(told.clocks(MANY_CUTTINGS.cuttings, MANY_CUTTINGS.kind), [60])[0, 0]
    assert p.mean() == pytest.approx(420 / 500, abs=0.03)
    assert p.std() < 0.03


def test_a_history_in_which_nothing_was_counted_is_the_prior() -> None:
    told = fit([batch(10, (20, found())), batch(10, name="C")])
    assert (told.n_batches, told.converged, told.effects()) == (0, True, [])


def test_a_batch_with_no_event_on_its_first_day_says_next_to_nothing() -> None:
    told = fit([batch(10, (1, found(n_rooted=0, n_lost=0)))], n_points=8)
    assert p_rooted(told, 56) == pytest.approx(p_rooted(None, 56), abs=0.05)


def test_last_counts_of_the_rooted_alone_throw_no_setting_of_the_spreads_off(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # merged counts may leave a batch all but flat at the top, where a first-order shift knows no bounds
    monkeypatch.setattr(worlds, "P_LAST_COUNT_ONLY", 0.6)
    told = fit(worlds.own_world(np.random.default_rng([31, 41]), 20, 6).records, n_points=32)
    means = np.array([point.dense for point in told.points])
    sds = np.array([effect.sd for effect in told.effects()])
    assert np.abs((means - np.median(means, axis=0)) / sds).max() < 2
