"""Edges of the wood by calendar, heat and hand."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slipwright.craft.errors import BadArgument
from slipwright.craft.ripening import (
    edge_of,
    given_seen,
    growth_still,
    need_of,
    new_wood,
    passed_by_day,
    passed_by_heat,
)

DAYS = np.arange(0.0, 200.0)


@pytest.mark.parametrize(("own", "c_d", "sd_c_d"), [((480,), 491, 47), ((480, 520, 500), 503, 29)])
def test_own_records_replace_the_handbooks_need_for_heat(
    own: tuple[float, ...], c_d: float, sd_c_d: float
) -> None:
    need = need_of(own, 600)
    assert (round(need.c_d), round(need.sd_c_d)) == (c_d, sd_c_d)
    assert need.n_own == len(own)


def test_without_records_the_need_is_the_handbooks() -> None:
    need = need_of([], 600)
    assert (need.c_d, need.log_sd) == pytest.approx((600, 0.3))


@given(st.lists(st.floats(50, 3000), max_size=8), st.floats(50, 3000))
def test_a_need_lies_among_what_it_was_told(own: list[float], prior: float) -> None:
    need = need_of(own, prior)
    told = [*own, prior]
    assert min(told) * (1 - 1e-9) <= need.c_d <= max(told) * (1 + 1e-9)
    assert need.log_sd <= 0.3 + 1e-12


@given(st.lists(st.floats(-60, 60), max_size=8))
def test_an_edge_lies_between_the_handbooks_and_what_was_seen(own: list[float]) -> None:
    edge = edge_of(own)
    assert min([*own, 0.0]) - 1e-9 <= edge.after_book_days <= max([*own, 0.0]) + 1e-9
    assert edge.sd_days <= 14.0 + 1e-9
    assert edge.sd_days >= 9.7


@given(st.lists(st.floats(0, 40), min_size=5, max_size=60), st.floats(50, 1000))
def test_heat_only_ripens(heat_a_day: list[float], prior: float) -> None:
    passed = passed_by_heat(np.cumsum(heat_a_day), need_of([], prior))
    assert np.all(np.diff(passed) >= -1e-12)
    assert np.all((passed >= 0) & (passed <= 1))


def test_ways_the_year_may_go_on_are_averaged() -> None:
    need = need_of([], 600)
    warm, cold = passed_by_heat([[700.0]], need), passed_by_heat([[500.0]], need)
    assert passed_by_heat([[700.0], [500.0]], need) == pytest.approx((warm + cold) / 2)


@given(st.floats(40, 160), st.floats(0, 199), st.booleans())
def test_what_was_seen_moves_every_day_one_way(edge_day: float, seen_day: float, was_passed: bool) -> None:
    before = passed_by_day(DAYS, edge_day, 14)
    after = given_seen(before, DAYS, seen_day, was_passed=was_passed)
    assert np.all(np.diff(after) >= -1e-9)
    assert np.all((after >= -1e-9) & (after <= 1 + 1e-9))
    moved = after - before
    assert np.all(moved >= -1e-9) if was_passed else np.all(moved <= 1e-9)


@given(st.floats(60, 140), st.floats(60, 139), st.booleans())
def test_a_day_between_two_records_changes_the_answer_a_little(
    edge_day: float, seen_day: float, was_passed: bool
) -> None:
    before = passed_by_day(DAYS, edge_day, 14)
    one, two = (given_seen(before, DAYS, seen_day + more, was_passed=was_passed) for more in (0.0, 1.0))
    assert np.abs(one - two).max() <= 0.2


def test_what_was_known_for_certain_stays() -> None:
    before = passed_by_day(DAYS, 100, 14)
    assert given_seen(before, DAYS, 199, was_passed=True) == pytest.approx(before, abs=0.01)
    assert given_seen(before, DAYS, 0, was_passed=False) == pytest.approx(before, abs=0.01)


def test_new_wood_is_usually_right_in_6_to_10_weeks() -> None:
    chance = new_wood(DAYS, 50.0)
    assert np.all(chance[:50] == 1.0)
    assert chance[50] < 0.001
    assert (chance[50 + 42], chance[50 + 70]) == pytest.approx((0.1, 0.9), abs=1e-6)
    assert np.all(np.diff(chance[50:]) >= 0)


def test_cold_stops_growth_and_no_reading_says_nothing() -> None:
    assert growth_still([0.0, 20.0, np.nan]) == pytest.approx([1.0, 0.0, 0.0], abs=1e-4)


@pytest.mark.parametrize(
    ("argument", "ask"),
    [
        ("prior_need_c_d", lambda: need_of([], 0)),
        ("own_need_c_d", lambda: need_of([0.0], 600)),
        ("own_cv", lambda: need_of([500.0], 600, own_cv=0)),
    ],
)
def test_bad_arguments_are_named(argument: str, ask) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(BadArgument) as error:
        ask()
    assert error.value.argument == argument
