import json
from datetime import date, timedelta
from pathlib import Path

import jsonschema
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.advice.advise import advise
from slipwright.advice.asked import Asked
from slipwright.advice.plan import plan_of_opening
from slipwright.advice.timing import Opening
from slipwright.craft.errors import BadArgument
from slipwright.craft.numbers import N_TO_STICK_LIMIT
from slipwright.craft.wood import Window
from slipwright.handbook import WOODS, load_handbook
from slipwright.rooting.sticking import chance_of

HANDBOOK = load_handbook()
SCHEMA = json.loads((Path(__file__).parents[2] / "docs/contract/advise.json").read_text())
VALID = jsonschema.Draft202012Validator(SCHEMA, format_checker=jsonschema.FormatChecker())
AUTUMN = date(2026, 10, 20)
SPRING = date(2026, 5, 10)
SHOOTS = (None, "vegetative", "budded", "flowering", "spent")
COVERS = (None, "tent", "mist", "open")


def rose(on=AUTUMN, **options):
    return advise(HANDBOOK, "rose", **{"on": on, "latitude_deg": 41.0, "want": 5, **options})


def text_keeps_its_width(answer):
    return all(len(line) <= 78 for line in answer.as_text().splitlines())


# --- every question has an answer -------------------------------------------------------------------


@settings(max_examples=80, deadline=None)
@given(
    page=st.sampled_from(HANDBOOK.pages),
    day=st.integers(0, 365),
    latitude=st.sampled_from((None, 41.0, -34.0, 5.0, 64.0)),
    want=st.integers(1, 300),
    assurance=st.sampled_from((0.5, 0.8, 0.95)),
    shoot=st.sampled_from(SHOOTS),
    have=st.sampled_from(COVERS),
    flowers=st.sampled_from((None, "once", "repeat")),
    wood=st.sampled_from((None, *WOODS)),
)
def test_every_plant_day_hemisphere_shoot_and_cover_is_answered(
    page, day, latitude, want, assurance, shoot, have, flowers, wood
):
    on = date(2026, 1, 1) + timedelta(days=day)
    answer = advise(
        HANDBOOK,
        page.taxa[0],
        on=on,
        latitude_deg=latitude,
        want=want,
        assurance=assurance,
        shoot=shoot,
        have=have,
        flowers=flowers,
        wood=wood,
        price_each=9.5,
    )
    data = answer.as_json()
    VALID.validate(json.loads(json.dumps(data)))
    assert text_keeps_its_width(answer)
    if shoot in ("budded", "flowering"):
        assert data["verdict"] == "no"
    plan = answer.plan
    if plan is None:
        assert data["verdict"] == "no"
        return
    for points in (data["best"]["p_rooted"], data["best"]["weeks_to_root"]):
        # the worst batch in ten of bare, difficult wood roots none in two thousand
        assert 0 <= points["p10"] <= points["p50"] <= points["p90"]
    assert data["best"]["weeks_to_root"]["p10"] > 0
    assert data["best"]["p_rooted"]["p90"] < 1
    if plan.n_to_stick is None:
        # of bare leafy wood one batch in twenty may root none at all
        assert have == "open"
        assert chance_of(want, N_TO_STICK_LIMIT, plan.odds.rooted) < assurance
    else:
        assert want <= plan.n_to_stick
        assert plan.p_reached >= assurance
        assert plan.n_containers * plan.n_per_container >= plan.n_to_stick
    assert on <= plan.start_on < plan.look_on[0]
    gaps = [(b - a).days for a, b in zip((plan.start_on, *plan.look_on), plan.look_on, strict=False)]
    assert all(5 <= gap <= 10 for gap in gaps)
    pot = [day for day in (plan.pot_up_on.p10, plan.pot_up_on.p50, plan.pot_up_on.p90) if day]
    assert [plan.start_on, *pot] == sorted([plan.start_on, *pot])
    assert plan.start_on < plan.ready_on.p10 <= plan.ready_on.p50 <= plan.ready_on.p90
    assert plan.leafless == (plan.leaves == "none")


@pytest.mark.parametrize("page", HANDBOOK.pages, ids=lambda page: page.key)
def test_every_wood_of_every_page_can_be_planned(page):
    for wood in page.woods:
        for have in COVERS:
            window = Window(wood, AUTUMN, AUTUMN + timedelta(days=30), None, None, 0.6)
            asked = Asked(page.taxa[0], AUTUMN, n_wanted=10, have=have)
            plan = plan_of_opening(
                page, Opening(wood, window, AUTUMN), asked, False, np.random.default_rng(3)
            )
            assert plan.n_to_stick >= 10
            assert 12 <= len(plan.steps) <= 15


