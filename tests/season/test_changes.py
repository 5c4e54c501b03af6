"""What changed between two programmes is told batch by batch, with its reason."""

from __future__ import annotations

from dataclasses import replace

from slipwright.season.asked import Draws, Season, Standing
from slipwright.season.changes import Change, changes, side_by_side
from slipwright.season.planning import programme_of
from slipwright.season.programme import Programme
from tests.season.worlds import bench, draws_of, monday, option, want

EARLY = option("early", 0, each=1.0, use_each={"bench/0": 1.0})
LATE = option("late", 3, each=1.3, use_each={"bench/3": 1.0})
ONE = want("w", 12, EARLY, LATE, value=50.0)
ROOMY = Season((ONE,), (bench(100.0), bench(100.0, 3)))
GOOD = draws_of({"early": 0.7, "late": 0.7})


def planned(season: Season, draws: Draws = GOOD) -> Programme:
    return programme_of(season, draws, n_workers=0, n_scenarios=400, n_fresh=2_000)


def told(
    before: Season, after: Season, then: Draws = GOOD, now: Draws = GOOD, *, known: bool = True
) -> list[Change]:
    return list(
        changes(
            planned(before, then),
            planned(after, now),
            after,
            now,
            season_before=before if known else None,
            n_scenarios=400,
        )
    )


def kinds(found: list[Change]) -> list[tuple[str, str]]:
    return [(change.kind, change.reason) for change in found]


def test_what_stays_is_kept_without_a_reason() -> None:
    assert kinds(told(ROOMY, ROOMY)) == [("kept", "")]


def test_a_want_that_is_new_or_gone() -> None:
    other = replace(ONE, want="v")
    both = replace(ROOMY, wants=(ONE, other))
    assert kinds(told(ROOMY, both)) == [("kept", ""), ("added", "want_new")]
    assert kinds(told(both, ROOMY)) == [("kept", ""), ("dropped", "want_gone")]


def test_a_want_for_more_plants_or_another_day() -> None:
    more = replace(ROOMY, wants=(replace(ONE, n_wanted=24),))
    assert kinds(told(ROOMY, more)) == [("resized", "want_changed")]
    later = replace(ROOMY, wants=(replace(ONE, due=monday(40), options=(LATE,)),))
    assert kinds(told(ROOMY, later)) == [("moved", "want_changed")]


def test_a_way_that_is_closed_by_now() -> None:
    closed = replace(ROOMY, wants=(replace(ONE, options=(LATE,)),))
    [change] = told(ROOMY, closed)
    assert (change.kind, change.reason) == ("moved", "closed")
    assert change.was is not None
    assert change.now is not None
    assert (change.was.option, change.now.option) == ("early", "late")


def test_an_outlook_that_is_worse_is_told_in_chances() -> None:
    [change] = told(ROOMY, ROOMY, GOOD, draws_of({"early": 0.5, "late": 0.4}))
    assert (change.kind, change.reason) == ("resized", "outlook")
    assert change.p_was is not None
    assert change.p_now is not None
    assert change.p_now < 0.79 <= change.p_was


def test_less_room_is_told_with_its_row() -> None:
    less = replace(ROOMY, rows=(bench(6.0), bench(100.0, 3)))
    [change] = told(ROOMY, less)
    assert (change.kind, change.reason, change.row) == ("moved", "room", "bench/0")


def test_what_makes_way_for_others_says_so() -> None:
    narrow = replace(ROOMY, rows=(bench(25.0), bench(100.0, 3)))
    other = want("v", 12, replace(EARLY, option="only"), value=90.0)
    both = replace(narrow, wants=(ONE, other))
    draws = draws_of({"early": 0.7, "late": 0.7, "only": 0.7})
    found = told(narrow, both, draws, draws)
    assert ("added", "want_new") in kinds(found)
    assert ("moved", "others") in kinds(found)


def test_what_was_stuck_is_told_and_the_rest_stands() -> None:
    batch = Standing("k7", "w", {"bench/0": 18.0})
    after = replace(ROOMY, wants=(replace(ONE, options=(LATE,)),), standing=(batch,))
    found = told(ROOMY, after, GOOD, draws_of({"late": 0.7}, standing={"w": 12}))
    assert kinds(found) == [("stuck", "stuck")]


def test_two_programmes_side_by_side() -> None:
    before, after = planned(ROOMY), planned(replace(ROOMY, rows=(bench(6.0), bench(6.0, 3))))
    beside = side_by_side(before, after)
    assert beside.n_short == (0, 1)
    assert beside.n_batches == (len(before.lines), len(after.lines))
    [(name, (planned_before, planned_after), _)] = beside.wants
    assert (name, planned_before) == ("w", 12)
    assert planned_after < 12
