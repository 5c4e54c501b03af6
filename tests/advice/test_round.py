import ast
import inspect
import json
import re
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import jsonschema
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.advice import round as round_module
from slipwright.advice.round import acts_for
from slipwright.advice.walk import BatchOnRound, PlaceOnRound, PlantOnRound, WeatherOnRound
from slipwright.handbook import WOODS, load_handbook
from slipwright.rooting.counts import BatchCounts, LookCounts
from slipwright.rooting.learned import before_records

HANDBOOK = load_handbook()
ROSE = HANDBOOK.page_of("Rosa")


def page_with_rule(rule):
    leaf = replace(ROSE.woods["semi-hardwood"], pot_up=rule)
    return replace(ROSE, woods={**ROSE.woods, "semi-hardwood": leaf})


LAVENDER = HANDBOOK.page_of("Lavandula")
SCHEMA = json.loads((Path(__file__).parents[2] / "docs/contract/today.json").read_text())
VALID = jsonschema.Draft202012Validator(SCHEMA, format_checker=jsonschema.FormatChecker())
STUCK = date(2026, 8, 1)


def look(days, **counts):
    return LookCounts(STUCK + timedelta(days=days), **counts)


def stuck(*looks, name="K7Q2M9T3", n_stuck=12, n_potted=0, wood="softwood", page=LAVENDER, **where):
    return BatchOnRound(
        name, "Lavandula", wood, BatchCounts(STUCK, n_stuck, looks, n_potted), page=page, **where
    )


def acts_on(days, *batches, **options):
    on = STUCK + timedelta(days=days)
    return acts_for(batches, on=on, generator=np.random.default_rng(1), **options)


def names(acts):
    return [act.act for act in acts]


# --- looks ----------------------------------------------------------------------------------------------


def test_first_look_falls_a_week_after_sticking():
    assert acts_on(6, stuck()) == ()
    (act,) = acts_on(7, stuck())
    assert (act.act, act.why) == ("look", "first look, 7 days after sticking")


def test_looks_follow_the_gardens_own_round():
    assert acts_on(9, stuck(), round_days=10) == ()
    assert names(acts_on(10, stuck(), round_days=10)) == ["look"]


def test_a_look_without_a_count_is_a_look():
    rose = {"wood": "hardwood", "page": ROSE}
    assert acts_on(13, stuck(look(7), **rose)) == ()
    (act,) = acts_on(14, stuck(look(7), **rose))
    assert act.why == "7 days since the last look"


def test_rot_calls_for_a_look_after_five_days():
    (act,) = acts_on(12, stuck(look(7, n_lost=2, cause="rot-from-base")))
    assert act.why == "rot seen at the last look; it spreads"


def test_when_roots_are_likely_the_round_says_so():
    (act,) = acts_on(28, stuck(look(21, n_rooted=0, n_lost=0)))
    assert act.why == "first roots likely this week"


def test_a_look_comes_sooner_where_many_likely_stand_rooted_by_now():
    many = stuck(look(14, n_rooted=0, n_lost=0), look(28, n_rooted=12, n_lost=0), n_stuck=60)
    assert acts_on(32, many) == ()
    (act,) = acts_on(33, many)
    assert act.act == "look"
    assert act.why.startswith("about ")
    assert act.why.endswith(" more likely rooted by now")
    rest = replace(many, page=page_with_rule("undisturbed-until-spring"), wood="semi-hardwood")
    assert acts_on(33, rest) == ()


def test_where_hardly_any_can_still_root_a_look_becomes_the_scratch_of_the_bark():
    slow = replace(before_records(), nodes={("genus", "Lavandula"): np.full((2, 1000), [[-9.0], [0.0]])})
    waits = stuck(look(20, n_rooted=0, n_lost=0), look(38, n_rooted=0, n_lost=0))
    (act,) = acts_on(45, waits, learned=slow)
    assert act.act == "give_up"
    assert act.why == "12 waiting, hardly any likely to root; scratch the bark"
    assert names(acts_on(45, waits)) == ["look"]


def test_a_batch_that_is_over_asks_for_nothing():
    over = stuck(look(20, n_rooted=8, n_lost=4), n_potted=8)
    assert acts_on(60, over) == ()


def test_a_batch_stuck_tomorrow_asks_for_nothing():
    assert acts_on(-1, stuck()) == ()


# --- potting up -----------------------------------------------------------------------------------------


