"""What scenarios share and what they do not, and by when a cutting must have rooted to be ready."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import numpy as np

from slipwright.handbook import load_handbook
from slipwright.records.answers.programme_draws import Scenarios
from slipwright.records.answers.programme_ready import Timing
from slipwright.rooting.growing import Growth
from slipwright.rooting.learned import Kind, before_records

N = 4000


def scenarios(seed: int = 1) -> Scenarios:
    return Scenarios(before_records(), N, seed, is_prior=True)


def effect(drawn: Scenarios, taxon: str, batch: str, season: str = "2026") -> Any:
    return drawn._of_path(Kind(taxon, taxon, "softwood", season), batch)[0]


def test_plants_never_seen_share_nothing_and_batches_of_one_share_its_effect() -> None:
    drawn = scenarios()
    rose, again = effect(drawn, "Rosa", "a"), effect(drawn, "Rosa", "b")
    assert np.corrcoef(rose, again)[0, 1] > 0.5
    assert not np.allclose(rose, again)
    assert abs(np.corrcoef(rose, effect(drawn, "Salvia", "c"))[0, 1]) < 0.06
    assert np.array_equal(rose, effect(drawn, "Rosa", "a"))
    assert not np.allclose(rose, effect(scenarios(2), "Rosa", "a"))


def test_another_season_of_a_plant_is_near_it_and_not_the_same() -> None:
    drawn = scenarios()
    this, next_one = effect(drawn, "Rosa", "a"), effect(drawn, "Rosa", "a", "2027")
    assert 0.5 < np.corrcoef(this, next_one)[0, 1] < 0.999


def test_each_draw_that_was_learned_counts_as_often_as_any_other() -> None:
    drawn = Scenarios(before_records(), N, 1, is_prior=False)
    assert set(np.bincount(drawn.place).tolist()) == {N // before_records().n_draws}
    assert not np.array_equal(drawn.place, np.sort(drawn.place))


def test_growing_on_spreads_as_the_handbook_says() -> None:
    page = load_handbook().page_of("Rosa")
    grows = Growth().of("Rosa", page)
    shared = scenarios().grows(grows, "Rosa", "finished", "semi-hardwood")
    generator = np.random.default_rng(1)
    living = shared.living(generator)
    assert living is not None
    found = np.quantile(living, (0.1, 0.5, 0.9))
    assert np.allclose(found, grows.living("finished"), atol=0.03)
    days = grows.days("finished", "semi-hardwood")
    assert days is not None
    come = [shared.come(day, generator.standard_normal(N)) for day in days]
    assert np.allclose([part.mean() for part in come if part is not None], (0.1, 0.5, 0.9), atol=0.03)


def test_a_cutting_that_roots_by_the_last_age_is_potted_in_time_and_one_later_is_not() -> None:
    for rule in ("at-once", "after-new-growth", "undisturbed-until-spring"):
        timing = Timing(
            date(2025, 9, 3),
            date(2026, 5, 1),
            "potted",
            "semi-hardwood",
            rule,
            400.0,
            7,
            False,
        )
        last = timing.last_age(timing.due)
        assert timing.potted_on(last) <= timing.due < timing.potted_on(last + 1)
        assert timing.last_age(timing.stuck_on - timedelta(days=1)) == -1
