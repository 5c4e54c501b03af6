"""The year sheet of a garden: its plants, by what was seen of them, for its half of the earth."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal

import pytest

from slipwright.handbook import load_handbook
from slipwright.outputs.year_sheet import YearRow, YearSheet
from slipwright.records import services
from slipwright.records.answers.year_sheet import year_sheet_of
from slipwright.records.errors import NotFound
from slipwright.records.models import Garden, Member, Plant, Taxon

ON = date(2025, 10, 20)


def year(garden: Garden, year: int = 2026, **more: object) -> YearSheet:
    return year_sheet_of(garden, load_handbook(), year=year, on=ON, **more)  # type: ignore[arg-type]


def named(row: YearRow) -> str:
    return "".join(text for text, _ in row.name_runs)


def days(row: YearRow, wood: str) -> list[tuple[date, date]]:
    return [(bar.opens_on, bar.closes_on) for bar in row.bars if bar.wood == wood]


def test_each_taxon_has_a_row_with_its_cultivar_or_what_people_call_it(garden: Garden) -> None:
    rows = year(garden).rows
    assert [(named(row), row.second) for row in rows] == [
        ("Rosa", "'Pale Ferry'"),
        ("Salvia rosmarinus", "rosemary"),
    ]
    assert year(garden, tongue="es").rows[1].second == "romero"


def test_the_bars_are_those_of_the_year_asked_for(garden: Garden) -> None:
    for asked in (2026, 2031):
        rosemary = year(garden, asked).rows[1]
        ((opens, closes),) = days(rosemary, "softwood")
        assert (opens, closes) == (date(asked, 5, 20), date(asked, 7, 20))
        assert rosemary.bloom[0][0] == date(asked, 1, 1)
        assert rosemary.bloom[-1][0] == date(asked, 12, 31)


def test_south_of_the_equator_the_seasons_lie_six_months_later(garden: Garden) -> None:
    north = year(garden).rows[1]
    garden.latitude_deg = Decimal("-41.1")
    told = year(garden)
    ((opens, _),) = days(north, "softwood")
    assert opens.month == 5
    assert any(first == date(2026, 11, 20) for first, _ in days(told.rows[1], "softwood"))
    assert "below the equator" in told.notes[0]


def test_what_was_seen_of_a_plant_moves_its_bars_and_is_marked_by_the_notebook(
    garden: Garden, grower: Member, now: datetime
) -> None:
    assert not year(garden).rows[1].own_records
    ((before, _),) = days(year(garden, 2025).rows[1], "softwood")
    for on, firm in ((date(2025, 4, 20), 1), (date(2025, 5, 5), 2)):
        services.record_firmness(
            garden=garden, by=grower, now=now, plant="sage-wall", on=on, firmness_mid=firm
        )
    row = year(garden, 2025).rows[1]
    assert row.own_records
    ((after, _),) = days(row, "softwood")
    assert after < before


def test_plants_alike_stand_in_one_row_and_may_be_asked_for_one_by_one(garden: Garden) -> None:
    rose = Taxon.rows.get(garden=garden, taxon="Rosa 'Pale Ferry'")
    Plant.rows.create(garden=garden, plant="rose-wall", taxon=rose)
    assert [row.second for row in year(garden).rows] == ["'Pale Ferry', 2 plants", "rosemary"]
    each = year(garden, each_plant=True).rows
    assert [row.second for row in each[:2]] == ["'Pale Ferry', rose-gate", "'Pale Ferry', rose-wall"]


def test_a_plant_that_may_not_be_stuck_has_no_bar_and_says_why(garden: Garden) -> None:
    night = Taxon.rows.get(garden=garden, taxon="Lavandula 'Night Tide'")
    Plant.rows.create(garden=garden, plant="lavender-path", taxon=night)
    row = year(garden).rows[0]
    assert row.bars == ()
    assert row.note.startswith("not to be stuck: Protected")
    assert row.bloom


def test_a_plant_without_a_page_is_not_guessed_at(garden: Garden) -> None:
    tulip = Taxon.rows.create(garden=garden, taxon="Tulipa")
    Plant.rows.create(garden=garden, plant="tulip", taxon=tulip)
    row = year(garden).rows[-1]
    assert named(row) == "Tulipa"
    assert "no page" in row.note


@pytest.mark.parametrize("name", ["rose-gate", "Rosa", "rosa 'pale ferry'"])
def test_plants_taxa_and_genera_may_be_named(garden: Garden, name: str) -> None:
    assert [named(row) for row in year(garden, named=[name]).rows] == ["Rosa"]


def test_a_name_nobody_has_is_refused_by_what_there_is(garden: Garden) -> None:
    with pytest.raises(NotFound, match="Tulipa here; there are Rosa 'Pale Ferry', Salvia rosmarinus"):
        year(garden, named=["Rosa", "Tulipa"])
    Plant.rows.filter(garden=garden).delete()
    with pytest.raises(NotFound, match="no stock plant"):
        year(garden)


def test_repeat_bloomers_are_told_by_the_shoot(garden: Garden) -> None:
    assert "again and again" in year(garden).notes[0]
    assert year(garden, named=["Salvia"]).notes == ()
