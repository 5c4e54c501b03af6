"""Which papers there are to print: how-tos of plants and woods, seasons, the year to hang up."""

from __future__ import annotations

from datetime import date

import pytest

from slipwright.handbook import load_handbook
from slipwright.records.answers.papers_offered import how_to_asked, papers_offered
from slipwright.records.errors import NotFound
from slipwright.records.models import Garden

ON = date(2026, 6, 1)


def test_the_garden_s_plants_stand_first_and_are_not_named_twice(garden: Garden) -> None:
    offered = papers_offered(garden, load_handbook(), on=ON)
    own = [(one.taxon, one.wood) for one in offered.own]
    assert ("Rosa 'Pale Ferry'", "hardwood") in own
    assert ("Salvia rosmarinus", "softwood") in own
    assert not {one.taxon for one in offered.own} & {one.taxon for one in offered.book}
    assert offered.n_plants == 2
    assert offered.seasons == ()


@pytest.mark.parametrize(("on", "year"), [(date(2026, 6, 1), 2026), (date(2026, 9, 1), 2027)])
def test_from_autumn_on_next_year_is_the_one_to_hang_up(garden: Garden, on: date, year: int) -> None:
    assert papers_offered(garden, load_handbook(), on=on).year == year


def test_a_plant_is_found_by_any_of_its_names(garden: Garden) -> None:
    for name in ("rosemary", "Salvia rosmarinus", "Rosmarinus officinalis"):
        told = how_to_asked(load_handbook(), name, "softwood", on=ON)
        assert told.common_name == "rosemary"
    assert how_to_asked(load_handbook(), "romero", "softwood", on=ON, tongue="es").common_name == "romero"


def test_without_a_wood_the_one_that_roots_best_is_told(garden: Garden) -> None:
    page = load_handbook().page_of("Salvia rosmarinus")
    assert page is not None
    best = max(page.woods, key=lambda wood: page.woods[wood].rooted_percent[0].p50)
    assert how_to_asked(load_handbook(), "rosemary", "", on=ON).answer.startswith("Tip cuttings of " + best)


def test_what_there_is_not_is_refused_by_what_there_is(garden: Garden) -> None:
    with pytest.raises(NotFound, match="no page for tulip"):
        how_to_asked(load_handbook(), "tulip", "softwood", on=ON)
    with pytest.raises(NotFound, match="it takes softwood, semi-hardwood"):
        how_to_asked(load_handbook(), "sage", "hardwood", on=ON)
    with pytest.raises(NotFound, match="say which wood"):
        how_to_asked(load_handbook(), "", "", on=ON)
