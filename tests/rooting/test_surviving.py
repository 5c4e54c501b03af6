"""What became of potted plants moves the share that lives, as it should."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.rooting.share_prior import share_grid
from slipwright.rooting.surviving import learn_shares, mean_of_share, points_of_share, share_draws

GRID = share_grid(0.6, 0.8, 0.92)
counts = st.tuples(st.integers(0, 30), st.integers(0, 30))
histories = st.lists(counts, max_size=6)
few = settings(max_examples=30, deadline=None)


def mean(plants, name="Rosa"):
    return mean_of_share(GRID, learn_shares(GRID, plants)[name])


@few
@given(histories)
def test_one_more_plant_seen_to_live_never_lowers_what_is_expected(history) -> None:
    before = mean({"Rosa": history})
    assert mean({"Rosa": [*history, (1, 0)]}) >= before - 1e-12
    assert mean({"Rosa": [*history, (0, 1)]}) <= before + 1e-12


@few
@given(st.integers(1, 40), st.data())
def test_of_one_batch_the_more_lived_the_more_is_expected(n, data) -> None:
    lived = data.draw(st.integers(0, n - 1))
    assert mean({"Rosa": [(lived + 1, n - lived - 1)]}) >= mean({"Rosa": [(lived, n - lived)]}) - 1e-12


@few
@given(histories, histories, st.randoms())
def test_the_order_of_the_records_does_not_matter(roses, sages, order) -> None:
    found = learn_shares(GRID, {"Rosa": roses, "Salvia": sages})
    order.shuffle(roses)
    again = learn_shares(GRID, {"Salvia": sages, "Rosa": roses})
    for name in ("Rosa", "Salvia", ""):
        np.testing.assert_allclose(again[name], found[name], rtol=1e-9, atol=1e-15)


def test_nothing_seen_leaves_the_handbooks_word() -> None:
    assert learn_shares(GRID, {})[""] == pytest.approx(GRID.unseen)
    assert learn_shares(GRID, {"Rosa": []})["Rosa"] == pytest.approx(GRID.unseen)


def test_a_plant_learns_most_from_itself_and_some_from_its_kin() -> None:
    found = learn_shares(GRID, {"Rosa": [(0, 10)] * 4, "Salvia": []})
    own, kin = (mean_of_share(GRID, found[name]) for name in ("Rosa", "Salvia"))
    assert own < kin < mean_of_share(GRID, GRID.unseen)
    assert found["Salvia"] == pytest.approx(found[""])


def test_with_many_batches_the_records_have_the_last_word() -> None:
    generator = np.random.default_rng(1)
    shares = generator.beta(0.4 * 12, 0.6 * 12, size=200)
    lived = generator.binomial(20, shares)
    found = learn_shares(GRID, {"Rosa": [(int(n), int(20 - n)) for n in lived]})["Rosa"]
    assert mean_of_share(GRID, found) == pytest.approx(lived.mean() / 20, abs=0.01)
    assert points_of_share(GRID, found) == pytest.approx(np.quantile(shares, [0.1, 0.5, 0.9]), abs=0.05)


def test_batches_that_differ_count_as_batches_and_not_as_plants() -> None:
    alike = learn_shares(GRID, {"Rosa": [(12, 8)] * 10})["Rosa"]
    unlike = learn_shares(GRID, {"Rosa": [(20, 0), (4, 16)] * 5})["Rosa"]
    widths = [np.diff(points_of_share(GRID, found)[[0, 2]])[0] for found in (alike, unlike)]
    assert widths[1] > 1.5 * widths[0]


def test_draws_have_the_points_and_the_mean() -> None:
    found = learn_shares(GRID, {"Rosa": [(9, 1), (3, 5)]})["Rosa"]
    drawn = share_draws(GRID, found, np.random.default_rng(2), 20_000)
    assert np.quantile(drawn, [0.1, 0.5, 0.9]) == pytest.approx(points_of_share(GRID, found), abs=0.01)
    assert drawn.mean() == pytest.approx(mean_of_share(GRID, found), abs=0.005)
    assert (drawn**0.35).mean() == pytest.approx(mean_of_share(GRID, found, power=0.35), abs=0.005)
