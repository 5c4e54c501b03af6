"""Canes as drawn: slants clear of their nodes, everything within the height it was given."""

from __future__ import annotations

import pytest

from slipwright.craft.errors import BadArgument
from slipwright.outputs._press.cane_drawing import draw_cane
from slipwright.outputs._press.cane_parts import CaneCutting, CaneDrawing, largest_scale, standing
from slipwright.outputs._press.paper import A4_MM, Paper
from slipwright.outputs._press.stem import Stem
from tests.outputs.making import hardwood_cane, lavender_tip, rose_cane

CANES = {
    "rose": rose_cane(),
    "tip": lavender_tip(),
    "hardwood": hardwood_cane(),
    "heel": CaneDrawing(85, (8, 30, 52, 78), form="heel", leaves="reduced"),
    "mallet": CaneDrawing(130, (8, 40, 72, 120), form="mallet", wood="hardwood", leaves="none"),
    "single": CaneDrawing(60, (8,), form="single-node", wood="softwood", leaf="leaflets"),
    "no nodes": CaneDrawing(60, ()),
}


@pytest.mark.parametrize("name", list(CANES))
@pytest.mark.parametrize("height", [98, 130, 178])
def test_a_drawing_keeps_to_its_height(name: str, height: float) -> None:
    paper = Paper(A4_MM, title="t")
    assert draw_cane(paper, CANES[name], 100, 20, height) <= 20 + height + 0.01
    assert paper.finish().warnings == ()


def test_a_cutting_that_fits_is_drawn_at_full_size() -> None:
    cane = CaneDrawing(100, (5, 50, 90))
    blank = Stem(0, 0, 0, 4, 5)
    assert largest_scale(cane, (CaneCutting(0, 100),), blank, 120, most=1.0) == 1.0
    assert largest_scale(cane, (CaneCutting(0, 100),), blank, 50, most=1.0) == pytest.approx(0.5, rel=0.01)


@pytest.mark.parametrize("scale", [0.05, 0.2, 1.0])
def test_a_slant_begins_below_the_lowest_node(scale: float) -> None:
    cane = CaneDrawing(200, (20, 60, 98))
    stem = standing(cane, CaneCutting(15, 101), Stem(0, 10, 10, 4, 5), scale)
    assert stem.foot - stem.slant > 10 + scale * (98 - 15)


def test_buds_stand_by_turns_or_in_pairs() -> None:
    assert [rose_cane().sides(i) for i in range(3)] == [(1,), (-1,), (1,)]
    assert lavender_tip().sides(0) == (-1, 1)


@pytest.mark.parametrize(
    ("fields", "rule"),
    [
        ({"cane_mm": 0, "node_mm": ()}, "cane_mm must be above 0"),
        ({"cane_mm": 100, "node_mm": (50, 20)}, "node_mm must run from the tip"),
        ({"cane_mm": 100, "node_mm": (50, 120)}, "node_mm must lie between"),
        ({"cane_mm": 100, "node_mm": (), "under_share": 1.0}, "under_share must lie between 0 and 1"),
        ({"cane_mm": 100, "node_mm": (), "cuttings": (CaneCutting(50, 120),)}, "cuttings must follow"),
        (
            {"cane_mm": 100, "node_mm": (), "cuttings": (CaneCutting(50, 90), CaneCutting(10, 40))},
            "cuttings must follow",
        ),
    ],
)
def test_a_cane_that_cannot_be_is_refused(fields: dict[str, object], rule: str) -> None:
    with pytest.raises(BadArgument, match=rule):
        CaneDrawing(**fields)  # type: ignore[arg-type]
