"""One thing of a season is changed, and nothing else; what is not there cannot be."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest

from slipwright.records.answers.programme.change import changed
from slipwright.records.answers.programme.given import Given, given_of
from slipwright.records.answers.programme.planning import problem_of
from slipwright.records.answers.programme.room import hours_in
from slipwright.records.errors import Refused
from slipwright.records.models import Garden, Want
from tests.records.answers.season_garden import HANDBOOK, LAVENDER, ON, ROSE, SAGE, furnish

pytestmark = pytest.mark.parametrize("database", ["sqlite"], indirect=True)


@pytest.fixture
def given(garden: Garden) -> Given:
    """What the wants of a furnished garden are met from."""
    return given_of(furnish(garden), HANDBOOK, on=ON)


def rooms(given: Given) -> dict[str, float | None]:
    return {one.place: one.room_m2 for one in given.rooms}


def test_nothing_changes_where_nothing_is_changed(given: Given) -> None:
    assert changed(given, {}) is given


@pytest.mark.parametrize(
    ("change", "place", "room"),
    [
        ({"place": "mist", "more_m2": 1.5}, "mist-1", 3.5),
        ({"place": "mist-1", "more_m2": 1.5}, "mist-1", 3.5),
        ({"place": "mist", "factor": 2}, "mist-1", 4.0),
        ({"place": "tent", "factor": 0}, "frame-1", 0.0),
        ({"place": "nursery", "more_m2": 1}, "yard", 6.0),
        ({"place": "yard", "more_m2": -9}, "yard", 0.0),
    ],
)
def test_a_place_is_given_more_room_by_its_name_or_its_cover(
    given: Given, change: dict[str, Any], place: str, room: float
) -> None:
    after = changed(given, {"kind": "room", **change})
    assert rooms(after) == {**rooms(given), place: room}
    assert replace(after, rooms=given.rooms) == given


def test_hours_are_more_in_each_week_they_are_written_down_for(given: Given) -> None:
    after = changed(given, {"kind": "hours", "more_h": 2})
    monday = date(2026, 6, 8)
    assert hours_in(given, monday) == pytest.approx(21)  # two crews
    assert hours_in(after, monday) == pytest.approx(23)
    assert hours_in(after, ON) == pytest.approx(9)
    assert hours_in(after, date(2027, 2, 1)) is None
    less = changed(given, {"kind": "hours", "more_h": -50})
    assert hours_in(less, monday) == 0


def test_a_plant_gives_more_shoots(given: Given) -> None:
    after = changed(given, {"kind": "shoots", "plant": "rose-gate", "more": 5})
    before = {one.plant: one.n_may_go for one in given.plants[ROSE]}
    assert {one.plant: one.n_may_go for one in after.plants[ROSE]} == {**before, "rose-gate": 45}
    # of plants that are cut together the first has them
    assert changed(given, {"kind": "shoots", "plant": "rose-gate; rose-shed", "more": 5}) == after


def test_a_want_is_for_fewer_later_or_less_surely(given: Given) -> None:
    def of(change: dict[str, Any], want: str = "sage-26") -> Any:
        return next(one for one in changed(given, {"want": want, **change}).wants if one.want == want)

    assert of({"kind": "want_n", "n": 12}).n_wanted == 12
    assert of({"kind": "want_assurance", "p": 0.6}).assurance == Decimal("0.6")
    later = changed(given, {"kind": "want_by", "want": "sage-26", "on": "2027-09-01"})
    assert later.last_day == date(2027, 9, 1)
    assert [one.ready_by for one in later.wants] == sorted(one.ready_by for one in later.wants)
    untouched = [one for one in given.wants if one.want != "sage-26"]
    assert [one for one in later.wants if one.want != "sage-26"] == untouched


def test_a_plant_stands_under_another_cover(garden: Garden) -> None:
    furnish(garden)

    def covers(change: dict[str, Any]) -> dict[str, set[str]]:
        problem = problem_of(Garden.objects.get(pk=garden.pk), HANDBOOK, on=ON, change=change)
        rows: dict[str, set[str]] = {}
        for want in problem.season.wants:
            for option in want.options:
                used = {row.split(" ")[1] for row in option.use_each if row.startswith("bench")}
                rows.setdefault(want.taxon, set()).update(used)
        return rows

    before, after = covers({}), covers({"kind": "cover", "taxon": SAGE, "cover": "tent"})
    assert before[SAGE] == {"mist"}
    assert after == {**before, SAGE: {"tent"}}


def test_without_a_method_its_wood_is_made_in_another_way(garden: Garden) -> None:
    furnish(garden)
    problem = problem_of(
        Garden.objects.get(pk=garden.pk), HANDBOOK, on=ON, change={"kind": "no_method", "method": "sage-tips"}
    )
    methods = {option.method for want in problem.season.wants for option in want.options}
    assert "sage-tips" not in methods
    assert "rose-autumn" in methods
    assert any(want.options for want in problem.season.wants if want.taxon == SAGE)


@pytest.mark.parametrize(
    "change",
    [
        {"kind": "magic"},
        {"kind": "room"},
        {"kind": "room", "place": "moon", "more_m2": 1},
        {"kind": "room", "place": "mist", "more_m2": float("nan")},
        {"kind": "hours", "more_h": "many"},
        {"kind": "shoots", "plant": "sage-wall", "more": 5},
        {"kind": "shoots", "plant": "rose-gate; sage-wall", "more": 5},
        {"kind": "want_n", "want": "no such", "n": 5},
        {"kind": "want_n", "want": "sage-26", "n": 0},
        {"kind": "want_n", "want": "sage-26", "n": 10**7},
        {"kind": "want_by", "want": "sage-26", "on": "soon"},
        {"kind": "want_by", "want": "sage-26", "on": (ON - timedelta(days=1)).isoformat()},
        {"kind": "want_by", "want": "sage-26", "on": "2099-01-01"},
        {"kind": "want_assurance", "want": "sage-26", "p": 1.5},
        {"kind": "cover", "taxon": LAVENDER, "cover": "glass"},
        {"kind": "cover", "taxon": "Quercus", "cover": "mist"},
        {"kind": "no_method", "method": "no such"},
    ],
)
def test_what_is_not_there_or_cannot_be_read_is_refused(given: Given, change: dict[str, Any]) -> None:
    with pytest.raises(Refused):
        changed(given, change)


def test_a_want_whose_day_is_past_is_not_changed(garden: Garden) -> None:
    furnish(garden)
    Want.rows.of(garden).filter(want="sage-26").update(ready_by=ON - timedelta(days=1))
    given = given_of(garden, HANDBOOK, on=ON)
    with pytest.raises(Refused, match="past"):
        changed(given, {"kind": "want_by", "want": "sage-26", "on": "2026-09-01"})


def test_where_no_hours_are_written_down_none_can_be_added(given: Given) -> None:
    with pytest.raises(Refused):
        changed(replace(given, hours=[]), {"kind": "hours", "more_h": 2})