# --- the verdict --------------------------------------------------------------------------------------


def test_yes_says_the_wood_and_how_many_to_stick_in_its_first_line():
    answer = rose(shoot="spent")
    first = answer.as_text().splitlines()[0]
    assert first.startswith("Yes: take semi-hardwood of Rosa")
    assert f"stick {answer.plan.n_to_stick} in" in first


def test_soon_names_the_day_and_plans_from_it():
    answer = rose(SPRING)
    assert answer.verdict == "soon"
    assert answer.plan.start_on == date(2026, 6, 10)
    assert "from about 10 Jun, not today" in answer.as_text().splitlines()[0].replace("\n", " ")
    assert answer.plan.look_on[0] == date(2026, 6, 17)


def test_soon_ends_at_sixty_days():
    assert rose(date(2026, 4, 11)).verdict == "soon"
    assert rose(date(2026, 4, 10)).verdict == "no"


@pytest.mark.parametrize("shoot", ["budded", "flowering"])
def test_a_shoot_in_bud_or_flower_is_refused_with_the_reason_and_a_way_on(shoot):
    answer = rose(shoot=shoot)
    assert answer.verdict == "no"
    assert "refused" in answer.why
    assert "Choose one without a flower" in answer.why
    assert answer.as_text().startswith("Not this shoot")
    assert answer.plan is not None


def test_a_spent_shoot_is_open_at_a_cost_about_the_handbooks():
    spent, clear = rose(shoot="spent"), rose(shoot="vegetative")
    assert spent.verdict == "yes"
    odds = [p / (1 - p) for p in (spent.plan.odds.p_rooted[1], clear.plan.odds.p_rooted[1])]
    assert odds[0] / odds[1] == pytest.approx(0.85, abs=0.1)
    assert any("Of spent shoots a little fewer root" in note for note in spent.notes)
    assert not any("Of spent shoots" in note for note in clear.notes)


def test_an_unknown_shoot_is_told_what_to_look_at():
    assert any("Look at its tip" in note for note in rose().notes)


def test_protected_without_licence_is_not_allowed_and_gets_no_numbers():
    answer = rose(rights="protected")
    data = answer.as_json()
    assert data["verdict"] == "not_allowed"
    assert data["n_to_stick"] is None
    assert data["best"] == {}
    assert data["steps"] == []
    assert "licence" in data["why"]


def test_protected_with_a_licence_that_holds_goes_ahead():
    allowed = rose(rights="protected", licence="L-1", licence_until=date(2027, 1, 1))
    assert allowed.verdict == "yes"
    assert rose(rights="protected", licence="L-1", licence_until=date(2026, 1, 1)).verdict == "not_allowed"


def test_a_name_not_known_offers_names_near_it():
    answer = advise(HANDBOOK, "rosse", on=AUTUMN)
    assert answer.verdict == "unknown"
    assert "rose" in answer.why
    VALID.validate(answer.as_json())


def test_the_law_is_heard_before_ignorance():
    assert advise(HANDBOOK, "Nothofagus", on=AUTUMN, rights="protected").verdict == "not_allowed"


@pytest.mark.parametrize("words", ["Salvia", "hydr", "rock rose", "azalea"])
def test_a_name_that_is_not_one_plants_own_gets_no_numbers_and_says_so_first(words):
    answer = advise(HANDBOOK, words, on=AUTUMN)
    data = answer.as_json()
    assert (data["verdict"], data["best"], data["n_to_stick"]) == ("unknown", {}, None)
    assert answer.as_text().startswith("Not known: no one plant of the handbook is called " + words)
    assert "Names near it" in data["why"]


def test_the_poorer_wood_is_called_so_in_the_first_line():
    answer = advise(HANDBOOK, "lavender", on=date(2015, 12, 10), latitude_deg=41.0, want=5)
    first = " ".join(answer.as_text().split("\n\n")[0].split())
    assert answer.verdict == "yes"
    assert "about 4 in 10 root, but about 7 in 10 of softwood from 20 Apr 2016." in first
    assert "Better, if it can wait: softwood" in answer.why
    assert rose().better is None


def test_a_shoot_without_a_bud_near_bloom_stays_open_at_a_stated_cost():
    def lavender(on, **options):
        return advise(HANDBOOK, "lavender", on=on, latitude_deg=41.0, shoot="vegetative", **options)

    near, clear = lavender(date(2016, 5, 22)), lavender(date(2016, 5, 10))
    assert near.verdict == clear.verdict == "yes"
    odds = [p / (1 - p) for p in (near.plan.odds.p_rooted[1], clear.plan.odds.p_rooted[1])]
    assert odds[0] / odds[1] == pytest.approx(0.7, abs=0.1)
    assert "it costs" in near.why
    assert "it costs" not in clear.why


