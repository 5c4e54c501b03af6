"""Number to stick and the beta-binomial against values computed by other programs.

Source: computed with scipy 1.17.1 (``betabinom``, ``binom``, ``nbinom``), R 4.2.2 (``qnbinom``) and
R package VGAM 1.1-7 (``dbetabinom.ab``), on Python 3.11.7 and Debian 12. The scipy installed is asked
again, live.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import betabinom, binom, nbinom

from slipwright.craft.numbers import cuttings_to_stick, p_at_least


def p_exactly(k: int, n: int, mean: float, precision: float) -> float:
    return p_at_least(k, n, mean, precision) - p_at_least(k + 1, n, mean, precision)


# --- the beta-binomial: VGAM dbetabinom.ab, equal to scipy ------------------------------------------


@pytest.mark.parametrize(
    ("k", "p"), [(0, 0.001535415649), (3, 0.05058288574), (7, 0.1842498779), (10, 0.05377942866)]
)
def test_beta_binomial_terms_equal_vgam(k: int, p: float) -> None:
    assert p_exactly(k, 10, 0.65, 10.0) == pytest.approx(p, rel=1e-9)


def test_beta_binomial_tail_mean_and_variance_equal_scipy() -> None:
    assert p_at_least(24, 48, 0.65, 10.0) == pytest.approx(0.8349032567, abs=1e-10)
    tails = [p_at_least(k, 48, 0.65, 10.0) for k in range(1, 49)]
    mean = sum(tails)
    square = sum((2 * k - 1) * p for k, p in enumerate(tails, start=1))
    assert mean == pytest.approx(31.2, rel=1e-10)
    assert square - mean**2 == pytest.approx(57.57818182, rel=1e-9)


# Seeds germinated of seeds sown: Crowder 1978, Appl. Statist. 27:34-37, Table 3. The best a, b and
# their log-likelihood: scipy.stats.betabinom, minimised.
@pytest.mark.parametrize(
    ("plates", "a", "b", "log_likelihood"),
    [
        ([(10, 39), (23, 62), (23, 81), (26, 51), (17, 39)], 20.91267, 35.81156, -14.94352),
        ([(5, 6), (53, 74), (55, 72), (32, 51), (46, 79), (10, 13)], 69.24428, 31.88048, -14.99079),
        ([(8, 16), (10, 30), (8, 28), (23, 45), (0, 4)], 23.52622, 36.95162, -11.83194),
    ],
)
def test_log_likelihood_of_seed_plates_equals_scipy(
    plates: list[tuple[int, int]], a: float, b: float, log_likelihood: float
) -> None:
    ours = sum(math.log(p_exactly(k, n, a / (a + b), a + b)) for k, n in plates)
    assert ours == pytest.approx(log_likelihood, abs=1e-5)


# --- number to stick, every cutting alike ------------------------------------------------------------

MEANS = (0.30, 0.50, 0.65, 0.80, 0.90)
ASSURANCES = (0.80, 0.90, 0.95)
# wanted: for each mean the numbers at assurance .80, .90, .95
BINOMIAL = {
    1: ((5, 7, 9), (3, 4, 5), (2, 3, 3), (1, 2, 2), (1, 1, 2)),
    6: ((25, 29, 33), (15, 17, 18), (11, 12, 13), (9, 9, 10), (7, 8, 8)),
    10: ((40, 45, 49), (24, 26, 28), (18, 19, 21), (14, 15, 16), (12, 13, 13)),
    24: ((91, 98, 104), (54, 57, 60), (41, 43, 45), (32, 34, 35), (28, 29, 30)),
    50: ((183, 192, 201), (108, 113, 117), (82, 85, 88), (66, 68, 69), (58, 59, 60)),
    100: ((356, 370, 381), (212, 218, 224), (161, 166, 169), (130, 132, 135), (114, 116, 117)),
}


@pytest.mark.parametrize("n_wanted", BINOMIAL)
@pytest.mark.parametrize("mean", MEANS)
@pytest.mark.parametrize("assurance", ASSURANCES)
def test_number_to_stick_equals_the_table_and_the_negative_binomial(
    n_wanted: int, mean: float, assurance: float
) -> None:
    found = cuttings_to_stick(n_wanted, mean, assurance, math.inf)
    assert found.n_to_stick == BINOMIAL[n_wanted][MEANS.index(mean)][ASSURANCES.index(assurance)]
    assert found.n_to_stick == nbinom.ppf(assurance, n_wanted, mean) + n_wanted
    assert found.p_reached == pytest.approx(binom.sf(n_wanted - 1, found.n_to_stick, mean), abs=1e-12)


def test_43_reach_what_42_do_not() -> None:
    # R 4.2.2: qnbinom(.9, 24, .65) + 24 = 43
    assert p_at_least(24, 43, 0.65, math.inf) == pytest.approx(0.9207591079, abs=1e-10)
    assert p_at_least(24, 42, 0.65, math.inf) == pytest.approx(0.8893321338, abs=1e-10)


# --- number to stick, batches differing -----------------------------------------------------------------


@pytest.mark.parametrize(
    ("n_wanted", "mean", "numbers"),
    [
        (24, 0.50, {5: 108, 10: 82, 30: 66, math.inf: 57}),
        (24, 0.65, {5: 65, 10: 54, 30: 47, math.inf: 43}),
        (24, 0.80, {5: 43, 10: 39, 30: 36, math.inf: 34}),
        (50, 0.65, {5: 135, 10: 112, 30: 96, math.inf: 85}),
    ],
)
def test_batches_that_differ_ask_for_more(n_wanted: int, mean: float, numbers: dict[float, int]) -> None:
    found = {precision: cuttings_to_stick(n_wanted, mean, 0.9, precision).n_to_stick for precision in numbers}
    assert found == numbers


# Worked examples, computed with scipy 1.17.1: wanted, mean, precision, number, probability reached.
@pytest.mark.parametrize(
    ("n_wanted", "mean", "precision", "n_to_stick", "p_reached"),
    [
        (10, 0.5, math.inf, 26, 0.9157),
        (20, 0.7, math.inf, 33, 0.9116),
        (50, 0.8, math.inf, 68, 0.9273),
        (12, 0.35, math.inf, 45, 0.9104),
        (20, 0.7, 10.0, 41, 0.9113),
        (50, 64.5 / 91, 91.0, 81, 0.9165),
    ],
)
def test_worked_examples(
    n_wanted: int, mean: float, precision: float, n_to_stick: int, p_reached: float
) -> None:
    found = cuttings_to_stick(n_wanted, mean, 0.9, precision)
    assert found.n_to_stick == n_to_stick
    assert found.p_reached == pytest.approx(p_reached, abs=5e-5)


# --- asked live ---------------------------------------------------------------------------------------------


@settings(max_examples=200, deadline=None)
@given(st.data())
def test_probability_equals_scipys(data: st.DataObject) -> None:
    n_stuck = data.draw(st.integers(1, 3000), "n_stuck")
    n_wanted = data.draw(st.integers(0, n_stuck), "n_wanted")
    mean = data.draw(st.floats(0.01, 0.99), "mean")
    precision = data.draw(st.one_of(st.just(math.inf), st.floats(0.5, 1e4)), "precision")
    if precision == math.inf:
        theirs = binom.sf(n_wanted - 1, n_stuck, mean)
    else:
        # scipy adds up terms from differences of log-beta, good to about 1e-10 here
        theirs = betabinom.sf(n_wanted - 1, n_stuck, mean * precision, (1 - mean) * precision)
    assert p_at_least(n_wanted, n_stuck, mean, precision) == pytest.approx(theirs, abs=1e-8)


@pytest.mark.parametrize(("n_wanted", "n_stuck"), [(65_000, 100_000), (10, 100_000), (99_990, 100_000)])
@pytest.mark.parametrize("precision", [1.0, 10.0, 1000.0])
def test_large_numbers_equal_scipys(n_wanted: int, n_stuck: int, precision: float) -> None:
    theirs = betabinom.sf(n_wanted - 1, n_stuck, 0.65 * precision, 0.35 * precision)
    assert p_at_least(n_wanted, n_stuck, 0.65, precision) == pytest.approx(theirs, abs=1e-8)
