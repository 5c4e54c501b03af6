"""The give-away card: A6, black on white, with what it is not in a frame."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Callable
from dataclasses import replace

import pytest

from slipwright.outputs.card import CARE, MOST_CARDS, CareLine, GiveAwayCard, card_pdf

CARD = GiveAwayCard(
    (("Salvia rosmarinus", True), (" ‘Harbour Mist’", False)),
    "D4HW2RK6",
    "rosemary",
    "Raised from a cutting of sage-wall, stuck 24 Aug 2026, potted 2 Oct 2026, given 15 May 2027.",
    (CareLine("light", "full sun"), CareLine("winter", "keep from hard frost")),
    "none recorded for this plant.",
    "Saltmarsh Lane Community Garden",
    "a gift",
)


Words = Callable[[bytes], str]


@pytest.fixture
def words_of(need_program: Callable[[str], str]) -> Words:
    """Give a function that reads the words of a PDF."""

    def read(pdf: bytes) -> str:
        done = subprocess.run(
            [need_program("pdftotext"), "-", "-"], input=pdf, capture_output=True, check=True
        )
        return " ".join(done.stdout.decode().split())

    return read


def test_it_holds_name_history_care_rights_and_what_it_is_not(words_of: Words) -> None:
    text = words_of(card_pdf(CARD).pdf)
    for words in (
        "Salvia rosmarinus",
        "Harbour Mist",
        "rosemary",
        "stuck 24 Aug 2026, potted",
        "D4HW-2RK6",
        "Light: full sun",
        "First winter: keep from hard frost",
        "Rights: none recorded",
        "Not an official plant passport. Those who sell plants may need one.",
        "a gift",
    ):
        assert words in text


def test_a_line_without_words_is_not_there(words_of: Words) -> None:
    text = words_of(card_pdf(CARD).pdf)
    assert "Water:" not in text
    assert "Cut:" not in text
    assert "passport" in words_of(card_pdf(replace(CARD, care=(), rights="")).pdf)


def test_each_card_is_a_page_of_a6() -> None:
    printed = card_pdf(CARD, n_cards=3)
    assert printed.n_pages == len(re.findall(rb"/Type /Page\b", printed.pdf)) == 3
    found = re.search(rb"/MediaBox \[ ?0 0 ([\d.]+) ([\d.]+) ?\]", printed.pdf)
    assert found
    assert [round(float(side) / 72 * 25.4) for side in found.groups()] == [105, 148]


def test_the_same_card_gives_the_same_bytes() -> None:
    assert card_pdf(CARD).pdf == card_pdf(CARD).pdf


def test_long_care_is_set_smaller_before_it_is_left_out_and_that_is_told(words_of: Words) -> None:
    long = "Keep it just moist and out of the wind until it has filled its pot. " * 2
    fits = card_pdf(replace(CARD, care=tuple(CareLine(line, long) for line in CARE)))
    assert not fits.warnings
    assert "First winter: Keep it" in words_of(fits.pdf)
    too_long = card_pdf(replace(CARD, care=tuple(CareLine(line, long * 5) for line in CARE)))
    assert any("no room" in warning for warning in too_long.warnings)
    assert "Not an official plant passport." in words_of(too_long.pdf)


def test_its_fixed_words_are_said_in_the_tongue_asked_for(words_of: Words) -> None:
    said = words_of(card_pdf(CARD, translate=str.upper).pdf)
    for words in ("LIGHT: full sun", "FIRST WINTER:", "BATCH", "RIGHTS:", "NOT AN OFFICIAL PLANT PASSPORT."):
        assert words in said


@pytest.mark.parametrize("n_cards", [0, MOST_CARDS + 1])
def test_a_senseless_number_of_cards_is_refused(n_cards: int) -> None:
    with pytest.raises(ValueError, match="n_cards must be from 1"):
        card_pdf(CARD, n_cards=n_cards)


def test_few_lines_of_care_are_set_larger_than_many(need_program: Callable[[str], str]) -> None:
    def height_of(card: GiveAwayCard, word: str) -> float:
        done = subprocess.run(
            [need_program("pdftotext"), "-bbox", "-", "-"],
            input=card_pdf(card).pdf,
            capture_output=True,
            check=True,
        ).stdout.decode()
        top, bottom = re.findall(rf'yMin="([\d.]+)" xMax="[\d.]+" yMax="([\d.]+)">{word}<', done)[0]
        return float(bottom) - float(top)

    many = replace(CARD, care=tuple(CareLine(line, "full sun, out of the wind; " * 4) for line in CARE))
    assert height_of(CARD, "Light:") > 1.5 * height_of(many, "Light:")
    assert height_of(CARD, "Light:") > 2 * height_of(CARD, "Rights:")
