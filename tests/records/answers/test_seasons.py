"""The season of stock plants: what is kept of it, when it is worked out anew, and what goes by it."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.db.models import F
from django.test.utils import CaptureQueriesContext

from slipwright.advice.plant_season import PlantSeason
from slipwright.handbook import Handbook, load_handbook
from slipwright.records import selectors, services
from slipwright.records.answers import seasons as seasons_module
from slipwright.records.answers.own_page import page_of_stock
from slipwright.records.answers.seasons import Seasons, asked_plant, refresh, seasons_of
from slipwright.records.answers.stock import plants_by_place, stock_plant
from slipwright.records.answers.today import told_round
from slipwright.records.answers.wanted import wanted_of
from slipwright.records.answers.windows import windows_of_garden
from slipwright.records.models import Garden, Member, Plant, Taxon
from slipwright.records.models import PlantSeason as KeptSeason
from slipwright.records.selectors import years_of_plants
from tests.records.conftest import small_garden

ON = date(2025, 7, 20)


@pytest.fixture
def handbook() -> Handbook:
    return load_handbook()


@pytest.fixture
def who(garden: Garden, grower: Member, now: datetime) -> dict[str, Any]:
    return {"garden": garden, "by": grower, "now": now}


def ask(garden: Garden, handbook: Handbook, on: date = ON, **more: Any) -> Seasons:
    garden.refresh_from_db()
    asked = [
        asked_plant(plant.plant, page_of_stock(handbook, plant.taxon), plant.taxon.flowers)
        for plant in selectors.seasons_kept(garden, on=on).plants
    ]
    return seasons_of(garden, handbook, [one for one in asked if one], on=on, **more)


def keep(garden: Garden, handbook: Handbook, now: datetime, on: date = ON) -> int:
    garden.refresh_from_db()
    return refresh(garden, handbook, on=on, now=now)


def more_roses(garden: Garden, n: int) -> None:
    taxon = Taxon.rows.get(garden=garden, taxon="Rosa 'Pale Ferry'")
    for k in range(n):
        Plant.rows.create(garden=garden, plant=f"rose-{k}", taxon=taxon)


def set_weather(garden: Garden, owner: Member, now: datetime, tmax_c: int = 21) -> None:
    row = {"on": ON - timedelta(days=1), "tmin_c": Decimal(9), "tmax_c": Decimal(tmax_c)}
    services.add_reference(garden=garden, by=owner, now=now, table="weather", row=row)


def wood(season: PlantSeason | None) -> str:
    assert season
    assert season.best
    return season.best.wood


def test_every_season_is_worked_out_once_a_day_and_read_back_the_same(
    garden: Garden, now: datetime, handbook: Handbook
) -> None:
    anew = ask(garden, handbook)
    assert keep(garden, handbook, now) == 2
    assert keep(garden, handbook, now) == 0
    with CaptureQueriesContext(connection) as asked:
        kept = ask(garden, handbook, at_most=0)
    assert len(asked) == 3  # the garden, its plants, and their seasons
    assert kept.found == anew.found
    assert (kept.n_working, dict(kept.told_on)) == (0, {})
    assert keep(garden, handbook, now, ON + timedelta(days=1)) == 2
    assert KeptSeason.rows.of(garden).count() == 2


def test_what_is_seen_is_told_at_once_and_what_is_taken_back_no_more(
    garden: Garden, who: dict[str, Any], handbook: Handbook
) -> None:
    def best() -> str:
        return wood(ask(garden, handbook).of("rose-gate"))

    keep(garden, handbook, who["now"])
    assert best() == "softwood"
    felt = services.record_firmness(**who, plant="rose-gate", on=ON, firmness_mid=3)
    assert best() == "semi-hardwood"
    assert keep(garden, handbook, who["now"]) == 1
    assert best() == "semi-hardwood"
    services.withdraw(**who, withdraws=felt.entry_id, reason="another rose", at=who["now"])
    assert best() == "softwood"


def test_a_setting_of_the_taxon_makes_only_its_plants_anew(
    garden: Garden, now: datetime, handbook: Handbook
) -> None:
    keep(garden, handbook, now)
    taxon = Taxon.rows.get(garden=garden, taxon="Rosa 'Pale Ferry'")
    for column, value in (("flowers", "once"), ("gap_before_bloom_days", 30), ("bloom_gap_reason", "ours")):
        setattr(taxon, column, value)
        taxon.save()
        seasons = ask(garden, handbook, at_most=0)
        assert (seasons.n_working, set(seasons.found)) == (1, {"sage-wall"})
        Garden.objects.filter(pk=garden.pk).update(last_edit=F("last_edit") + 1)
        assert keep(garden, handbook, now) == 1


def test_a_list_works_out_a_few_and_says_how_many_are_left(
    garden: Garden, now: datetime, handbook: Handbook
) -> None:
    more_roses(garden, 8)
    seasons = ask(garden, handbook, at_most=3)
    assert (len(seasons.found), seasons.n_working) == (3, 7)
    found = [line for place in plants_by_place(garden, handbook, on=ON) for line in place.lines]
    assert [line.verdict for line in found].count("working") == 1  # three were there, six came with the list
    walk = told_round(garden, handbook, on=ON)
    assert walk.n_plants_working == 0
    assert ask(garden, handbook, at_most=0).n_working == 0


def test_today_says_how_many_plants_are_left_and_is_not_remembered_so(
    garden: Garden, now: datetime, handbook: Handbook
) -> None:
    more_roses(garden, 10)
    garden.refresh_from_db()
    assert told_round(garden, handbook, on=ON).n_plants_working == 6
    keep(garden, handbook, now)
    assert told_round(garden, handbook, on=ON).n_plants_working == 0


def test_by_other_weather_or_the_day_after_lists_tell_what_was_kept_and_say_so(
    garden: Garden, owner: Member, now: datetime, handbook: Handbook
) -> None:
    keep(garden, handbook, now)
    kept = ask(garden, handbook)
    set_weather(garden, owner, now)
    later = ask(garden, handbook, at_most=0)
    assert later.found == kept.found
    assert set(later.told_on.values()) == {ON}
    next_day = ask(garden, handbook, ON + timedelta(days=1), at_most=0)
    assert set(next_day.told_on.values()) == {ON}
    garden.refresh_from_db()
    assert told_round(garden, handbook, on=ON + timedelta(days=1)).plants_told_on == ON
    (line,) = [
        line
        for place in plants_by_place(garden, handbook, on=ON + timedelta(days=1))
        for line in place.lines
        if line.stock.plant == "rose-gate"
    ]
    assert line.told_on == ON
    assert ask(garden, handbook, ON + timedelta(days=2), at_most=0).n_working == 2
    assert ask(garden, handbook, ON - timedelta(days=1), at_most=0).n_working == 2


def test_who_asks_for_this_day_gets_none_of_an_earlier(
    garden: Garden, owner: Member, now: datetime, handbook: Handbook
) -> None:
    keep(garden, handbook, now)
    set_weather(garden, owner, now)
    fresh = ask(garden, handbook, at_most=None, fresh=True)
    assert (len(fresh.found), dict(fresh.told_on)) == (2, {})
    rests_on = fresh.found["rose-gate"].rests_on
    assert "weather to 19 Jul" in rests_on
    told = stock_plant(garden, handbook, "rose-gate", on=ON)
    assert told.trust
    assert told.trust.wood_rests_on == rests_on
    assert all("weather to 19 Jul" in one.rests_on for one in windows_of_garden(garden, handbook, on=ON))
    assert keep(garden, handbook, now) == 2


def test_the_page_of_a_plant_works_out_no_other(
    garden: Garden, who: dict[str, Any], handbook: Handbook, monkeypatch: pytest.MonkeyPatch
) -> None:
    more_roses(garden, 3)
    keep(garden, handbook, who["now"])
    services.record_firmness(**who, plant="rose-1", on=ON, firmness_mid=3)
    services.record_firmness(**who, plant="rose-gate", on=ON, firmness_mid=3)
    garden.refresh_from_db()
    asked: list[object] = []

    def years(garden: Garden, *, on: date, plants: Any = None) -> Any:
        asked.append(plants)
        return years_of_plants(garden, on=on, plants=plants)

    monkeypatch.setattr(selectors, "years_of_plants", years)
    told = stock_plant(garden, handbook, "rose-gate", on=ON)
    assert told.line.opening
    assert told.line.opening.wood == "semi-hardwood"
    assert asked == [["rose-gate"]]


def test_seasons_go_with_their_plants_and_stay_in_their_garden(
    garden: Garden, now: datetime, handbook: Handbook
) -> None:
    other = small_garden("Long Reach")
    keep(garden, handbook, now)
    assert ask(other, handbook, at_most=0).n_working == 2
    Plant.rows.get(garden=garden, plant="sage-wall").delete()
    assert [kept.plant.plant for kept in KeptSeason.rows.of(garden)] == ["rose-gate"]


def test_a_pass_keeps_what_it_has_done_if_it_is_broken_off(
    garden: Garden, now: datetime, handbook: Handbook, monkeypatch: pytest.MonkeyPatch
) -> None:
    more_roses(garden, 4)
    monkeypatch.setattr(seasons_module, "AT_ONCE", 2)

    def stop(done: int, total: int, label: str) -> None:
        if done == 4:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        refresh(garden, handbook, on=ON, now=now, progress=stop)
    assert KeptSeason.rows.of(garden).count() == 4
    assert keep(garden, handbook, now) == 2


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
