from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slipwright.advice._wording import (
    day_in_words,
    days_in_words,
    likely_days,
    listed,
    paragraph,
    plain,
    sentence,
    share_range,
    span,
    tenths,
    unlike,
)

ON = date(2026, 11, 4)


@given(st.floats(0, 1))
def test_a_chance_is_said_in_tenths(share):
    words = tenths(share)
    assert words.endswith("in 10")
    number = int(words.split()[-3])
    assert abs(number / 10 - share) <= 0.1


@given(st.floats(0, 1), st.floats(0, 1))
def test_a_range_of_shares_never_says_less_than_none_or_more_than_all(a, b):
    low, high = sorted((a, b))
    words = share_range(low, high).split()
    assert 0 <= int(words[1]) <= int(words[3]) <= int(words[-1])


@pytest.mark.parametrize(
    ("first", "last", "words"),
    [
        (date(2026, 11, 26), date(2026, 12, 10), "26 Nov to 10 Dec"),
        (date(2026, 11, 26), date(2027, 1, 10), "26 Nov 2026 to 10 Jan 2027"),
        (date(2027, 3, 20), date(2027, 4, 25), "20 Mar to 25 Apr 2027"),
        (date(2027, 3, 20), date(2027, 3, 20), "20 Mar 2027"),
    ],
)
def test_days_carry_the_year_only_where_it_is_needed(first, last, words):
    assert days_in_words(first, last, beside=ON) == words


@pytest.mark.parametrize(
    ("first", "last", "p_never", "words"),
    [
        (date(2026, 11, 26), date(2026, 12, 10), 0.02, "26 Nov to 10 Dec, 8 times in 10, when 3 have rooted"),
        (
            date(2026, 12, 1),
            None,
            0.3,
            "1 Dec at the earliest, 9 times in 10, when 3 have rooted; not at all about 3 times in 10",
        ),
        (None, None, 0.97, "not at all over 9 times in 10"),
        (None, None, 0.12, "not at all about 1 time in 10"),
    ],
)
def test_what_may_not_come_says_how_likely(first, last, p_never, words):
    assert likely_days(first, last, p_never, beside=ON, rule="when 3 have rooted") == words


def test_a_day_alone_carries_its_year():
    assert day_in_words(ON) == "4 Nov 2026"


def test_numbers_are_plain():
    assert [plain(x) for x in (3000, 7.25, 0.0)] == ["3\u00a0000", "7.2", "0"]
    assert span(4, 4.04, "weeks") == "4 weeks"


def test_sentences_begin_large_and_end():
    assert sentence("wash it") == "Wash it."
    assert sentence("Ready?") == "Ready?"
    assert sentence("  ") == ""


def test_lists_and_repeats():
    assert listed(["a"]) == "a"
    assert listed(["a", "b", "c"], "or") == "a, b or c"
    assert unlike(["x", "", "x", "y"]) == ("x", "y")


def test_paragraphs_hang_under_their_number():
    lines = paragraph("wash the pots " * 12, first="  1. ")
    assert lines[0].startswith("  1. wash")
    assert all(line.startswith(("     wash", "     ")) for line in lines[1:])
    assert all(len(line) <= 78 for line in lines)
