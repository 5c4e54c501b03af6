"""The how-to: two pages whatever the plant and the tongue, every caution where the hand is."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

import pytest

from slipwright.advice.how_to import how_to_of_plant, how_to_of_wood
from slipwright.craft.errors import BadArgument
from slipwright.craft.said import all_in_tongue
from slipwright.handbook import load_handbook
from slipwright.handbook.pages import WOODS, Wood
from slipwright.outputs._press.how_to_parts import DoingPart
from slipwright.outputs._press.paper import PAPERS_MM
from slipwright.outputs.how_to import (
    LEAST_PT,
    SIZES_PT,
    HowStep,
    HowTo,
    HowToPlan,
    Picture,
    how_to_pdf,
    plan_of_how_to,
)
from tests.outputs.written import Written

ON = date(2026, 6, 1)
LEAVES = [(page.taxa[0], wood) for page in load_handbook().pages for wood in page.woods]
STEP = HowStep("", (("Wash the pots.", "And the knife."),), ("Mind the blade.",))


def rose(wood: Wood = "hardwood") -> HowTo:
    return how_to_of_plant(load_handbook(), "Rosa", wood, on=ON)


@pytest.fixture
def written(monkeypatch: pytest.MonkeyPatch) -> Written:
    return Written(monkeypatch)


@pytest.mark.parametrize(
    ("taxon", "wood", "paper"),
    [(*leaf, "letter") for leaf in LEAVES] + [(*leaf, "a4") for leaf in LEAVES[::7]],
)
def test_every_wood_of_every_plant_fits_two_pages(taxon: str, wood: Wood, paper: str) -> None:
    plan = plan_of_how_to(how_to_of_plant(load_handbook(), taxon, wood, on=ON), PAPERS_MM[paper])
    assert plan.fits
    assert plan.pt >= 8.2


@pytest.mark.parametrize("wood", WOODS)
def test_a_kind_of_wood_fits_two_pages_in_a_size_to_read(wood: Wood, written: Written) -> None:
    told = how_to_of_wood(load_handbook(), wood, on=ON)
    assert HowToPlan(told, PAPERS_MM["a4"], 9.0).fits
    assert how_to_pdf(told).n_pages == 2


def test_a_tongue_a_quarter_longer_still_fits(written: Written) -> None:
    def longer(text: str) -> str:
        return text + " palabra" * (len(text) // 32)

    for taxon, wood in LEAVES[::9]:
        told = how_to_of_plant(load_handbook(), taxon, wood, on=ON)
        assert how_to_pdf(told, translate=longer).n_pages == 2
        plan = plan_of_how_to(all_in_tongue(told, longer), PAPERS_MM["letter"])
        assert plan.fits
        assert plan.pt >= LEAST_PT, (taxon, wood)


def test_a_caution_is_never_smaller_than_one_can_read_in_the_shed() -> None:
    for pt in SIZES_PT:
        plan = HowToPlan(rose(), PAPERS_MM["letter"], pt)
        steps = [placed.part for page in plan.pages for placed in page]
        sizes = [line.size_pt for part in steps if isinstance(part, DoingPart) for line in part.cautions]
        assert sizes
        assert min(sizes) >= min(LEAST_PT, pt)


def test_each_caution_of_a_step_stands_by_itself_and_none_is_a_wall_of_lines() -> None:
    told = how_to_of_plant(load_handbook(), "Ribes nigrum", "hardwood", on=ON)
    plan = plan_of_how_to(told, PAPERS_MM["letter"])
    parts = [one.part for page in plan.pages for one in page if isinstance(one.part, DoingPart)]
    lines = [len(caution.lines) for part in parts for caution in part.cautions]
    assert max(lines) <= 4
    assert min(caution.size_pt for part in parts for caution in part.cautions) >= LEAST_PT


def test_the_steps_give_us_measures_first_where_they_are_asked_for(written: Written) -> None:
    told = how_to_of_plant(load_handbook(), "Rosa", "semi-hardwood", on=ON, first="us")
    how_to_pdf(told, paper="letter")
    text = " ".join(" ".join(written).split())
    for words in ("Each piece 3 to 5 in", "the lowest ⅜ in (1 cm)", "than ¾ in (2 cm)", "holes, 2¾ US qt"):
        assert words in text, words
    said = " ".join(words for step in (*told.cut, *told.stick) for _, words in step.says)
    assert not re.findall(r"\d (?:mm|cm|L)\b", re.sub(r"\([^)]*\)", "", said))


def test_it_shows_cuts_firmness_pot_label_and_the_three_states_of_roots(written: Written) -> None:
    how_to_pdf(rose("semi-hardwood"))
    for words in (
        "folds over: too soft",
        "springs back: semi",
        "in bud: leave it",
        "Divide the cane",
        "From above",
        "Label twice",
        "Not yet:",
        "Now: three roots",
        "Overdue:",
        "Give up",
        "Where the figures come from",
    ):
        assert words in written, words


def test_the_cautions_stand_in_their_steps(written: Written) -> None:
    how_to_pdf(rose())
    text = " ".join(written)
    assert text.index("Prickles: stout gloves") < text.index("Divide the cane.")
    assert text.index("Read the hormone") > text.index("Pour out a little hormone")
    # rights stand where the plant is chosen, before the first cut
    rights = text.index("A protected variety may not be multiplied")
    assert text.index("Choose the canes.") < rights < text.index("Divide the cane.")
    assert text.count("A protected variety may not be multiplied") == 1


def test_steps_are_numbered_on_through_both_pages(written: Written) -> None:
    how_to_pdf(HowTo((("Rosa", True),), "They root.", (STEP,) * 3, (STEP,) * 2))
    assert [line for line in written if line.isdigit()] == ["1", "2", "3", "4", "5"]


def test_the_right_one_is_framed_and_told_by_a_tick_not_by_colour_alone(written: Written) -> None:
    told = rose()
    assert [picture.right for picture in told.bends] == [False, False, False, True]
    assert told.bends[3].words == "hardly bends: hard"
    assert told.roots[1].right


def test_parts_stand_within_the_page_and_not_upon_each_other() -> None:
    plan = HowToPlan(rose("semi-hardwood"), PAPERS_MM["a4"], 8.7)
    for page in plan.pages:
        boxes = sorted((placed.x, placed.top, placed.top + placed.part.height_mm) for placed in page)
        for x, top, foot in boxes:
            assert foot <= plan.foot + 0.1
            assert not [one for one in boxes if one[0] == x and top < one[1] < foot - 0.01]


def test_the_largest_text_that_fits_is_taken() -> None:
    short = HowTo((("Rosa", True),), "They root.", (STEP,), (STEP,))
    assert HowToPlan(short, PAPERS_MM["a4"], SIZES_PT[0]).fits
    long = replace(short, cut=(HowStep("", (("Wash.", "And again. " * 90),)),) * 6)
    assert not HowToPlan(long, PAPERS_MM["a4"], SIZES_PT[0]).fits


def test_paper_and_steps_are_asked_for() -> None:
    with pytest.raises(BadArgument, match="paper"):
        how_to_pdf(rose(), paper="a0")  # type: ignore[arg-type]
    with pytest.raises(BadArgument, match="cut"):
        how_to_pdf(HowTo((("Rosa", True),), "They root.", (), (STEP,)))


def test_a_picture_needs_no_verdict() -> None:
    assert Picture("<svg>", "roots").right is None
