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

from slipwright.handbook import load_handbook
from slipwright.rooting.counts import BatchCounts, LookCounts
from slipwright.rooting.forecast import forecast_batch
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import Kind, before_records, prior_draws
from slipwright.rooting.page_prior import offset_of, usual_cuttings
from slipwright.rooting.standing import filled

STUCK = date(2026, 8, 1)
LEAF = load_handbook().page_of("Rosa").woods["semi-hardwood"]
ROSE = usual_cuttings(LEAF, "semi-hardwood")
KIND = Kind(
    "Rosa", "Rosa 'Salt Letter'", "semi-hardwood", "2026", "K7Q2M9T3", offset_of(LEAF, "semi-hardwood")
)
PATIENCE = 112
FEW_DRAWS = prior_draws(np.random.default_rng(2), 100)


def after(days, **counts):
    return LookCounts(STUCK + timedelta(days=days), **counts)


def batch(n_stuck, *looks, n_potted=0):
    return BatchCounts(STUCK, n_stuck, looks, n_potted)


def foretold(counts, days=0, seed=1, learned=None, kind=KIND, **options):
    return forecast_batch(
        learned or before_records(),
        BatchRecord(ROSE, kind, counts),
        on=STUCK + timedelta(days=days),
        generator=np.random.default_rng(seed),
        patience_days=PATIENCE,
        **options,
    )


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
        n_waiting=maybe,
        cause=st.sampled_from(("", "given-up", "mould")),
    ),
    max_size=6,
).map(tuple)


@settings(max_examples=150, deadline=None)
@given(st.integers(1, 40), looks, st.integers(-5, 260), st.integers(0, 20))
def test_no_forecast_passes_the_number_alive_or_falls_below_what_is_counted(n_stuck, seen, days, potted):
    """Whatever the looks say, even what cannot be: nothing fails and the numbers make a whole."""
    counts = BatchCounts(STUCK, n_stuck, seen, potted)
    known = filled(counts.until(max(STUCK + timedelta(days=days), STUCK)))
    told = foretold(counts, days, ahead=range(0, 120, 7), learned=FEW_DRAWS)
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
    assert told.look_next_on >= STUCK + timedelta(days=days)


@pytest.mark.parametrize("counts", [batch(24), TWO_LOOKS])
def test_rooted_and_lost_never_fall_from_day_to_day_and_waiting_never_rises(counts):
    days = foretold(counts, 35).days
    for one, next_ in itertools.pairwise(days):
        for point in ("mean", "p10", "p50", "p90"):
            assert getattr(one.rooted, point) <= getattr(next_.rooted, point)
            assert getattr(one.lost, point) <= getattr(next_.lost, point)
            assert getattr(one.waiting, point) >= getattr(next_.waiting, point)


def test_a_new_batch_ends_at_the_handbooks_middle_within_a_wider_range():
    """The row says 68 of 100, and 46 to 84 of batches like its own; any batch spreads wider."""
    last = foretold(batch(1000)).days[-1]
    assert last.on == STUCK + timedelta(days=PATIENCE)
    assert last.rooted.p50 / 1000 == pytest.approx(0.68, abs=0.05)
    assert last.rooted.p10 / 1000 < 0.46
    assert last.rooted.p90 / 1000 > 0.84


def test_half_of_the_rooted_have_rooted_about_the_handbooks_middle_week():
    middle, end = foretold(batch(1000), ahead=[42, PATIENCE]).days
    assert middle.rooted.mean / end.rooted.mean == pytest.approx(0.5, abs=0.1)


def test_numbers_are_the_same_whether_all_days_are_asked_for_or_few():
    every, few = foretold(TWO_LOOKS, 35).days, foretold(TWO_LOOKS, 35, ahead=[0, 28, 77]).days
    for day in few:
        same = every[(day.on - every[0].on).days]
        assert same.on == day.on
        assert same.rooted.mean == pytest.approx(day.rooted.mean, abs=0.2)
        assert same.lost.mean == pytest.approx(day.lost.mean, abs=0.2)


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


def test_what_cannot_be_still_gives_a_forecast():
    told = foretold(batch(24, after(2, n_rooted=24)), 2)
    assert told.days[-1].rooted.p50 == 24
    over = foretold(batch(5, after(14, n_rooted=9, n_lost=4)), 14)
    assert over.days[-1].waiting.p90 == 0


