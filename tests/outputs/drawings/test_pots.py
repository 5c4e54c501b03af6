"""A pot from above."""

from __future__ import annotations

import math
import re
from xml.etree import ElementTree

import pytest

from slipwright.craft.errors import BadArgument
from slipwright.outputs.drawings.pots import PotFromAbove


def _dots(svg: str) -> list[tuple[float, float]]:
    return [
        (float(x), float(y)) for x, y in re.findall(r'd-woodmid d-line" cx="([\d.]+)" cy="([\d.]+)"', svg)
    ]


@pytest.mark.parametrize("n", [1, 5, 8, 12])
def test_each_cutting_is_drawn_once_inside_the_rim(n: int) -> None:
    svg = PotFromAbove(n, width_mm=165).svg()
    dots = _dots(svg)
    assert len(dots) == len(set(dots)) == n
    assert all(math.dist(dot, (90, 90)) < 86 for dot in dots)


def test_the_spacing_is_true_to_the_pot() -> None:
    svg = PotFromAbove(8, width_mm=165).svg()
    dots = _dots(svg)
    drawn = min(math.dist(a, b) for i, a in enumerate(dots) for b in dots[i + 1 :])
    apart = PotFromAbove(8, width_mm=165).apart_mm
    assert apart is not None
    assert drawn / (180 - 8) == pytest.approx(apart / 165, abs=0.01)


def test_a_tray_shows_every_cell() -> None:
    svg = PotFromAbove(1, width_mm=280, length_mm=360, volume_ml=60, cells=24).svg()
    assert len(_dots(svg)) == 24
    assert svg.count("<rect") == 2
    assert PotFromAbove(1, width_mm=280, length_mm=360, cells=24).apart_mm == pytest.approx(60, abs=12)


def test_a_pot_known_by_its_volume_is_drawn_and_one_of_no_size_is_not() -> None:
    assert len(_dots(PotFromAbove(5, volume_ml=2690).svg())) == 5
    assert PotFromAbove(5).svg() == ""
    assert PotFromAbove(1, volume_ml=60, cells=24).svg() == ""


def test_one_cutting_has_no_neighbour() -> None:
    assert PotFromAbove(1, width_mm=110).apart_mm is None
    assert "d-madder" not in PotFromAbove(1, width_mm=110).svg()


def test_it_says_in_words_what_it_shows() -> None:
    root = ElementTree.fromstring(PotFromAbove(3, width_mm=110).svg("3 in a pot"))
    assert root.get("aria-label") == "3 in a pot"


def test_no_cutting_is_refused() -> None:
    with pytest.raises(BadArgument):
        PotFromAbove(0, width_mm=110).svg()
