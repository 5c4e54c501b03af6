"""Sentences that can be said in another tongue."""

from __future__ import annotations

import json
import pickle
from dataclasses import dataclass

from hypothesis import given
from hypothesis import strategies as st

from slipwright.craft.said import Said, all_in_tongue, as_told, cased, heard, in_tongue, joined

SPANISH = {
    "{when}; it spreads": "{when}; se extiende",
    "{n} days ago": "hace {n} días",
    "rot": "pudrición",
}


def spanish(text: str) -> str:
    return SPANISH.get(text, text)


def test_a_place_may_ask_for_a_capital_a_stop_or_the_first_sentence_in_any_tongue():
    other = {"soft wood. It bends": "madera tierna. Se dobla", "{w:capital}": "{w:capital}"}
    told = {
        casing: in_tongue(cased(Said("soft wood. It bends"), casing), lambda text: other.get(text, text))
        for casing in ("capital", "sentence", "first")
    }
    assert told == {
        "capital": "Madera tierna. Se dobla",
        "sentence": "Madera tierna. Se dobla.",
        "first": "madera tierna.",
    }
    assert cased("Rosa", "small") == "rosa"
    assert cased(" ", "sentence") == ""


def test_texts_are_joined_and_each_is_still_translated():
    text = joined([Said("{n} days ago", n=3), "", Said("rot")], "; ")
    assert text == "3 days ago; rot"
    assert in_tongue(text, spanish) == "hace 3 días; pudrición"
    assert joined([]) == ""


def test_all_that_stands_in_a_data_class_is_said_in_another_tongue():
    @dataclass(frozen=True)
    class Page:
        title: str
        rows: tuple[tuple[str, str], ...]
        words: dict[str, str]

    page = Page("rot", ((Said("rot"), "rot"),), {"rot": Said("rot")})
    assert all_in_tongue(page, spanish) == Page("rot", (("pudrición", "rot"),), {"rot": "pudrición"})


def test_it_is_plain_english_to_whoever_reads_it() -> None:
    assert Said("{n} days ago", n=3) == "3 days ago"
    assert json.dumps([Said("{n} days ago", n=3)]) == '["3 days ago"]'


def test_what_stands_inside_is_said_in_the_tongue_too() -> None:
    text = Said("{when}; it spreads", when=Said("{n} days ago", n=3))
    assert in_tongue(text, spanish) == "hace 3 días; se extiende"


def test_plain_text_is_looked_up_as_it_stands() -> None:
    assert in_tongue("rot", spanish) == "pudrición"
    assert in_tongue("3 days {ago}", spanish) == "3 days {ago}"


def test_nothing_stays_nothing() -> None:
    assert in_tongue("", lambda text: "a catalogue's header") == ""


@given(st.text(), st.integers(), st.text())
def test_plain_data_and_pickles_bring_it_back(inner: str, n: int, plain: str) -> None:
    text = Said("{inner} and {n} of {plain}", inner=Said("[{word}]", word=inner), n=n, plain=plain)
    for back in (heard(json.loads(json.dumps(as_told(text)))), pickle.loads(pickle.dumps(text))):
        assert back == text
        assert in_tongue(back, lambda template: template) == text
        assert isinstance(back, Said)
        assert isinstance(back.values["inner"], Said)
