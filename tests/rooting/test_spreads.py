"""Spreads as functions of normal scores: half-normal, smooth, and finite far out."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from slipwright.rooting.spreads import (
    N_SPREADS,
    SPREADS,
    WOOD_SD,
    precision_slopes,
    precisions,
    sd_slopes,
    standard_deviations,
    together_of,
    together_slope,
)

SCORES = np.random.default_rng(4).standard_normal((6, N_SPREADS)) * 1.5
SCALES = [pair[clock] for clock in (0, 1) for pair in SPREADS.values()]


def at(score: float) -> np.ndarray:
    return np.full(N_SPREADS, score)


@pytest.mark.parametrize("score", [-3.0, -1e-3, 0.0, 1e-3, 2.0, 6.0])
def test_a_standard_deviation_is_the_quantile_of_its_half_normal(score: float) -> None:
    # above the middle by the upper tail, which keeps its digits
    expected = (
        stats.halfnorm.ppf(stats.norm.cdf(score)) if score < 0 else stats.halfnorm.isf(stats.norm.sf(score))
    )
    np.testing.assert_allclose(standard_deviations(at(score)), expected * np.array(SCALES), rtol=1e-10)


def test_far_below_it_is_nearly_the_share_itself() -> None:
    near = np.sqrt(np.pi / 2) * stats.norm.cdf(-8.0) * np.array(SCALES)
    np.testing.assert_allclose(standard_deviations(at(-8.0)), near, rtol=1e-12)


def test_normal_scores_make_half_normal_standard_deviations() -> None:
    scores = stats.norm.ppf((np.arange(20_000) + 0.5) / 20_000)
    sds = standard_deviations(np.tile(scores[:, None], N_SPREADS))
    np.testing.assert_allclose((sds**2).mean(axis=0), np.square(SCALES), rtol=2e-3)
    np.testing.assert_allclose(sds.mean(axis=0), np.sqrt(2 / np.pi) * np.array(SCALES), rtol=2e-3)


def test_their_slopes_are_those_of_their_logarithms() -> None:
    step = 1e-5
    difference = np.log(standard_deviations(SCORES + step)) - np.log(standard_deviations(SCORES - step))
    np.testing.assert_allclose(sd_slopes(SCORES), difference / (2 * step), rtol=1e-6)


def test_the_slope_of_the_correlation_is_that_of_its_differences() -> None:
    step = 1e-5
    difference = together_of(SCORES + step) - together_of(SCORES - step)
    np.testing.assert_allclose(together_slope(SCORES), difference / (2 * step), rtol=1e-6)


@pytest.mark.parametrize("score", [-9.0, -6.0, 6.0, 9.0])
def test_far_out_they_stay_above_nought_and_finite(score: float) -> None:
    for found in (standard_deviations(at(score)), sd_slopes(at(score))):
        assert (found > 0).all()
        assert np.isfinite(found).all()
    for found in (
        *precisions(at(score)[None]),
        *(slope for _, _, slope in precision_slopes(at(score)[None])),
    ):
        assert np.isfinite(found).all()


def test_precisions_are_the_inverses_of_the_covariances_from_genus_to_batch() -> None:
    genus, taxon, wood, season, batch = precisions(SCORES)
    sds = standard_deviations(SCORES)
    for k, found in ((0, genus), (1, taxon), (2, season)):
        for point in range(len(SCORES)):
            np.testing.assert_allclose(found[point], np.diag(sds[point, [k, k + 4]] ** -2.0), rtol=1e-12)
    np.testing.assert_allclose(wood, np.tile(np.eye(2) / WOOD_SD**2, (len(SCORES), 1, 1)))
    inverse = np.linalg.inv(batch)
    np.testing.assert_allclose(np.sqrt(inverse[:, [0, 1], [0, 1]]), sds[:, [3, 7]], rtol=1e-9)
    correlation = inverse[:, 0, 1] / np.sqrt(inverse[:, 0, 0] * inverse[:, 1, 1])
    np.testing.assert_allclose(correlation, np.tanh(SCORES[:, 8] / 2), rtol=1e-9)
    np.testing.assert_allclose(correlation, together_of(SCORES), rtol=1e-9)


def test_slopes_of_the_precisions_are_theirs_and_no_other_precision_moves() -> None:
    step = 1e-5
    named = {(score, level): slope for score, level, slope in precision_slopes(SCORES)}
    assert sorted(score for score, _ in named) == list(range(N_SPREADS))
    for score in range(N_SPREADS):
        move = step * np.eye(N_SPREADS)[score]
        for level, (up, down) in enumerate(
            zip(precisions(SCORES + move), precisions(SCORES - move), strict=True)
        ):
            expected = named.get((score, level), np.zeros_like(up))
            np.testing.assert_allclose((up - down) / (2 * step), expected, rtol=1e-5, atol=1e-8 * up.max())