@pytest.mark.parametrize(
    ("plant", "on"), [("sage", date(2015, 6, 10)), ("rose", date(2016, 5, 20)), ("sage", date(2015, 5, 1))]
)
def test_near_bloom_out_of_its_days_a_shoot_without_a_bud_is_not_refused(plant, on):
    why = advise(HANDBOOK, plant, on=on, latitude_deg=41.0, shoot="vegetative").why
    assert "not refused all the same" in why
    assert "fewer than clear of bloom" in why
    assert "not refused" not in advise(HANDBOOK, plant, on=on, latitude_deg=41.0, shoot="spent").why


def test_an_edge_is_said_by_the_tenth_shown_and_tested_by_the_wood():
    said = [rose(date(2026, 11, 1) + timedelta(days=n), wood="hardwood").why for n in range(60)]
    shaky = [why for why in said if "right now (5 in 10)" in why or "right now (8 in 10)" in why]
    sure = [why for why in said if "right now (9 in 10)" in why]
    assert shaky
    assert sure
    assert all("its leaves have fallen" in why for why in shaky)
    assert not any("edge" in why for why in sure)
    evergreen = advise(HANDBOOK, "rosemary", on=date(2026, 11, 2), wood="hardwood").why
    assert "its tip has stopped growing" in evergreen


def test_a_refusal_says_what_holds_on_any_day_and_keeps_the_handbooks_reason_for_a_note():
    answer = rose(date(2026, 7, 1), shoot="flowering")
    assert "not to roots" in answer.why
    assert "would never open" not in answer.why
    assert any(answer.bloom.reason in note for note in answer.notes)


def test_great_assurance_is_called_a_guess():
    assert any("is a guess" in note for note in rose(assurance=0.9999999).notes)
    assert not any("is a guess" in note for note in rose(assurance=0.99).notes)


@pytest.mark.parametrize(
    ("want", "words"),
    [(1, "as soon as one has rooted"), (3, "when 3 have rooted"), (60, "a third of those alive")],
)
def test_potting_is_told_by_the_rule_of_the_round(want, words):
    text = " ".join(rose(date(2026, 9, 1), want=want, have="tent").as_text().split())
    assert words in text


def test_what_may_never_come_is_no_order():
    text = " ".join(advise(HANDBOOK, "rosemary", on=date(2015, 12, 10), latitude_deg=41.0).as_text().split())
    assert "at the earliest, 9 times in 10; not at all about 2 times in 10. Leave" in text


def test_an_older_name_is_answered_under_the_present_one():
    answer = advise(HANDBOOK, "Rosmarinus officinalis", on=date(2026, 8, 20))
    assert answer.taxon == "Salvia rosmarinus"
    assert any("is now called" in note for note in answer.notes)


# --- what was assumed ---------------------------------------------------------------------------------


def test_without_a_latitude_the_north_is_assumed_and_said():
    answer = rose(latitude_deg=None)
    assert any("northern calendar is assumed" in note for note in answer.notes)
    assert answer.verdict == rose().verdict


def test_south_of_the_equator_the_year_is_turned():
    assert rose(date(2026, 4, 20), latitude_deg=-34.0).plan.leaf.wood == "semi-hardwood"
    assert rose(date(2026, 10, 20), latitude_deg=-34.0).plan.leaf.wood != "semi-hardwood"


@pytest.mark.parametrize(("latitude", "said"), [(10.0, "tropics"), (-20.0, "tropics"), (64.0, "60 degrees")])
def test_where_the_months_are_weak_the_answer_says_so(latitude, said):
    assert any(said in note for note in rose(latitude_deg=latitude).notes)
    assert not any(said in note for note in rose(latitude_deg=41.0).notes)


# --- cover and leaves -----------------------------------------------------------------------------------


def test_leafy_cuttings_without_cover_lose_more_and_the_answer_says_so():
    on = date(2026, 8, 25)
    bare, tent = rose(on, have="open"), rose(on, have="tent")
    assert bare.plan.odds.p_rooted[1] < tent.plan.odds.p_rooted[1] - 0.2
    assert bare.plan.n_to_stick > tent.plan.n_to_stick
    assert any("without a cover" in note for note in bare.notes)


