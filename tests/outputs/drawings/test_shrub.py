"""The shrub: as many shoots as it has, up to a limit that is said."""

from __future__ import annotations

import pytest

from slipwright.craft.errors import BadArgument
from slipwright.outputs.drawings.shrub import MOST_SHOOTS, shrub_drawing


def test_each_shoot_is_drawn_as_what_becomes_of_it() -> None:
    svg = shrub_drawing(3, 2, 9, "A shrub")
    assert svg.count("<path") == 3 + 2 + 9 + 3 + 1  # shoots, a tick on each that may go, one in the key
    assert "3 may go" in svg
    assert "2 were cut" in svg
    assert "9 stay" in svg
    assert "stands for" not in svg


def test_of_many_shoots_each_drawn_one_stands_for_several_and_says_so() -> None:
    svg = shrub_drawing(0, 0, 300, "A shrub")
    assert svg.count("<path") <= MOST_SHOOTS
    assert "one drawn stands for 13" in svg
    assert "may go" not in svg


def test_numbers_below_nought_are_refused() -> None:
    with pytest.raises(BadArgument, match="n_cut"):
        shrub_drawing(1, -1, 1, "A shrub")
