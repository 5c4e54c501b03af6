"""Posted values are read as what they are, or refused by field and rule."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from django.test import RequestFactory

from slipwright.records.errors import BadValue
from slipwright.web.asked import Posted, whole_of


def posted(**fields: str | list[str]) -> Posted:
    return Posted(RequestFactory().post("/", fields))


def test_what_is_empty_was_not_said() -> None:
    empty = posted(n=" ", word="", on="", text="  ")
    assert (empty.whole("n"), empty.number("n"), empty.signed("n"), empty.day("on")) == (None,) * 4
    assert (empty.text("text"), empty.word("word", ["a"]), empty.words("gone", ["a"])) == ("", "", [])


def test_values_are_read() -> None:
    said = posted(n="07", x="2,5", days="-12", on="2026-09-10", signs=["callus", "new-leaf"])
    assert said.whole("n") == 7
    assert said.number("x") == Decimal("2.5")
    assert said.signed("days") == -12
    assert said.day("on") == date(2026, 9, 10)
    assert said.words("signs", ["callus", "new-leaf"]) == ["callus", "new-leaf"]


@pytest.mark.parametrize("text", ["-1", "1.5", "²", "१", "1e3", "9" * 10, "ten"])
def test_a_count_is_a_whole_number(text: str) -> None:
    with pytest.raises(BadValue, match="n: "):
        posted(n=text).whole("n")


@pytest.mark.parametrize("text", ["1e1000000", "1e-1000000", "NaN", "Infinity", "0." + "3" * 40, "x"])
def test_a_number_is_of_a_measure_of_the_world(text: str) -> None:
    with pytest.raises(BadValue, match="x: "):
        posted(x=text).number("x")


@pytest.mark.parametrize("text", ["1.5", "1e99"])
def test_days_are_whole(text: str) -> None:
    with pytest.raises(BadValue, match="x: "):
        posted(x=text).signed("x")


@pytest.mark.parametrize("text", ["2026-02-30", "10.9.2026", "tomorrow"])
def test_a_day_is_a_day(text: str) -> None:
    with pytest.raises(BadValue, match="on: "):
        posted(on=text).day("on")


def test_a_word_is_one_of_its_list() -> None:
    with pytest.raises(BadValue, match="cause: "):
        posted(cause="bored").word("cause", ["dried"])


@pytest.mark.parametrize("text", ["²", "१", "-1", "", " 7", "1" * 10])
def test_a_text_that_is_no_plain_whole_number_is_none(text: str) -> None:
    assert whole_of(text) is None
    assert whole_of("012") == 12


def test_ten_figures_are_a_slip_with_a_sign_too() -> None:
    with pytest.raises(BadValue, match="x: "):
        posted(x="-" + "9" * 10).signed("x")


def test_a_long_value_is_told_cut() -> None:
    with pytest.raises(BadValue) as wrong:
        posted(cause="b" * 10_000).word("cause", ["dried"])
    assert wrong.value.value == "b" * 79 + "…"
    assert len(str(wrong.value)) < 160
    with pytest.raises(BadValue) as fine:
        posted(cause="b" * 80).word("cause", ["dried"])
    assert fine.value.value == "b" * 80