def test_leafless_wood_needs_no_cover():
    winter = date(2026, 12, 20)
    bare, tent = rose(winter, have="open"), rose(winter, have="tent")
    assert bare.plan.leaf.wood == "hardwood"
    assert bare.plan.odds == tent.plan.odds
    assert bare.plan.leaves == "none"


def test_from_early_autumn_a_rose_without_cover_goes_leafless_and_roots_later():
    bare, august = rose(have="open"), rose(date(2026, 8, 25), have="open")
    assert bare.plan.leaves == "none"
    leafy = rose(have="tent").plan.odds
    assert bare.plan.odds.p_rooted[1] == pytest.approx(leafy.p_rooted[1], abs=0.1)
    assert bare.plan.odds.weeks_to_root[1] > leafy.weeks_to_root[1] + 0.5
    assert august.plan.odds.p_rooted[1] < bare.plan.odds.p_rooted[1] - 0.2
    assert any("without leaves" in note and "later" in note for note in bare.notes)
    assert not any("without a cover" in note for note in bare.notes)


# --- numbers --------------------------------------------------------------------------------------------


def test_number_to_stick_rises_with_want_and_assurance():
    few, more = rose(want=5), rose(want=10)
    assert few.plan.n_to_stick < more.plan.n_to_stick
    assert rose(assurance=0.95).plan.n_to_stick > few.plan.n_to_stick


def test_what_no_number_reaches_is_said():
    answer = rose(want=99_999_999)
    assert answer.as_json()["n_to_stick"] is None
    assert any("No number to stick" in note for note in answer.notes)
    first = " ".join(answer.as_text().split("\n\n")[0].split())
    assert "No number to stick gives 99 999 999 rooted as surely as asked." in first
    steps = {step["key"]: step["text"] for step in answer.as_json()["steps"]}
    assert steps["wash"].startswith("Pots with holes")
    assert steps["space"].startswith("Up to 9 to a pot")
    assert text_keeps_its_width(answer)


def test_saving_is_worked_out_from_the_price_given():
    saving = rose(price_each=25.0, cost_per_pot=3.0, currency="EUR").as_json()["saving"]
    pots = rose().plan.n_containers
    assert saving["buying"] == 125.0
    assert saving["materials"] == 3.0 * pots
    assert saving["saved"] == 125.0 - 3.0 * pots
    assert "invented" not in saving["text"]


def test_an_invented_cost_is_called_invented():
    assert "invented" in rose(price_each=25.0).plan.saving.text


def test_without_a_price_nothing_is_said_of_saving():
    assert rose().as_json()["saving"] == {}


def test_looks_follow_the_gardens_own_round():
    gaps = rose(round_days=10).plan.look_on
    assert (gaps[1] - gaps[0]).days == 10


def test_a_number_already_stuck_is_planned_from_its_day_whatever_the_calendar():
    answer = rose(SPRING, wood="hardwood", n_stuck=40, n_per_container=8, pot_l=2.0)
    assert answer.plan.start_on == SPRING
    assert answer.plan.n_to_stick == 40
    assert answer.plan.n_containers == 5
    assert 0 < answer.plan.p_reached <= 1


def test_same_question_same_answer():
    assert rose().as_json() == rose().as_json()


def test_the_answer_says_what_it_rests_on_and_whose_word_each_part_is():
    data = rose(SPRING).as_json()
    assert data["rests_on"]["prior_share"] == 1.0
    assert "handbook alone" in data["rests_on"]["text"]
    assert any(
        source.startswith("bloom") and "common practice, no source" in source for source in data["sources"]
    )


def test_cautions_stand_at_the_point_of_use():
    steps = {step["key"]: step for step in rose().as_json()["steps"]}
    assert {caution["key"] for caution in steps["cut"]["cautions"]} == {"prickles", "hazard", "blade"}
    assert [caution["key"] for caution in steps["medium"]["cautions"]] == ["dust"]
    assert "hormone" in {caution["key"] for caution in steps["hormone"]["cautions"]}
    assert [caution["key"] for caution in steps["cover"]["cautions"]] == ["heat"]


@pytest.mark.parametrize(
    ("argument", "value"),
    [
        ("want", 0),
        ("assurance", 1.0),
        ("shoot", "blooming"),
        ("have", "glass"),
        ("flowers", "never"),
        ("wood", "bamboo"),
        ("latitude_deg", 91.0),
        ("round_days", 3),
        ("price_each", -1.0),
        ("n_stuck", 0),
        ("pot_l", 0.0),
    ],
)
def test_a_bad_argument_is_named_with_its_value(argument, value):
    with pytest.raises(BadArgument) as caught:
        rose(**{argument: value})
    assert caught.value.argument == argument
    assert caught.value.value == value
