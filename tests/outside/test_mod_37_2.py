"""The check character of a batch code, against the standard.

ISO 7064:2003, Information technology, security techniques, check character systems, pure system MOD
37-2: modulus 37, radix 2, the characters 0-9, A-Z and * standing for 0 to 36. The independent sum
below is written from the definition (the weighted sum of all characters, the check character with
weight 1 and each one to its left with twice the weight, leaves 1 modulo 37), not from the recurrence
the library uses. The worked value 0794 -> 0 belongs to system MOD 11-2 of the same standard (and to
ORCID); it shows the definition is read aright.
"""

from __future__ import annotations

import itertools
import random

import pytest

from slipwright.records import codes

CHARACTERS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*"


def weighted_sum(text: str, modulus: int) -> int:
    return sum(
        CHARACTERS.index(character) * pow(2, place, modulus) for place, character in enumerate(text[::-1])
    )


def check_by_definition(stem: str, modulus: int = 37) -> str:
    fits = [c for c in range(modulus) if (weighted_sum(stem + "0", modulus) + c) % modulus == 1]
    assert len(fits) == 1
    return CHARACTERS[fits[0]]


def test_the_definition_gives_published_values() -> None:
    """MOD 11-2: 079 -> X (ISO 7064 example as given in the documentation of python-stdnum 2.2) and
    the ORCID iD 0000-0002-1825-0097 (ORCID, Structure of the ORCID Identifier)."""
    values = "0123456789X"
    for stem, check in (("079", "X"), ("000000021825009", "7")):
        assert values[CHARACTERS.index(check_by_definition(stem, 11))] == check


def test_the_definition_agrees_on_a_published_value_of_mod_37_2() -> None:
    """G123489654321 -> Y (documentation of python-stdnum 2.2, module iso7064.mod_37_2)."""
    assert check_by_definition("G123489654321") == "Y"


def test_every_string_of_three_agrees() -> None:
    for stem in itertools.product(codes.ALPHABET, repeat=3):
        text = "".join(stem)
        assert codes.check_character(text) == check_by_definition(text)


@pytest.fixture(scope="module")
def sample() -> list[str]:
    """Codes whose check characters are each of the 32 at least once."""
    draws = random.Random(37)
    found = [codes.new_code(draws=draws) for _ in range(300)]
    assert {code[-1] for code in found} == set(codes.ALPHABET)
    return found


def test_every_single_wrong_character_is_seen(sample: list[str]) -> None:
    for code in sample:
        for place, character in itertools.product(range(codes.LENGTH), codes.ALPHABET):
            if character != code[place]:
                assert not codes.is_code(code[:place] + character + code[place + 1 :])


def test_every_swap_of_neighbours_is_seen(sample: list[str]) -> None:
    for code in sample:
        for place in range(codes.LENGTH - 1):
            one, other = code[place], code[place + 1]
            if one != other:
                assert not codes.is_code(code[:place] + other + one + code[place + 2 :])


def test_every_wrong_character_and_swap_in_every_short_stem_is_seen() -> None:
    """All codes of two characters and their check character, however the alphabet is used."""
    right = {
        a + b + check
        for a, b in itertools.product(codes.ALPHABET, repeat=2)
        if (check := codes.check_character(a + b)) in codes.ALPHABET
    }
    for code in right:
        for place, character in itertools.product(range(3), codes.ALPHABET):
            wrong = code[:place] + character + code[place + 1 :]
            assert wrong == code or wrong not in right
        for swapped in (code[1] + code[0] + code[2], code[0] + code[2] + code[1]):
            assert swapped == code or swapped not in right
