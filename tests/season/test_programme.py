"""Programmes keep to the room, to their word and to their seed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.craft.errors import BadArgument
from slipwright.season.asked import Drawn, Draws, Season, Standing, Want
from slipwright.season.planning import programme_of
from slipwright.season.programme import Programme
from tests.season.worlds import bench, draws_of, option, small_season, want


def planned(season: Season, draws: Draws, **more: object) -> Programme:
    return programme_of(season, draws, n_workers=0, n_scenarios=400, n_fresh=2_000, **more)  # type: ignore[arg-type]


def without_times(programme: Programme) -> Programme:
    return replace(programme, seconds=None)  # type: ignore[arg-type]


seeds = st.integers(0, 10_000).map(np.random.default_rng)


@settings(max_examples=12, deadline=None)
@given(seeds, st.floats(0.1, 1.5))
def test_rooms_are_never_exceeded(generator: np.random.Generator, tight: float) -> None:
    season, draws = small_season(generator, 4, tight=tight)
    programme = planned(season, draws)
    options = {option.option: option for want in season.wants for option in want.options}
    for row, load in zip(season.rows, programme.loads, strict=True):
        used = sum(
            line.n_to_stick * options[line.option].use_each.get(row.row, 0.0) for line in programme.lines
        )
        assert used <= row.room + 1e-9
        assert load.used == pytest.approx(used, abs=1e-9)


@settings(max_examples=8, deadline=None)
@given(seeds)
def test_the_total_lies_above_the_bound(generator: np.random.Generator) -> None:
    programme = planned(*small_season(generator, 4))
    assert programme.cost + programme.penalty >= programme.bound - 1e-6
    assert -1e-9 <= programme.gap < 1
    assert sum(line.cost for line in programme.lines) == pytest.approx(programme.cost)


@settings(max_examples=8, deadline=None)
@given(seeds)
def test_wants_that_are_not_short_are_promised_what_was_wished(generator: np.random.Generator) -> None:
    programme = planned(*small_season(generator, 3, tight=5.0))
    for one in programme.wants:
        assert one.short_by == 0
        assert one.promised >= one.assurance - 0.01
        assert one.promised == one.promised_planned


def test_the_same_season_and_seed_give_the_same_programme() -> None:
    season, draws = small_season(np.random.default_rng(7), 5)
    first = planned(season, draws, seed=4)
    assert without_times(planned(season, draws, seed=4)) == without_times(first)
    assert without_times(planned(season, draws, seed=5)) != without_times(first)


def test_processes_of_their_own_give_the_same_programme() -> None:
    season, draws = small_season(np.random.default_rng(8), 3)
    alone = planned(season, draws)
    together = programme_of(season, draws, n_workers=2, n_scenarios=400, n_fresh=2_000)
    assert without_times(together) == without_times(alone)


def test_more_containers_never_promise_less() -> None:
    ways = [option("a")]
    promised = []
    for n_wanted in (30, 20, 10):
        season = Season((want("w", n_wanted, *ways, value=1e6),), (bench(100.0),))
        tight = Season(
            (want("w", n_wanted, option("a", use_each={"bench/0": 1.0}), value=1e6),), (bench(24.0),)
        )
        assert planned(season, draws_of(0.6)).wants[0].promised >= 0.79
        promised.append(planned(tight, draws_of(0.6)).wants[0].promised)
    assert promised == sorted(promised)


def test_a_want_that_falls_short_is_given_fewer_plants() -> None:
    one = want("w", 20, option("a", use_each={"bench/0": 1.0}), value=50.0)
    [found] = planned(Season((one,), (bench(24.0),)), draws_of(0.6)).wants
    assert 0 < found.planned < 20
    assert found.short_by == 20 - found.planned
    assert found.promised < 0.8 - 0.01 <= found.promised_planned


def test_the_value_of_a_plant_decides_which_want_falls_short() -> None:
    ways = {name: option(name, use_each={"bench/0": 1.0}) for name in "ab"}
    for dear, cheap in (("a", "b"), ("b", "a")):
        wants = (want(dear, 10, ways[dear], value=90.0), want(cheap, 10, ways[cheap], value=3.0))
        found = {one.want: one for one in planned(Season(wants, (bench(25.0),)), draws_of(0.7)).wants}
        assert (found[dear].short_by, found[cheap].short_by > 0) == (0, True)


def test_an_empty_value_is_five_times_the_cheapest_cost_a_plant_and_says_so() -> None:
    season = Season((want("w", 10, option("a", each=2.0, once=0.0)),), (bench(9.0),))
    programme = planned(season, draws_of(0.7))
    [found] = programme.wants
    assert found.value_each == pytest.approx(5 * programme.cost / 10)
    assert not found.is_value_stated


def test_without_any_costs_wants_are_still_met() -> None:
    free = option("a", each=0.0, once=0.0)
    [found] = planned(Season((want("w", 10, free),), (bench(9.0),)), draws_of(0.7)).wants
    assert found.short_by == 0


def test_wood_of_a_plant_is_shared_between_wants() -> None:
    cut = {"bench/0": 0.5}
    wants = tuple(want(name, 10, option(name, use_each=cut), value=50.0) for name in "ab")
    roomy, scarce = (planned(Season(wants, (bench(room),)), draws_of(0.7)) for room in (20.0, 14.0))
    assert [one.short_by > 0 for one in roomy.wants] == [False, False]
    assert sum(one.short_by > 0 for one in scarce.wants) == 1


def test_standing_batches_count_and_take_room() -> None:
    one = want("w", 20, option("a", use_each={"bench/0": 0.1}), value=50.0)
    season = Season((one,), (bench(10.0),), (Standing("k", "w", {"bench/0": 1.5}),))
    stands = planned(season, draws_of(0.6, standing={"w": 12}))
    alone = planned(Season((one,), (bench(10.0),)), draws_of(0.6))
    assert sum(line.n_to_stick for line in stands.lines) < sum(line.n_to_stick for line in alone.lines)
    assert stands.loads[0].used == pytest.approx(1.5 + 0.1 * stands.lines[0].n_to_stick)
    nothing = planned(season, draws_of(0.6, standing={"w": 25}))
    assert (nothing.lines, nothing.wants[0].promised, nothing.penalty) == ((), 1.0, 0.0)


def test_announced_weeks_are_kept_unless_changing_them_is_worth_it() -> None:
    early, late = option("early", 0, each=1.0), option("late", 3, each=1.0)
    season = Season((want("w", 12, early, late),), (bench(9.0),))
    draws = draws_of({"early": 0.7, "late": 0.7})
    first = planned(season, draws)
    [line] = first.lines
    dearer = replace(early if line.option == "early" else late, cost_each=1.02)
    options = tuple(dearer if way.option == line.option else way for way in season.wants[0].options)
    again = replace(season, wants=(replace(season.wants[0], options=options),))
    [moved] = planned(again, draws, before=first).lines
    [stays] = planned(again, draws, before=first, change_cost=5.0).lines
    assert (moved.option == line.option, stays.option == line.option) == (False, True)


def test_a_kept_list_that_went_meanwhile_is_made_anew() -> None:
    class Gone(dict[str, bytes]):
        def __contains__(self, key: object) -> bool:
            return True

    season, draws = Season((want("w", 12, option("a")),), (bench(9.0),)), draws_of(0.8)
    there: dict[str, bytes] = {}
    gone = Gone()
    first, again = planned(season, draws, kept=there), planned(season, draws, kept=gone)
    assert without_times(first) == without_times(again)
    assert set(gone.keys()) == set(there.keys())


def test_a_marked_want_with_kept_lists_is_not_drawn_for_listing_again() -> None:
    asked: list[int] = []
    plain = draws_of(0.7)

    def draws(want: Want, places: tuple[int, ...], n_draws: int, seed: int) -> Drawn:
        asked.append(n_draws)
        return plain(want, places, n_draws, seed)

    season = Season((want("w", 12, option("a"), option("b"), mark="m"),), (bench(9.0),))
    kept: dict[str, bytes] = {}
    first = planned(season, draws, kept=kept)
    assert asked.count(400) == 1
    again = planned(season, draws, kept=kept)
    assert asked.count(400) == 1
    assert without_times(again) == without_times(first)
    changed = replace(season, wants=(replace(season.wants[0], mark="n"),))
    planned(changed, draws, kept=kept)
    assert asked.count(400) == 2


def test_an_unmarked_want_is_listed_anew_when_its_draws_change() -> None:
    season = Season((want("w", 12, option("a")),), (bench(9.0),))
    kept: dict[str, bytes] = {}
    good = planned(season, draws_of(0.8), kept=kept)
    poor = planned(season, draws_of(0.4), kept=kept)
    assert poor.lines[0].n_to_stick > good.lines[0].n_to_stick
    assert len(kept) == 2


@pytest.mark.parametrize(
    ("broken", "argument"),
    [
        (lambda: Season((want("w", 0),), ()), "n_wanted"),
        (lambda: Season((want("w", 1, assurance=1.0),), ()), "assurance"),
        (lambda: Season((want("w", 1), want("w", 1)), ()), "wants"),
        (lambda: Season((want("w", 1, option("a"), option("a")),), ()), "options"),
        (lambda: Season((want("w", 1, option("a", per=0)),), ()), "n_per_container"),
        (lambda: Season((want("w", 1, option("a", use_each={"x": 1.0})),), ()), "use"),
        (lambda: Season((), (bench(-1.0),)), "room"),
        (lambda: Season((want("w", 1, option("a", each=float("nan"))),), ()), "cost_each and cost_once"),
    ],
)
def test_what_cannot_be_is_refused(broken: object, argument: str) -> None:
    with pytest.raises(BadArgument) as error:
        broken()  # type: ignore[operator]
    assert error.value.argument == argument


def test_draws_that_are_no_shares_are_refused() -> None:
    season = Season((want("w", 5, option("a")),), ())
    with pytest.raises(BadArgument, match="shares from 0 to 1 for each option"):
        planned(season, lambda *asked: Drawn(np.full((1, 400), 1.5)))
