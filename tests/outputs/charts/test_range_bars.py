"""A range on its rule: dot and diamond stay apart by shape, nothing leaves the scale."""

from __future__ import annotations

import re

from slipwright.outputs.charts.range_bars import Scale, range_bar, range_rule

SHARES = Scale(0.0, 1.0, ((0.0, "0 in 10"), (0.5, "5 in 10"), (1.0, "10 in 10")), 0.1)


def test_as_learned_is_a_dot_and_as_counted_an_open_diamond() -> None:
    svg = range_bar((0.5, 0.6, 0.7), 0.9, SHARES, title="6 of 10")
    assert svg.count("<circle") == 1
    assert len(re.findall(r'<path class="d-ink d-line" d="M[^"]*Z"', svg)) == 1
    assert "Z" not in range_bar((0.5, 0.6, 0.7), None, SHARES, title="")
    assert "<circle" not in range_bar(None, 0.9, SHARES, title="")


def test_what_lies_beyond_the_scale_is_drawn_at_its_end() -> None:
    gaps = Scale(-0.1, 0.1, ((0.0, "as expected"),), 0.02, 0.0)
    svg = range_bar((-0.5, 0.0, 0.5), None, gaps, title="none")
    assert f"M{gaps.at(-0.1):g} 7" in svg
    assert f"H{gaps.at(0.1):g}" in svg
    assert "d-dash" in svg


def test_the_rule_has_a_tick_each_step_and_its_words() -> None:
    svg = range_rule(SHARES)
    ticks = re.findall(r'd="([^"]*)"', svg)[0]
    assert ticks.count("M") == 11
    for words in ("0 in 10", "5 in 10", "10 in 10"):
        assert f">{words}</text>" in svg
