from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slipwright.rooting.dates import give_up_on, next_look_on, pot_up_at, pot_up_day, six_months_on

RULES = ("at-once", "after-new-growth", "undisturbed-until-spring")
days = st.dates(date(2020, 1, 1), date(2030, 12, 31))
STUCK = date(2026, 10, 20)


@given(days, st.integers(0, 60), st.booleans())
def test_next_look_comes_after_five_to_ten_days(last, round_days, rot):
    assert 5 <= (next_look_on(last, round_days=round_days, rot_seen=rot) - last).days <= 10


def test_rot_brings_the_next_look_forward():
    assert next_look_on(STUCK, rot_seen=True) < next_look_on(STUCK)


def test_an_overdue_look_is_due_today():
    today = STUCK + timedelta(days=30)
    assert next_look_on(STUCK, on=today) == today


def test_patience_runs_out_on_its_day():
    assert give_up_on(STUCK, 182.4) == date(2027, 4, 20)


@given(st.integers(1, 500))
def test_potting_asks_for_three_or_a_third_and_for_one_of_a_few(n_alive):
    enough = pot_up_at(n_alive)
    if n_alive <= 3:
        assert enough == 1
        return
    assert 3 <= enough <= n_alive
    assert n_alive / 3 <= enough < n_alive / 3 + 3


@given(st.tuples(st.integers(1, 12), st.integers(1, 28)))
def test_twice_six_months_is_a_year(month_day):
    assert six_months_on(six_months_on(month_day)) == month_day


@pytest.mark.parametrize(
    ("day", "half_a_year_on"), [((2, 29), (8, 29)), ((8, 31), (2, 28)), ((3, 20), (9, 20))]
)
def test_the_southern_calendar_is_that_of_the_windows(day, half_a_year_on):
    assert six_months_on(day) == half_a_year_on


@given(days, st.sampled_from(RULES), st.booleans())
def test_potting_is_never_before_roots_and_its_edges_are_in_order(rooted_on, rule, south):
    p10, p50, p90 = (pot_up_day(rooted_on, rule, south=south, edge=e) for e in ("p10", "p50", "p90"))
    assert rooted_on <= p10 <= p50 <= p90 <= rooted_on + timedelta(days=400)


@given(days, st.integers(0, 400), st.sampled_from(RULES), st.booleans())
def test_potting_never_falls_as_roots_come_later(rooted_on, later, rule, south):
    after = rooted_on + timedelta(days=later)
    assert pot_up_day(rooted_on, rule, south=south) <= pot_up_day(after, rule, south=south)


@pytest.mark.parametrize(
    ("rooted_on", "rule", "south", "expected"),
    [
        (date(2026, 7, 1), "at-once", False, date(2026, 7, 1)),
        (date(2026, 7, 1), "after-new-growth", False, date(2026, 7, 22)),
        (date(2026, 11, 26), "after-new-growth", False, date(2027, 4, 5)),
        (date(2026, 9, 20), "after-new-growth", False, date(2027, 4, 5)),
        (date(2026, 12, 1), "undisturbed-until-spring", False, date(2027, 4, 5)),
        (date(2027, 3, 1), "undisturbed-until-spring", False, date(2027, 4, 5)),
        (date(2027, 4, 20), "undisturbed-until-spring", False, date(2027, 4, 20)),
        (date(2027, 6, 12), "undisturbed-until-spring", False, date(2027, 6, 12)),
        (date(2027, 6, 30), "undisturbed-until-spring", False, date(2027, 6, 30)),
        (date(2026, 7, 1), "undisturbed-until-spring", False, date(2027, 4, 5)),
        (date(2026, 12, 12), "undisturbed-until-spring", True, date(2026, 12, 12)),
        (date(2026, 12, 31), "undisturbed-until-spring", True, date(2027, 10, 5)),
        (date(2026, 6, 1), "undisturbed-until-spring", True, date(2026, 10, 5)),
        (date(2026, 5, 26), "after-new-growth", True, date(2026, 10, 5)),
    ],
)
def test_potting_by_the_rule_of_the_plant(rooted_on, rule, south, expected):
    assert pot_up_day(rooted_on, rule, south=south) == expected
