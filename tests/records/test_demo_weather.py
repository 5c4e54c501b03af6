"""The demonstration garden has heat and frost on the days on which the published record had them."""

from __future__ import annotations

from datetime import date

import pytest

from slipwright.handbook import load_handbook
from slipwright.records.answers.round import round_of
from slipwright.records.answers.today import told_round
from slipwright.records.demo import STANDS_ON, fill_demo
from slipwright.records.demo.setting import coldest
from tests.databases import Database
from tests.records.test_demo import NOW

SQLITE = pytest.mark.parametrize("database", ["sqlite"], indirect=True)
TENTS = {"Tent 1", "Tent 2", "Shelf"}
OUT_OF_DOORS = {"Cold frame", "Nursery bed"}


@SQLITE
def test_heat_and_frost_of_the_record_are_told(database: Database) -> None:
    garden, handbook = fill_demo(NOW), load_handbook()

    def told(on: date) -> set[tuple[str, str | None, str | None]]:
        acts = round_of(garden, handbook, on=on).acts
        return {(act.act, act.when, act.place) for act in acts if act.when}

    assert told(STANDS_ON) == {("shade", "today", place) for place in TENTS}
    assert told(date(2015, 6, 11)) == {("shade", "tomorrow", place) for place in TENTS}
    assert told(date(2015, 6, 10)) >= {("shade", "today", "Tent 1")}
    frosty = date(2014, 11, 28)
    assert coldest()[date(2014, 11, 29)] == -4.3
    assert told(frosty) == {("protect", "tonight", place) for place in OUT_OF_DOORS}
    assert told(date(2014, 10, 10)) == set()

    page = told_round(garden, handbook, on=frosty)
    assert [(act.place, act.c) for act in page.frost] == [("Cold frame", -4.3), ("Nursery bed", -4.3)]
    assert page.heat == ()
    heat = told_round(garden, handbook, on=STANDS_ON).heat
    assert [act.place for act in heat] == ["Tent 1", "Tent 2", "Shelf"]
    assert heat[0].c is not None
    assert 40 <= heat[0].c <= 44
