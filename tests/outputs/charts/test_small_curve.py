"""The small curve: what is counted, what may come, and today."""

from __future__ import annotations

import re
from xml.etree import ElementTree

from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.outputs.charts.small_curve import HEIGHT, WIDTH, small_curve

COUNTS = st.lists(st.integers(0, 400), min_size=1, max_size=9)


def test_the_range_has_an_outline_and_today_is_brass_with_an_edge() -> None:
    drawn = small_curve([(7, 0), (14, 3)], [20, 60], [3, 5], [3, 8], [3, 11], age_days=20, n_stuck=12)
    assert drawn.count("d-enamelwash") == 1
    assert drawn.count("<circle") == 2
    assert re.search(r'<rect class="d-brass d-thin"', drawn)
    assert "style=" not in drawn


def test_nothing_ahead_draws_no_band() -> None:
    drawn = small_curve([(7, 0)], [100], [3], [3], [3], age_days=100, n_stuck=12)
    assert "d-enamelwash" not in drawn


def test_the_words_are_told_to_those_who_do_not_see_it() -> None:
    drawn = small_curve([], [0, 9], [0, 1], [0, 2], [0, 3], age_days=0, n_stuck=5, title="2 < 3 & more")
    assert 'role="img" aria-label="2 &lt; 3 &amp; more"' in drawn


def test_later_days_lie_further_right_and_more_lie_higher() -> None:
    drawn = small_curve([(10, 2), (20, 6)], [30, 90], [6, 6], [6, 9], [6, 12], age_days=30, n_stuck=12)
    (x1, y1), (x2, y2) = [
        (float(dot.get("cx", "")), float(dot.get("cy", "")))
        for dot in ElementTree.fromstring(drawn).iter("circle")
    ]
    assert x1 < x2
    assert y1 > y2


@settings(deadline=None)
@given(COUNTS, COUNTS, st.integers(0, 2000), st.integers(1, 300))
def test_nothing_leaves_the_drawing(seen: list[int], ahead: list[int], age: int, n_stuck: int) -> None:
    counted = [(day, sum(seen[: k + 1])) for k, day in enumerate(sorted(seen))]
    days = [age + k * 7 for k in range(len(ahead))]
    drawn = small_curve(counted, days, ahead, ahead, ahead, age_days=age, n_stuck=n_stuck)
    for element in ElementTree.fromstring(drawn).iter():
        if element.tag == "circle":
            assert 0 <= float(element.get("cx", "")) <= WIDTH
            assert 0 <= float(element.get("cy", "")) <= HEIGHT
        if element.tag == "path" and "v" not in element.get("d", ""):
            figures = [float(n) for n in re.findall(r"-?[\d.]+", element.get("d", ""))]
            assert all(0 <= x <= WIDTH for x in figures[::2])
            assert all(0 <= y <= HEIGHT for y in figures[1::2])
