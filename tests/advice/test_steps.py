from dataclasses import replace
from datetime import date

import pytest

from slipwright.advice.steps import Work, dose_words, steps_of_work
from slipwright.craft.cautions import Caution
from slipwright.handbook import Dose, Origin, Range, Statement, load_handbook

HANDBOOK = load_handbook()
ROSE = HANDBOOK.page_of("Rosa")
SEMI = ROSE.woods["semi-hardwood"]
MARK = Origin(mark="from memory")
TALC = Dose("talc", "iba", 3000, 3000, "mg/kg", None, MARK)


def work(**changes):
    usual = Work(ROSE, SEMI, TALC, "tent", False, "reduced", 9, 1, 2.69, 7)
    return replace(usual, **changes)


def by_key(**changes):
    return {step.key: step for step in steps_of_work(work(**changes))}


def test_the_work_runs_from_washing_pots_to_the_winter():
    keys = [step.key for step in steps_of_work(work())]
    assert keys == [
        "wash",
        "medium",
        "choose",
        "cut",
        "divide",
        "strip",
        "hormone",
        "hole",
        "space",
        "water",
        "label",
        "cover",
        "shade",
        "look",
        "winter",
    ]


def test_a_tip_cutting_keeps_its_tip():
    tip = by_key(leaf=replace(SEMI, cutting="tip"))["divide"]
    assert "tip stays on" in tip.text
    assert "Leave out the soft tip" not in tip.text
    assert "Leave out the soft tip" in by_key()["divide"].text


@pytest.mark.parametrize(
    ("cutting", "said"), [("heel", "sliver"), ("mallet", "slice"), ("single-node", "One bud with its leaf")]
)
def test_other_forms_are_cut_in_their_own_way(cutting, said):
    assert said in by_key(leaf=replace(SEMI, cutting=cutting))["divide"].text


def test_the_stub_above_the_bud_is_that_of_the_genus():
    assert "3 to 8 mm above the top bud" in by_key()["divide"].text


def test_bare_hardwood_needs_no_bag_and_no_tent():
    bare = by_key(leaf=ROSE.woods["hardwood"], leafless=True, leaves="none", cover="open")
    assert "no bag" in bare["cut"].text
    assert bare["cover"].title == "No cover needed"
    assert bare["strip"].title == "Take all leaves off"
    assert "frost" in bare["shade"].text


def test_leafy_cuttings_without_cover_are_warned():
    assert "dry out" in by_key(cover="open")["cover"].text


def test_a_plant_that_rots_in_a_tied_bag_is_not_tied_up():
    for kind in ("loose-tent", "frame"):
        text = by_key(leaf=replace(SEMI, cover_kind=kind))["cover"].text
        assert "tie it" not in text
        assert "wet, clear bag" not in text
    # the kind decides, whatever the sentence beside it says
    said = replace(SEMI, cover=(Statement("Never a loose tent.", MARK),))
    assert "tie it" in by_key(leaf=said)["cover"].text


@pytest.mark.parametrize(
    ("on", "south", "tent"),
    [
        (date(2026, 10, 14), False, True),
        (date(2026, 10, 15), False, False),
        (date(2027, 2, 28), False, False),
        (date(2028, 2, 29), False, False),
        (date(2027, 6, 1), False, True),
        (date(2026, 10, 15), True, True),
        (date(2027, 4, 15), True, False),
    ],
)
def test_a_cover_that_changes_with_the_season_changes_on_its_day(on, south, tent):
    lavender = HANDBOOK.page_of("Lavandula")
    changing = by_key(page=lavender, leaf=lavender.woods["semi-hardwood"], start_on=on, south=south)
    assert ("three sticks" in changing["cover"].text.lower()) is tent


def test_mist_is_left_off_where_a_frame_is_due():
    assert "Leave the mist off" in by_key(leaf=replace(SEMI, cover_kind="frame"), cover="mist")["cover"].text
    assert "filmed" in by_key(cover="mist")["cover"].text


def test_leafy_wood_of_winter_is_cut_and_kept_out_of_frost():
    winter = by_key(start_on=date(2026, 12, 1))
    assert winter["cut"].title == "Cut on a day without frost"
    assert "frost" in winter["shade"].text
    assert "cool of the morning" in by_key(start_on=date(2026, 7, 1))["cut"].text
    assert by_key(start_on=date(2026, 7, 1), south=True)["cut"].title == "Cut on a day without frost"


@pytest.mark.parametrize(
    ("low", "high", "unit", "said"),
    [
        (1, 1, "nodes", "One node under,"),
        (1, 2, "nodes", "1 to 2 nodes under,"),
        (0.33, 0.5, "share", "A third to half of the length under, one node at least,"),
        (0.4, 0.4, "share", "40\u00a0% of the length under,"),
    ],
)
def test_how_deep_is_the_handbook_s(low, high, unit, said):
    assert said in by_key(leaf=replace(SEMI, buried=Range(low, high, unit, MARK)))["hole"].text


def test_a_single_node_sits_with_its_bud_at_the_surface():
    assert "bud level with the surface" in by_key(leaf=replace(SEMI, cutting="single-node"))["hole"].text


@pytest.mark.parametrize(
    ("form", "seconds", "said"),
    [
        ("talc", None, "tap off"),
        ("gel", None, "in the gel"),
        ("quick-dip", Range(3, 5, "s", MARK), "for 3 to 5 s"),
        ("soak", Range(1740, 1740, "s", MARK), "for 29 minutes"),
    ],
)
def test_hormone_is_used_as_its_form_asks_and_never_returned(form, seconds, said):
    unit = "mg/kg" if form == "talc" else "mg/L"
    text = by_key(dose=Dose(form, "iba", 1000, 2000, unit, seconds, MARK))["hormone"].text
    assert said in text
    assert "never returned" in text
    assert "label" in text


def test_no_hormone_is_said():
    none = Dose("none", "none", 0, 0, "", None, MARK)
    assert by_key(dose=none)["hormone"].title == "No hormone needed"
    assert dose_words(none) == "no hormone"


def test_cuttings_are_shared_out_evenly_over_the_pots():
    assert by_key(n_to_stick=11, n_containers=2)["space"].text.startswith("5 or 6 to a pot")
    assert by_key(n_to_stick=12, n_containers=2)["space"].text.startswith("6 to a pot")
    assert by_key(n_to_stick=9)["space"].text.startswith("All 9 in the pot")
    assert by_key(n_to_stick=1)["space"].text.startswith("One, in the middle")


def test_unequal_parts_are_counted_out():
    page = replace(ROSE, medium={"perlite": 2.0, "peat-free compost": 1.0})
    assert "2 of perlite and 1 of peat-free compost" in by_key(page=page)["medium"].text.lower()


def test_a_caution_goes_where_the_hand_is_and_none_is_dropped():
    cautions = [
        Caution(str(i), "mind", where) for i, where in enumerate(("dipping", "mixing", "moving", "warming"))
    ]
    placed = [c for step in steps_of_work(work(), cautions) for c in step.cautions]
    assert sorted(c.key for c in placed) == ["0", "1", "2", "3"]
