"""How deep a drawn cutting stands."""

from __future__ import annotations

import pytest

from slipwright.outputs._press.cane_parts import CaneDrawing
from slipwright.outputs._press.cutting_drawing import buried_part
from slipwright.outputs._press.stem import Stem

STEM = Stem(0, 0, 100, 4, 5)
NODES = (5.0, 20.0, 40.0, 60.0, 80.0, 95.0)


def cane(**changes: object) -> CaneDrawing:
    return CaneDrawing(100, NODES, **changes)  # type: ignore[arg-type]


@pytest.mark.parametrize(("share", "n_under"), [(0.5, 3), (0.58, 3), (0.67, 4), (0.01, 1), (0.99, 5)])
def test_a_share_of_the_length_puts_its_nodes_under_and_leaves_one_above(share: float, n_under: int) -> None:
    found, surface = buried_part(cane(under_share=share), STEM, NODES)
    assert found == n_under
    assert NODES[-n_under - 1] < surface < NODES[-n_under]


@pytest.mark.parametrize("n_under", [1, 2, 5])
def test_a_number_of_nodes_goes_under(n_under: int) -> None:
    found, surface = buried_part(cane(nodes_under=n_under), STEM, NODES)
    assert found == n_under
    assert NODES[-n_under - 1] < surface < NODES[-n_under]


def test_a_single_node_stays_above() -> None:
    assert buried_part(cane(), STEM, (5.0,)) == (0, 55.0)
    assert buried_part(cane(under_share=0.5), STEM, (5.0,)) == (0, 50.0)
    assert buried_part(cane(under_share=0.5), STEM, ()) == (0, 50.0)
