"""When plants were seen to have come so far moves the days of the next, as it should."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.rooting.ready_days import (
    BATCH,
    EACH,
    GENUS,
    TAXON,
    Came,
    days_curve,
    days_draws,
    learn_scores,
    mean_score,
    points_of_days,
    score_of_days,
    var_score,
)

WEANING = days_curve(7, 12, 21)
few = settings(max_examples=30, deadline=None)
scores = st.floats(-2.5, 2.5)


def came(day: float, n: int = 5) -> list[Came]:
    return [Came(score_of_days(WEANING, 0.85 * day), score_of_days(WEANING, day), n)]


def middle(plants, name="Rosa"):
    return points_of_days(WEANING, learn_scores(plants)[name])[1]


@pytest.mark.parametrize("points", [(7, 12, 21), (3, 10, 21), (300, 410, 520), (10, 11, 40)])
def test_before_any_record_the_days_are_the_handbooks(points) -> None:
    found = points_of_days(days_curve(*points), learn_scores({})[""])
    assert found == pytest.approx(points, rel=1e-3)


def test_the_shares_of_the_variance_make_one_whole() -> None:
    assert pytest.approx(1) == GENUS + TAXON + BATCH + EACH
    assert var_score(learn_scores({})[""]) == pytest.approx(GENUS + TAXON)


@few
@given(st.floats(4, 40), st.floats(4, 40), st.integers(1, 30))
def test_later_seen_is_never_sooner_told(one, other, n) -> None:
    early, late = sorted((one, other))
    assert middle({"Rosa": [came(late, n)]}) >= middle({"Rosa": [came(early, n)]}) - 1e-6


@few
@given(st.lists(scores, max_size=4), scores, st.integers(1, 20))
def test_a_batch_not_yet_there_never_makes_the_days_fewer(seen, so_far, n) -> None:
    history = [[Came(score - 0.5, score, 4)] for score in seen]
    waits = [Came(so_far, math.inf, n)]
    assert middle({"Rosa": [*history, waits]}) >= middle({"Rosa": history}) - 1e-6


@few
@given(st.lists(st.floats(5, 30), min_size=2, max_size=5), st.randoms())
def test_the_order_of_the_records_does_not_matter(days, order) -> None:
    found = learn_scores({"Rosa": [came(day) for day in days], "Salvia": [came(9)]})
    order.shuffle(days)
    again = learn_scores({"Salvia": [came(9)], "Rosa": [came(day) for day in days]})
    for name in ("Rosa", "Salvia", ""):
        np.testing.assert_allclose(again[name], found[name], rtol=1e-9, atol=1e-15)


def test_few_plants_of_many_batches_teach_more_than_many_of_one() -> None:
    one = learn_scores({"Rosa": [came(30, 40)]})["Rosa"]
    many = learn_scores({"Rosa": [came(30, 5)] * 8})["Rosa"]
    assert var_score(many) < var_score(one)
    assert mean_score(many) > mean_score(one) > 0


def test_a_day_far_out_of_all_bounds_does_no_harm() -> None:
    found = learn_scores({"Rosa": [came(12), came(9000, 200)]})["Rosa"]
    assert np.isfinite(found).all()
    assert middle({"Rosa": [came(12)]}) == pytest.approx(points_of_days(WEANING, found)[1], rel=0.01)


def test_with_many_batches_the_records_have_the_last_word() -> None:
    generator = np.random.default_rng(3)
    of_batches = 1.0 + math.sqrt(BATCH) * generator.standard_normal(60)
    plants = of_batches[:, None] + math.sqrt(EACH) * generator.standard_normal((60, 6))
    found = learn_scores({"Rosa": [[Came(z - 0.2, z + 0.2, 1) for z in row] for row in plants]})["Rosa"]
    assert mean_score(found) == pytest.approx(1.0, abs=3 * math.sqrt(BATCH / 60))


def test_draws_have_the_points() -> None:
    found = learn_scores({"Rosa": [came(20), came(25)]})["Rosa"]
    drawn = days_draws(WEANING, found, np.random.default_rng(4), 20_000)
    assert np.quantile(drawn, [0.1, 0.5, 0.9]) == pytest.approx(points_of_days(WEANING, found), rel=0.03)
