"""What was written down of potted plants, as numbers that lived, died, came so far or had not yet."""

from __future__ import annotations

import math
from datetime import date, timedelta

import pytest

from slipwright.handbook import load_handbook
from slipwright.rooting.grow_prior import prior_of_page
from slipwright.rooting.grown import (
    HAZARD_BEHIND,
    Became,
    Grown,
    came_of,
    fate_of,
    n_followed,
)
from slipwright.rooting.ready_days import days_curve

STUCK = date(2025, 9, 1)
POTTED = date(2025, 11, 1)
ROSE = prior_of_page(load_handbook().page_of("Rosa"))
WEANING = days_curve(7, 14, 28)


def after(days: int) -> date:
    return POTTED + timedelta(days=days)


def grown(*became: Became, n: int = 10) -> Grown:
    return Grown("K7Q2M9T3", "Rosa", "semi-hardwood", STUCK, ((POTTED, n),) if n else (), became)


def test_the_handbook_speaks_for_every_stage_of_every_wood() -> None:
    page = load_handbook().page_of("Rosa")
    for wood, leaf in page.woods.items():
        assert ROSE.days_to(wood, "weaned")[1] == leaf.weaning_days.p50
        assert ROSE.days_to(wood, "finished")[1] == pytest.approx(leaf.months_to_finished.p50 * 30.4375)
        weaned, established = ROSE.days_to(wood, "weaned"), ROSE.days_to(wood, "established")
        assert weaned[1] < established[1] < ROSE.days_to(wood, "finished")[1]
    assert prior_of_page(None).days_to("hardwood", "weaned") == (3.0, 10.0, 21.0)
    assert prior_of_page(None).days_to("hardwood", "finished") is None


def test_of_what_nobody_wrote_down_nothing_is_known() -> None:
    assert fate_of(grown(), ROSE) is None
    assert came_of(grown(), "weaned", WEANING) == []


def test_finished_plants_count_whole_and_plants_on_the_way_in_part() -> None:
    finished = Became(after(300), "finished", 7, 1, gone=True)
    assert fate_of(grown(finished), ROSE)[1] == 1
    assert 7 < fate_of(grown(finished), ROSE)[0] <= 9
    weaned = Became(after(14), "weaned", 9, 1)
    assert fate_of(grown(weaned), ROSE) == pytest.approx((9 * HAZARD_BEHIND["weaned"], 1))
    assert fate_of(grown(weaned, finished), ROSE)[1] == 2


def test_a_stage_counted_twice_does_not_make_more_plants_than_were_potted() -> None:
    twice = grown(Became(after(14), "weaned", 9, 1), Became(after(20), "weaned", 9, 0))
    assert fate_of(twice, ROSE)[0] == pytest.approx(9 * HAZARD_BEHIND["weaned"])
    assert n_followed([twice]) == 10


def test_losses_without_a_stage_leave_the_rest_alive_by_their_days() -> None:
    early, late = (fate_of(grown(Became(after(d), "potted", None, 3)), ROSE) for d in (2, 200))
    assert early[1] == late[1] == 3
    assert 0 < early[0] < late[0] < 7


def test_plants_written_down_without_a_potting_are_all_that_is_known_of() -> None:
    assert fate_of(grown(Became(after(300), "finished", 5, 1), n=0), ROSE) == (5.0, 1.0)


def test_weaned_by_a_day_means_within_the_last_quarter_and_the_rest_later() -> None:
    came, waits = came_of(grown(Became(after(20), "weaned", 6, 0)), "weaned", WEANING)
    assert came.n == 6
    assert WEANING.at(came.late) == pytest.approx(math.log(20))
    assert WEANING.at(came.early) == pytest.approx(math.log(15))
    assert (waits.n, waits.late) == (4, math.inf)
    assert WEANING.at(waits.early) == pytest.approx(math.log(20))


def test_a_second_entry_says_that_the_rest_came_between_the_two() -> None:
    entries = (Became(after(20), "weaned", 6, 0), Became(after(24), "weaned", 4, 0))
    first, second = came_of(grown(*entries), "weaned", WEANING)
    assert (first.n, second.n) == (6, 4)
    assert WEANING.at(second.early) == pytest.approx(math.log(20))


def test_weaned_plants_are_not_yet_finished_and_finished_ones_were_weaned() -> None:
    curve = ROSE.curve("semi-hardwood", "finished")
    (waits,) = came_of(grown(Became(after(14), "weaned", 10, 0)), "finished", curve)
    assert (waits.n, waits.late) == (10, math.inf)
    (came,) = came_of(grown(Became(after(300), "finished", 10, 0)), "weaned", WEANING)
    assert came.n == 10


def test_plants_that_died_or_left_on_the_way_came_no_sooner_than_they_were_last_seen() -> None:
    entries = (
        Became(after(14), "weaned", 8, 2),
        Became(after(100), "established", 3, 1),
        Became(after(120), "established", 2, 0, gone=True),
    )
    curve = ROSE.curve("semi-hardwood", "finished")
    assert sum(one.n for one in came_of(grown(*entries), "finished", curve)) == 10
    assert all(one.late == math.inf for one in came_of(grown(*entries), "finished", curve))
    assert sum(one.n for one in came_of(grown(*entries), "weaned", WEANING) if one.late < math.inf) == 8
    died, *_ = came_of(grown(*entries), "finished", curve)
    assert (died.n, curve.at(died.early)) == (2, pytest.approx(math.log((POTTED - STUCK).days)))


def test_the_order_of_entries_does_not_matter() -> None:
    entries = [Became(after(14), "weaned", 8, 2), Became(after(90), "established", 7, 1)]
    there, back = grown(*entries), grown(*entries[::-1])
    assert fate_of(there, ROSE) == fate_of(back, ROSE)
    assert came_of(there, "established", WEANING) == came_of(back, "established", WEANING)
