"""Batch codes: seven random characters and a check character, fit to be read off a wet label.

The characters are the 32 of Crockford's base 32 (no I, L, O or U). The check character follows ISO
7064, pure system MOD 37-2, which catches every single wrong character and every swap of two
neighbours. That system has 37 check characters; a code whose check character is not one of the 32 is
drawn again.
"""

from __future__ import annotations

import secrets
from collections.abc import Container
from typing import Protocol

from stdnum.iso7064 import mod_37_2

from slipwright.records.errors import BadValue

ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
LENGTH = 8
#: A pencil label carries this many, beside name, date and number.
SHORT = 4

_READ_AS = str.maketrans({"I": "1", "L": "1", "O": "0", "-": None, " ": None})


class Draws(Protocol):
    """Draws characters: ``secrets.SystemRandom`` or a seeded ``random.Random``."""

    def choice(self, seq: str, /) -> str:
        """Return one character of ``seq``."""


def check_character(stem: str) -> str:
    """Return the check character of ``stem``; it may be one that no code carries.

    >>> check_character("794")
    'R'
    """
    return str(mod_37_2.calc_check_digit(stem))


def new_code(first_fours_in_use: Container[str] = (), draws: Draws | None = None) -> str:
    """Return a fresh code whose first four characters are not in use."""
    random = draws or secrets.SystemRandom()
    while True:
        stem = "".join(random.choice(ALPHABET) for _ in range(LENGTH - 1))
        check = check_character(stem)
        if check in ALPHABET and stem[:SHORT] not in first_fours_in_use:
            return stem + check


def tidy(text: str) -> str:
    """Return what was typed as a code is written: capitals, no hyphen, I and L as 1, O as 0."""
    return text.upper().translate(_READ_AS)


def read_code(text: str) -> str:
    """Return the code that was typed; raise ``BadValue`` if its check character is wrong."""
    code = tidy(text)
    if not _has_its_form(code):
        raise BadValue("batch", f"must be a code of {LENGTH} characters", text)
    if not is_code(code):
        raise BadValue("batch", "must be read again: a character of this code is wrong", text)
    return code


def is_code(text: str) -> bool:
    """Return whether ``text`` is a code as one is written, with the right check character."""
    return _has_its_form(text) and check_character(text[:-1]) == text[-1]


def _has_its_form(text: str) -> bool:
    return len(text) == LENGTH and set(text) <= set(ALPHABET)


def shown(code: str) -> str:
    """Return a code as it is printed, a hyphen in its middle; other ids as they are.

    >>> shown("7K3FQ2XJ"), shown("rose 12")
    ('7K3F-Q2XA', 'rose 12')
    """
    if is_code(code):
        return f"{code[:SHORT]}-{code[SHORT:]}"
    return code
