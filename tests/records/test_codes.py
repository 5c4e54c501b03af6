"""Batch codes."""

from __future__ import annotations

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slipwright.records import codes
from slipwright.records.errors import BadValue

CODES = st.integers(min_value=0).map(lambda seed: codes.new_code(draws=random.Random(seed)))


@given(CODES)
def test_a_new_code_is_one(code: str) -> None:
    assert len(code) == 8
    assert set(code) <= set(codes.ALPHABET)
    assert codes.is_code(code)


def test_the_alphabet_is_crockfords() -> None:
    """The 32 symbols without I, L, O and U (D. Crockford, Base 32, crockford.com/base32.html)."""
    assert len(set(codes.ALPHABET)) == 32
    assert not set("ILOU") & set(codes.ALPHABET)


@given(CODES)
def test_it_is_read_however_it_is_typed(code: str) -> None:
    sloppy = code.replace("1", "l").replace("0", "o").lower()
    for typed in (code, code.lower(), codes.shown(code), f" {sloppy[:4]}-{sloppy[4:]} "):
        assert codes.read_code(typed) == code


@given(CODES, st.integers(0, 7), st.sampled_from(codes.ALPHABET))
def test_a_wrong_character_is_refused(code: str, place: int, character: str) -> None:
    wrong = code[:place] + character + code[place + 1 :]
    if wrong == code:
        return
    with pytest.raises(BadValue, match="wrong"):
        codes.read_code(wrong)


@pytest.mark.parametrize("text", ["", "7K3F", "7K3FQ2XAA", "7K3F?2XA", "7K3FUUUU"])
def test_what_has_not_the_form_is_refused(text: str) -> None:
    with pytest.raises(BadValue, match="8 characters"):
        codes.read_code(text)


class Scripted:
    """Draws characters from a script."""

    def __init__(self, script: str) -> None:
        self.left = list(script)

    def choice(self, seq: str, /) -> str:
        character = self.left.pop(0)
        assert character in seq
        return character


def test_a_check_character_outside_the_alphabet_is_drawn_again() -> None:
    stems = ["".join(random.Random(seed).choices(codes.ALPHABET, k=7)) for seed in range(400)]
    good = [stem for stem in stems if codes.check_character(stem) in codes.ALPHABET]
    bad = [stem for stem in stems if codes.check_character(stem) not in codes.ALPHABET]
    assert {codes.check_character(stem) for stem in bad} == set("ILOU*")
    for stem in bad:
        assert codes.new_code(draws=Scripted(stem + good[0]))[:7] == good[0]


def test_first_four_in_use_are_drawn_again() -> None:
    first, second = "7K3FQ2X", "ABCDEFG"
    script = first + second if codes.check_character(first) in codes.ALPHABET else second
    made = codes.new_code({"7K3F"}, draws=Scripted(script))
    assert made[:4] == "ABCD"


def test_other_ids_are_shown_as_they_are() -> None:
    assert codes.shown("rose 12") == "rose 12"
    assert codes.shown("ROSEBANK") == "ROSEBANK"