def test_three_rooted_are_potted_and_pressed_by_the_days_they_stand():
    (act,) = acts_on(33, stuck(look(26, n_rooted=4, n_lost=0)))
    assert act.act == "pot_up"
    assert act.why == "4 rooted since 27 Aug, unpotted 7 days"


def test_few_rooted_of_many_are_left_until_a_third_or_a_fortnight():
    many = {"n_stuck": 60, "page": LAVENDER}
    assert "pot_up" not in names(acts_on(33, stuck(look(26, n_rooted=4, n_lost=0), **many)))
    assert "pot_up" in names(acts_on(40, stuck(look(26, n_rooted=4, n_lost=0), **many)))
    assert "pot_up" in names(acts_on(33, stuck(look(26, n_rooted=20, n_lost=0), **many)))


def test_of_three_or_fewer_each_that_roots_is_potted():
    assert "pot_up" in names(acts_on(33, stuck(look(26, n_rooted=1, n_lost=0), n_stuck=3)))
    assert "pot_up" not in names(acts_on(33, stuck(look(26, n_rooted=1, n_lost=0), n_stuck=4)))


def test_rooted_ones_that_were_not_ready_are_left_for_a_week():
    held = stuck(look(30, n_rooted=9, n_lost=3), look(32, signs=("not-ready",)))
    assert acts_on(38, held) == ()
    (act,) = acts_on(39, held)
    assert (act.act, act.why) == ("pot_up", "9 rooted; not ready to pot 7 days ago")


def test_a_look_that_found_none_ready_before_enough_stood_holds_nothing():
    (act,) = acts_on(36, stuck(look(32, signs=("not-ready",)), look(35, n_rooted=9, n_lost=3)))
    assert act.act == "pot_up"


def test_plants_that_must_stand_until_spring_are_not_pressed_before():
    rose = {"wood": "semi-hardwood", "page": page_with_rule("undisturbed-until-spring")}
    rooted = stuck(look(100, n_rooted=8, n_lost=0), **rose)
    assert "pot_up" not in names(acts_on(130, rooted))
    spring = (date(2027, 4, 6) - STUCK).days
    assert "8 rooted, and spring growth is due" in [act.why for act in acts_on(spring, rooted)]


def test_new_growth_opens_potting_where_the_handbook_waits_for_it():
    rose = {"wood": "semi-hardwood", "page": page_with_rule("after-new-growth")}
    still = stuck(look(60, n_rooted=8, n_lost=0), **rose)
    grown = stuck(look(60, n_rooted=8, n_lost=0), look(67, signs=("new-leaf",)), **rose)
    assert "pot_up" not in names(acts_on(67, still))
    assert "8 rooted and new growth seen" in [act.why for act in acts_on(67, grown)]


def test_new_leaf_before_roots_opens_nothing():
    rose = {"wood": "semi-hardwood", "page": page_with_rule("after-new-growth")}
    early = stuck(look(20, signs=("new-leaf",)), look(60, n_rooted=8), **rose)
    assert "pot_up" not in names(acts_on(67, early))


def test_potted_ones_are_not_potted_again():
    assert "pot_up" not in names(acts_on(33, stuck(look(26, n_rooted=4, n_lost=0), n_potted=4)))


# --- giving up, weighing --------------------------------------------------------------------------------


def test_patience_run_out_asks_to_scratch_the_bark_first():
    patience = int(LAVENDER.woods["softwood"].patience_days.value)
    waiting = stuck(look(patience - 1, n_rooted=0, n_lost=11))
    acts = acts_on(patience, waiting)
    assert [act.why for act in acts] == ["1 still waiting, long past its time; scratch the bark"]
    assert acts[0].act == "give_up"


def test_the_gardens_own_patience_counts():
    seen = look(29, n_rooted=0)
    assert "give_up" in names(acts_on(30, stuck(seen, patience_days=30)))
    assert "give_up" not in names(acts_on(30, stuck(seen, patience_days=90)))


def test_a_batch_long_unseen_is_looked_at_and_not_given_up():
    (act,) = acts_on(130, stuck(look(60, n_rooted=0, n_lost=0), n_stuck=8))
    assert act.act == "look"
    assert re.fullmatch(r"unseen 70 days; likely \d( to 8)? of 8 rooted", act.why)


