"""The drawings a root ball is held against, and the rule of how long a pot is left in peace."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from datetime import date

import pytest

from slipwright.outputs.drawings.roots import ROOT_STATES, RootState, root_ball, standing_time


@pytest.mark.parametrize("state", ROOT_STATES)
def test_each_state_is_a_drawing_of_classes_without_styles(state: RootState) -> None:
    drawn = root_ball(state)
    ET.fromstring(drawn)
    assert "style=" not in drawn


def test_the_three_states_differ() -> None:
    assert len({root_ball(state) for state in ROOT_STATES}) == 3


def test_now_shows_three_roots_and_the_mark_beside_them() -> None:
    drawn = root_ball("now", mark="¾ in")
    assert drawn.count("d-ink d-thick") == 3
    assert ">¾ in</text>" in drawn


def test_only_one_fit_to_pot_carries_the_mark() -> None:
    assert "<text" not in root_ball("not-yet")
    assert "<text" not in root_ball("overdue")


def test_the_title_tells_what_is_shown_and_is_escaped() -> None:
    assert 'aria-label="roots &lt; 2 cm"' in root_ball("not-yet", title="roots < 2 cm")
    assert 'aria-hidden="true"' in root_ball("not-yet")


def test_the_rule_names_each_month_until_spring() -> None:
    drawn = standing_time(date(2026, 10, 20), date(2027, 4, 5), date(2027, 4, 25))
    ET.fromstring(drawn)
    for month in ("11", "12", "01", "02", "03", "04"):
        assert f">{month}</text>" in drawn


def test_the_longer_it_waits_the_longer_the_hatching() -> None:
    def hatched(may_from: date) -> float:
        drawn = standing_time(date(2026, 10, 20), may_from, date(2027, 4, 25))
        part = drawn.split('fill="url(#in-peace)"')[0].rsplit("<rect", 1)[1]
        return float(part.split('width="')[1].split('"')[0])

    assert hatched(date(2027, 4, 5)) > hatched(date(2027, 1, 5)) > 0


def test_a_wait_of_a_day_still_draws() -> None:
    drawn = standing_time(date(2027, 4, 24), date(2027, 4, 25), date(2027, 4, 25))
    ET.fromstring(drawn)
    assert "do not disturb" not in drawn
