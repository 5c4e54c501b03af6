"""The three steps of trusting the garden's machine are told apart, by eye and by ear."""

from __future__ import annotations

import pytest

from slipwright.outputs.drawings.trust import trust_drawing


def test_each_step_has_a_picture_of_its_own_that_is_told_in_words() -> None:
    drawn = {step: trust_drawing(step, f"Step <{step}>") for step in ("fetch", "compare", "switch")}
    assert len(set(drawn.values())) == 3
    for step, svg in drawn.items():
        assert f'aria-label="Step &lt;{step}&gt;"' in svg
        assert "style=" not in svg


def test_no_other_step_is_drawn() -> None:
    with pytest.raises(KeyError):
        trust_drawing("sing", "")