def test_hardly_any_likely_to_root_is_looked_at_first_where_it_is_long_unseen():
    dead = replace(before_records(), nodes={("genus", "Lavandula"): np.full((2, 1000), [[-12.0], [-12.0]])})
    seen = stuck(look(60, n_rooted=0, n_lost=0))
    (act,) = acts_on(200, seen, learned=dead)
    assert (act.act, act.why) == ("look", "unseen 140 days")
    assert names(acts_on(200, stuck(look(199, n_rooted=0, n_lost=0)), learned=dead)) == ["give_up"]


def test_fewer_that_stood_for_a_fortnight_stay_free_to_pot_when_more_root_past_spring():
    page = {"wood": "semi-hardwood", "page": page_with_rule("undisturbed-until-spring")}
    counts = BatchCounts(
        date(2027, 1, 10),
        12,
        (LookCounts(date(2027, 5, 1), 3, 0), LookCounts(date(2027, 7, 2), 2, 0)),
    )
    batch = replace(stuck(**page), counts=counts)
    acts = acts_for([batch], on=date(2027, 7, 3), generator=np.random.default_rng(1))
    assert "pot_up" in names(acts)


def test_tied_pots_are_weighed_every_fortnight_and_soon_again_if_lighter():
    tent = {"cover": "tent"}
    assert "weigh" in names(acts_on(14, stuck(look(12), **tent)))
    assert "weigh" not in names(acts_on(20, stuck(look(12, pot_weight="same"), **tent)))
    lighter = acts_on(15, stuck(look(12, pot_weight="lighter"), **tent))
    assert [act.why for act in lighter] == ["felt lighter 3 days ago; water if still light"]
    assert "weigh" not in names(acts_on(14, stuck(look(12), cover="mist")))


# --- places, stock plants, weather, order -----------------------------------------------------------------


def test_the_order_is_that_of_the_walk_and_unlisted_places_come_last():
    places = [PlaceOnRound("Frame", "frame", walk_order=3), PlaceOnRound("Bench", "bench", walk_order=1)]
    batches = [
        stuck(name="nowhere"),
        stuck(name="shed", place="Shed"),
        stuck(name="frame", place="Frame"),
        stuck(name="bench", place="Bench"),
    ]
    assert [act.batch for act in acts_on(7, *batches, places=places)] == ["bench", "frame", "shed", "nowhere"]


def test_heat_shades_tents_once_a_place():
    places = [PlaceOnRound("Tent 1", "bench", "tent", 1), PlaceOnRound("Mist", "bench", "mist", 2)]
    batches = [stuck(name=f"t{i}", place="Tent 1") for i in range(3)] + [stuck(name="m", place="Mist")]
    hot = acts_on(3, *batches, places=places, weather=WeatherOnRound(14.0, 31.0))
    assert [(act.act, act.place, act.batch) for act in hot] == [("shade", "Tent 1", None)]
    assert acts_on(3, *batches, places=places, weather=WeatherOnRound(14.0, 30.9)) == ()


def test_heat_that_was_read_under_a_tent_shades_it_whatever_the_forecast():
    places = [
        PlaceOnRound("Tent 1", "bench", "tent", 1, air_c=31.0),
        PlaceOnRound("Tent 2", "bench", "tent", 2),
    ]
    places += [PlaceOnRound("Mist", "bench", "mist", 3, air_c=40.0)]
    batches = [stuck(name=name, place=name) for name in ("Tent 1", "Tent 2", "Mist")]
    for weather in (None, WeatherOnRound(14.0, 20.0), WeatherOnRound(None, None)):
        hot = acts_on(3, *batches, places=places, weather=weather)
        assert [(act.act, act.place) for act in hot] == [("shade", "Tent 1")]
        assert "31 °C there now" in str(hot[0].why)
    cooler = [PlaceOnRound("Tent 1", "bench", "tent", 1, air_c=30.9)]
    assert acts_on(3, *batches, places=cooler) == ()


def test_frost_protects_frames_and_young_pots_out_of_doors_only():
    places = [
        PlaceOnRound("Frame", "frame", walk_order=2),
        PlaceOnRound("Nursery", "nursery", walk_order=1, n_young_pots=20),
        PlaceOnRound("Empty", "nursery", walk_order=3),
        PlaceOnRound("Shelf", "shelf", walk_order=4),
    ]
    batches = [stuck(name="f", place="Frame"), stuck(name="s", place="Shelf")]
    cold = acts_on(3, *batches, places=places, weather=WeatherOnRound(3.0, 6.0))
    assert [(act.act, act.place) for act in cold] == [("protect", "Nursery"), ("protect", "Frame")]
    assert acts_on(3, *batches, places=places, weather=WeatherOnRound(3.1, 6.0)) == ()


