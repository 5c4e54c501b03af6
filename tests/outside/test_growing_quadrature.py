"""The hierarchical beta of growing on against exact quadrature done by another program.

Data: germination on five plates of one seed and root, Crowder M.J. 1978, Appl. Statist. 27:34-37, table 3.
Reference: midpoint rule on 800 x 1600 points of (m, u), numpy 2.4.6 and scipy 1.17.1, which agrees with
400 x 800 points to 1e-8; priors m ~ U(0, 1) and K = u^-2 with u ~ U(0, 1).
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import gammaln

from slipwright.rooting.share_prior import ShareGrid
from slipwright.rooting.surviving import learn_shares, log_chance, mean_of_share

Y = (10, 23, 23, 26, 17)
N = (39, 62, 81, 51, 39)
PLATES = [(float(y), float(n - y)) for y, n in zip(Y, N, strict=True)]


def flat(n_m: int, n_u: int) -> ShareGrid:
    means, spreads = (np.arange(n_m) + 0.5) / n_m, (np.arange(n_u) + 0.5) / n_u
    return ShareGrid(means, spreads, np.full((n_m, n_u), 1 / (n_m * n_u)))


@pytest.fixture(scope="module")
def learned():
    grid = flat(800, 200)
    return grid, learn_shares(grid, {"O75/BEAN": PLATES})["O75/BEAN"]


def test_mean_and_sd_of_the_plates_mean(learned) -> None:
    grid, weights = learned
    of_mean = weights.sum(axis=1)
    mean = of_mean @ grid.means
    assert mean == pytest.approx(0.3777616, abs=1e-6)
    assert np.sqrt(of_mean @ (grid.means - mean) ** 2) == pytest.approx(0.0600788, abs=1e-6)


def test_middle_95_in_100_of_the_mean(learned) -> None:
    grid, weights = learned
    edges = np.arange(1, len(grid.means) + 1) / len(grid.means)
    points = np.interp([0.025, 0.975], weights.sum(axis=1).cumsum(), edges)
    assert points == pytest.approx([0.26821, 0.51316], abs=2e-5)


def test_extra_variation_is_integrated_and_not_sampled(learned) -> None:
    grid, weights = learned
    rho = 1 / (1 + grid.spreads**-2)
    assert weights.sum(axis=0) @ rho == pytest.approx(0.0612020, abs=1e-6)


@pytest.mark.parametrize(("plate", "mean"), [(0, 0.3071321), (3, 0.4556241)])
def test_a_plates_own_mean(learned, plate: int, mean: float) -> None:
    assert mean_of_share(*learned, PLATES[plate]) == pytest.approx(mean, abs=1e-6)


def test_what_the_next_plate_will_do(learned) -> None:
    grid, weights = learned
    k = np.arange(15, 41)
    ways = np.exp(gammaln(41) - gammaln(k + 1) - gammaln(41 - k))
    chances = [float((weights * np.exp(log_chance(grid, [(one, 40 - one)]))).sum()) for one in k]
    assert ways @ chances == pytest.approx(0.5181822, abs=1e-6)
