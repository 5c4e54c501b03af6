"""The linear programme takes no notice of rows that no choice can fill, and is the same without them."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog
from scipy.sparse import csr_array

from slipwright.season._explain import _named
from slipwright.season._solving import Choice, chosen_in_parts
from slipwright.season.asked import Row


@given(st.integers(0, 10_000), st.floats(0.0, 4.0))
@settings(deadline=None, max_examples=60)
def test_the_least_total_is_that_of_all_rows(seed: int, tightness: float) -> None:
    generator = np.random.default_rng(seed)
    n_rows, n_groups, n_each = 6, 5, 4
    group = np.repeat(np.arange(n_groups), n_each)
    use = generator.uniform(0, 1, (n_rows, len(group))) * generator.integers(0, 2, (n_rows, len(group)))
    use[:, ::n_each] = 0  # a column of nothing in each group
    total, room = generator.uniform(1, 9, len(group)), generator.uniform(0, 1 + tightness, n_rows)
    found = chosen_in_parts(Choice(total, csr_array(use), room, group))
    groups = (group == np.arange(n_groups)[:, None]).astype(float)
    whole = linprog(total, A_ub=use, b_ub=room, A_eq=groups, b_eq=np.ones(n_groups))
    assert found.total == pytest.approx(whole.fun, abs=1e-7)
    assert (use @ found.share <= room + 1e-7).all()
    assert found.prices.shape == room.shape
    # a row with room to spare has no price
    assert not found.prices[use @ found.share < room - 1e-6].any()


def test_no_row_at_all_binds_and_all_is_chosen_by_cost() -> None:
    choice = Choice(np.array([3.0, 1.0]), csr_array([[1.0, 1.0]]), np.array([9.0]), np.array([0, 0]))
    found = chosen_in_parts(choice)
    assert (found.share.tolist(), found.total, found.prices.tolist()) == ([0.0, 1.0], 1.0, [0.0])


def test_of_a_plant_with_many_counts_only_the_tightest_is_named() -> None:
    rows = [
        Row(f"shoots {plant} {year}", "shoots", plant, None, 1.0) for plant in "abcd" for year in (2026, 2027)
    ]
    assert _named(rows) == ("shoots a 2026", "shoots b 2026", "shoots c 2026")
    weeks = [Row(f"hours {n}", "hours", "", date(2026, 6, 1 + 7 * n), 1.0) for n in range(4)]
    assert _named(weeks) == ("hours 0", "hours 1", "hours 2")