def rose_acts(on, **plant):
    plant = PlantOnRound("Rose 1", "Rosa", plant.pop("page", ROSE), **plant)
    return acts_for([], on=on, generator=np.random.default_rng(1), plants=[plant])


def test_a_wanted_plant_is_named_while_its_window_is_open():
    (act,) = rose_acts(date(2026, 10, 5), n_wanted=5)
    assert (act.act, act.plant, act.why) == (
        "cut",
        "Rose 1",
        "5 more rooted wanted; semi-hardwood is right now",
    )


def test_a_closing_window_says_in_how_many_weeks():
    (act,) = rose_acts(date(2026, 11, 1))
    assert act.why == "semi-hardwood closes in about 2 weeks"


def test_a_plant_nobody_asked_for_is_named_only_when_newly_sure_or_closing():
    assert rose_acts(date(2026, 9, 25)) == ()
    assert rose_acts(date(2026, 10, 5), n_wanted=0) == ()


def test_a_plant_that_may_not_be_stuck_is_never_named():
    assert rose_acts(date(2026, 11, 1), may_stick=False) == ()
    assert rose_acts(date(2026, 11, 1), page=None) == ()


# --- every round can be shown ---------------------------------------------------------------------------

maybe = st.none() | st.integers(0, 9)
counts = st.builds(
    BatchCounts,
    stuck_on=st.integers(-40, 300).map(lambda days: STUCK - timedelta(days=days)),
    n_stuck=st.integers(1, 30),
    looks=st.lists(
        st.builds(
            LookCounts,
            on=st.integers(-300, 5).map(lambda days: STUCK + timedelta(days=days)),
            n_rooted=maybe,
            n_lost=maybe,
            n_tried=maybe,
            cause=st.sampled_from(("", "mould", "dried")),
            signs=st.sampled_from(((), ("new-leaf",))),
            pot_weight=st.sampled_from(("", "same", "lighter")),
        ),
        max_size=4,
    ).map(tuple),
    n_potted=st.integers(0, 9),
)
batches = st.builds(
    BatchOnRound,
    batch=st.text("ABC123", min_size=1, max_size=6),
    taxon=st.just("Rosa"),
    wood=st.sampled_from(WOODS),
    counts=counts,
    place=st.sampled_from(("", "Bench", "Frame")),
    cover=st.sampled_from(("", "tent", "mist", "open")),
    page=st.sampled_from((None, *HANDBOOK.pages)),
    patience_days=st.none() | st.integers(1, 400),
)


@settings(max_examples=60, deadline=None)
@given(st.lists(batches, max_size=6), st.sampled_from((None, WeatherOnRound(-4.0, 38.0))), st.booleans())
def test_every_round_matches_the_contract_and_gives_a_reason_in_ten_words(on_round, weather, south):
    places = [PlaceOnRound("Frame", "frame", "tent", 1)]
    acts = acts_for(
        on_round,
        on=STUCK,
        generator=np.random.default_rng(1),
        places=places,
        weather=weather,
        south=south,
        plants=[PlantOnRound("P", "Rosa", ROSE, n_wanted=3)],
    )
    data = [act.as_json() for act in acts]
    VALID.validate({"acts": json.loads(json.dumps(data)), "weather": {}})
    for act in acts:
        assert len(act.why.split()) <= 10
        assert not act.why.endswith(".")


@pytest.mark.parametrize("name", ["look", "pot_up"])
def test_the_forecast_of_an_act_covers_today_next_week_and_the_end_of_patience(name):
    batch = stuck() if name == "look" else stuck(look(21, n_rooted=6, n_lost=0))
    (act,) = acts_on(28, batch)
    assert act.act == name
    days = [day.on for day in act.forecast.days]
    assert days[:2] == [STUCK + timedelta(days=28), STUCK + timedelta(days=35)]
    assert days[2] == STUCK + timedelta(days=LAVENDER.woods["softwood"].patience_days.value)


def test_every_template_of_the_round_is_a_literal_so_that_it_is_gathered_for_translation():
    source = ast.parse(inspect.getsource(round_module))
    made = [node for node in ast.walk(source) if isinstance(node, ast.Call)]
    said = [node for node in made if isinstance(node.func, ast.Name) and node.func.id == "Said"]
    assert said
    assert all(isinstance(node.args[0], ast.Constant) for node in said)
