from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from slipwright.advice.odds import odds_of
from slipwright.handbook import load_handbook
from slipwright.rooting.learned import before_records

HANDBOOK = load_handbook()
LEAVES = [(page, leaf) for page in HANDBOOK.pages for leaf in page.woods.values()]
EVERY = pytest.mark.parametrize(("page", "leaf"), LEAVES, ids=[f"{p.key}-{w.wood}" for p, w in LEAVES])


@EVERY
def test_the_middle_is_the_handbooks_and_its_range_lies_within(page, leaf):
    odds = odds_of(page, leaf, shoot=None, have=None, leafless=leaf.leaves == "none")
    rooted, weeks = leaf.rooted_percent[0], leaf.weeks_to_root[0]
    assert odds.p_rooted[1] == pytest.approx(rooted.p50 / 100, abs=0.04)
    assert odds.weeks_to_root[1] == pytest.approx(weeks.p50, rel=0.15)
    assert odds.remarks == ()


@EVERY
def test_a_cost_and_bare_air_only_ever_lower_the_chance(page, leaf):
    usual = odds_of(page, leaf, shoot=None, have=None, leafless=False).p_rooted
    for shoot in (None, "spent"):
        for have in ("open", None):
            points = odds_of(page, leaf, shoot=shoot, have=have, leafless=False).p_rooted
            assert points[0] <= points[1] <= points[2]
            assert all(ours <= top + 0.01 for ours, top in zip(points, usual, strict=True))


@EVERY
def test_a_cover_that_is_not_the_usual_one_gives_no_promise(page, leaf):
    """Mist instead of a tent moves the chance a little; a tent over wood that wants none not at all."""

    def chance(have):
        return odds_of(page, leaf, shoot=None, have=have, leafless=False).p_rooted[1]

    assert chance("tent") == chance(None)
    assert chance("mist") == pytest.approx(chance(None), abs=0.15)


def test_what_was_changed_is_said_with_what_the_model_makes_of_it():
    rose = HANDBOOK.page_of("Rosa")
    leaf = rose.woods["softwood"]
    spent = odds_of(rose, leaf, shoot="spent", have=None, leafless=False)
    assert "of spent shoots a little fewer root" in spent.remarks[0]
    near = odds_of(rose, leaf, shoot="vegetative", have="open", leafless=False, near_bloom=True)
    assert "just before bloom" in near.remarks[0]
    assert "far fewer" in near.remarks[1]
    assert 0.4 < near.near_bloom < 0.8


def test_leafless_wood_needs_no_cover():
    rose = HANDBOOK.page_of("Rosa")
    leaf = rose.woods["semi-hardwood"]
    bare = [odds_of(rose, leaf, shoot=None, have=have, leafless=True) for have in ("open", "tent")]
    assert bare[0] == bare[1]
    assert "without leaves" in bare[0].remarks[0]


def test_what_was_learned_of_a_plant_moves_its_chance_and_no_others():
    page = HANDBOOK.page_of("Lavandula angustifolia")
    leaf = page.woods["softwood"]
    prior = before_records()
    node = ("taxon", "Lavandula", "Lavandula angustifolia 'Grey Heron'")
    worse = replace(prior, nodes={node: np.full((2, prior.n_draws), [[-1.5], [0.5]])})

    def chance(taxon, learned):
        asked = {"shoot": None, "have": None, "leafless": False, "on": date(2026, 5, 1)}
        return odds_of(page, leaf, taxon=taxon, learned=learned, **asked).p_rooted[1]

    assert chance(node[2], worse) < chance(node[2], prior) - 0.15
    other = "Lavandula angustifolia 'Low Lamp'"
    assert chance(other, worse) == chance(other, prior)
