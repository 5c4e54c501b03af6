"""What was seen of stock plants, as advice takes it, and how long it is remembered."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from slipwright.handbook import Handbook, load_handbook
from slipwright.handbook.pages import Page
from slipwright.records import services
from slipwright.records.answers.seasons import Seasons, seasons_of
from slipwright.records.answers.stock import plants_by_place, stock_plant
from slipwright.records.answers.wanted import wanted_of
from slipwright.records.answers.windows import windows_of_garden
from slipwright.records.models import Garden, Member, Plant, Taxon
from tests.records.making import stick

ON = date(2025, 7, 20)


@pytest.fixture
def handbook() -> Handbook:
    return load_handbook()


@pytest.fixture
def rose(handbook: Handbook) -> Page:
    page = handbook.page_of("Rosa")
    assert page
    return page


@pytest.fixture
def who(garden: Garden, grower: Member, now: datetime) -> dict[str, Any]:
    return {"garden": garden, "by": grower, "now": now}


def read(garden: Garden, handbook: Handbook) -> Seasons:
    garden.refresh_from_db()
    return seasons_of(garden, handbook, on=ON)


def test_nothing_written_costs_no_query_and_a_look_at_a_batch_one(
    garden: Garden, who: dict[str, Any], handbook: Handbook
) -> None:
    batch = stick(garden, who["by"], who["now"], stuck_on=ON - timedelta(days=9))
    first = read(garden, handbook)
    with CaptureQueriesContext(connection) as asked:
        assert seasons_of(garden, handbook, on=ON) is first
    assert len(asked) == 0
    services.record_look(**who, batch=batch.batch, on=ON, n_rooted=1)
    garden.refresh_from_db()
    with CaptureQueriesContext(connection) as asked:
        seasons_of(garden, handbook, on=ON)
    assert len(asked) <= 3  # one; three where the garden's file was written meanwhile


def test_what_is_seen_is_told_at_once_and_what_is_taken_back_no_more(
    garden: Garden, who: dict[str, Any], handbook: Handbook, rose: Page
) -> None:
    def best() -> str:
        found = read(garden, handbook).of("rose-gate", rose).best
        assert found
        return found.wood

    assert best() == "softwood"
    felt = services.record_firmness(**who, plant="rose-gate", on=ON, firmness_mid=3)
    assert best() == "semi-hardwood"
    services.withdraw(**who, withdraws=felt.entry_id, reason="another rose", at=who["now"])
    assert best() == "softwood"


def test_another_plant_of_the_kind_is_not_touched(
    garden: Garden, who: dict[str, Any], handbook: Handbook, rose: Page
) -> None:
    taxon = Taxon.rows.get(garden=garden, taxon="Rosa 'Pale Ferry'")
    Plant.rows.create(garden=garden, plant="rose-wall", taxon=taxon)
    before = read(garden, handbook).of("rose-wall", rose)
    services.record_firmness(**who, plant="rose-gate", on=ON, firmness_mid=3)
    assert read(garden, handbook).of("rose-wall", rose) == before


def test_every_plant_has_the_gardens_weather(
    garden: Garden, owner: Member, now: datetime, handbook: Handbook
) -> None:
    assert read(garden, handbook).seen("sage-wall").weather is None
    row = {"tmin_c": Decimal(9), "tmax_c": Decimal(21)}
    for days in (3, 1):
        day = row | {"on": ON - timedelta(days=days)}
        services.add_reference(garden=garden, by=owner, now=now, table="weather", row=day)
    weather = read(garden, handbook).seen("sage-wall").weather
    assert weather is not None
    assert (weather.starts_on, weather.known_to) == (ON - timedelta(days=3), ON - timedelta(days=1))
    assert weather.n_filled == 1


def test_lists_pages_and_wants_go_by_the_plants_own_wood(
    garden: Garden, who: dict[str, Any], handbook: Handbook
) -> None:
    services.record_firmness(**who, plant="rose-gate", on=ON, firmness_mid=3)
    garden.refresh_from_db()
    (line,) = [
        line
        for place in plants_by_place(garden, handbook, on=ON)
        for line in place.lines
        if line.stock.plant == "rose-gate"
    ]
    assert line.opening
    assert line.opening.wood == "semi-hardwood"
    told = stock_plant(garden, handbook, "rose-gate", on=ON)
    assert told.trust
    assert told.year
    assert (told.trust.n_firmness, told.trust.weather_to) == (1, None)
    assert any(run.wood == "softwood" and run.closes_on < ON for run in told.year.windows)
    (want,) = wanted_of(garden, handbook, on=ON)
    assert want.opening
    assert want.opening.wood == "semi-hardwood"


def test_a_want_takes_the_plant_whose_wood_is_right_first(
    garden: Garden, who: dict[str, Any], handbook: Handbook
) -> None:
    day = date(2025, 5, 20)
    taxon = Taxon.rows.get(garden=garden, taxon="Rosa 'Pale Ferry'")
    Plant.rows.create(garden=garden, plant="rose-wall", taxon=taxon)
    services.record_firmness(**who, plant="rose-wall", on=day, firmness_mid=2)
    garden.refresh_from_db()
    (want,) = wanted_of(garden, handbook, on=day)
    assert want.opening
    assert want.opening.from_on == day


def test_days_between_flushes_are_told_of_a_repeat_bloomer_alone(
    garden: Garden, who: dict[str, Any], handbook: Handbook
) -> None:
    for plant in ("rose-gate", "sage-wall"):
        for on in (date(2024, 5, 25), date(2024, 7, 10), date(2024, 8, 27)):
            services.record_stage(**who, plant=plant, on=on, bbch=61)
    garden.refresh_from_db()
    told = stock_plant(garden, handbook, "rose-gate", on=ON)
    assert told.flush
    assert told.flush_days
    assert (told.flush.days, told.flush.n_own) == (47, 2)
    assert told.flush_days[0] < 46 < 48 < told.flush_days[1]
    assert stock_plant(garden, handbook, "sage-wall", on=ON).flush is None


def test_a_plant_without_a_page_has_no_windows(garden: Garden, handbook: Handbook) -> None:
    taxon = Taxon.rows.create(garden=garden, taxon="Clematis 'Old Rope'")
    Plant.rows.create(garden=garden, plant="clematis", taxon=taxon)
    (found,) = [one for one in windows_of_garden(garden, handbook, on=ON) if one.plant == "clematis"]
    assert (found.windows, found.bloom) == ((), None)
    assert "no page" in found.rests_on
