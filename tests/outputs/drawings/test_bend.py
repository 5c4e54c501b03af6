"""Four drawings of a bent shoot."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from slipwright.craft.errors import BadArgument
from slipwright.outputs.drawings.bend import BENDS, bent_shoot


@pytest.mark.parametrize("bend", BENDS)
def test_each_is_well_formed_and_carries_no_style(bend: str) -> None:
    svg = bent_shoot(bend, "it bends")
    assert ElementTree.fromstring(svg).get("aria-label") == "it bends"
    assert "style=" not in svg


def test_the_wood_is_told_by_texture() -> None:
    assert "d-woodsoft" in bent_shoot("folds")
    assert "d-woodsoft" in bent_shoot("snaps")
    assert "d-woodmid" in bent_shoot("springs")
    assert "d-wood " in bent_shoot("stiff")


def test_four_drawings_differ() -> None:
    assert len({bent_shoot(bend) for bend in BENDS}) == 4


def test_another_word_is_refused() -> None:
    with pytest.raises(BadArgument):
        bent_shoot("breaks")
