import itertools
import json
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import jsonschema
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.rooting import _fitting as fitting
from slipwright.rooting.clocks import clocks_of_ranges, clocks_without_page
from slipwright.rooting.counts import BatchCounts, LookCounts
from slipwright.rooting.forecast import forecast_batch, standard_draws

STUCK = date(2026, 8, 1)
ROSE = clocks_of_ranges((46, 68, 84), (12, 26, 48), (4, 6, 10), 112)


def after(days, **counts):
    return LookCounts(STUCK + timedelta(days=days), **counts)


def batch(n_stuck, *looks, n_potted=0):
    return BatchCounts(STUCK, n_stuck, looks, n_potted)


def foretold(counts, days=0, seed=1, **options):
    on = STUCK + timedelta(days=days)
    return forecast_batch(ROSE, counts, on=on, generator=np.random.default_rng(seed), **options)


TWO_LOOKS = batch(24, after(14, n_rooted=0, n_lost=2), after(35, n_rooted=6, n_lost=1))

maybe = st.none() | st.integers(0, 12)
looks = st.lists(
    st.builds(
        LookCounts,
        on=st.integers(-3, 200).map(lambda days: STUCK + timedelta(days=days)),
        n_rooted=maybe,
        n_lost=maybe,
        n_removed=maybe,
        n_lost_rooted=maybe,
        n_tried=maybe,
        n_tried_rooted=maybe,
    ),
    max_size=6,
).map(tuple)


@settings(max_examples=150, deadline=None)
@given(st.integers(1, 40), looks, st.integers(-5, 260), st.integers(0, 20))
def test_no_forecast_passes_the_number_alive_or_falls_below_what_is_counted(n_stuck, seen, days, potted):
    counts = BatchCounts(STUCK, n_stuck, seen, potted)
    known = counts.until(max(STUCK + timedelta(days=days), STUCK))
    told = foretold(counts, days, ahead=range(0, 120, 7), draws=standard_draws(np.random.default_rng(2), 100))
    alive = known.n_rooted + known.n_waiting
    for day in told.days:
        for band in (day.rooted, day.lost, day.waiting):
            assert band.p10 <= band.p50 <= band.p90
        assert known.n_rooted <= day.rooted.p10
        assert day.rooted.p90 <= alive
        assert known.n_lost <= day.lost.p10
        assert day.lost.p90 <= known.n_lost + known.n_waiting
        assert day.waiting.p10 >= 0
        assert day.waiting.p90 <= known.n_waiting
        whole = day.rooted.mean + day.lost.mean + day.waiting.mean
        assert whole == pytest.approx(known.n_waiting + known.n_rooted + known.n_lost)
    assert 0 <= told.rests_on.prior_share <= 1


@pytest.mark.parametrize("counts", [batch(24), TWO_LOOKS])
def test_rooted_and_lost_never_fall_from_day_to_day_and_waiting_never_rises(counts):
    days = foretold(counts, 35).days
    for one, next_ in itertools.pairwise(days):
        for point in ("mean", "p10", "p50", "p90"):
            assert getattr(one.rooted, point) <= getattr(next_.rooted, point)
            assert getattr(one.lost, point) <= getattr(next_.lost, point)
            assert getattr(one.waiting, point) >= getattr(next_.waiting, point)


def test_a_new_batch_ends_at_the_handbooks_share():
    last = foretold(batch(1000), draws=standard_draws(np.random.default_rng(3), 4000)).days[-1]
    assert last.on == STUCK + timedelta(days=112)
    assert last.rooted.p50 / 1000 == pytest.approx(0.68, abs=0.03)
    assert last.rooted.p10 / 1000 == pytest.approx(0.46, abs=0.05)
    assert last.rooted.p90 / 1000 == pytest.approx(0.84, abs=0.05)
    assert last.lost.p50 / 1000 == pytest.approx(0.26, abs=0.04)


def test_half_of_the_rooted_have_rooted_at_the_handbooks_middle_week():
    """The clocks alone, by hand: median 6 weeks, so half of .68 of 1,000 by day 42."""
    told = foretold(batch(1000), ahead=[42, 112], draws=standard_draws(np.random.default_rng(3), 4000))
    middle, end = told.days
    assert middle.rooted.mean / end.rooted.mean == pytest.approx(0.5, abs=0.03)


