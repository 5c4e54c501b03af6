"""How many to stick."""

from __future__ import annotations

import math
import subprocess
import sys
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.craft.errors import BadArgument, OutOfReach
from slipwright.craft.numbers import (
    N_TO_STICK_LIMIT,
    StickCount,
    cuttings_to_stick,
    p_at_least,
)

MEANS = st.floats(0.01, 0.99)
PRECISIONS = st.one_of(st.floats(0.05, 1e6), st.just(math.inf))


def exact(n_wanted: int, n_stuck: int, mean: float, precision: float) -> float:
    """Add the terms up in fractions."""
    m = Fraction(mean)
    if precision == math.inf:
        terms = [
            math.comb(n_stuck, k) * m**k * (1 - m) ** (n_stuck - k) for k in range(n_wanted, n_stuck + 1)
        ]
        return float(sum(terms))
    a, b = m * Fraction(precision), (1 - m) * Fraction(precision)
    rise_a, rise_b, rise_both = [Fraction(1)], [Fraction(1)], Fraction(1)
    for i in range(n_stuck):
        rise_a.append(rise_a[-1] * (a + i))
        rise_b.append(rise_b[-1] * (b + i))
        rise_both *= a + b + i
    terms = [math.comb(n_stuck, k) * rise_a[k] * rise_b[n_stuck - k] for k in range(n_wanted, n_stuck + 1)]
    return float(sum(terms) / rise_both)


