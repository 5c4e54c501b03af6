"""Wants met by one batch, against tables of the binomial and the beta-binomial.

Source: the least n with P(X >= k) >= c, computed with scipy 1.17.1 (``binom``, ``betabinom``) and R 4.2.2
(``qnbinom``) on Debian 12; the tails asked of the scipy installed.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import beta, betabinom, binom

from slipwright.season._listing import Way, plans_listed
from slipwright.season.asked import Drawn, Row, Season, Want
from slipwright.season.planning import programme_of
from tests.season.worlds import option, want

N = 40_000
#: plants wanted, share: numbers to stick for .80, .90, .95
BINOMIAL = {
    (6, 0.50): (15, 17, 18),
    (10, 0.65): (18, 19, 21),
    (24, 0.30): (91, 98, 104),
    (24, 0.50): (54, 57, 60),
    (24, 0.65): (41, 43, 45),
    (24, 0.80): (32, 34, 35),
    (50, 0.65): (82, 85, 88),
    (50, 0.90): (58, 59, 60),
    (100, 0.30): (356, 370, 381),
    (100, 0.80): (130, 132, 135),
}
#: plants wanted, mean share, precision: number to stick for .90
BETA_BINOMIAL = {
    (24, 0.50, 5): 108,
    (24, 0.50, 10): 82,
    (24, 0.50, 30): 66,
    (24, 0.65, 5): 65,
    (24, 0.65, 10): 54,
    (24, 0.65, 30): 47,
    (24, 0.80, 10): 39,
    (50, 0.65, 5): 135,
    (50, 0.65, 10): 112,
    (50, 0.65, 30): 96,
}


def beta_shares(mean: float, precision: float, n: int) -> np.ndarray:
    """Draws that lie evenly in the beta, in an order of their own."""
    even = beta.ppf((np.arange(n) + 0.5) / n, mean * precision, (1 - mean) * precision)
    return np.random.default_rng(5).permutation(even)


def stuck(n_wanted: int, assurance: float, shares: np.ndarray) -> int:
    way = (Way("a", 1, 1.0, 0.0, 10**6),)
    ready = shares.astype(np.float32)[None]
    found = plans_listed(n_wanted, assurance, way, ready, np.zeros(len(shares), int), want="w", seed=1)
    [[n, _, _]] = found.n_containers.tolist()
    return int(n)


@pytest.mark.parametrize(("n_wanted", "share"), BINOMIAL)
def test_numbers_to_stick_equal_the_table_of_the_binomial(n_wanted: int, share: float) -> None:
    for assurance, expected in zip((0.8, 0.9, 0.95), BINOMIAL[n_wanted, share], strict=True):
        found = stuck(n_wanted, assurance, np.full(N, share))
        # a number more or less where the tail lies within sampling of the assurance
        assert abs(found - expected) <= 1
        assert binom.sf(n_wanted - 1, found, share) >= assurance - 0.01


@pytest.mark.parametrize(("n_wanted", "mean", "precision"), BETA_BINOMIAL)
def test_numbers_to_stick_equal_the_table_of_the_beta_binomial(
    n_wanted: int, mean: float, precision: int
) -> None:
    found = stuck(n_wanted, 0.9, beta_shares(mean, precision, N))
    expected = BETA_BINOMIAL[n_wanted, mean, precision]
    assert found == pytest.approx(expected, abs=1 + 0.01 * expected)


@pytest.mark.parametrize(("mean", "precision"), [(0.5, 5), (0.65, 10), (0.8, 30)])
def test_what_is_promised_is_the_tail_of_the_beta_binomial(mean: float, precision: int) -> None:
    def draws(want: Want, places: tuple[int, ...], n_draws: int, seed: int) -> Drawn:
        return Drawn(beta_shares(mean, precision, n_draws)[None])

    season = Season((want("w", 24, option("a", per=6), assurance=0.9),), (Row("b", "bench", "t", None, 1.0),))
    programme = programme_of(season, draws, n_workers=0)
    [line] = programme.lines
    tail = betabinom.sf(23, line.n_to_stick, mean * precision, (1 - mean) * precision)
    assert programme.wants[0].promised == pytest.approx(tail, abs=0.006)
