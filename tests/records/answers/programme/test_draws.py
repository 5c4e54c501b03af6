"""What scenarios share and what they do not, and by when a cutting must have rooted to be ready."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import numpy as np

from slipwright.handbook import load_handbook
from slipwright.records.answers.programme.draws import Batch, GardenDraws, Scenarios, _luck_of
from slipwright.records.answers.programme.ready import Timing
from slipwright.rooting.cuttings import Cuttings
from slipwright.rooting.growing import Growth
from slipwright.rooting.learned import Kind, before_records
from slipwright.season.asked import Option, Want

N = 4000
ON, LATER = date(2026, 6, 1), date(2026, 6, 22)


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
        days = tuple(timing.stuck_on + timedelta(days=n) for n in range(-9, 500, 7))
        assert timing.last_ages(days).tolist() == [timing.last_age(day) for day in days]
        assert timing.ages_on(days).tolist() == list(range(-9, 500, 7))


DUE = date(2027, 6, 1)
ROSE, SAGE = "Rosa 'Pale Ferry'", "Salvia rosmarinus"


def want(name: str, taxon: str, *ways: tuple[str, date, str]) -> Want:
    """A want whose options are of a wood, a week and a plant."""
    options = [
        Option(f"{wood}/{week}/{plant}", taxon, wood, "", week, plant, 6, 1.0, 1.0)
        for wood, week, plant in ways
    ]
    return Want(name, taxon, 10, DUE, 0.8, tuple(options))


def draws_of(*wants: Want, methods: tuple[Cuttings, ...] = (Cuttings(),)) -> GardenDraws:
    batches = {
        (one.want, option.option): Batch(
            methods[k % len(methods)],
            Kind("Rosa" if one.taxon == ROSE else "Salvia", one.taxon, option.wood, "2026"),
            Timing(option.week, DUE, "finished", option.wood, "at-once", 90.0, 7, False),
        )
        for one in wants
        for k, option in enumerate(one.options)
    }
    grows = Growth().of(ROSE, load_handbook().page_of("Rosa"))
    return GardenDraws(before_records(), batches, {}, lambda _: grows, is_prior=True)


def clocks(draws: GardenDraws, of: Want, place: int) -> Any:
    return draws._clocks(draws._of(N, 1), of, place)[0].level[0]


def luck(draws: GardenDraws, of: Want, place: int) -> Any:
    """What a batch has beside all that is of its plant, its wood and its season."""
    batch = draws._batches[of.want, of.options[place].option]
    scenarios = draws._of(N, 1)
    of_path = scenarios._of_path(batch.kind, _luck_of(of, place))
    return (of_path - scenarios._above(batch.kind.path[:4]))[0]


def test_batches_of_one_wood_and_week_share_their_luck_whatever_plant_or_want_they_are_of() -> None:
    one = want("one", ROSE, ("softwood", ON, "gate"), ("softwood", ON, "shed"), ("softwood", LATER, "gate"))
    two = want("two", ROSE, ("softwood", ON, "wall"))
    draws = draws_of(one, two)
    first = clocks(draws, one, 0)
    assert np.corrcoef(first, clocks(draws, one, 1))[0, 1] > 1 - 1e-12
    assert np.corrcoef(first, clocks(draws, two, 0))[0, 1] > 1 - 1e-12
    assert np.corrcoef(first, clocks(draws, one, 2))[0, 1] < 0.95
    ready = draws(one, (0, 1, 2), N, 1).ready
    assert np.array_equal(ready[0], ready[1])
    assert np.array_equal(ready[0], draws(two, (0,), N, 1).ready[0])
    assert np.corrcoef(ready[0], ready[2])[0, 1] < 0.95


def test_batches_of_other_weeks_woods_and_plants_have_luck_of_their_own() -> None:
    one = want("one", ROSE, ("softwood", ON, "gate"), ("softwood", LATER, "gate"), ("hardwood", ON, "gate"))
    sage = want("sage", SAGE, ("softwood", ON, "wall"))
    draws = draws_of(one, sage)
    first = luck(draws, one, 0)
    assert first.std() > 0.05
    for other in (luck(draws, one, 1), luck(draws, one, 2), luck(draws, sage, 0)):
        assert abs(np.corrcoef(first, other)[0, 1]) < 0.06


def test_two_ways_of_one_week_share_their_luck_and_differ_by_what_is_done() -> None:
    one = want("one", ROSE, ("softwood", ON, "gate"), ("softwood", ON, "shed"))
    draws = draws_of(one, methods=(Cuttings(), Cuttings(leaves="none")))
    effect = clocks(draws, one, 1) - clocks(draws, one, 0)
    assert effect.std() > 0.05
    assert abs(np.corrcoef(effect, luck(draws, one, 0))[0, 1]) < 0.06


def test_a_batch_made_in_two_halves_is_no_safer_than_one() -> None:
    one = want("one", ROSE, ("softwood", ON, "gate"), ("softwood", ON, "shed"), ("softwood", LATER, "gate"))
    ready = draws_of(one)(one, (0, 1, 2), N, 1).ready
    halves, weeks = ready[:2].mean(axis=0), ready[[0, 2]].mean(axis=0)
    assert np.quantile(halves, 0.1) == np.quantile(ready[0], 0.1)
    assert weeks.std() < 0.95 * halves.std()
