"""Paper writes the same bytes for the same marks, and tells what it could not print."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

from slipwright.outputs._press.paper import A4_MM, Paper, Printed


def _printed(text: str) -> Printed:
    paper = Paper(A4_MM, title="Labels", subject=text)
    paper.plain(text, 20, 20, 12, "bold")
    paper.circle(50, 50, 4)
    return paper.finish()


def test_the_same_marks_give_the_same_bytes() -> None:
    assert _printed("Rosa").pdf == _printed("Rosa").pdf


def test_no_date_is_written_into_the_document() -> None:
    assert b"CreationDate" not in _printed("Rosa").pdf
    assert b"ModDate" not in _printed("Rosa").pdf


def test_the_print_window_is_asked_for_actual_size() -> None:
    assert b"/PrintScaling /None" in _printed("Rosa").pdf


def test_every_font_named_is_embedded() -> None:
    pdf = _printed("Rosa Λ").pdf
    assert pdf.count(b"/FontFile2") == pdf.count(b"/Subtype /TrueType")
    assert b"/Helvetica" not in pdf


def test_a_character_no_font_holds_is_told() -> None:
    warnings = _printed("鉢").warnings
    assert len(warnings) == 1
    assert "鉢" in warnings[0]


def test_a_drawing_stamped_twice_is_kept_once() -> None:
    paper = Paper(A4_MM, title="t")
    for x in (10, 40):
        paper.stamp("a/b (c)", lambda: "0 0 1 1 re f", 10, x, 10, 20)
    assert paper.finish().pdf.count(b"/Subtype /Form") == 1


def test_pages_may_be_written_by_several_threads_at_once() -> None:
    alone = _printed("Rosa ‘Lantern Keeper’ Λεβάντα").pdf
    with ThreadPoolExecutor(8) as pool:
        together = list(pool.map(_printed, ["Rosa ‘Lantern Keeper’ Λεβάντα"] * 40))
    assert {printed.pdf for printed in together} == {alone}


def test_a_paper_names_its_language() -> None:
    def translate(text: str) -> str:
        return {"en": "es"}.get(text, text)

    assert b"/Lang (es)" in Paper((50.0, 30.0), title="t", translate=translate).finish().pdf
    assert b"/Lang (en)" in Paper((50.0, 30.0), title="t").finish().pdf
