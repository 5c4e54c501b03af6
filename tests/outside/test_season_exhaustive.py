"""Small seasons, every choice of plans tried one by one."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.season._master import best_parts
from slipwright.season._offers import Lists
from slipwright.season._plans import use_of
from slipwright.season._solving import chosen_in_parts, chosen_whole
from slipwright.season._ways import room_left, ways_of
from slipwright.season._whole import best_whole
from slipwright.season.asked import Effort
from slipwright.season.workers import Workers
from tests.season.worlds import small_season

#: so few plans of a want are tried that all choices can be
_PLANS = 40


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 100_000), st.floats(0.2, 1.2))
def test_the_programme_is_the_cheapest_of_all_choices(seed: int, tight: float) -> None:
    season, draws = small_season(np.random.default_rng(seed), 3, 2, tight=tight)
    ways, room = ways_of(season, set(), 0.0), room_left(season)
    lists = Lists(season, ways, draws, 1, 200, {}, Workers(0))
    lists.lower(range(3))
    plans, _ = lists.plans(room)
    each = [np.flatnonzero(plans.want == place) for place in range(3)]
    each = [mine[np.argsort(plans.total[mine], kind="stable")][:_PLANS] for mine in each]
    nothing = [np.flatnonzero((plans.want == place) & (plans.n == 0).all(axis=1)) for place in range(3)]
    some = np.unique(np.concatenate([*each, *nothing]))
    plans = plans.some(some)
    use = use_of(ways, plans).toarray()
    best = min(
        float(plans.total[list(choice)].sum())
        for choice in product(*(np.flatnonzero(plans.want == place) for place in range(3)))
        if (use[list(choice)].sum(axis=0) <= room + 1e-9).all()
    )
    parts = best_parts(ways, plans, room, chosen_in_parts)
    effort = Effort(n_plans=200, n_nodes=10_000, near=0.0)
    chosen = best_whole(ways, plans, room, parts, chosen_whole, np.random.default_rng(1), effort)
    assert parts.bound <= best + 1e-6
    # branching may stop within a ten-thousandth
    assert plans.total[chosen].sum() == pytest.approx(best, rel=2e-4)
