"""Where a batch stands, and how it is thrown forward."""

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.rooting.counts import BatchCounts, LookCounts
from slipwright.rooting.learned import ClockDraws
from slipwright.rooting.standing import Standing, expected_rooted, filled, standing_of, thrown_forward

STUCK = date(2026, 8, 1)


def still(n=4000, rooted=0.05, lost=0.01):
    """Clocks that stand still: the same hazards a day in every draw."""
    return ClockDraws(np.log([[rooted] * n, [lost] * n]), np.zeros((2, n)), np.zeros((2, n)))


def seen(day, **counts):
    return LookCounts(STUCK + timedelta(days=day), **counts)


def test_a_third_count_is_worked_out_of_two():
    looks = (seen(7, n_rooted=2, n_waiting=7), seen(14, n_lost=1, n_waiting=4, n_removed=1))
    first, second = filled(BatchCounts(STUCK, 10, looks)).looks
    assert (first.n_rooted, first.n_lost) == (2, 1)
    assert (second.n_rooted, second.n_lost) == (1, 1)


def test_what_was_not_counted_stays_open_from_the_day_it_was():
    looks = (seen(7, n_rooted=2, n_lost=1), seen(21, n_rooted=3), seen(28, n_waiting=2))
    assert standing_of(BatchCounts(STUCK, 10, looks)) == Standing(5, 1, 4, 21.0, 7.0, (28.0, 2))


def test_numbers_agree_with_the_closed_form_of_constant_hazards():
    """By hand: of 10 open on day 20, 5/6 (1 - exp(-0.06 * 14)) root within 14 days and 1/6 of it are lost."""
    rooted, lost = thrown_forward(
        still(), Standing(3, 1, 10, 20, 20), np.array([20, 34]), np.random.default_rng(1)
    )
    gone = 1 - np.exp(-0.06 * 14)
    assert (rooted[0] == 3).all()
    assert rooted[1].mean() == pytest.approx(3 + 10 * gone * 5 / 6, abs=0.1)
    assert lost[1].mean() == pytest.approx(1 + 10 * gone / 6, abs=0.05)
    assert rooted[1].var() == pytest.approx(10 * gone * 5 / 6 * (1 - gone * 5 / 6), rel=0.1)
    assert expected_rooted(still(), Standing(3, 1, 10, 20, 20), np.array([34]))[0] == pytest.approx(
        10 * gone * 5 / 6
    )


def test_losses_not_counted_since_an_earlier_day_are_made_up_for():
    """Rooted were counted on day 20, the lost never: of the open some are lost already."""
    _, lost = thrown_forward(still(), Standing(3, 0, 10, 20, 0), np.array([20]), np.random.default_rng(1))
    gone_20 = (1 - np.exp(-0.06 * 20)) / 6
    left = 1 - 5 * gone_20
    assert lost[0].mean() == pytest.approx(10 * gone_20 / left, abs=0.1)


def test_those_gone_when_only_the_waiting_were_counted_are_parted_by_their_chances():
    rooted, lost = thrown_forward(
        still(), Standing(0, 0, 10, waited=(20.0, 4)), np.array([20]), np.random.default_rng(1)
    )
    assert ((rooted + lost)[0] == 6).all()
    assert rooted[0].mean() == pytest.approx(5, abs=0.1)


@settings(max_examples=60, deadline=None)
@given(
    st.integers(0, 60),
    st.integers(0, 5),
    st.integers(0, 5),
    st.integers(0, 100),
    st.integers(1, 150),
    st.integers(1, 9),
    st.integers(0, 2**32),
)
def test_none_falls_and_none_passes_what_lives(n_open, n_rooted, n_lost, age, days, step, seed):
    rooted, lost = thrown_forward(
        still(50),
        Standing(n_rooted, n_lost, n_open, age, age),
        np.arange(age, age + days, step),
        np.random.default_rng(seed),
    )
    for numbers, counted in ((rooted, n_rooted), (lost, n_lost)):
        assert (np.diff(numbers, axis=0) >= 0).all()
        assert (numbers[0] >= counted).all()
    assert (rooted + lost <= n_open + n_rooted + n_lost).all()
