"""The one printed page: one page for every plant, and all of it on the paper."""

from __future__ import annotations

from datetime import date

import pytest

from slipwright.advice.advise import advise
from slipwright.advice.one_pot import one_page_sheet
from slipwright.craft.errors import BadArgument
from slipwright.handbook import load_handbook
from slipwright.outputs._press.paper import PAPERS_MM
from slipwright.outputs.one_page import SIZES_PT, OnePagePlan, one_page_pdf
from slipwright.outputs.sheet import StickSheet
from tests.outputs.making import sheet

PLANTS = [page.taxa[0] for page in load_handbook().pages]
DAYS = (date(2026, 1, 10), date(2026, 6, 20), date(2026, 10, 20))


def sheet_of(taxon: str, on: date, have: str = "tent") -> StickSheet:
    return one_page_sheet(advise(load_handbook(), taxon, on=on, latitude_deg=41, want=5, have=have))


@pytest.mark.parametrize("taxon", PLANTS)
@pytest.mark.parametrize("paper", list(PAPERS_MM))
def test_every_plant_fits_one_page_all_year(taxon: str, paper: str) -> None:
    for on in DAYS:
        plans = [OnePagePlan(sheet_of(taxon, on), PAPERS_MM[paper], pt) for pt in SIZES_PT[-1:]]
        assert plans[0].fits, on


def test_the_largest_text_that_fits_is_taken() -> None:
    short = sheet(cane=None)
    assert OnePagePlan(short, PAPERS_MM["a4"], SIZES_PT[0]).fits
    printed = one_page_pdf(short)
    assert printed.n_pages == 1
    assert printed.warnings == ()


def test_parts_stand_within_the_page_and_not_upon_each_other() -> None:
    plan = OnePagePlan(sheet_of("Rosa", DAYS[2]), PAPERS_MM["a4"], 8.2)
    boxes = sorted((placed.x, placed.top, placed.top + placed.part.height_mm) for placed in plan.placed)
    for x, top, foot in boxes:
        assert foot <= plan.foot + 0.1
        assert not [one for one in boxes if one[0] == x and top < one[1] < foot - 0.01]


def test_paper_and_steps_are_checked() -> None:
    with pytest.raises(BadArgument, match="paper"):
        one_page_pdf(sheet(), paper="a0")  # type: ignore[arg-type]
    with pytest.raises(BadArgument, match="steps"):
        one_page_pdf(StickSheet((("Rosa", True),), "Stick 9.", ()))
