"""What was believed beside what was learned: equal factors equally far apart, nothing off the scale."""

from __future__ import annotations

import re

import pytest

from slipwright.outputs.charts.beliefs import (
    REACHES,
    ShareWords,
    reach_of,
    share_curves,
    times_bar,
    times_rule,
)

WORDS = ShareWords("Rooted by day", "handbook", "your records", "{n} wk")
FLAT = [[0, 0.2], [0, 0.5], [0, 0.8]]


def dot_of(drawn: str) -> float:
    """Return where the dot of a bar stands."""
    found = re.search(r'<circle[^>]* cx="([\d.]+)"', drawn)
    assert found
    return float(found.group(1))


def bar(middle: float, reach: float = 5.0) -> str:
    """Return the bar of one multiple."""
    return times_bar((0.5, 1, 2), (middle / 1.1, middle, middle * 1.1), "rooting", reach=reach, title="")


def test_half_and_twice_lie_equally_far_from_the_same() -> None:
    same = dot_of(bar(1))
    assert dot_of(bar(2)) - same == pytest.approx(same - dot_of(bar(0.5)), abs=0.02)
    assert dot_of(bar(5)) - same > 2 * (dot_of(bar(2)) - same)


def test_what_lies_beyond_the_scale_stands_at_its_end() -> None:
    ends = [dot_of(bar(times)) for times in (1e-6, 1e6)]
    assert 0 < ends[0] < ends[1] < 340


def test_a_scale_reaches_as_far_as_what_stands_on_it_and_no_further() -> None:
    assert reach_of([(0.8, 1, 1.3)]) == 3
    assert reach_of([(0.8, 1, 1.3), (0.15, 0.3, 0.5)]) == 10
    assert reach_of([(0.001, 1, 2)]) == REACHES[-1]
    assert reach_of([]) == REACHES[0]


@pytest.mark.parametrize("reach", REACHES)
def test_the_rule_names_the_same_and_both_ends(reach: float) -> None:
    drawn = times_rule(reach)
    assert ">1</text>" in drawn
    assert f">{reach:g}</text>" in drawn
    assert f">1/{reach:g}</text>" in drawn


def test_rooting_and_loss_are_told_apart_by_colour_and_belief_by_shape() -> None:
    loss = times_bar((0.5, 1, 2), (1.1, 1.4, 1.8), "loss", reach=5, title="1.4 times as fast")
    assert "d-madderfill" in loss
    assert "d-enamelfill" in bar(1.4)
    assert loss.count("d-open") == 1
    assert 'aria-label="1.4 times as fast"' in loss


def test_without_records_only_the_handbook_is_drawn() -> None:
    both, alone = (share_curves([0, 56], FLAT, learned, WORDS) for learned in (FLAT, None))
    assert "your records" in both
    assert "your records" not in alone
    assert "d-enamelwash" not in alone
    assert "handbook" in alone