def test_same_seed_same_forecast():
    assert foretold(TWO_LOOKS, 35, seed=9) == foretold(TWO_LOOKS, 35, seed=9)


def test_days_run_to_the_end_of_patience_and_four_weeks_at_least():
    assert foretold(batch(9), 0).days[-1].on == STUCK + timedelta(days=PATIENCE)
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
    assert few.p_never == pytest.approx(0.1, abs=0.06)
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


def test_what_was_counted_is_potted_on_the_day_that_today_and_its_page_say():
    """Seven of 22 are fewer than a third; they have stood for a fortnight, and growth of spring is here."""
    seen = BatchCounts(date(2027, 1, 31), 32, (LookCounts(date(2027, 5, 25), n_rooted=7, n_lost=10),))
    on = date(2027, 6, 12)
    held = {"pot_up": "undisturbed-until-spring", "patience_days": 140.0, "on": on}
    told = forecast_batch(
        before_records(), BatchRecord(ROSE, KIND, seen), generator=np.random.default_rng(1), **held
    )
    assert told.pot_now
    assert told.pot_up_on.p10 == told.pot_up_on.p90 == on
    late = replace(seen, looks=(LookCounts(date(2027, 7, 10), n_rooted=15, n_lost=10),))
    told = forecast_batch(
        before_records(),
        BatchRecord(ROSE, KIND, late),
        generator=np.random.default_rng(1),
        **held | {"on": date(2027, 7, 12)},
    )
    assert (told.pot_up_on.p10, told.pot_up_on.p90) == (date(2028, 3, 20), date(2028, 4, 25))


# --- not looked at for long ---------------------------------------------------------------------------


def test_a_batch_long_unseen_waits_as_counted_and_is_looked_at_before_it_is_potted_or_given_up():
    seen = batch(8, after(60, n_rooted=0, n_lost=0))
    told = foretold(seen, 130)
    assert (told.n_waiting, told.n_rooted, told.unseen_days) == (8, 0, 70)
    assert told.days[0].rooted.p10 > 0
    assert told.to_look_first
    assert told.look_next_on == told.pot_up_on.p10 == STUCK + timedelta(days=130)
    assert told.pot_after_look
    assert not told.pot_now


def test_a_batch_just_looked_at_past_its_patience_may_be_given_up():
    told = foretold(batch(8, after(129, n_rooted=0, n_lost=0)), 130)
    assert told.unseen_days is None
    assert not told.to_look_first


def test_roots_that_nobody_counted_are_not_potted_before_the_next_look():
    told = foretold(batch(9, after(60, n_lost=0)), 61)
    assert told.days[0].rooted.p50 >= 3
    assert told.pot_up_on.p10 == told.look_next_on > STUCK + timedelta(days=61)


def test_hardly_any_left_to_root_is_not_given_up_unseen():
    slow = replace(before_records(), nodes={KIND.path[1]: np.full((2, 1000), [[-9.0], [0.0]])})
    seen = batch(12, after(60, n_rooted=0, n_lost=0))
    assert foretold(seen, 73, learned=slow).give_up_on == STUCK + timedelta(days=73)
    assert foretold(seen, 74, learned=slow).give_up_on == STUCK + timedelta(days=PATIENCE)


def test_a_batch_all_lost_is_never_potted():
    told = foretold(batch(9, after(20, n_rooted=0, n_lost=9)), 20)
    assert told.pot_up_on.p10 is None
    assert told.as_json()["pot_up_on"] == {"p10": None, "p50": None, "p90": None, "rule": "at-once"}


def test_json_says_what_it_rests_on():
    rests = foretold(TWO_LOOKS, 35).as_json()["rests_on"]
    assert rests["n_looks"] == 2
    assert rests["n_batches"] == 0
    assert "the handbook and 2 looks" in rests["text"]
    assert "the handbook alone" in foretold(batch(9)).rests_on.text
    wide = foretold(batch(9), from_page=False, kind=Kind("Nothofagus", "Nothofagus", "hardwood", "2026"))
    assert "the handbook has no page" in wide.rests_on.text


# --- what was learned ---------------------------------------------------------------------------------


def learned_of(node, level, **more):
    """The prior, but one plant or genus moved: as if many batches had told of it."""
    prior = before_records()
    moved = np.full((2, prior.n_draws), [[level], [-level / 2]])
    return replace(prior, nodes={node: moved}, **more)


