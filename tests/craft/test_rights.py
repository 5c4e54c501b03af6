"""Rights recorded for a plant, and what follows."""

from __future__ import annotations

from datetime import date

import pytest

from slipwright.craft.errors import BadArgument
from slipwright.craft.rights import standing

DAY = date(2026, 10, 20)
BEFORE, AFTER = date(2026, 10, 19), date(2026, 10, 21)


@pytest.mark.parametrize(
    ("rights", "rights_until", "licence", "licence_until", "allowed", "kind"),
    [
        ("none", None, "", None, True, "free"),
        ("unknown", None, "", None, True, "unknown"),
        ("protected", None, "", None, False, "protected"),
        ("protected", AFTER, "", None, False, "protected"),
        ("protected", DAY, "", None, False, "protected"),
        ("protected", BEFORE, "", None, True, "expired"),
        ("licensed", BEFORE, "", None, True, "expired"),
        ("licensed", AFTER, "L-7", None, True, "licensed"),
        ("licensed", None, "L-7", DAY, True, "licensed"),
        ("licensed", None, "L-7", BEFORE, False, "licence-expired"),
        ("licensed", BEFORE, "L-7", BEFORE, True, "expired"),
        ("licensed", None, "", None, False, "licence-missing"),
        ("licensed", None, "  ", AFTER, False, "licence-missing"),
        ("protected", None, "L-7", AFTER, True, "licensed"),
        ("protected", None, "L-7", BEFORE, False, "licence-expired"),
        ("protected", None, "", AFTER, False, "protected"),
    ],
)
def test_standing_follows_from_what_is_recorded(
    rights: str,
    rights_until: date | None,
    licence: str,
    licence_until: date | None,
    allowed: bool,
    kind: str,
) -> None:
    found = standing(rights, rights_until=rights_until, licence=licence, licence_until=licence_until, on=DAY)
    assert (found.allowed, found.kind) == (allowed, kind)


def test_an_unknown_right_asks_for_label_and_register_and_defers_to_the_law() -> None:
    reason = standing("unknown", on=DAY).reason
    assert "label" in reason
    assert "register" in reason
    assert "Local law decides" in reason


def test_a_refusal_says_until_when_and_that_the_law_decides() -> None:
    reason = standing("protected", rights_until=date(2031, 4, 30), on=DAY).reason
    assert "30 Apr 2031" in reason
    assert "Local law decides" in reason


def test_a_licence_is_named() -> None:
    assert "L-7" in standing("licensed", licence="L-7", on=DAY).reason


def test_an_unknown_word_is_refused() -> None:
    with pytest.raises(
        BadArgument, match="rights must be one of none, unknown, protected, licensed, not 'free'"
    ):
        standing("free", on=DAY)