@pytest.mark.parametrize("precision", [0.01, 0.5, 1.0, 2.0, 3.0, 10.0, 1e4, 1e8, 1e14, math.inf])
@pytest.mark.parametrize("mean", [0.001, 0.3, 0.5, 0.65, 0.9999])
def test_probability_equals_the_sum_in_fractions(mean: float, precision: float) -> None:
    for n_stuck in (1, 2, 5, 40):
        for n_wanted in {1, n_stuck // 2, n_stuck}:
            assert p_at_least(n_wanted, n_stuck, mean, precision) == pytest.approx(
                exact(n_wanted, n_stuck, mean, precision), abs=1e-12
            )


def test_edges_are_plain() -> None:
    assert p_at_least(0, 0, 0.5) == 1.0
    assert p_at_least(0, 5, 0.0) == 1.0
    assert p_at_least(1, 0, 0.5) == 0.0
    assert p_at_least(1, 5, 0.0) == 0.0
    assert p_at_least(5, 5, 1.0) == 1.0
    assert p_at_least(6, 5, 1.0) == 0.0
    assert p_at_least(1, 1, 0.3) == pytest.approx(0.3, abs=1e-14)
    assert p_at_least(1, 1, 0.3, math.inf) == pytest.approx(0.3, abs=1e-14)


def test_a_far_tail_is_a_small_number_and_not_a_rounding() -> None:
    # 30 of 30 at .01 each: .01 to the thirtieth
    assert p_at_least(30, 30, 0.01, math.inf) == pytest.approx(1e-60, rel=1e-10)


def test_a_very_high_precision_meets_the_binomial() -> None:
    assert p_at_least(24, 43, 0.65, 1e13) == pytest.approx(p_at_least(24, 43, 0.65, math.inf), abs=1e-11)


@settings(deadline=None)
@given(st.integers(0, 60), st.integers(0, 60), MEANS, PRECISIONS)
def test_more_wanted_is_never_likelier(n_wanted: int, n_stuck: int, mean: float, precision: float) -> None:
    assert (
        p_at_least(n_wanted + 1, n_stuck, mean, precision)
        <= p_at_least(n_wanted, n_stuck, mean, precision) + 1e-12
    )


@settings(deadline=None)
@given(st.integers(1, 60), st.integers(0, 60), MEANS, PRECISIONS)
def test_more_stuck_is_never_less_likely(n_wanted: int, n_stuck: int, mean: float, precision: float) -> None:
    assert (
        p_at_least(n_wanted, n_stuck + 1, mean, precision)
        >= p_at_least(n_wanted, n_stuck, mean, precision) - 1e-12
    )


@settings(deadline=None)
@given(st.integers(1, 400), st.floats(0.2, 0.99), st.floats(0.05, 0.98), st.floats(3.0, 1e5))
def test_number_to_stick_is_the_least(n_wanted: int, mean: float, assurance: float, precision: float) -> None:
    found = cuttings_to_stick(n_wanted, mean, assurance, precision)
    assert found.p_reached == p_at_least(n_wanted, found.n_to_stick, mean, precision)
    assert found.p_reached >= assurance
    assert p_at_least(n_wanted, found.n_to_stick - 1, mean, precision) < assurance


@settings(deadline=None)
@given(st.integers(1, 5), st.floats(0.2, 0.9), st.floats(0.3, 0.9))
def test_number_to_stick_is_what_trying_one_by_one_gives(
    n_wanted: int, mean: float, assurance: float
) -> None:
    n = n_wanted
    while p_at_least(n_wanted, n, mean) < assurance:
        n += 1
    assert cuttings_to_stick(n_wanted, mean, assurance).n_to_stick == n


def test_nothing_wanted_needs_nothing_stuck() -> None:
    assert cuttings_to_stick(0, 0.0, 0.9) == StickCount(0, 1.0)


def test_sure_rooting_needs_no_spare() -> None:
    assert cuttings_to_stick(24, 1.0, 0.9) == StickCount(24, 1.0)


@pytest.mark.parametrize("precision", [10.0, math.inf])
def test_a_hundred_thousand_can_be_asked_for(precision: float) -> None:
    found = cuttings_to_stick(100_000, 0.65, 0.9, precision)
    assert found.p_reached >= 0.9 > p_at_least(100_000, found.n_to_stick - 1, 0.65, precision)


def test_what_cannot_root_is_out_of_reach() -> None:
    with pytest.raises(OutOfReach, match=r"up to 1,000,000 gives 12 rooted with assurance 0\.9") as error:
        cuttings_to_stick(12, 0.0, 0.9)
    assert error.value.limit == N_TO_STICK_LIMIT
    assert error.value.p_reached == 0.0


def test_what_hardly_roots_is_out_of_reach_and_says_how_near_it_came() -> None:
    with pytest.raises(OutOfReach) as error:
        cuttings_to_stick(30_000, 0.05, 0.9)
    assert 0.1 < error.value.p_reached < 0.9


@pytest.mark.parametrize(
    ("argument", "arguments"),
    [
        ("n_wanted", (-1, 0.5, 0.9)),
        ("mean", (1, 1.1, 0.9)),
        ("mean", (1, -0.1, 0.9)),
        ("mean", (1, math.nan, 0.9)),
        ("assurance", (1, 0.5, 0.0)),
        ("assurance", (1, 0.5, 1.0)),
        ("assurance", (1, 0.5, math.nan)),
        ("precision", (1, 0.5, 0.9, 0.0)),
        ("precision", (1, 0.5, 0.9, -3.0)),
        ("precision", (1, 0.5, 0.9, math.nan)),
    ],
)
def test_bad_arguments_are_named(argument: str, arguments: tuple[float, ...]) -> None:
    with pytest.raises(BadArgument) as error:
        cuttings_to_stick(*arguments)  # type: ignore[arg-type]
    assert error.value.argument == argument


def test_a_negative_number_stuck_is_refused() -> None:
    with pytest.raises(BadArgument, match="n_stuck must be 0 or more, not -1"):
        p_at_least(0, -1, 0.5)


def test_batches_between_six_and_eight_in_ten_give_the_chances_of_a_pot_of_nine() -> None:
    """The beta whose 10 and 90 per cent points are .6 and .8 has mean .703 and precision 33.7."""
    assert p_at_least(5, 9, 0.703, 33.7) == pytest.approx(0.88, abs=0.005)
    assert p_at_least(5, 8, 0.703, 33.7) == pytest.approx(0.79, abs=0.005)


@pytest.mark.parametrize("module", ["numbers", "cane", "container", "rights", "cautions", "names", "wood"])
def test_the_sums_start_without_the_heavy_libraries(module: str) -> None:
    heavy = ("numpy", "scipy", "django", "fractions", "statistics")
    code = f"import sys, slipwright.craft.{module}; sys.exit(any(m in sys.modules for m in {heavy!r}))"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
