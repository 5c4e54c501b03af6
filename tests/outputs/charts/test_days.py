"""The rule of days: every look on it, what comes when in its place, nothing over its edge."""

from __future__ import annotations

from datetime import date, timedelta
from xml.etree import ElementTree

import pytest

from slipwright.outputs.charts.days import HEIGHT, WIDTH, days_rule
from slipwright.outputs.sheet import Timeline

STUCK = date(2026, 10, 20)
LOOKS = tuple(STUCK + timedelta(days=7 * i) for i in range(1, 12))
WHOLE = Timeline(
    STUCK, LOOKS, (date(2026, 11, 17), date(2026, 12, 29)), (date(2026, 11, 19), date(2026, 12, 24))
)


def parts(days: Timeline, name: str, look: str = "") -> list[ElementTree.Element]:
    svg = ElementTree.fromstring(days_rule(days, "Days"))
    return [part for part in svg.iter(name) if look in part.get("class", "")]


def test_each_look_has_a_ring_and_later_ones_stand_further_right() -> None:
    rings = [float(ring.get("cx", "")) for ring in parts(WHOLE, "circle", "d-sheet")]
    assert len(rings) == len(LOOKS)
    assert rings == sorted(set(rings))


def test_roots_are_a_band_from_the_first_day_to_the_last() -> None:
    (band,) = parts(WHOLE, "rect", "d-enamelwash")
    rings = [float(ring.get("cx", "")) for ring in parts(WHOLE, "circle", "d-sheet")]
    left, wide = float(band.get("x", "")), float(band.get("width", ""))
    assert left == pytest.approx(rings[3])  # 17 Nov is the fourth look
    assert left + wide > rings[9]  # 29 Dec the tenth, and it is within


def test_what_is_not_known_is_not_drawn() -> None:
    words = [text.text for text in parts(Timeline(STUCK, LOOKS), "text")]
    assert "look" in words
    assert "roots" not in words
    assert "pot up" not in words


@pytest.mark.parametrize("days", [WHOLE, Timeline(STUCK), Timeline(STUCK, (STUCK + timedelta(days=500),))])
def test_nothing_stands_over_the_edge(days: Timeline) -> None:
    for name in ("circle", "rect", "line"):
        for part in parts(days, name):
            for key in ("x", "x1", "x2", "cx"):
                assert 0 <= float(part.get(key, "0")) <= WIDTH
            assert 0 <= float(part.get("y", "0")) <= HEIGHT


def test_words_are_given_by_the_page_and_escaped() -> None:
    drawn = days_rule(WHOLE, "Días <b>", words={"roots": "raíces <i>"}, months=list("abcdefghijkl"))
    assert "raíces &lt;i&gt;" in drawn
    assert "<i>" not in drawn
    assert "1 k" in drawn
    assert "Días &lt;b&gt;" in drawn
