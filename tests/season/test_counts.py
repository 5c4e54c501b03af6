"""Counts by scenario follow the binomial."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import binom, norm

from slipwright.season.counts import counts_ready, scores_of


@pytest.mark.parametrize(("n", "p"), [(12, 0.3), (24, 0.65), (48, 0.9), (400, 0.05)])
def test_chances_of_so_many_are_those_of_the_binomial(n: int, p: float) -> None:
    z = norm.ppf((np.arange(20_000) + 0.5) / 20_000).astype(np.float32)
    counts = counts_ready(np.full(20_000, p, np.float32), n, z)
    for k in range(n + 1):
        assert (counts >= k).mean() == pytest.approx(binom.sf(k - 1, n, p), abs=0.02)


def test_counts_stay_between_none_and_all() -> None:
    z = np.array([-9, 9, 0, 3], np.float32)
    assert counts_ready(np.array([0.5, 0.5, 0, 1], np.float32), 10, z).tolist() == [0, 10, 0, 10]


def test_scores_differ_between_options_and_seeds_and_return() -> None:
    scores = scores_of(1, 50, "w", "a")
    assert (scores == scores_of(1, 50, "w", "a")).all()
    for other in (scores_of(2, 50, "w", "a"), scores_of(1, 50, "w", "b"), scores_of(1, 50, "v", "a")):
        assert not (scores == other).any()
