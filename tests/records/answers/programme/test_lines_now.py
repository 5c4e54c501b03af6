"""Batches held against the lines they were stuck for: which line, of which plant, and what is left of it."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from slipwright.records.answers.programme.lines_now import lines_now
from slipwright.records.answers.programme.rest import rest_of, shared_out
from slipwright.records.selectors.season_stuck import StuckForWant
from tests.web.season_content import MONDAY, ROSE, line_told


def shoots(**of_plants: int | None) -> list[dict[str, Any]]:
    return [{"plant": plant, "place": "", "n_shoots": n} for plant, n in of_plants.items()]


def together(n: int = 0, week: date = MONDAY, **values: Any) -> dict[str, Any]:
    """A line of 100 cuttings, half of them from each of two plants."""
    made: dict[str, Any] = {"plant": "a; b", "n_to_stick": 100, "shoots": shoots(a=25, b=25)}
    return line_told(n, week, **{**made, **values})


def batch(n: int, plant: str = "a", on: date = MONDAY, method: str = "rose-autumn") -> StuckForWant:
    return StuckForWant("", "roses-27", ROSE, "semi-hardwood", plant, method, n, on)


def n_left(lines: list[dict[str, Any]], *stuck: StuckForWant) -> list[int]:
    return [line.n_left for line in lines_now(lines, stuck, on=MONDAY)]


def test_what_is_left_of_a_line_is_left_of_its_own_plants() -> None:
    (line,) = lines_now([together()], [batch(50)], on=MONDAY)
    assert line.left_of_plants == {"a": 0, "b": 50}
    assert [(one["plant"], one["n_shoots"], one["n_cuttings"]) for one in line.rest["shoots"]] == [
        ("b", 25, 50)
    ]
    assert (line.rest["plant"], line.rest["n_to_stick"]) == ("b", 50)


@pytest.mark.parametrize(
    ("stuck", "left"),
    [
        ([], {"a": 50, "b": 50}),
        ([batch(20)], {"a": 30, "b": 50}),
        # more of one than planned: less of the other makes up for it
        ([batch(60)], {"a": 0, "b": 40}),
        # from a plant that was not named: both give less
        ([batch(40, "c")], {"a": 30, "b": 30}),
        ([batch(20), batch(30, "b")], {"a": 30, "b": 20}),
    ],
)
def test_what_is_left_of_each_plant_comes_to_what_is_left(
    stuck: list[StuckForWant], left: dict[str, int]
) -> None:
    (line,) = lines_now([together()], stuck, on=MONDAY)
    assert line.left_of_plants == left
    assert sum(left.values()) == line.n_left


def test_of_shoots_that_nobody_counted_nothing_is_shared_out() -> None:
    (line,) = lines_now([together(shoots=shoots(a=25, b=None))], [batch(50)], on=MONDAY)
    assert line.left_of_plants == {}
    assert [one["n_shoots"] for one in line.rest["shoots"]] == [13, None]


def test_no_plant_gives_more_shoots_for_the_rest_than_for_all() -> None:
    told = together(n_to_stick=10, shoots=shoots(a=1, b=2))
    rest = rest_of(told, 9, {"a": 4, "b": 5})
    assert [one["n_shoots"] for one in rest["shoots"]] == [1, 2]


def test_a_batch_of_one_plant_counts_for_the_line_cut_from_it_and_others() -> None:
    alone = line_told(1, MONDAY + timedelta(weeks=1), plant="a", n_to_stick=50, shoots=shoots(a=25))
    later_first = [alone, together(2)]
    assert n_left([together(), alone], batch(50)) == [50, 50]
    assert n_left(later_first, batch(50)) == [50, 50]
    assert n_left(later_first, batch(50, on=MONDAY + timedelta(weeks=1))) == [0, 100]


def test_what_is_over_counts_for_the_next_line_and_at_last_for_the_last() -> None:
    lines = [line_told(0), line_told(1, MONDAY + timedelta(weeks=1))]
    assert n_left(lines, batch(30, "rose-gate")) == [0, 18]
    found = lines_now(lines, [batch(60, "rose-gate")], on=MONDAY)
    assert [line.n_stuck for line in found] == [24, 36]
    assert [line.standing for line in found] == ["done", "done"]
    # another want's or wood's line takes nothing of it
    assert n_left([line_told(0), line_told(1, wood="hardwood")], batch(30, "rose-gate")) == [0, 24]


def test_shares_are_whole_and_come_to_all() -> None:
    assert shared_out(10, {"a": 1, "b": 1, "c": 1}) == {"a": 4, "b": 3, "c": 3}
    assert shared_out(0, {"a": 2}) == {"a": 0}
    assert shared_out(5, {"a": 0}) == {"a": 0}
