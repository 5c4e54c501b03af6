"""What was seen of stock plants, as advice takes it."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from slipwright.handbook import load_handbook
from slipwright.records import selectors, services
from slipwright.records.answers import plants_seen
from slipwright.records.answers.plants_seen import Reading, seen_of_plant
from slipwright.records.answers.seasons import refresh
from slipwright.records.models import Garden, Member, PlantSeason

ON = date(2025, 7, 20)


def seen(garden: Garden, plant: str = "sage-wall") -> Any:
    garden.refresh_from_db()
    return seen_of_plant(garden, load_handbook(), plant, on=ON)


def test_every_plant_has_the_gardens_weather(garden: Garden, owner: Member, now: datetime) -> None:
    assert seen(garden).weather is None
    row = {"tmin_c": Decimal(9), "tmax_c": Decimal(21)}
    for days in (3, 1):
        day = row | {"on": ON - timedelta(days=days)}
        services.add_reference(garden=garden, by=owner, now=now, table="weather", row=day)
    weather = seen(garden).weather
    assert weather is not None
    assert (weather.starts_on, weather.known_to) == (ON - timedelta(days=3), ON - timedelta(days=1))
    assert weather.n_filled == 1


def test_one_plant_is_told_by_its_own_records(garden: Garden, grower: Member, now: datetime) -> None:
    who: dict[str, Any] = {"garden": garden, "by": grower, "now": now}
    services.record_stage(**who, plant="rose-gate", on=date(2025, 5, 20), bbch=60)
    services.record_firmness(**who, plant="rose-gate", on=ON, firmness_mid=3)
    rose = seen(garden, "rose-gate")
    assert [(one.on, one.bbch) for one in rose.stages] == [(date(2025, 5, 20), 60)]
    assert [one.firmness for one in rose.firmness] == [3]
    assert not seen(garden).stages


def test_the_slope_all_plants_share_is_that_of_the_last_season_kept(
    garden: Garden, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    handbook, on = load_handbook(), ON
    all_of_them = Reading(garden, handbook, selectors.seasons_kept(garden, on=on), on)
    assert seen(garden).slope == all_of_them.slope
    refresh(garden, handbook, on=on, now=now)

    def never(*args: object, **more: object) -> None:
        raise AssertionError("worked out again")

    monkeypatch.setattr(plants_seen, "slope_of_garden", never)
    assert seen(garden).slope == all_of_them.slope
    PlantSeason.rows.get(garden=garden, plant__plant="sage-wall").delete()
    assert seen(garden).slope == all_of_them.slope
