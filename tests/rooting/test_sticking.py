import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.craft.errors import BadArgument, OutOfReach
from slipwright.craft.numbers import p_at_least
from slipwright.rooting.sticking import chance_of, number_to_stick

shares = st.lists(st.floats(0.02, 0.98), min_size=1, max_size=30).map(np.array)


@settings(deadline=None, max_examples=60)
@given(shares, st.integers(1, 60), st.floats(0.3, 0.97))
def test_the_number_to_stick_is_the_least_that_reaches_the_assurance(rooted, wanted, assurance):
    found = number_to_stick(wanted, assurance, rooted)
    assert found.p_reached >= assurance
    assert found.p_reached == pytest.approx(chance_of(wanted, found.n_to_stick, rooted))
    assert chance_of(wanted, found.n_to_stick - 1, rooted) < assurance


@settings(deadline=None, max_examples=60)
@given(shares, st.integers(1, 60), st.integers(0, 200))
def test_a_cutting_more_never_lowers_the_chance_and_one_wanted_more_never_raises_it(rooted, wanted, stuck):
    chance = chance_of(wanted, stuck, rooted)
    assert 0 <= chance <= 1
    assert chance_of(wanted, stuck + 1, rooted) >= chance - 1e-9
    assert chance_of(wanted + 1, stuck, rooted) <= chance + 1e-9


def test_one_share_gives_the_binomial():
    """By hand: 1 of 2 at .5 is 3/4; 24 of 43 at .65 as the negative binomial of another program has it."""
    assert chance_of(1, 2, np.array([0.5])) == pytest.approx(0.75)
    assert number_to_stick(24, 0.9, np.array([0.65])).n_to_stick == 43


def test_draws_of_a_beta_give_the_beta_binomial():
    drawn = np.random.default_rng(1).beta(7, 3, 200_00)
    assert chance_of(24, 48, drawn[:1000]) == pytest.approx(p_at_least(24, 48, 0.7, 10), abs=0.02)


def test_many_wanted_are_counted_by_the_normal_curve_without_a_step():
    drawn = np.random.default_rng(2).beta(7, 3, 1000)
    exact = sum(
        math.exp(math.lgamma(601) - math.lgamma(k + 1) - math.lgamma(601 - k)) * 0.7**k * 0.3 ** (600 - k)
        for k in range(401, 601)
    )
    assert chance_of(401, 600, np.array([0.7])) == pytest.approx(exact, abs=0.002)
    assert chance_of(400, 700, drawn) == pytest.approx(chance_of(401, 700, drawn), abs=0.02)


def test_what_no_number_reaches_is_refused():
    with pytest.raises(OutOfReach):
        number_to_stick(5, 0.99, np.array([0.7] * 9 + [0.0]))
    with pytest.raises(OutOfReach):
        number_to_stick(2_000_000, 0.5, np.array([0.7]))
    assert number_to_stick(0, 0.9, np.array([0.0])).n_to_stick == 0


@pytest.mark.parametrize(("wanted", "stuck"), [(-1, 3), (1, -3)])
def test_fewer_than_none_is_refused(wanted, stuck):
    with pytest.raises(BadArgument):
        chance_of(wanted, stuck, np.array([0.7]))


@pytest.mark.parametrize("assurance", [0.0, 1.0])
def test_certainty_cannot_be_stuck_for(assurance):
    with pytest.raises(BadArgument):
        number_to_stick(1, assurance, np.array([0.7]))
