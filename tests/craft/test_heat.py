"""Warmth added up."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from slipwright.craft.errors import BadArgument
from slipwright.craft.heat import (
    METHODS,
    DegreeDays,
    chill_hours,
    chill_portions,
    degree_days_c,
    growing_degree_hours,
    hourly_c,
    utah_units,
)

temperatures = st.floats(-30, 28)
spans = st.floats(0, 20)
bases = st.floats(-5, 20)
closed = st.sampled_from(["sine", "triangle", "average"])
DAY = date(2026, 4, 15)


def course(method: str, low: float, high: float, turn: float) -> float:
    """Return the temperature at ``turn``, from 0 at the middle on the way up to 1 a day later."""
    if method == "sine":
        return (low + high) / 2 + (high - low) / 2 * float(np.sin(2 * np.pi * turn))
    return low + (high - low) * (1 - abs(2 * turn - 1))


@given(
    temperatures, spans, bases, st.one_of(st.none(), st.floats(0, 25)), st.sampled_from(["sine", "triangle"])
)
def test_closed_form_is_the_integral_of_the_days_course(
    low: float, span: float, base: float, over: float | None, method: DegreeDays
) -> None:
    high, upper = low + span, None if over is None else base + over

    def above(turn: float) -> float:
        warm = course(method, low, high, turn)
        return max((warm if upper is None else min(warm, upper)) - base, 0.0)

    turns = np.linspace(0, 1, 2881)  # half minutes: a kink costs at most the square of a step
    summed = np.trapezoid([above(turn) for turn in turns], turns)
    assert degree_days_c(low, high, base, upper, method) == pytest.approx(summed, abs=2e-4)


def test_closed_form_is_the_integral_to_ten_digits() -> None:
    crossing = (np.arcsin((5 - 10) / 8)) / (2 * np.pi)
    whole, _ = quad(lambda turn: course("sine", 2, 18, turn) - 5, crossing, 0.5 - crossing, epsabs=1e-12)
    assert degree_days_c(2, 18, 5) == pytest.approx(whole, abs=1e-10)


@given(temperatures, spans, bases, st.floats(0, 12), closed)
def test_a_warmer_day_never_adds_less(
    low: float, span: float, base: float, warmer: float, method: DegreeDays
) -> None:
    there = degree_days_c(low, low + span, base, method=method)
    assert degree_days_c(low + warmer / 2, low + span + warmer, base, method=method) >= there - 1e-9
    assert degree_days_c(low, low + span, base + warmer, method=method) <= there + 1e-9


@given(temperatures, spans, bases, closed)
def test_no_day_adds_less_than_nothing_or_more_than_its_highest(
    low: float, span: float, base: float, method: DegreeDays
) -> None:
    found = float(degree_days_c(low, low + span, base, method=method))
    assert -1e-9 <= found <= max(low + span - base, 0) + 1e-9
    assert found >= float(degree_days_c(low, low + span, base, method="average")) - 1e-9


@given(temperatures, spans, closed)
def test_the_ways_meet_where_the_base_leaves_the_day(low: float, span: float, method: DegreeDays) -> None:
    high = low + span
    beyond = degree_days_c(low, high, [low - 1e-9, low, high, high + 1e-9], method=method)
    assert beyond == pytest.approx([span / 2, span / 2, 0, 0], abs=1e-6)


@given(temperatures, st.floats(0.01, 30), bases, st.floats(0, 25), closed)
def test_more_warmth_than_the_upper_limit_adds_nothing(
    low: float, span: float, base: float, over: float, method: DegreeDays
) -> None:
    cut = degree_days_c(low, low + span, base, base + over, method)
    assert cut <= degree_days_c(low, low + span, base, method=method) + 1e-9
    assert cut <= over + 1e-9


def test_an_unknown_day_gives_an_unknown_sum() -> None:
    for method in METHODS:
        found = degree_days_c(
            [np.nan, 5], [10, 15], 4, method=method, lat_deg=45, on=[DAY, DAY + timedelta(1)]
        )
        assert np.isnan(found[0])
        assert found[1] > 0


@pytest.mark.parametrize(
    ("argument", "values"),
    [
        ("tmax_c", {"tmin_c": 9, "tmax_c": 8, "base_c": 5}),
        ("tmin_c", {"tmin_c": -91, "tmax_c": 8, "base_c": 5}),
        ("upper_c", {"tmin_c": 2, "tmax_c": 8, "base_c": 5, "upper_c": 4}),
        ("base_c", {"tmin_c": 2, "tmax_c": 8, "base_c": float("nan")}),
        ("base_c", {"tmin_c": 2, "tmax_c": 8, "base_c": -float("inf")}),
        ("method", {"tmin_c": 2, "tmax_c": 8, "base_c": 5, "method": "cosine"}),
        ("method", {"tmin_c": 2, "tmax_c": 8, "base_c": 5, "method": "hourly"}),
    ],
)
def test_what_cannot_be_is_refused_by_name(argument: str, values: dict[str, object]) -> None:
    with pytest.raises(BadArgument) as refused:
        degree_days_c(**values)  # type: ignore[arg-type]
    assert refused.value.argument == argument


# --- the day's course -------------------------------------------------------------------------------------


@given(temperatures, spans, st.floats(-60, 60), st.integers(0, 364))
def test_a_days_hours_stay_between_lowest_and_highest(low: float, span: float, lat: float, day: int) -> None:
    hours = hourly_c(low, low + span, lat, DAY + timedelta(day))
    assert hours.shape == (24,)
    assert hours.min() >= low - 1e-9
    assert hours.max() <= low + span + 1e-9
    assert hours[14] == pytest.approx(low + span, abs=1e-9), "the highest stands two hours after noon"


@given(st.lists(st.tuples(temperatures, spans), min_size=2, max_size=5), st.floats(-60, 60))
def test_a_night_falls_from_evening_to_morning_without_a_jump(
    days: list[tuple[float, float]], lat: float
) -> None:
    low = [day[0] for day in days]
    high = [low + span for low, span in days]
    on = [DAY + timedelta(n) for n in range(len(days))]
    hours = hourly_c(low, high, lat, on)
    steepest = np.abs(np.diff(hours.ravel())).max()
    assert steepest <= 0.75 * (max(high) - min(low)) + 1e-6
    across = [hours[n, 23] - hours[n + 1, 0] for n in range(len(days) - 1)]
    falls = [hours[n, 22] - hours[n, 23] for n in range(len(days) - 1)]
    assert all(abs(b) <= abs(a) + 1e-9 for a, b in zip(falls, across, strict=True))


def test_a_gap_in_the_days_ends_the_night_by_itself() -> None:
    together = hourly_c([4, 9], [14, 25], 45, [DAY, DAY + timedelta(1)])
    apart = hourly_c([4, 9], [14, 25], 45, [DAY, DAY + timedelta(2)])
    alone = hourly_c(4, 14, 45, DAY)
    assert apart[0] == pytest.approx(alone)
    assert together[0, 23] > alone[23] + 1
    beside_unknown = hourly_c([4, np.nan], [14, np.nan], 45, [DAY, DAY + timedelta(1)])
    assert beside_unknown[0] == pytest.approx(alone)


def test_a_sun_that_never_sets_still_gives_a_course() -> None:
    for on in (date(2026, 6, 21), date(2026, 12, 21)):
        assert np.isfinite(hourly_c(2, 12, 80, on)).all()


# --- cold and warmth by the hour --------------------------------------------------------------------------


@given(st.lists(st.floats(-20, 35), min_size=2, max_size=60))
def test_sums_of_hours_keep_within_their_bounds(hours: list[float]) -> None:
    n = len(hours)
    assert 0 <= chill_hours(hours) <= n
    assert -n <= utah_units(hours) <= n
    assert 0 <= growing_degree_hours(hours) <= 21 * n
    assert 0 <= chill_portions(hours) <= n / 24


@given(st.lists(st.floats(-20, 35), min_size=2, max_size=60), st.integers(1, 59))
def test_chill_portions_once_made_stay(hours: list[float], more: int) -> None:
    assert chill_portions(hours) >= chill_portions(hours[: min(more, len(hours))]) - 1e-12


@pytest.mark.parametrize("summed", [chill_hours, utah_units, chill_portions, growing_degree_hours])
def test_places_are_summed_side_by_side(summed: object) -> None:
    places = np.random.default_rng(1).uniform(-2, 20, (3, 240))
    together = summed(places)  # type: ignore[operator]
    assert together == pytest.approx([float(summed(place)) for place in places])  # type: ignore[operator]


@given(st.sampled_from([4.0, 25.0, 36.0]))
def test_degree_hours_do_not_jump_where_their_parts_meet(join: float) -> None:
    beside = [float(growing_degree_hours([join + step])) for step in (-1e-7, 0, 1e-7)]
    assert beside == pytest.approx([beside[1]] * 3, abs=1e-5)


@pytest.mark.parametrize("hours", [[5.0, float("nan")], [99.0], 5.0])
def test_hours_that_are_not_known_are_refused(hours: object) -> None:
    with pytest.raises(BadArgument):
        chill_portions(hours)  # type: ignore[arg-type]
