"""What came stands where it came, the band about the line, and a miss looks another than a hit."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest

from slipwright.outputs.charts.reliability import ReliabilityWords, range_bar, reliability_chart

WORDS = ReliabilityWords("As often as said", "said <so>", "came", "by chance", "yours", "{n} in 10")
LEVELS = [k / 20 for k in range(1, 20)]


def chart(came: list[float]) -> str:
    return reliability_chart(
        LEVELS, came, [max(x - 0.1, 0) for x in LEVELS], [x + 0.1 for x in LEVELS], WORDS
    )


def dots(drawn: str) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in re.findall(r'cx="([\d.]+)" cy="([\d.]+)"', drawn)]


def test_what_came_more_often_stands_higher() -> None:
    right, often = dots(chart(LEVELS)), dots(chart([min(level + 0.08, 1) for level in LEVELS]))
    assert [x for x, _ in right] == [x for x, _ in often]
    assert all(above < level for (_, level), (_, above) in zip(right[:-1], often[:-1], strict=True))


def test_right_forecasts_lie_on_a_straight_line() -> None:
    found = dots(chart(LEVELS))[:-1]
    slopes = [(y2 - y1) / (x2 - x1) for (x1, y1), (x2, y2) in pairwise(found)]
    assert slopes == pytest.approx([slopes[0]] * len(slopes), abs=0.02)


def test_shares_beyond_one_do_not_leave_the_chart() -> None:
    assert min(y for _, y in dots(chart([1.0] * 19))) >= 26


def test_words_are_escaped_and_the_title_is_told() -> None:
    drawn = chart(LEVELS)
    assert "said &lt;so&gt;" in drawn
    assert 'aria-label="As often as said"' in drawn
    assert "style=" not in drawn


def test_a_miss_is_a_diamond_and_a_hit_a_dot() -> None:
    for came in (3, 5, 8):
        assert dots(range_bar((3, 5, 8), came, 10, title=""))
    for came in (2, 9):
        drawn = range_bar((3, 5, 8), came, 10, title="")
        assert not dots(drawn)
        assert "d-open" in drawn


def test_the_bar_runs_from_none_to_all_that_was_stuck() -> None:
    (none,), (all_,) = (dots(range_bar((0, 5, 10), came, 10, title="")) for came in (0, 10))
    (half,) = dots(range_bar((0, 5, 10), 5, 10, title=""))
    assert half[0] == pytest.approx((none[0] + all_[0]) / 2)
