"""Stick sheets: all of it printed, on as few pages as may be, nothing over the edge."""

from __future__ import annotations

from itertools import pairwise

import pytest

from slipwright.craft.errors import BadArgument
from slipwright.outputs._press.paper import PAPERS_MM
from slipwright.outputs.sheet import (
    GAP_MM,
    MARGIN_MM,
    SIZES_PT,
    SheetPlan,
    Step,
    StickSheet,
    stick_sheet_pdf,
)
from tests.outputs.making import LONG_NAME, hardwood_cane, lavender_tip, sheet

STEPS = tuple(
    Step(
        "In the cool of the morning, pencil-thick, from shoots whose flower is over; into a damp bag.",
        c,
        "Cut.",
    )
    for c in ("", "Clean blade, cut away from the hand; gloves for prickles.", "") * 6
)
SHEETS = {
    "full": sheet(),
    "lavender": sheet(cane=lavender_tip(), code=""),
    "hardwood": sheet(cane=hardwood_cane(), first="us"),
    "no cane": sheet(cane=None),
    "no pot": sheet(pot=None),
    "no days": sheet(days=None),
    "long": sheet(name_runs=LONG_NAME, steps=STEPS),
    "bare": StickSheet((("Salvia rosmarinus", True),), "Stick 12 today.", (Step("Wash the pots."),)),
}


@pytest.mark.parametrize("paper", list(PAPERS_MM))
@pytest.mark.parametrize("name", list(SHEETS))
def test_a_sheet_takes_one_page_or_two_and_prints_all_letters(name: str, paper: str) -> None:
    printed = stick_sheet_pdf(SHEETS[name], paper=paper)  # type: ignore[arg-type]
    assert printed.n_pages <= 2
    assert printed.warnings == ()


@pytest.mark.parametrize("name", sorted(SHEETS.keys() - {"long"}))
def test_a_sheet_of_six_steps_takes_one_page(name: str) -> None:
    assert stick_sheet_pdf(SHEETS[name]).n_pages == 1


@pytest.mark.parametrize("paper", list(PAPERS_MM))
@pytest.mark.parametrize("name", list(SHEETS))
@pytest.mark.parametrize("pt", SIZES_PT)
def test_parts_stand_within_the_page_and_not_upon_each_other(name: str, paper: str, pt: float) -> None:
    plan = SheetPlan(SHEETS[name], PAPERS_MM[paper], pt, "")
    for page in plan.pages:
        column = [placed for placed in page if placed.x == MARGIN_MM]
        for above, below in pairwise(column):
            assert below.top >= above.top + above.part.height_mm - 0.01
        for placed in page:
            assert placed.top + placed.part.height_mm <= PAPERS_MM[paper][1] - MARGIN_MM + 1.8
        assert page[0].top == MARGIN_MM


@pytest.mark.parametrize("pt", SIZES_PT)
def test_what_follows_the_steps_begins_below_the_cane(pt: float) -> None:
    page = SheetPlan(sheet(), PAPERS_MM["a4"], pt, "").pages[0]
    cane = next(placed for placed in page if placed.x > MARGIN_MM)
    after = [placed for placed in page if type(placed.part).__name__ == "BesidePart"]
    assert after
    assert all(placed.top >= cane.top + cane.part.height_mm + GAP_MM - 0.01 for placed in after)


def test_every_step_is_printed_in_order() -> None:
    plan = SheetPlan(SHEETS["long"], PAPERS_MM["a4"], 10.5, "")
    numbers = [placed.part.number for page in plan.pages for placed in page if hasattr(placed.part, "number")]
    assert numbers == list(range(1, len(STEPS) + 1))


def test_the_same_sheet_gives_the_same_bytes() -> None:
    assert stick_sheet_pdf(sheet()).pdf == stick_sheet_pdf(sheet()).pdf


def test_a_letter_without_a_font_is_told() -> None:
    assert "鉢" in stick_sheet_pdf(sheet(common_name="鉢")).warnings[0]


def test_nonsense_is_refused() -> None:
    with pytest.raises(BadArgument, match="paper must be a4 or letter"):
        stick_sheet_pdf(sheet(), paper="a3")  # type: ignore[arg-type]
    with pytest.raises(BadArgument, match="steps must hold at least one"):
        stick_sheet_pdf(sheet(steps=()))
