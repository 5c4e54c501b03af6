"""The collecting sheet: what to cut of which plant, legible, with room to write, page after page."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from slipwright.craft.errors import BadArgument
from slipwright.outputs._press.collecting_pages import Placing, columns_of_collecting
from slipwright.outputs._press.grid import LEAST_BOX_MM, GridRow
from slipwright.outputs._press.paper import PAPERS_MM
from slipwright.outputs._press.working_sheet import MARGIN_MM
from slipwright.outputs.collecting import (
    CollectingSheet,
    CollectingWeek,
    collecting_pdf,
)
from tests.outputs.reading_pdf import faults_of, pages_of
from tests.outputs.season_making import MONDAY, collecting, shoots

Program = Callable[[str], str]


def rows_of(sheet: CollectingSheet, paper: str = "a4") -> list[list[GridRow]]:
    pages = Placing(sheet, PAPERS_MM[paper], str).pages.pages
    return [[one.part for one in page if isinstance(one.part, GridRow)] for page in pages]


@pytest.mark.parametrize("paper", list(PAPERS_MM))
@pytest.mark.parametrize("first", ["metric", "us"])
def test_words_stay_on_the_page_and_clear_of_each_other(
    paper: str, first: str, need_program: Program
) -> None:
    printed = collecting_pdf(collecting(3, 9, first=first), paper=paper)  # type: ignore[arg-type]
    assert printed.warnings == ()
    assert faults_of(need_program("pdftotext"), printed.pdf) == []


def test_each_plant_has_its_shoots_its_bundles_and_its_day(need_program: Program) -> None:
    odd = (shoots(1), shoots(2, n_shoots=25), shoots(3, n_shoots=7), shoots(4, n_shoots=None))
    sheet = collecting(weeks=(CollectingWeek(MONDAY, odd),))
    (text,) = pages_of(need_program("pdftotext"), collecting_pdf(sheet).pdf)
    for told in ("75 shoots from 4 plants", "43", "1 of 25", "1 of 7", "Wed 16 Sep", "long border"):
        assert told in text, told
    assert "of some no number is known" in text
    assert "120 cuttings" in text


def test_whoever_cuts_has_boxes_to_write_in() -> None:
    boxes = [column.heading for column in columns_of_collecting(184.0) if column.is_box]
    assert boxes == ["Number cut", "Brought in at", "By whom"]
    for row in rows_of(collecting())[0]:
        assert row.height_mm >= LEAST_BOX_MM


def test_what_may_not_be_cut_is_named_without_a_number(need_program: Program) -> None:
    week = replace(collecting(1, 0).weeks[0], cautions=())
    text = " ".join(pages_of(need_program("pdftotext"), collecting_pdf(collecting(weeks=(week,))).pdf))
    after = text.split("Not to be cut", 1)[1]
    assert "teasdale-1" in after
    assert "no licence is recorded" in after
    assert "Number cut" not in text
    assert "0 shoots from 0 plants" in text


@pytest.mark.parametrize("paper", list(PAPERS_MM))
def test_three_hundred_lines_go_on_under_their_headings(paper: str, need_program: Program) -> None:
    printed = collecting_pdf(collecting(15, 20), paper=paper)  # type: ignore[arg-type]
    pages = pages_of(need_program("pdftotext"), printed.pdf)
    assert len(pages) == printed.n_pages > 10
    for number, page in enumerate(pages, start=1):
        assert f"page {number} of {len(pages)}" in page
        assert "Bring in by" in page
        assert "Week of" in page or "continued" in page
    whole = " ".join(pages)
    assert all(whole.count(f"rose-gate-{n} ") >= 1 for n in range(1, 301))


@pytest.mark.parametrize("n_rows", range(1, 12))
def test_no_week_is_parted_from_its_first_line_and_nothing_lies_upon_another(n_rows: int) -> None:
    pages = Placing(collecting(4, n_rows), PAPERS_MM["letter"], str).pages.pages
    foot = PAPERS_MM["letter"][1] - MARGIN_MM
    for page in pages:
        tops = [one.top + one.part.height_mm for one in page]
        assert max(tops) <= foot + 0.01
        assert all(after.top >= before - 0.01 for before, after in zip(tops, page[1:], strict=False))
        assert isinstance(page[-1].part, GridRow)


def test_its_words_are_said_in_the_tongue_asked_for(need_program: Program) -> None:
    spanish = {"Collecting sheet": "Hoja de recolección", "Week of {day}": "Semana del {day}", "Sep": "sep"}
    printed = collecting_pdf(collecting(1), translate=lambda text: spanish.get(text, text))
    (text,) = pages_of(need_program("pdftotext"), printed.pdf)
    assert "Hoja de recolección" in text
    assert "Semana del 14 sep 2026" in text
    assert "Collecting sheet" not in text


def test_paper_and_weeks_are_checked() -> None:
    with pytest.raises(BadArgument, match="paper"):
        collecting_pdf(collecting(), paper="a0")  # type: ignore[arg-type]
    with pytest.raises(BadArgument, match="weeks"):
        collecting_pdf(collecting(weeks=()))