def test_a_look_moves_the_forecast_towards_what_was_seen():
    quick = batch(24, after(28, n_rooted=14, n_lost=0))
    slow = batch(24, after(28, n_rooted=0, n_lost=10))
    end = {"ahead": [84]}
    assert foretold(quick, 28, **end).days[0].rooted.mean > foretold(batch(24), 28, **end).days[0].rooted.mean
    assert foretold(slow, 28, **end).days[0].rooted.mean < foretold(batch(24), 28, **end).days[0].rooted.mean


def test_more_looks_narrow_the_range():
    few, many = foretold(batch(24), 35, ahead=[77]), foretold(TWO_LOOKS, 35, ahead=[77])
    width = [f.days[0].rooted.p90 - f.days[0].rooted.p10 for f in (few, many)]
    assert width[1] < width[0]
    assert many.rests_on.prior_share < few.rests_on.prior_share == 1.0


def test_a_look_without_a_count_changes_nothing_but_the_next_look():
    without, seen = foretold(batch(24), 14), foretold(batch(24, after(14)), 14)
    assert seen.days == without.days
    assert seen.rests_on.prior_share == 1.0
    assert seen.look_next_on == STUCK + timedelta(days=21)


def test_a_tried_sample_informs_and_leaves_the_counts_alone():
    good = foretold(batch(24, after(35, n_tried=6, n_tried_rooted=6)), 35, ahead=[0, 77])
    bad = foretold(batch(24, after(35, n_tried=6, n_tried_rooted=0)), 35, ahead=[0, 77])
    assert good.days[1].rooted.mean > bad.days[1].rooted.mean + 2
    assert good.days[0].rooted.p10 >= 0


def test_a_tried_sample_is_not_used_again_once_rooted_was_counted():
    counted = after(42, n_rooted=8, n_lost=1)
    tried = batch(24, after(35, n_tried=6, n_tried_rooted=6), counted)
    assert foretold(tried, 42, ahead=[70]).days == foretold(batch(24, counted), 42, ahead=[70]).days


def test_looks_after_today_are_left_out():
    early = foretold(TWO_LOOKS, 20, ahead=[0, 60])
    assert early.days == foretold(replace(TWO_LOOKS, looks=TWO_LOOKS.looks[:1]), 20, ahead=[0, 60]).days


def test_removed_cuttings_leave_those_at_risk():
    told = foretold(batch(24, after(14, n_rooted=0, n_lost=0, n_removed=10)), 14)
    assert told.days[-1].rooted.p90 <= 14


def test_weighed_draws_agree_with_a_brute_sum_over_many_draws():
    """Outside the fitting: 300,000 draws from the handbook weighed by hand-coded multinomials."""
    z = np.random.default_rng(8).standard_normal((3, 300_000))
    ever, lost = ROSE.draws(z)
    by = ROSE.rooted_by(np.array([14.0, 35.0]), z)
    gone = [lost * 14 / 112, lost * 35 / 112]
    left = 1 - ever * by[0] - gone[0]
    first = 2 * np.log(gone[0]) + 22 * np.log(left)
    p_rooted, p_lost = ever * (by[1] - by[0]) / left, (gone[1] - gone[0]) / left
    second = 6 * np.log(p_rooted) + np.log(p_lost) + 15 * np.log(1 - p_rooted - p_lost)
    weight = np.exp(first + second - np.max(first + second))
    weight /= weight.sum()
    drawn = fitting.fitting_draws(
        ROSE,
        fitting.seen_steps(TWO_LOOKS),
        standard_draws(np.random.default_rng(4), 20_000),
        np.random.default_rng(5),
    )
    assert drawn.mean(axis=1) == pytest.approx(z @ weight, abs=0.06)
    assert drawn.std(axis=1) == pytest.approx(np.sqrt(z**2 @ weight - (z @ weight) ** 2), abs=0.06)


def test_draws_are_fetched_nearer_when_the_looks_surprise():
    surprised = batch(500, after(14, n_rooted=0, n_lost=20), after(34, n_rooted=200, n_lost=20))
    z = fitting.fitting_draws(
        ROSE,
        fitting.seen_steps(surprised),
        standard_draws(np.random.default_rng(4)),
        np.random.default_rng(5),
    )
    assert len(np.unique(z[0])) > 150
    assert foretold(surprised, 34, ahead=[0]).days[0].rooted.p10 == 200


