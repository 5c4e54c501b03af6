"""What the round takes of the sky: each day's own light, by the best that is known of it."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from slipwright.records import services
from slipwright.records.answers.sky import sky_on
from slipwright.records.models import Garden, Member, WeatherDay
from slipwright.records.rows import Row

TODAY = date(2025, 6, 20)


def write(garden: Garden, known: dict[str, float], after: int = 0) -> None:
    known = {"tmin_c": 12, "tmax_c": 24} | known
    WeatherDay.rows.create(
        garden=garden,
        on=TODAY + timedelta(days=after),
        **{name: Decimal(str(value)) for name, value in known.items()},
    )


def light(garden: Garden) -> tuple[float | None, float | None]:
    sky = sky_on(garden, TODAY)[1]
    assert sky is not None
    return sky.light_w_m2, sky.tomorrow_light_w_m2


def test_of_a_day_without_weather_nothing_is_said(garden: Garden) -> None:
    assert sky_on(garden, TODAY) == (None, None)


def test_the_light_of_a_day_without_weather_is_not_known(garden: Garden) -> None:
    write(garden, {}, after=1)
    assert light(garden)[0] is None


def test_weather_that_comes_in_is_known_at_once_and_asked_for_once(
    garden: Garden, owner: Member, now: datetime
) -> None:
    assert sky_on(garden, TODAY)[0] is None
    row: Row = {"on": TODAY, "tmin_c": Decimal(9), "tmax_c": Decimal(19)}
    services.add_reference(garden=garden, by=owner, now=now, table="weather", row=row)
    garden.refresh_from_db()
    with CaptureQueriesContext(connection) as asked:
        told = [sky_on(garden, TODAY)[0] for _ in range(2)]
    assert [day and day.tmin_c for day in told] == [9, 9]
    assert len(asked) == 1


def test_each_day_has_its_own_light_and_warmth(garden: Garden) -> None:
    write(garden, {"radiation_mj_m2": 28})
    write(garden, {"radiation_mj_m2": 7, "tmin_c": 9, "tmax_c": 15}, after=1)
    today, tomorrow = light(garden)
    assert today == pytest.approx(4 * (tomorrow or 0), rel=0.01)
    sky = sky_on(garden, TODAY)[1]
    assert sky is not None
    assert (sky.tmin_c, sky.tmax_c, sky.tomorrow_tmin_c, sky.tomorrow_tmax_c) == (12, 24, 9, 15)


@pytest.mark.parametrize("dull", [{"radiation_mj_m2": 6}, {"sunshine_h": 0}, {"cloud_fraction": 1}])
def test_a_dull_sky_is_dull_by_whatever_it_is_known(garden: Garden, dull: dict[str, float]) -> None:
    write(garden, dull)
    write(garden, {}, after=1)
    today, clear = light(garden)
    assert (today or 0) < 0.5 * (clear or 0)
