"""Lines keep to their width, and lose nothing unless they say so."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.outputs._press.lines import ELLIPSIS, FIRM, line_width_mm, wrapped

WORDS = st.lists(st.text(st.characters(categories=("Ll", "Lu", "Nd")), min_size=1, max_size=14), max_size=12)


def _text(lines: tuple[tuple[tuple[str, str], ...], ...]) -> str:
    return " ".join("".join(part for part, _ in line) for line in lines)


@given(WORDS, st.floats(8, 60))
@settings(deadline=None)
def test_no_line_is_wider_than_asked(words: list[str], width: float) -> None:
    done = wrapped([(" ".join(words), "bold")], size_pt=10, width_mm=width)
    assert all(line_width_mm(line, 10) <= width + 1e-9 for line in done.lines)


@given(WORDS, st.floats(8, 60))
@settings(deadline=None)
def test_nothing_is_lost_by_wrapping(words: list[str], width: float) -> None:
    done = wrapped([(" ".join(words), "bold")], size_pt=10, width_mm=width)
    assert _text(done.lines).replace(" ", "") == "".join(words)
    assert not done.is_cut


@given(WORDS.filter(bool), st.floats(8, 40), st.integers(1, 3))
@settings(deadline=None)
def test_what_is_cut_says_so_and_ends_with_an_ellipsis(words: list[str], width: float, most: int) -> None:
    done = wrapped([(" ".join(words), "bold")], size_pt=10, width_mm=width, max_lines=most)
    assert len(done.lines) <= most
    assert done.is_cut == _text(done.lines).endswith(ELLIPSIS)
    assert all(line_width_mm(line, 10) <= width + 1e-9 for line in done.lines)


def test_a_firm_space_is_not_broken() -> None:
    done = wrapped([(f"Rosa ‘Lantern{FIRM}Keeper’", "bold")], size_pt=11, width_mm=32)
    assert [line[0][0] for line in done.lines] == ["Rosa", f"‘Lantern{FIRM}Keeper’"]


def test_a_word_may_run_over_two_faces() -> None:
    done = wrapped([("(", "regular"), ("Rosa", "italic"), (") x", "regular")], size_pt=9, width_mm=50)
    assert done.lines == ((("(", "regular"), ("Rosa", "italic"), (") x", "regular")),)