def test_what_cannot_be_still_gives_a_forecast():
    told = foretold(batch(24, after(2, n_rooted=24)), 2)
    assert told.days[-1].rooted.p50 == 24
    over = foretold(batch(5, after(14, n_rooted=9, n_lost=4)), 14)
    assert over.days[-1].waiting.p90 == 0


def test_same_seed_same_forecast():
    assert foretold(TWO_LOOKS, 35, seed=9) == foretold(TWO_LOOKS, 35, seed=9)


def test_days_run_to_the_end_of_patience_and_four_weeks_at_least():
    assert foretold(batch(9), 0).days[-1].on == STUCK + timedelta(days=112)
    assert foretold(batch(9), 110).days[-1].on == STUCK + timedelta(days=138)


def test_potting_day_is_when_a_third_stand_rooted_and_unpotted():
    told = foretold(batch(24, after(35, n_rooted=8, n_lost=0)), 35)
    assert told.pot_up_on.p10 == told.pot_up_on.p90 == STUCK + timedelta(days=35)
    few = foretold(batch(24, after(35, n_rooted=5, n_lost=0)), 35)
    assert few.pot_up_on.p50 > STUCK + timedelta(days=35)
    potted = foretold(batch(24, after(35, n_rooted=8, n_lost=0), n_potted=8), 35)
    assert potted.pot_up_on.p50 > STUCK + timedelta(days=35)


def test_a_small_batch_is_potted_when_three_stand_rooted():
    told = foretold(batch(9, after(35, n_rooted=3, n_lost=0)), 35)
    assert told.pot_up_on.p90 == STUCK + timedelta(days=35)


def test_the_chance_of_no_potting_at_all_is_kept():
    few = foretold(batch(3)).pot_up_on
    assert few.p_never == pytest.approx(0.04, abs=0.04)
    assert foretold(batch(9, after(20, n_rooted=0, n_lost=9)), 20).pot_up_on.p_never == 1.0


def test_beyond_patience_the_forecast_says_that_it_knows_nothing():
    waiting = batch(36, after(100, n_rooted=33, n_lost=2))
    told = foretold(waiting, 160)
    assert "Patience ran out on 21 Nov 2026" in told.rests_on.text
    assert told.give_up_on == STUCK + timedelta(days=112)
    assert told.look_next_on == STUCK + timedelta(days=160)
    assert "Patience" not in foretold(waiting, 112).rests_on.text
    over = batch(36, after(100, n_rooted=34, n_lost=2))
    assert "Patience" not in foretold(over, 160).rests_on.text


def test_potting_day_follows_the_rule_of_the_plant():
    told = foretold(batch(24), pot_up="undisturbed-until-spring")
    assert told.pot_up_on.p50.year == 2027
    assert told.pot_up_on.rule == "undisturbed-until-spring"


def test_a_batch_all_lost_is_never_potted():
    told = foretold(batch(9, after(20, n_rooted=0, n_lost=9)), 20)
    assert told.pot_up_on.p10 is None
    assert told.as_json()["pot_up_on"] == {"p10": None, "p50": None, "p90": None, "rule": "at-once"}


def test_json_says_what_it_rests_on():
    rests = foretold(TWO_LOOKS, 35).as_json()["rests_on"]
    assert rests["n_looks"] == 2
    assert rests["n_batches"] == 0
    assert "2 looks" in rests["text"]
    wide = forecast_batch(
        clocks_without_page("hardwood"), batch(9), on=STUCK, generator=np.random.default_rng(1)
    )
    assert "the handbook has no page" in wide.rests_on.text


@pytest.mark.parametrize("counts", [batch(24), TWO_LOOKS, batch(3, after(9, n_rooted=0, n_lost=3))])
def test_json_matches_the_contract(counts):
    schema = json.loads((Path(__file__).parents[2] / "docs/contract/forecast.json").read_text())
    checker = jsonschema.FormatChecker()
    valid = jsonschema.Draft202012Validator(schema, format_checker=checker)
    valid.validate(json.loads(json.dumps(foretold(counts, 40).as_json())))


@pytest.mark.parametrize("ahead", [[], [3, 3], [5, 1]])
def test_days_ahead_must_rise(ahead):
    with pytest.raises(ValueError, match="rising days"):
        foretold(batch(9), ahead=ahead)


def test_a_batch_of_none_is_refused():
    with pytest.raises(ValueError, match="n_stuck must be at least 1, not 0"):
        foretold(batch(0))
