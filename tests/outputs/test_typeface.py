"""Letters: every character prints as itself, as its base letter, or as a question mark that is told."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.outputs._press.typeface import _font, text_width_mm, typeset, typographic


@pytest.mark.parametrize("text", ["Rosa × damascena", "čćđšž ĀęŁő ğŞı", "½ ¾ ° ‘’ “”", "Ångström"])
def test_latin_names_stand_in_the_house_face(text: str) -> None:
    assert typeset(text, "bold").runs == ((text, "bold"),)


@pytest.mark.parametrize("text", ["Λεβάντα", "Лаванда", "hoa hồng", "⅛"])
def test_other_scripts_stand_in_the_other_face(text: str) -> None:
    done = typeset(text, "bold-italic")
    assert done.lost == ""
    assert "".join(part for part, _ in done.runs) == text
    assert "other-bold" in {face for _, face in done.runs}


def test_a_character_without_a_font_prints_as_a_question_mark_and_is_told() -> None:
    assert typeset("鉢 A", "regular").lost == "鉢"
    assert typeset("鉢 A", "regular").runs == (("? A", "regular"),)


def test_a_letter_without_a_font_prints_as_its_base_letter_and_is_told() -> None:
    done = typeset("ｆull", "regular")
    assert (done.runs, done.lost) == ((("full", "regular"),), "ｆ")


def test_right_to_left_letters_are_told_and_never_set_backwards() -> None:
    assert typeset("שושנה", "regular").lost == "שונה"


def test_spaces_of_all_kinds_and_line_breaks_become_a_space() -> None:
    assert typeset("a\u202fb\nc\u00a0d", "regular").runs == (("a b c d", "regular"),)


@given(st.text(max_size=60), st.sampled_from(["regular", "bold", "italic", "bold-italic", "mono-bold"]))
@settings(deadline=None)
def test_whatever_is_printed_is_in_the_font_that_prints_it(text: str, face: str) -> None:
    for part, font in typeset(text, face).runs:  # type: ignore[arg-type]
        assert all(ord(char) in _font(font).face.charToGlyph for char in part)


@given(st.text(max_size=30), st.floats(5, 40))
@settings(deadline=None)
def test_width_grows_with_the_size(text: str, size: float) -> None:
    assert text_width_mm(text, "regular", 2 * size) == pytest.approx(2 * text_width_mm(text, "regular", size))


def test_quotes_become_typographic_and_an_apostrophe_stays_one() -> None:
    assert typographic("'Teasdale's Day' (\"late\")") == "‘Teasdale’s Day’ (“late”)"
