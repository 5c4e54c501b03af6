"""The tip of a shoot in four states."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from slipwright.craft.errors import BadArgument
from slipwright.outputs.drawings.shoot import SHOOTS, shoot_tip
from slipwright.records import words


def test_every_state_of_the_records_is_drawn() -> None:
    assert set(SHOOTS) == set(words.SHOOTS)


@pytest.mark.parametrize("shoot", SHOOTS)
def test_each_is_well_formed_and_carries_no_style(shoot: str) -> None:
    svg = shoot_tip(shoot)
    assert ElementTree.fromstring(svg).get("aria-hidden") == "true"
    assert "style=" not in svg


def test_only_bud_flower_and_fallen_petals_carry_colour_of_bloom() -> None:
    assert {shoot for shoot in SHOOTS if "d-mallowmid" in shoot_tip(shoot)} == {
        "spent",
        "budded",
        "flowering",
    }


def test_a_flower_has_five_petals_and_a_bud_one() -> None:
    assert shoot_tip("flowering").count("d-mallowmid") == 5
    assert shoot_tip("budded").count("d-mallowmid") == 1


def test_another_word_is_refused() -> None:
    with pytest.raises(BadArgument):
        shoot_tip("sleeping")
