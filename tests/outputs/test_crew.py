"""The crew sheet: what to stick by which way, what it takes, and the hours it has."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest

from slipwright.craft.errors import BadArgument
from slipwright.outputs._press.crew_pages import Placing, columns_of_crew
from slipwright.outputs._press.grid import GridRow
from slipwright.outputs._press.paper import PAPERS_MM
from slipwright.outputs._press.working_sheet import MARGIN_MM, weekday_text
from slipwright.outputs.crew import CrewWeek, Mix, Way, crew_pdf
from tests.outputs.reading_pdf import faults_of, pages_of
from tests.outputs.season_making import MONDAY, STEPS, crew, crew_line

Program = Callable[[str], str]


@pytest.mark.parametrize("paper", list(PAPERS_MM))
@pytest.mark.parametrize("first", ["metric", "us"])
def test_words_stay_on_the_page_and_clear_of_each_other(
    paper: str, first: str, need_program: Program
) -> None:
    printed = crew_pdf(crew(5, 5, first=first), paper=paper)  # type: ignore[arg-type]
    assert printed.warnings == ()
    assert faults_of(need_program("pdftotext"), printed.pdf) == []


def test_a_line_says_all_it_takes_and_a_week_what_it_comes_to(need_program: Program) -> None:
    text = pages_of(need_program("pdftotext"), crew_pdf(crew(1, 1)).pdf)[0]
    for told in (
        "192 cuttings in 2 batches",
        "8 × pot-3l, 12 in",
        "16.2 L",
        "12 ml",
        "1 h 35",
        "32.4 L (8½ US gal) of medium",
        "14 h 10 of the crew's 20 h",
        "once settled, of loose parts: 54 L of perlite",
        "for Gate roses 2027",
        "16 labels",
    ):
        assert told in text, told


def test_us_units_come_first_where_they_are_asked_for(need_program: Program) -> None:
    text = pages_of(need_program("pdftotext"), crew_pdf(crew(1, 1, first="us")).pdf)[0]
    assert "8½ US gal (32.4 L) of medium" in text
    assert "4 to 5 in (10 to 12.5 cm)" in text
    assert "16.2 L" not in text


def test_cautions_stand_between_the_steps_they_belong_to(need_program: Program) -> None:
    way = Way("Tip cuttings", STEPS, (crew_line(),))
    printed = crew_pdf(crew(weeks=(CrewWeek(MONDAY, (way,)),)))
    text = pages_of(need_program("pdftotext"), printed.pdf)[0]
    assert text.index("Choose.") < text.index("Ask your plant health") < text.index("Stick On Containers")
    assert text.index("Tip cuttings") < text.index("A sharp, clean blade") < text.index("Stick On Containers")


def test_what_is_not_known_is_a_dash_and_powder_is_a_word(need_program: Program) -> None:
    lines = (crew_line(1, dip_ml=None, hours=None, litres=None), crew_line(2, dip_ml=None, hormone="powder"))
    week = CrewWeek(MONDAY, (Way("Tip cuttings", STEPS, lines),))
    text = pages_of(need_program("pdftotext"), crew_pdf(crew(weeks=(week,))).pdf)[0]
    assert text.count("–") >= 3
    assert "powder" in text
    assert "of the crew" not in text


def test_that_loose_parts_are_more_than_they_settle_to_is_said_where_they_are(need_program: Program) -> None:
    way = Way("Tip cuttings", STEPS, (crew_line(),))
    for litres, said in ((8.5, True), (9.4, False)):
        mix = Mix("half-and-half", litres, (("perlite", 4.7), ("vermiculite", 4.7)))
        printed = crew_pdf(crew(weeks=(CrewWeek(MONDAY, (way,), (mix,)),)))
        assert ("once settled" in pages_of(need_program("pdftotext"), printed.pdf)[0]) is said


def test_there_are_boxes_for_what_was_stuck_and_by_whom() -> None:
    assert [column.heading for column in columns_of_crew(184.0) if column.is_box] == ["Stuck", "By whom"]


@pytest.mark.parametrize("paper", list(PAPERS_MM))
def test_three_hundred_lines_go_on_under_week_way_and_headings(paper: str, need_program: Program) -> None:
    printed = crew_pdf(crew(6, 25), paper=paper)  # type: ignore[arg-type]
    pages = pages_of(need_program("pdftotext"), printed.pdf)
    assert len(pages) == printed.n_pages
    assert printed.n_pages < 45
    for number, page in enumerate(pages, start=1):
        assert f"page {number} of {len(pages)}" in page
        assert "Containers" in page
        assert "pieces" in page
        assert "Week of" in page or "continued" in page


@pytest.mark.parametrize("n_lines", range(1, 9))
def test_no_way_is_parted_from_its_first_line_and_nothing_lies_upon_another(n_lines: int) -> None:
    pages = Placing(crew(3, n_lines), PAPERS_MM["letter"], str).pages.pages
    for page in pages:
        feet = [one.top + one.part.height_mm for one in page]
        assert max(feet) <= PAPERS_MM["letter"][1] - MARGIN_MM + 0.01
        assert all(after.top >= foot - 0.01 for foot, after in zip(feet, page[1:], strict=False))
        assert isinstance(page[-1].part, GridRow)


def test_the_same_sheet_gives_the_same_bytes() -> None:
    assert crew_pdf(crew()).pdf == crew_pdf(crew()).pdf


def test_paper_and_weeks_are_checked() -> None:
    with pytest.raises(BadArgument, match="paper"):
        crew_pdf(crew(), paper="a0")  # type: ignore[arg-type]
    with pytest.raises(BadArgument, match="weeks"):
        crew_pdf(crew(weeks=()))


def test_all_days_of_a_week_are_shortened_alike() -> None:
    said = [weekday_text(MONDAY + timedelta(days=n)) for n in range(7)]
    assert [text.split()[0] for text in said] == ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"]
