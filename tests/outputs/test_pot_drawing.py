"""Containers from above."""

from __future__ import annotations

import pytest

from slipwright.craft.errors import BadArgument
from slipwright.outputs._press.paper import A4_MM, Paper
from slipwright.outputs._press.pot_drawing import LEGEND_MM, PotDrawing, draw_pot
from tests.outputs.making import round_pot


def test_the_nearest_two_are_those_nearest_the_reader() -> None:
    nearest = round_pot().nearest()
    assert nearest is not None
    assert nearest[2] == pytest.approx(45.92, abs=0.01)
    assert nearest[0][1] + nearest[1][1] > 100


def test_one_cutting_has_no_neighbour() -> None:
    pot = PotDrawing(110, ((0.0, 0.0),))
    assert pot.nearest() is None
    assert draw_pot(Paper(A4_MM, title="t"), pot, 10, 10, 40) == pytest.approx(50)


def test_a_tray_keeps_its_proportions() -> None:
    tray = PotDrawing(270, ((0.0, 0.0), (40.0, 0.0)), length_mm=540, round=False)
    assert draw_pot(Paper(A4_MM, title="t"), tray, 10, 10, 40) == pytest.approx(50 + LEGEND_MM)


def test_a_small_pot_is_not_drawn_larger_than_it_is() -> None:
    assert draw_pot(Paper(A4_MM, title="t"), PotDrawing(20, ((0.0, 0.0),)), 10, 10, 40) == pytest.approx(30)


@pytest.mark.parametrize(
    ("fields", "rule"),
    [
        ({"width_mm": 0, "points_mm": ()}, "width_mm must be above 0"),
        ({"width_mm": 100, "points_mm": (), "length_mm": 0}, "length_mm must be above 0"),
        ({"width_mm": 100, "points_mm": (), "n_containers": 0}, "n_containers must be at least 1"),
        ({"width_mm": 100, "points_mm": ((40.0, 40.0),)}, "points_mm must lie inside"),
        ({"width_mm": 100, "points_mm": ((4.0, 4.0), (4.0, 4.0))}, "points_mm must be different"),
    ],
)
def test_a_pot_that_cannot_be_is_refused(fields: dict[str, object], rule: str) -> None:
    with pytest.raises(BadArgument, match=rule):
        PotDrawing(**fields)  # type: ignore[arg-type]