def ends(**options):
    return foretold(batch(24), ahead=[PATIENCE], **options).days[0].rooted.mean


def test_what_a_plant_taught_counts_for_its_next_batch_and_for_no_other():
    taught = learned_of(("taxon", "Rosa", KIND.taxon), -1.5)
    assert ends(learned=taught) < ends() - 4
    assert ends(learned=taught, kind=replace(KIND, taxon="Rosa 'Slack Water'")) == ends()


def test_a_plant_never_seen_is_told_by_its_genus_and_a_genus_never_seen_by_the_prior():
    taught = learned_of(("genus", "Rosa"), -1.5)
    unseen = replace(KIND, taxon="Rosa 'Never Seen'", batch="")
    assert ends(learned=taught, kind=unseen) < ends(kind=unseen) - 4
    other = replace(unseen, genus="Nothofagus", taxon="Nothofagus antarctica")
    assert ends(learned=taught, kind=other) == ends(kind=other)


def test_it_says_how_many_batches_of_the_plant_or_of_its_kin_it_rests_on():
    taxon, genus = ("taxon", "Rosa", KIND.taxon), ("genus", "Rosa")

    def said(**behind):
        return foretold(TWO_LOOKS, 35, learned=learned_of(taxon, -0.2, behind=behind["of"])).rests_on

    own = said(of={(): (40, 200), genus: (20, 90), taxon: (12, 50)})
    assert own.n_batches == 12
    assert "your 12 batches of Rosa 'Salt Letter', the handbook and 2 looks" in own.text
    assert "parts in 10" in own.text or "Hardly any" in own.text
    assert "your 20 batches of other Rosa" in said(of={(): (40, 200), genus: (20, 90)}).text
    others = said(of={(): (40, 200)})
    assert others.n_batches == 0
    assert "your 40 batches of other plants" in others.text


# --- looks --------------------------------------------------------------------------------------------


def test_the_next_look_comes_with_the_round_and_sooner_where_many_likely_root():
    """By hand: 60 open, 1 in 20 a day: 3 a day, 3 + 6 + 9 cutting-days after three days, so the fifth day."""
    many = batch(60, after(14, n_rooted=0, n_lost=1), after(35, n_rooted=10, n_lost=0))
    assert foretold(many, 35).look_next_on == STUCK + timedelta(days=40)
    assert foretold(many, 35, pot_up="undisturbed-until-spring").look_next_on == STUCK + timedelta(days=42)
    quiet = batch(9, after(7, n_rooted=0, n_lost=0))
    assert foretold(quiet, 7).look_next_on == STUCK + timedelta(days=14)
    assert foretold(quiet, 7, round_days=10).look_next_on == STUCK + timedelta(days=17)
    assert foretold(batch(60)).look_next_on == STUCK + timedelta(days=7)


@settings(max_examples=40, deadline=None)
@given(st.integers(1, 200), st.integers(0, 60), st.integers(1, 60), st.integers(5, 10))
def test_looks_lie_five_to_ten_days_apart(n_stuck, n_rooted, day, round_days):
    seen = batch(n_stuck, after(day, n_rooted=min(n_rooted, n_stuck), n_lost=0))
    told = foretold(seen, day, round_days=round_days, learned=FEW_DRAWS, ahead=[0])
    assert 5 <= (told.look_next_on - STUCK).days - day <= round_days


def test_a_batch_from_which_more_likely_come_is_kept_to_the_end_of_patience():
    waits = batch(24, after(60, n_rooted=3, n_lost=0))
    assert foretold(waits, 60).give_up_on == STUCK + timedelta(days=PATIENCE)
    assert foretold(batch(24), 100).give_up_on == STUCK + timedelta(days=PATIENCE)


def test_hardly_any_left_to_root_gives_up_from_the_middle_of_patience_on():
    slow = replace(before_records(), nodes={KIND.path[1]: np.full((2, 1000), [[-9.0], [0.0]])})
    seen = batch(12, after(20, n_rooted=0, n_lost=0), after(60, n_rooted=0, n_lost=0))
    assert foretold(seen, 60, learned=slow).give_up_on == STUCK + timedelta(days=60)
    assert foretold(seen, 40, learned=slow).give_up_on == STUCK + timedelta(days=PATIENCE)


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
