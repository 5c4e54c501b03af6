"""Bursts of mist as bars on the rule of the day's hours."""

from __future__ import annotations

import re
from xml.etree import ElementTree

from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.outputs.charts.mist_bars import HEIGHT, WIDTH, mist_bars

HOURS = st.lists(
    st.tuples(st.integers(0, 23), st.floats(0.3, 60)), min_size=1, max_size=24, unique_by=lambda one: one[0]
)


def drawn(hours: list[tuple[int, float]]) -> str:
    return mist_bars([(hour, n, n / 2, 2 * n) for hour, n in sorted(hours)], "Bursts", a_burst="most")


@settings(deadline=None)
@given(HOURS)
def test_there_is_a_bar_for_each_hour_and_all_stays_inside(hours: list[tuple[int, float]]) -> None:
    svg = drawn(hours)
    assert svg.count("d-enamelfill") == len(hours)
    for part in ElementTree.fromstring(svg).iter():
        for name in ("x", "x1", "x2"):
            assert -0.01 <= float(part.get(name, 0)) <= WIDTH + 0.01
        for name in ("y", "y1", "y2"):
            assert 0 <= float(part.get(name, 0)) <= HEIGHT


def test_a_bar_is_as_high_as_its_bursts() -> None:
    low, high = (
        float(n) for n in re.findall(r'd-enamelfill"[^>]*height="([\d.]+)"', drawn([(11, 2), (12, 4)]))
    )
    assert abs(high / low - 2) < 0.01


def test_a_day_without_mist_is_an_empty_drawing() -> None:
    assert "rect" not in mist_bars([], "Off", a_burst="")


def test_the_words_are_told_to_those_who_do_not_see_it() -> None:
    assert 'aria-label="Bursts"' in drawn([(12, 4)])
    assert "style=" not in drawn([(12, 4)])
