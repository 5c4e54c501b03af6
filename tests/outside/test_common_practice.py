"""What growers do, held against the answers. None of it has a source; each test says so.

The one figure that has one stands in `test_softwood_before_bloom_is_not_recommended`: it is row R001 of
the published values gathered for this project.
"""

import itertools
from datetime import date

import pytest

from slipwright.advice.advise import advise
from slipwright.advice.sheet import cane_drawing
from slipwright.craft.cane import cuttings_of_cane
from slipwright.craft.container import cuttings_per_container, round_pot_width_mm
from slipwright.handbook import load_handbook

HANDBOOK = load_handbook()
ROSE = HANDBOOK.page_of("Rosa")
ON = date(2026, 10, 20)


def overlaps(low, high, other_low, other_high):
    return low <= other_high and other_low <= high


@pytest.fixture(scope="module")
def answer():
    """A repeat-flowering rose with a spent shoot about 20 October at 41 degrees north, a bag to hand."""
    return advise(
        HANDBOOK,
        "rose",
        on=ON,
        latitude_deg=41.0,
        want=5,
        shoot="spent",
        have="tent",
        flowers="repeat",
    ).as_json()


def test_a_spent_rose_shoot_in_october_gets_yes_with_semi_hardwood(answer):
    """common practice, no source"""
    assert answer["verdict"] == "yes"
    assert answer["best"]["wood"] == "semi-hardwood"


@pytest.mark.parametrize(
    "day", [date(2026, 10, 10), date(2026, 10, 31), date(2025, 10, 20), date(2028, 10, 20)]
)
def test_the_same_holds_about_that_day_and_in_other_years(day):
    """common practice, no source"""
    data = advise(HANDBOOK, "climbing rose", on=day, latitude_deg=41.0, want=5, shoot="spent").as_json()
    assert (data["verdict"], data["best"]["wood"]) == ("yes", "semi-hardwood")


def test_its_odds_overlap_sixty_to_eighty_per_cent(answer):
    """common practice, no source"""
    p_rooted = answer["best"]["p_rooted"]
    assert overlaps(p_rooted["p10"], p_rooted["p90"], 0.6, 0.8)
    assert 0.55 <= p_rooted["p50"] <= 0.85


def test_it_roots_in_about_four_to_eight_weeks(answer):
    """common practice, no source"""
    weeks = answer["best"]["weeks_to_root"]
    assert overlaps(weeks["p10"], weeks["p90"], 4, 8)
    assert 4 <= weeks["p50"] <= 8


def test_pieces_are_75_to_125_mm_with_two_nodes_or_more(answer):
    """common practice, no source"""
    best = answer["best"]
    assert 75 <= best["length_mm"]["low"] <= best["length_mm"]["high"] <= 125
    assert best["n_nodes"]["low"] >= 2
    leaf = ROSE.woods["semi-hardwood"]
    for piece in cane_drawing(ROSE, leaf, False).cuttings:
        assert 75 <= piece.base_mm - piece.top_mm <= 125


def test_leaves_are_optional_from_early_autumn(answer):
    """common practice, no source"""
    assert answer["best"]["leaves"] == "optional"
    summer = advise(HANDBOOK, "rose", on=date(2026, 8, 20), latitude_deg=41.0, shoot="spent").as_json()
    assert summer["best"]["leaves"] in ("kept", "reduced")
    bare = advise(HANDBOOK, "rose", on=ON, latitude_deg=41.0, shoot="spent", have="open").as_json()
    assert bare["best"]["leaves"] == "none"
    assert bare["verdict"] == "yes"


def test_looks_fall_every_five_to_ten_days(answer):
    """common practice, no source"""
    days = [ON, *(date.fromisoformat(day) for day in answer["look_on"])]
    assert len(days) > 4
    assert all(5 <= (b - a).days <= 10 for a, b in itertools.pairwise(days))


def test_a_rose_is_finished_after_twelve_to_fifteen_months(answer):
    """common practice, no source"""
    ready = {key: date.fromisoformat(answer["ready_on"][key]) for key in ("p10", "p50", "p90")}
    assert overlaps(ready["p10"], ready["p90"], date(2027, 10, 20), date(2028, 1, 20))
    assert date(2027, 10, 1) <= ready["p50"] <= date(2028, 2, 1)


@pytest.mark.parametrize("day", [date(2026, 4, 25), date(2026, 5, 10), date(2026, 5, 20)])
def test_softwood_before_bloom_is_not_recommended(day):
    """common practice, no source

    Beside it stands R001: rose softwood of the best part of the shoot, Rosa damascena Kazanlik, middle
    or top of shoots of bushes pruned in February and March, rooted at 66 to 82 % ("Effect of IBA on
    rooting of Kazanlyk rose softwood cuttings", Fiziologiya na Rasteniyata 11(3):38-45, authors not
    shown, as indexed at eurekamag.com/research/001/342/001342703.php).
    """
    answer = advise(HANDBOOK, "rose", on=day, latitude_deg=41.0, want=5, shoot="vegetative")
    data = answer.as_json()
    assert data["verdict"] != "yes"
    assert "before bloom" in data["why"]
    assert "not recommended" in data["why"]
    published = [row for row in data["sources"] if "66 to 82 in 100" in row]
    assert published
    assert "Kazanlyk" in published[0]
    assert "Fiziologiya na Rasteniyata 11(3):38-45" in published[0]
    assert "66 to 82 in 100" in " ".join(answer.as_text().split())
    assert "66 to 82 in 100" in data["rests_on"]["text"]


def test_dormant_hardwood_takes_ten_to_sixteen_weeks():
    """common practice, no source"""
    data = advise(HANDBOOK, "rose", on=date(2026, 12, 15), latitude_deg=41.0, shoot="vegetative").as_json()
    weeks = data["best"]["weeks_to_root"]
    assert data["best"]["wood"] == "hardwood"
    assert overlaps(weeks["p10"], weeks["p90"], 10, 16)
    assert 10 <= weeks["p50"] <= 16


def test_a_very_woody_base_takes_up_to_about_twenty_six_weeks():
    """common practice, no source"""
    leaf = ROSE.woods["hardwood"]
    woody = [row for row in leaf.weeks_to_root if "woody base" in row.treatment]
    assert woody
    assert 24 <= woody[0].p90 <= 28
    assert leaf.patience_days.value >= 7 * woody[0].p90 - 1


def test_a_metre_of_cane_yields_six_to_eight_pieces():
    """common practice, no source"""
    assert 6 <= len(cane_drawing(ROSE, ROSE.woods["semi-hardwood"], False).cuttings) <= 8
    for spacing in (34, 38, 42):
        nodes = [spacing * (i + 1) for i in range(int(1000 / spacing))]
        pieces = cuttings_of_cane(nodes, cane_mm=1000, tip_mm=100, base_mm=100)
        assert 6 <= len(pieces) <= 8, spacing


def test_six_to_nine_cuttings_go_in_a_trade_gallon(answer):
    """common practice, no source"""
    assert (ROSE.n_per_pot.low, ROSE.n_per_pot.high) == (6, 9)
    assert ROSE.pot_volume_l.value == pytest.approx(2.69, abs=0.01)
    assert answer["n_containers"] == -(-answer["n_to_stick"] // 9)
    assert 6 <= cuttings_per_container(round_pot_width_mm(2690)) <= 9


def test_perlite_and_vermiculite_half_and_half(answer):
    """common practice, no source"""
    assert ROSE.medium == {"perlite": 1, "vermiculite": 1}
    medium = next(step for step in answer["steps"] if step["key"] == "medium")
    assert "perlite and vermiculite, half and half" in medium["text"].lower()
