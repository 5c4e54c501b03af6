"""Small drawings of the steps: each there, each whole, none with a look of its own."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from slipwright.craft.errors import BadArgument
from slipwright.outputs.drawings.steps import KINDS, SIDE, step_drawing


@pytest.mark.parametrize("kind", KINDS)
def test_a_drawing_is_whole_and_left_to_the_style_sheet(kind: str) -> None:
    svg = ElementTree.fromstring(step_drawing(kind))
    assert len(svg) > 3
    assert "style" not in step_drawing(kind)
    for part in svg.iter():
        assert "fill" not in part.attrib
        assert "stroke" not in part.attrib


@pytest.mark.parametrize("kind", KINDS)
def test_a_drawing_stays_within_its_square(kind: str) -> None:
    for part in ElementTree.fromstring(step_drawing(kind)).iter():
        for name in ("x", "y", "x1", "x2", "y1", "y2", "cx", "cy"):
            assert 0 <= float(part.get(name, "0")) <= SIDE


def test_no_two_steps_look_alike() -> None:
    assert len({step_drawing(kind) for kind in KINDS}) == len(KINDS)


def test_a_drawing_is_hidden_from_those_who_hear_the_words_beside_it() -> None:
    assert 'aria-hidden="true"' in step_drawing("cut")


def test_an_unknown_step_is_refused() -> None:
    with pytest.raises(BadArgument, match="kind must be one of"):
        step_drawing("dance")
