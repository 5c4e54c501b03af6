"""Draws put together to the clocks of one batch: known nodes count, unknown ones are drawn."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from slipwright.rooting.cells import CELLS
from slipwright.rooting.cuttings import LEVEL_SD, TERMS, Cuttings
from slipwright.rooting.learned import LEVELS, Kind, Learned, before_records, prior_draws
from slipwright.rooting.spreads import SPREADS, WOOD_SD

ROSE = Kind("Rosa", "Rosa 'Ice Lantern'", "hardwood", "2026", "B1")
N = 20_000
#: what the levels of one batch spread by themselves, the coefficients held at nought
BARE: Learned = replace(
    prior_draws(np.random.default_rng(3), N),
    coefficients={term.name: np.zeros((2, N)) for term in TERMS},
    spreads={level: np.full((2, N), 0.1 * 2**k) for k, level in enumerate(LEVELS)},
    batch_together=np.full(N, 0.6),
)
SDS = np.array([0.1 * 2**k for k in range(len(LEVELS))])


def level(learned: Learned, kind: Kind = ROSE) -> np.ndarray:
    return learned.clocks(Cuttings(), kind).level


def test_a_path_runs_from_genus_to_batch_each_node_named_by_all_above_it() -> None:
    assert [node[0] for node in ROSE.path] == list(LEVELS)
    assert ROSE.path[2] == ("wood", "Rosa", "Rosa 'Ice Lantern'", "hardwood")
    assert replace(ROSE, batch="").path == ROSE.path[:4]


@pytest.mark.parametrize("known", range(-1, 5))
def test_below_the_deepest_known_node_every_level_is_drawn_from_its_spread(known: int) -> None:
    nodes = {node: np.full((2, N), 10.0 * (depth + 1)) for depth, node in enumerate(ROSE.path[: known + 1])}
    found = level(replace(BARE, nodes=nodes))
    assert found.mean(axis=1) == pytest.approx([10.0 * (known + 1)] * 2, abs=0.06)
    assert found.std(axis=1) == pytest.approx(
        [np.sqrt((SDS[known + 1 :] ** 2).sum())] * 2, rel=0.03, abs=1e-9
    )


def test_a_gap_in_the_path_does_not_hide_what_is_known_below_it() -> None:
    nodes = {ROSE.path[0]: np.full((2, N), 1.0), ROSE.path[4]: np.full((2, N), 5.0)}
    assert (level(replace(BARE, nodes=nodes)) == 5).all()
    assert level(replace(BARE, nodes=nodes), replace(ROSE, batch="B2")).mean() == pytest.approx(1, abs=0.05)


def test_putting_clocks_together_leaves_the_draws_as_they_were() -> None:
    nodes = {ROSE.path[0]: np.full((2, N), 1.0)}
    learned = replace(BARE, nodes=nodes)
    first = level(learned)
    assert (nodes[ROSE.path[0]] == 1).all()
    np.testing.assert_array_equal(level(learned), first)


def test_the_two_effects_of_a_batch_go_together_and_those_of_a_season_do_not() -> None:
    at_season = replace(BARE, nodes={ROSE.path[3]: np.zeros((2, N))})
    assert np.corrcoef(level(at_season))[0, 1] == pytest.approx(0.6, abs=0.03)
    no_batch = replace(BARE, spreads={**BARE.spreads, "batch": np.zeros((2, N))})
    assert np.corrcoef(level(no_batch))[0, 1] == pytest.approx(0, abs=0.03)


def test_the_page_of_the_handbook_moves_the_levels_alone() -> None:
    moved = BARE.clocks(Cuttings(), replace(ROSE, offset=(0.5, -0.25)))
    still = BARE.clocks(Cuttings(), ROSE)
    np.testing.assert_allclose(
        moved.level - still.level, np.array([[0.5], [-0.25]]) * np.ones((1, N)), atol=1e-12
    )
    np.testing.assert_array_equal(moved.slope, still.slope)


def test_each_term_moves_its_own_part_of_the_clocks() -> None:
    values = {term.name: np.zeros((2, N)) for term in TERMS}
    values |= {
        "time": np.full((2, N), 2.0),
        "time_2": np.full((2, N), 3.0),
        "intercept": np.full((2, N), -4.0),
    }
    learned = replace(BARE, coefficients=values, nodes={ROSE.path[4]: np.zeros((2, N))})
    clocks = learned.clocks(Cuttings(), ROSE)
    expected = -4 + 2 * CELLS.times + 3 * CELLS.times**2
    np.testing.assert_allclose(clocks.log_hazards()[1, :, 7], expected)
    assert clocks.log_hazards().shape == (2, len(CELLS.times), N)


def test_a_medium_never_met_has_its_prior_and_the_same_draws_for_every_batch() -> None:
    known = replace(BARE, nodes={ROSE.path[4]: np.zeros((2, N))})
    peat, again, sand = (known.clocks(Cuttings(medium=name), ROSE).level for name in ("peat", "peat", "sand"))
    np.testing.assert_array_equal(peat, again)
    assert peat.std(axis=1) == pytest.approx([LEVEL_SD["medium"]] * 2, rel=0.03)
    assert np.corrcoef(peat[0], sand[0])[0, 1] == pytest.approx(0, abs=0.03)
    met = replace(known, coefficients={**known.coefficients, "medium[peat]": np.full((2, N), 0.7)})
    assert (met.clocks(Cuttings(medium="peat"), ROSE).level == 0.7).all()


def test_draws_before_any_record_are_of_the_priors() -> None:
    drawn = prior_draws(np.random.default_rng(5), N)
    assert set(drawn.coefficients) == {term.name for term in TERMS}
    for term in TERMS:
        for clock, (mean, sd) in enumerate((term.rooting, term.loss)):
            found = drawn.coefficients[term.name][clock]
            assert (found.mean(), found.std()) == pytest.approx((mean, sd), rel=0.03, abs=5 * sd / np.sqrt(N))
    for name, scales in SPREADS.items():
        assert (drawn.spreads[name] > 0).all()
        assert np.sqrt((drawn.spreads[name] ** 2).mean(axis=1)) == pytest.approx(scales, rel=0.03)
    assert (drawn.spreads["wood"] == WOOD_SD).all()
    assert np.arctanh(drawn.batch_together).std() == pytest.approx(0.5, rel=0.03)
    assert drawn.noise.shape == (len(LEVELS), 2, N)
    assert drawn.n_draws == N


def test_what_is_believed_before_any_record_is_always_the_same() -> None:
    np.testing.assert_array_equal(before_records().noise, prior_draws(np.random.default_rng(1)).noise)
    assert before_records() is before_records()
