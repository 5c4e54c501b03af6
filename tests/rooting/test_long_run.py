"""Batches drawn anew: alike to those drawn one by one, and each with a season and an effect of its own."""

from __future__ import annotations

import numpy as np

from slipwright.rooting.curves import fates
from slipwright.rooting.cuttings import Cuttings
from slipwright.rooting.learned import Kind, before_records
from slipwright.rooting.long_run import clocks_anew

ROSE = Kind("Rosa", "Rosa", "semi-hardwood", "2026", offset=(0.1, -0.2))
MANY = 4_000


def test_one_batch_is_as_wide_as_drawn_by_itself() -> None:
    known = before_records()
    alone = known.clocks(Cuttings(), ROSE)
    anew = clocks_anew(known, [(Cuttings(), ROSE)], n_draws=1000, generator=np.random.default_rng(3))
    assert np.allclose(alone.slope, anew.slope)
    assert np.allclose(alone.level.mean(axis=1), anew.level.mean(axis=1), atol=0.1)
    assert np.allclose(alone.level.std(axis=1), anew.level.std(axis=1), rtol=0.1)


def test_batches_of_a_draw_share_all_but_their_own_season_and_effect() -> None:
    known = before_records()
    stuck = [(Cuttings(), ROSE)] * 50
    level = clocks_anew(known, stuck, n_draws=200, generator=np.random.default_rng(3)).level.reshape(
        2, 50, 200
    )
    own = np.sqrt(known.spreads["season"] ** 2 + known.spreads["batch"] ** 2)[:, :200]
    assert np.allclose(np.median(level.std(axis=1) / own, axis=1), 1.0, atol=0.05)


def test_the_long_run_is_narrower_than_one_batch() -> None:
    stuck = [(Cuttings(), ROSE)] * 20
    anew = clocks_anew(before_records(), stuck, n_draws=200, generator=np.random.default_rng(3))
    shares = fates(anew, [120])[0, 0].reshape(20, 200)
    assert shares.mean(axis=0).std() < 0.95 * shares.std()


def test_what_differs_between_two_batches_counts_for_each_alone() -> None:
    dipped = Cuttings(auxin="dip", strength=3000.0)
    anew = clocks_anew(
        before_records(),
        [(Cuttings(), ROSE), (dipped, ROSE)],
        n_draws=1000,
        generator=np.random.default_rng(3),
    )
    plain, with_dip = anew.level[0].reshape(2, 1000).mean(axis=1)
    known, amount = before_records(), np.log1p(3.0)
    more = known.coefficients["dip"][0] * amount + known.coefficients["dip_2"][0] * amount**2
    assert with_dip - plain > 0
    assert abs((with_dip - plain) - more.mean()) < 0.1
