"""What stands on a label fits it, and what does not is said."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.outputs._press.lines import line_width_mm
from slipwright.outputs.label_text import (
    LEAST_CODE_PT,
    LEAST_DETAIL_PT,
    LEAST_NAME_PT,
    Block,
    Label,
    code_text,
    label_block,
)
from tests.outputs.making import LAVENDER, LONG_NAME, label, labels

WORDS = st.text(st.characters(categories=("Ll", "Lu", "Nd", "Zs")), max_size=60)


def _lines(block: Block) -> list[str]:
    return ["".join(part for part, _ in line.runs).replace("\u00a0", " ") for line in block.lines]


@given(WORDS, WORDS, WORDS, WORDS, st.floats(24, 80), st.floats(13, 40), st.floats(1, 2.5))
@settings(max_examples=150, deadline=None)
def test_nothing_leaves_its_box(
    name: str, common: str, treatment: str, place: str, width: float, height: float, scale: float
) -> None:
    made = label(name_runs=((f"R{name}", True),), common_name=common, treatment=treatment, place=place)
    block = label_block(made, width, height, scale)
    assert block.height_mm <= height + 1e-9
    assert all(line_width_mm(line.runs, line.size_pt) <= width + 1e-6 for line in block.lines)
    assert code_text(made.code) in _lines(block)


@given(WORDS, WORDS, st.floats(24, 80), st.floats(13, 40))
@settings(deadline=None)
def test_letters_never_shrink_below_the_least_size(
    name: str, place: str, width: float, height: float
) -> None:
    block = label_block(label(name_runs=((f"R{name}", True),), place=place), width, height)
    least = {
        "bold-italic": LEAST_NAME_PT,
        "bold": LEAST_NAME_PT,
        "mono-bold": LEAST_CODE_PT,
        "regular": LEAST_DETAIL_PT,
    }
    for line in block.lines:
        assert line.size_pt >= min(least[face] for _, face in line.runs) - 1e-9


@given(WORDS, WORDS, st.floats(24, 60), st.floats(13, 30))
@settings(deadline=None)
def test_a_name_is_whole_or_the_cut_is_told(name: str, place: str, width: float, height: float) -> None:
    made = label(name_runs=((f"R{name}", True),), place=place, common_name="")
    block = label_block(made, width, height)
    printed = "".join("".join(_lines(block)).split())
    for text, said in ((made.name, "name cut to fit"), (made.place, "place")):
        if "".join(text.split()) not in printed:
            assert any(said in note for note in block.notes)


@pytest.mark.parametrize("made", labels(), ids=lambda made: made.code)
def test_a_usual_label_loses_nothing_on_the_a4_sheet(made: Label) -> None:
    assert label_block(made, 43.5, 30.9).notes == ()


def test_genus_and_species_are_italic_and_the_cultivar_upright_in_its_quotes() -> None:
    runs = [run for line in label_block(label(name_runs=LAVENDER), 60, 30).lines[:2] for run in line.runs]
    assert ("Lavandula angustifolia", "bold-italic") in runs
    assert any(text.strip() == "‘Grey\u00a0Heron’" and face == "bold" for text, face in runs)


def test_the_epithet_stays_in_one_line_where_it_can() -> None:
    assert _lines(label_block(label(), 31, 25))[:2] == ["Rosa", "‘Lantern Keeper’"]


def test_a_long_name_wraps_before_it_is_cut() -> None:
    block = label_block(label(name_runs=LONG_NAME), 34, 25)
    assert not any("name cut" in note for note in block.notes)
    small = label_block(label(name_runs=LONG_NAME), 25, 13)
    assert any("name cut to fit: Hydrangea macrophylla subsp. serrata" in note for note in small.notes)
    assert "R3XB-7JME" in _lines(small)


def test_a_code_is_printed_in_fours() -> None:
    assert code_text("K7Q2M9T3") == "K7Q2-M9T3"


@pytest.mark.parametrize("code", ["7", "roses of 2019, north bed, row seven", "K7Q2-M9T3", "k7q2m9t3"])
def test_an_id_from_elsewhere_is_printed_whole(code: str) -> None:
    assert code_text(code) == code
    printed = "".join("".join(_lines(label_block(label(code=code), 30, 30))).split())
    assert "".join(code.split()) in printed


def test_there_is_always_room_for_the_code_or_an_error() -> None:
    with pytest.raises(ValueError, match="no room for the code"):
        label_block(label(), 24, 3)
