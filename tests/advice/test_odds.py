import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.advice.odds import chance_of, odds_of, stick_count
from slipwright.handbook import load_handbook

HANDBOOK = load_handbook()
LEAVES = [(page, leaf) for page in HANDBOOK.pages for leaf in page.woods.values()]


@pytest.mark.parametrize(("page", "leaf"), LEAVES, ids=[f"{p.key}-{w.wood}" for p, w in LEAVES])
def test_cost_and_bare_air_only_ever_lower_the_chance(page, leaf):
    best = odds_of(page, leaf, shoot=None, have="tent", leafless=False).p_rooted
    for shoot in (None, "spent"):
        for have in ("tent", "mist", "open", None):
            for leafless in (False, True):
                points = odds_of(page, leaf, shoot=shoot, have=have, leafless=leafless).p_rooted
                assert points[0] <= points[1] <= points[2]
                assert all(ours <= top + 1e-12 for ours, top in zip(points, best, strict=True))


@settings(deadline=None, max_examples=50)
@given(
    st.lists(st.floats(0.02, 0.98), min_size=3, max_size=3).map(sorted),
    st.integers(1, 60),
    st.floats(0.3, 0.97),
)
def test_the_number_to_stick_is_the_least_that_reaches_the_assurance(points, wanted, assurance):
    found = stick_count(wanted, assurance, tuple(points))
    assert found.p_reached >= assurance
    assert found.p_reached == pytest.approx(chance_of(wanted, found.n_to_stick, tuple(points)))
    assert chance_of(wanted, found.n_to_stick - 1, tuple(points)) < assurance


def test_three_equal_points_are_spread_a_little_and_answered():
    assert stick_count(5, 0.8, (0.7, 0.7, 0.7)).n_to_stick >= 5
    assert stick_count(5, 0.8, (0.0, 0.0, 0.0)).n_to_stick > 100
