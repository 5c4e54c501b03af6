from dataclasses import replace
from datetime import date

import pytest

from slipwright.advice.advise import advise
from slipwright.advice.sheet import NoSheetError, cane_drawing, stick_sheet
from slipwright.handbook import load_handbook
from slipwright.outputs.sheet import stick_sheet_pdf

HANDBOOK = load_handbook()
AUTUMN = date(2026, 10, 20)
LEAVES = [(page, leaf) for page in HANDBOOK.pages for leaf in page.woods.values()]
IDS = [f"{page.key}-{leaf.wood}" for page, leaf in LEAVES]


def answer(words="rose", **options):
    return advise(HANDBOOK, words, **{"on": AUTUMN, "latitude_deg": 41.0, "want": 5, **options})


@pytest.mark.parametrize(("page", "leaf"), LEAVES, ids=IDS)
def test_every_leaf_can_be_drawn_with_its_cuts(page, leaf):
    drawing = cane_drawing(page, leaf, leaf.leaves == "none")
    assert drawing.cuttings
    for cutting in drawing.cuttings:
        length = cutting.base_mm - cutting.top_mm
        assert leaf.length_mm.low - 0.01 <= length <= leaf.length_mm.high + 0.01
        inside = drawing.nodes_between(cutting.top_mm, cutting.base_mm)
        assert len(inside) >= min(round(leaf.n_nodes.low), 1)
        if leaf.cutting == "piece":
            assert round(leaf.n_nodes.low) <= len(inside) <= max(round(leaf.n_nodes.high), 2)


@pytest.mark.parametrize(("page", "leaf"), LEAVES, ids=IDS)
def test_every_leaf_makes_a_sheet_of_three_pages_at_most(page, leaf):
    told = answer(page.taxa[0], wood=leaf.wood, n_stuck=24, want=12)
    printed = stick_sheet_pdf(stick_sheet(told, code="K7Q2M9T3", garden="Saltmarsh Lane", made_on=AUTUMN))
    assert printed.pdf.startswith(b"%PDF")
    assert printed.n_pages <= 3


def test_the_sheet_says_number_pots_litres_and_cautions():
    told = answer(shoot="spent")
    sheet = stick_sheet(told)
    facts = dict(sheet.facts)
    assert sheet.answer.startswith(f"Stick {told.plan.n_to_stick} cuttings of semi-hardwood")
    assert "perlite" in facts["Medium"]
    assert "L water" in facts["Medium"]
    assert " L perlite and " in facts["Medium"]
    assert "which settle to" in facts["Medium"]
    assert facts["Hormone"].startswith("IBA talc")
    assert any("mask" in step.caution for step in sheet.steps)
    assert sheet.pot.n_containers == told.plan.n_containers
    assert sheet.days.stick_on == AUTUMN
    assert sheet.rests_on.startswith("Rests on the handbook alone")


def test_a_measured_shoot_is_drawn_as_measured():
    page = HANDBOOK.page_of("Rosa")
    leaf = page.woods["semi-hardwood"]
    short = cane_drawing(page, leaf, False, shoot_length_mm=500, nodes_per_shoot=12)
    assert short.cane_mm == 500
    assert len(short.node_mm) == 12
    assert len(short.cuttings) < len(cane_drawing(page, leaf, False).cuttings)


def test_a_rose_has_prickles_leaflets_and_a_tight_stub_and_lavender_has_not():
    rose = HANDBOOK.page_of("Rosa")
    lavender = HANDBOOK.page_of("Lavandula")
    drawn = cane_drawing(rose, rose.woods["semi-hardwood"], False)
    assert (drawn.prickles, drawn.leaf, drawn.opposite, drawn.called) == (True, "leaflets", False, "cane")
    tip = cane_drawing(lavender, lavender.woods["softwood"], False)
    assert (tip.prickles, tip.opposite, tip.form) == (False, True, "tip")


def test_what_may_not_be_stuck_has_no_sheet_and_says_why():
    with pytest.raises(NoSheetError, match="licence"):
        stick_sheet(answer(rights="protected"))
    with pytest.raises(NoSheetError, match="no one plant"):
        stick_sheet(answer("no such plant"))


def test_a_sheet_whose_potting_lies_years_ahead_is_still_drawn():
    told = answer()
    far = replace(told.plan.pot_up_on, p10=date(2029, 1, 1), p90=date(2029, 3, 1))
    assert stick_sheet(replace(told, plan=replace(told.plan, pot_up_on=far))).days.pot_up is None


def test_millilitres_are_said_for_a_dip():
    page = HANDBOOK.page_of("Rosa")
    leaf = page.woods["semi-hardwood"]
    dip = next(dose for dose in leaf.doses if dose.form == "quick-dip")
    told = answer()
    assert "ml" in dict(stick_sheet(replace(told, plan=replace(told.plan, dose=dip))).facts)["Hormone"]
