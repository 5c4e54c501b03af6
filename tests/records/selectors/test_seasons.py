"""What was seen of all stock plants through the years, and the weather that was known, on both databases."""

from __future__ import annotations

import json
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from slipwright.records import services
from slipwright.records.models import Garden, Member, PlantSeason, WeatherDay
from slipwright.records.selectors import weather_known
from slipwright.records.selectors.seasons import (
    YearsOfPlant,
    seasons_kept,
    years_of_plants,
)
from tests.records.making import stick

ON = date(2025, 10, 20)


@pytest.fixture
def who(garden: Garden, grower: Member, now: datetime) -> dict[str, Any]:
    return {"garden": garden, "by": grower, "now": now}


def test_everything_seen_of_a_plant_is_told_by_day_in_one_query(garden: Garden, who: dict[str, Any]) -> None:
    services.record_stage(**who, plant="rose-gate", on=date(2025, 6, 3), bbch=61)
    services.record_stage(**who, plant="rose-gate", on=date(2024, 6, 9), bbch=60)
    services.record_firmness(**who, plant="rose-gate", on=date(2025, 7, 1), firmness_mid=3, firmness_base=4)
    services.record_act(**who, plant="rose-gate", on=date(2025, 3, 1), act="cut-back")
    services.record_act(**who, plant="rose-gate", on=date(2025, 7, 2), act="deadhead")
    services.record_act(**who, plant="rose-gate", on=date(2025, 7, 2), act="feed")
    services.record_act(**who, place="frame-1", on=date(2025, 7, 2), act="clean")
    with CaptureQueriesContext(connection) as asked:
        seen = years_of_plants(garden, on=ON)
    assert len(asked) == 1
    assert seen == {
        "rose-gate": YearsOfPlant(
            "Rosa 'Pale Ferry'",
            stages=((date(2024, 6, 9), 60), (date(2025, 6, 3), 61)),
            firmness=((date(2025, 7, 1), None, 3, 4),),
            cut_back=(date(2025, 3, 1),),
            deadheaded=(date(2025, 7, 2),),
            flowers="repeat",
        )
    }
    assert years_of_plants(garden, on=ON, plants=["rose-gate"]) == seen
    assert years_of_plants(garden, on=ON, plants=["sage-wall"]) == {}


def test_what_was_taken_back_or_lies_ahead_is_not_told(garden: Garden, who: dict[str, Any]) -> None:
    wrong = services.record_stage(**who, plant="rose-gate", on=date(2025, 6, 3), bbch=61)
    services.record_stage(**who, plant="rose-gate", on=date(2025, 8, 1), bbch=69)
    services.withdraw(
        garden=garden, by=who["by"], now=who["now"], withdraws=wrong.entry_id, reason="x", at=who["now"]
    )
    assert years_of_plants(garden, on=date(2025, 7, 1)) == {}
    assert years_of_plants(garden, on=ON)["rose-gate"].stages == ((date(2025, 8, 1), 69),)


def test_the_mark_of_a_plant_moves_with_what_bears_on_it_and_with_nothing_else(
    garden: Garden, who: dict[str, Any]
) -> None:
    def mark(plant: str = "rose-gate", on: date = ON) -> str:
        return seasons_kept(garden, on=on).of(plant).seen

    def take_back(entry_id: str) -> str:
        back = services.withdraw(
            garden=garden, by=who["by"], now=who["now"], withdraws=entry_id, reason="x", at=who["now"]
        )
        return back.entry_id

    marks = [mark()]
    first = services.record_stage(**who, plant="rose-gate", on=date(2025, 6, 3), bbch=61)
    marks.append(mark())
    services.record_firmness(**who, plant="rose-gate", on=ON, firmness_mid=3)
    marks.append(mark())
    services.record_act(**who, plant="rose-gate", on=ON, act="cut-back")
    marks.append(mark())
    take_back(first.entry_id)
    marks.append(mark())
    again = services.record_stage(**who, plant="rose-gate", on=date(2025, 6, 3), bbch=61)
    marks.append(mark())
    assert len(set(marks)) == 6
    services.record_stage(**who, plant="sage-wall", on=ON, bbch=61)
    services.record_act(**who, plant="rose-gate", on=ON, act="feed")
    batch = stick(garden, who["by"], who["now"])
    services.record_look(**who, batch=batch.batch, on=ON, n_rooted=1)
    assert mark() == marks[-1]
    take_back(again.entry_id)
    assert mark() == marks[-2]
    assert mark(on=date(2025, 6, 1)) == marks[0]


def test_marks_and_what_is_kept_of_all_plants_or_one_cost_one_query(
    garden: Garden, who: dict[str, Any]
) -> None:
    for plant in seasons_kept(garden, on=ON).plants:
        services.record_stage(**who, plant=plant.plant, on=ON, bbch=61)
        kept = {"on": ON, "rests_on": "a mark", "told": {"windows": []}, "made_at": who["now"]}
        PlantSeason.rows.create(plant=plant, garden=garden, **kept)
    with CaptureQueriesContext(connection) as asked:
        found = seasons_kept(garden, on=ON)
        one = seasons_kept(garden, on=ON, plant="sage-wall")
    assert len(asked) == 2
    assert [plant.plant for plant in found.plants] == ["rose-gate", "sage-wall"]
    assert found.plants[0].taxon.taxon == "Rosa 'Pale Ferry'"
    assert dict(one.seasons) == {"sage-wall": found.of("sage-wall")}
    assert (found.of("sage-wall").on, found.of("sage-wall").rests_on) == (ON, "a mark")
    assert json.loads(found.of("sage-wall").told) == {"windows": []}
    assert (one.is_of_one, one.weather) == (True, found.weather)


def test_the_mark_of_the_weather_moves_with_every_day_of_it(garden: Garden) -> None:
    marks = [seasons_kept(garden, on=ON).weather]
    day = WeatherDay.rows.create(garden=garden, on=ON, tmin_c=Decimal(5), tmax_c=Decimal(9))
    marks.append(seasons_kept(garden, on=ON).weather)
    for tmin_c, tmax_c in (("5.1", "9"), ("5.1", "9.4"), ("5.2", "9.1")):
        day.tmin_c, day.tmax_c = Decimal(tmin_c), Decimal(tmax_c)
        day.save()
        marks.append(seasons_kept(garden, on=ON).weather)
    assert len(set(marks)) == 5


def test_of_a_days_weather_the_observed_counts_and_of_forecasts_the_newest(garden: Garden) -> None:
    def day(on: date, tmin_c: int, made_on: date | None = None) -> None:
        WeatherDay.rows.create(
            garden=garden, on=on, tmin_c=Decimal(tmin_c), tmax_c=Decimal(tmin_c + 9), made_on=made_on
        )

    day(ON, 5)
    day(ON, 1, made_on=ON - timedelta(days=1))
    day(ON + timedelta(days=1), 2, made_on=ON - timedelta(days=1))
    day(ON + timedelta(days=1), 3, made_on=ON)
    day(ON + timedelta(days=2), 9)
    known = weather_known(garden, on=ON)
    assert [str(on) for on in known.on] == ["2025-10-20", "2025-10-21"]
    assert known.tmin_c.tolist() == [5, 3]
    assert known.tmax_c.tolist() == [14, 12]
    assert known.is_forecast.tolist() == [False, True]
    then = weather_known(garden, on=ON - timedelta(days=1))
    assert (then.tmin_c.tolist(), then.is_forecast.tolist()) == ([1, 2], [True, True])


def test_a_garden_without_weather_has_no_days(garden: Garden) -> None:
    assert len(weather_known(garden, on=ON)) == 0
