"""The likelihood of looks against a second reading of them, plain and slow, that shares no line with it."""

from __future__ import annotations

import numpy as np
import pytest

from bench.rooting_reference import plain_log_likelihood
from bench.worlds import own_world
from slipwright.rooting.learned import prior_draws
from slipwright.rooting.likelihood import log_likelihood
from slipwright.rooting.spells import segments_of

RECORDS = own_world(np.random.default_rng(5), 40, 8).records


def test_the_invented_histories_have_every_kind_of_look() -> None:
    looks = [look for record in RECORDS for look in record.counts.looks]
    assert any(look.n_removed for look in looks)
    assert any(look.n_rooted is None and look.n_waiting is not None for look in looks)
    assert any(look.n_rooted is not None and look.n_lost is None for look in looks)


@pytest.mark.parametrize("seed", range(2))
def test_both_readings_give_each_batch_the_same_likelihood(seed: int) -> None:
    drawn = prior_draws(np.random.default_rng(seed), 1)
    for record in RECORDS:
        clocks = drawn.clocks(record.cuttings, record.kind)
        six = [each[clock] for clock in (0, 1) for each in (clocks.level, clocks.slope, clocks.bend)]
        ours = log_likelihood(segments_of([record.counts]), np.array(six)[:, None])
        assert float(ours[0, 0]) == pytest.approx(plain_log_likelihood([record], drawn), rel=1e-9, abs=1e-9)
