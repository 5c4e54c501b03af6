"""A want that falls short is told what stops it; more room is promised only what solving again gives."""

from __future__ import annotations

from dataclasses import replace

import pytest

from slipwright.season.asked import Draws, Row, Season
from slipwright.season.planning import programme_of
from slipwright.season.programme import Programme, Stop
from tests.season.worlds import bench, draws_of, monday, option, want


def planned(season: Season, draws: Draws) -> Programme:
    return programme_of(season, draws, n_workers=0, n_scenarios=400, n_fresh=1_000)


def stops(season: Season, mean: float = 0.6) -> tuple[Stop, ...]:
    [found] = planned(season, draws_of(mean)).wants
    assert found.short_by > 0
    return found.stopped_by


SHOOTS = Row("shoots/willow", "shoots", "willow", None, 6.0)


def test_nothing_can_be_stuck_in_time() -> None:
    assert stops(Season((want("w", 10),), ())) == (Stop("no_option", (), True),)


def test_no_number_stuck_is_enough() -> None:
    season = Season((want("w", 10, option("a")),), (bench(1e6),))
    assert stops(season, 0.002) == (Stop("chance", (), True),)


def test_wood_of_the_plant_is_too_little() -> None:
    way = option("a", use_each={"shoots/willow": 0.5, "bench/0": 0.01})
    season = Season((want("w", 20, way),), (SHOOTS, bench(100.0)))
    assert stops(season) == (Stop("shoots", ("shoots/willow",), True),)


def test_two_limits_that_each_forbid_are_both_named() -> None:
    way = option("a", use_each={"shoots/willow": 0.5, "bench/0": 1.0})
    season = Season((want("w", 20, way),), (SHOOTS, bench(12.0)))
    assert stops(season) == (
        Stop("shoots", ("shoots/willow",), True),
        Stop("bench", ("bench/0",), True),
    )


def test_limits_that_forbid_only_together_are_said_to() -> None:
    # each option has a limit of its own: either alone could be gone round by the other
    ways = (
        option("a", use_each={"shoots/willow": 0.5}),
        option("b", use_each={"bench/0": 1.0}),
    )
    season = Season((want("w", 20, *ways),), (replace(SHOOTS, room=3.0), bench(6.0)))
    assert stops(season) == (Stop("together", (), True),)


def test_a_want_that_gives_way_to_another_is_told_the_week() -> None:
    ways = {name: option(name, use_each={"bench/0": 1.0, "bench/1": 0.1}) for name in "ab"}
    wants = (want("dear", 10, ways["a"], value=90.0), want("cheap", 10, ways["b"], value=3.0))
    programme = planned(Season(wants, (bench(25.0), bench(25.0, 1))), draws_of(0.7))
    [short] = [one for one in programme.wants if one.short_by]
    assert short.want == "cheap"
    assert short.stopped_by == (Stop("bench", ("bench/0",), False),)


def test_what_a_row_brings_is_what_the_programme_in_parts_gains_with_it() -> None:
    ways = {
        name: option(name, use_each={"bench/0": 1.0}, each=each) for name, each in (("a", 1.0), ("b", 2.0))
    }
    wants = tuple(want(name, 10, ways[name], value=20.0) for name in "ab")
    season = Season(wants, (bench(25.0, step=6.0),))
    before = planned(season, draws_of(0.7))
    [loose] = before.loosened
    after = planned(replace(season, rows=(bench(31.0),)), draws_of(0.7))
    assert (loose.row, loose.by) == ("bench/0", 6.0)
    assert loose.gain == pytest.approx(before.bound - after.bound, rel=1e-4)
    assert loose.more_plants > 0
    assert loose.saves == pytest.approx(loose.gain - 20.0 * loose.more_plants, rel=1e-4)


def test_where_there_is_room_nothing_is_to_be_gained() -> None:
    season = Season((want("w", 10, option("a", use_each={"bench/0": 1.0})),), (bench(1e4),))
    assert planned(season, draws_of(0.7)).loosened == ()


def test_a_step_left_out_is_a_tenth_of_the_room() -> None:
    one = want("w", 20, option("a", use_each={"bench/0": 1.0}), value=20.0)
    [loose] = planned(
        Season((one,), (Row("bench/0", "bench", "t", monday(0), 40.0),)), draws_of(0.6)
    ).loosened
    assert loose.by == pytest.approx(4.0)


def test_weeks_without_a_gap_that_all_bind_are_loosened_together() -> None:
    # a batch stands for two weeks: more room in either of them alone brings nothing
    way = option("a", use_each={"bench/0": 1.0, "bench/1": 1.0, "bench/5": 0.1})
    rows = (bench(25.0, step=6.0), bench(25.0, 1, step=6.0), bench(25.0, 5, step=6.0))
    [loose] = planned(Season((want("w", 20, way, value=20.0),), rows), draws_of(0.7)).loosened
    assert set(loose.rows) == {"bench/0", "bench/1"}
    assert loose.row in loose.rows
    assert loose.more_plants > 0


def test_all_limits_of_the_shoots_of_a_plant_are_loosened_together() -> None:
    rows = (SHOOTS, replace(SHOOTS, row="shoots/willow/until", room=6.0))
    way = option("a", use_each={"shoots/willow": 0.5, "shoots/willow/until": 0.5})
    one = want("w", 20, way, value=20.0)
    rows = (replace(rows[0], step=9.0), replace(rows[1], step=9.0))
    [loose] = planned(Season((one,), rows), draws_of(0.7)).loosened
    assert set(loose.rows) == {"shoots/willow", "shoots/willow/until"}
    assert loose.more_plants > 0


def test_plants_ready_on_fresh_draws_are_given_with_what_stands() -> None:
    one = want("w", 20, option("a"))
    [found] = planned(Season((one,), ()), draws_of(0.7, standing={"w": 5})).wants
    low, middle, high = found.ready
    assert low <= middle <= high
    assert found.standing_ready == (5, 5, 5)
    assert (low >= 20) == (found.promised >= 0.9)
    [without] = planned(Season((replace(one, n_wanted=3),), ()), draws_of(0.7, standing={"w": 5})).wants
    assert without.ready == (5, 5, 5)
