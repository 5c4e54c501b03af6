"""What a how-to says: the handbook's figures with their sources, for the hemisphere and measures asked."""

from __future__ import annotations

import re
from datetime import date

import pytest

from slipwright.advice.how_to import how_to_of_plant, how_to_of_wood
from slipwright.advice.typical import typical_page
from slipwright.craft.errors import BadArgument
from slipwright.craft.said import all_in_tongue
from slipwright.handbook import load_handbook
from slipwright.handbook.pages import WOODS, Wood
from slipwright.outputs.how_to import HowTo
from tests.advice.test_tongues import shouted, small_words

ON = date(2026, 6, 1)
PLANTS = [(page.taxa[0], wood) for page in load_handbook().pages for wood in page.woods]


def told(taxon: str = "Salvia rosmarinus", wood: Wood = "semi-hardwood", **more: object) -> HowTo:
    return how_to_of_plant(load_handbook(), taxon, wood, on=ON, **more)  # type: ignore[arg-type]


def fact(how_to: HowTo, name: str) -> str:
    return dict(how_to.facts)[name]


def test_the_days_are_those_of_the_half_of_the_earth() -> None:
    assert fact(told(), "When") == "about 20 Jul to 31 Oct (c)"
    assert fact(told(south=True), "When").startswith("about 20 Jan to 30 Apr")


def test_the_measures_asked_for_come_first() -> None:
    assert fact(told(), "Length").startswith("6 to 12 cm (2¼ to 4¾ in)")
    us = told(first="us")
    assert fact(us, "Length").startswith("2¼ to 4¾ in (6 to 12 cm)")
    assert fact(us, "Warmth").startswith("59 to 72 °F")
    assert "¾ in" in us.roots[1].svg


@pytest.mark.parametrize(("taxon", "wood"), PLANTS)
def test_every_sign_of_a_source_is_told_at_the_foot(taxon: str, wood: Wood) -> None:
    how_to = told(taxon, wood)
    words = " ".join(text for _, text in (*how_to.facts, *how_to.after))
    signs = {
        sign for group in re.findall(r"\(((?:c|m|\d+)(?:, \d+)*)\)", words) for sign in group.split(", ")
    }
    named = set(re.findall(r"(?:^|\n)\((\w+)\)", "\n".join(how_to.sources)))
    assert signs == named
    assert signs


@pytest.mark.parametrize(("taxon", "wood"), PLANTS)
def test_nothing_is_left_in_the_first_tongue(taxon: str, wood: Wood) -> None:
    how_to = all_in_tongue(told(taxon, wood), shouted)
    sources = {line.partition(" ")[2] for line in how_to.sources}
    says = [
        how_to.answer,
        how_to.rests_on,
        how_to.label_says,
        *how_to.cautions,
        *how_to.label[1:],
        *(text for row in (*how_to.facts, *how_to.after) for text in row),
        *(picture.words for picture in (*how_to.bends, *how_to.tips, *how_to.roots)),
        *(part for step in (*how_to.cut, *how_to.stick) for lead in step.says for part in lead),
        *(text for step in (*how_to.cut, *how_to.stick) for text in step.cautions),
    ]
    for text in says:
        if text not in sources:
            assert small_words(re.sub(r"\((?:c|m|\d+)(?:, \d+)*\)", "", text), f"{taxon} mg") == [], text


def test_every_caution_of_the_work_stands_in_a_step_or_beside() -> None:
    how_to = told("Rosa", "hardwood")
    said = " ".join(
        [*(text for step in (*how_to.cut, *how_to.stick) for text in step.cautions), *how_to.cautions]
    )
    for words in ("Prickles", "blade", "Dust", "label first", "protected"):
        assert words in said, words


def test_a_hardwood_shoot_is_not_asked_for_its_flower() -> None:
    assert told("Rosa", "hardwood").tips == ()
    assert len(told("Rosa", "softwood").tips) == 4


@pytest.mark.parametrize("wood", WOODS)
def test_a_kind_of_wood_is_the_middle_of_the_plants_that_have_it(wood: Wood) -> None:
    handbook = load_handbook()
    leaf = typical_page(handbook, wood).woods[wood]
    lows = sorted(page.woods[wood].length_mm.low for page in handbook.pages if wood in page.woods)
    assert lows[0] <= leaf.length_mm.low <= lows[-1]
    assert leaf.rooted_percent[0].p10 < leaf.rooted_percent[0].p50 < leaf.rooted_percent[0].p90
    how_to = how_to_of_wood(handbook, wood, on=ON)
    assert how_to.label[0] == "name"
    assert f"of the {len(lows)} plants" in how_to.rests_on


def test_a_kind_of_wood_names_no_plant_and_no_plant_s_hazard() -> None:
    for wood in WOODS:
        how_to = how_to_of_wood(load_handbook(), wood, on=ON)
        words = " ".join(text for step in (*how_to.cut, *how_to.stick) for part in step.says for text in part)
        assert not re.search("rose|lavender|fuchsia|box|hydrangea", words, re.IGNORECASE), words


def test_a_long_name_is_cut_to_the_label() -> None:
    assert told("Lavandula angustifolia 'Grey Heron'").label[:2] == ("L. angustifolia", "‘Grey Heron’")


def test_a_plant_or_a_wood_the_handbook_has_not_is_refused() -> None:
    with pytest.raises(BadArgument, match="page"):
        told("Tulipa")
    with pytest.raises(BadArgument, match="wood"):
        told("Salvia officinalis", "hardwood")
    with pytest.raises(BadArgument, match="wood"):
        how_to_of_wood(load_handbook(), "oak", on=ON)  # type: ignore[arg-type]
