"""Weather into the garden: files, and what a service told. The service stands on this machine."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.test import override_settings

from slipwright.craft.errors import BadArgument
from slipwright.records import selectors, weather_fetch
from slipwright.records.errors import NotAllowed
from slipwright.records.keeping import weather as keeping
from slipwright.records.keeping.helper import Helper
from slipwright.records.keeping.selfcheck import selfcheck
from slipwright.records.models import Garden, Member, WeatherDay
from slipwright.records.services.weather import keep_fetched_weather, keep_weather_file
from slipwright.records.weather_fetch import FetchFailed, fetched_days
from tests.records.weather_server import WeatherServer, recorded, weather_server

TODAY = date(2025, 10, 20)
STATION = "".join(
    f"XX000000001,202510{day:02},{name},{value},,{flag},S,\n"
    for day in (10, 11, 13)
    for name, value, flag in (("TMIN", 40 + day, ""), ("TMAX", 150 + day, "G" if day == 11 else ""))
).encode()


@pytest.fixture
def service(garden: Garden, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[WeatherServer]:
    """Give a service that answers what was recorded, and the setting that asks it."""
    monkeypatch.delenv("SLIPWRIGHT_TODAY", raising=False)
    with weather_server() as server:
        server.will_say(recorded())
        with override_settings(WEATHER=server.address, WEATHER_CACHE=str(tmp_path / "cache")):
            yield server


def fetched(garden: Garden, now: datetime, **more: Any) -> list[Any]:
    waits: list[float] = []
    return fetched_days(garden, now=now, today=TODAY, wait=more.pop("wait", waits.append), **more)


# --- files ------------------------------------------------------------------------------------------------


def test_a_stations_file_comes_in_once_without_what_was_flagged(
    garden: Garden, grower: Member, now: datetime
) -> None:
    kept = keep_weather_file(garden=garden, by=grower, now=now, content=STATION)
    assert (kept.report.accepted, kept.n_flagged, kept.n_half) == (2, 1, 1)
    assert kept.station == "XX000000001"
    again = keep_weather_file(garden=garden, by=grower, now=now, content=STATION)
    assert (again.report.accepted, again.report.unchanged) == (0, 2)
    row = WeatherDay.rows.get(on=date(2025, 10, 13))
    assert (row.tmin_c, row.tmax_c, row.source) == (
        Decimal("5.3"),
        Decimal("16.3"),
        "NOAA GHCN-Daily XX000000001",
    )
    assert [str(day) for day in selectors.weather_known(garden, on=TODAY).gaps()] == [
        "2025-10-11",
        "2025-10-12",
    ]
    assert selfcheck().ok


def test_days_before_the_first_one_asked_for_are_left_out(
    garden: Garden, grower: Member, now: datetime
) -> None:
    keep_weather_file(garden=garden, by=grower, now=now, content=STATION, only_from=date(2025, 10, 12))
    assert WeatherDay.rows.count() == 1


def test_our_own_table_comes_in_whole_or_not_at_all(garden: Garden, grower: Member, now: datetime) -> None:
    good = "on,tmin_c,tmax_c,made_on\n2025-10-01,4,14,\n2025-10-02,4,14,2025-10-01\n"
    kept = keep_weather_file(garden=garden, by=grower, now=now, content=good.encode())
    assert kept.report.accepted == 2
    bad = good + "2025-10-03,40,14,\n"
    report = keep_weather_file(garden=garden, by=grower, now=now, content=bad.encode()).report
    assert report.n_rejected == 1
    assert report.rejected[0].line == 4
    assert WeatherDay.rows.count() == 2


def test_what_was_observed_goes_before_a_forecast_of_the_day(
    garden: Garden, grower: Member, now: datetime
) -> None:
    rows = "on,tmin_c,tmax_c,made_on\n2025-10-02,1,2,2025-10-01\n2025-10-02,4,14,\n"
    keep_weather_file(garden=garden, by=grower, now=now, content=rows.encode())
    day = selectors.weather_on(garden, date(2025, 10, 2))
    assert day is not None
    assert (day.tmin_c, day.made_on) == (4, None)


def test_who_may_not_edit_brings_no_weather_in(garden: Garden, volunteer: Member, now: datetime) -> None:
    with pytest.raises(NotAllowed):
        keep_weather_file(garden=garden, by=volunteer, now=now, content=STATION)


def test_a_file_that_is_no_weather_is_refused(garden: Garden, grower: Member, now: datetime) -> None:
    with pytest.raises(BadArgument):
        keep_weather_file(garden=garden, by=grower, now=now, content=STATION + b"XX000000001,today\n")
    assert not WeatherDay.rows.exists()


# --- fetching ---------------------------------------------------------------------------------------------


def test_past_days_are_observed_and_later_ones_forecast_this_morning(
    garden: Garden, now: datetime, service: WeatherServer
) -> None:
    days = fetched(garden, now)
    assert len(days) == 21, "a day without its lowest is left out"
    by_day = {row["on"]: row for row in days}
    assert by_day[date(2025, 10, 19)]["made_on"] is None
    assert by_day[TODAY]["made_on"] == TODAY
    assert by_day[date(2025, 10, 27)]["made_on"] == TODAY
    first = by_day[date(2025, 10, 7)]
    assert first["sunshine_h"] == Decimal("5.17")
    assert first["cloud_fraction"] == Decimal("0.4")
    assert "cloud_fraction" not in by_day[date(2025, 10, 6)]
    assert first["source"] == "Open-Meteo"


def test_the_service_learns_the_place_to_about_a_kilometre(
    garden: Garden, now: datetime, service: WeatherServer
) -> None:
    garden.latitude_deg, garden.altitude_m = Decimal("41.123456"), Decimal(12)
    fetched(garden, now)
    asked = service.asked[0]
    assert asked["latitude"] == ["41.12"]
    assert asked["elevation"] == ["12"]
    assert asked["timezone"] == ["America/New_York"]


def test_an_answer_is_asked_for_once_in_three_hours(
    garden: Garden, now: datetime, service: WeatherServer
) -> None:
    fetched(garden, now)
    fetched(garden, now + timedelta(hours=2, minutes=59))
    assert len(service.asked) == 1
    fetched(garden, now + timedelta(hours=3))
    assert len(service.asked) == 2


def test_trouble_that_may_pass_is_waited_for_longer_each_time(
    garden: Garden, now: datetime, service: WeatherServer
) -> None:
    service.answers.clear()
    service.will_say({}, 503)
    service.will_say({}, 500)
    service.will_say(recorded())
    waits: list[float] = []
    assert fetched(garden, now, wait=waits.append)
    assert waits == [1, 2]


def test_a_service_that_says_when_to_come_again_is_believed_within_reason(
    garden: Garden, now: datetime, service: WeatherServer
) -> None:
    service.answers.clear()
    service.will_say({}, 429, Retry_After="7")
    service.will_say({}, 503, Retry_After="3600")
    service.will_say(recorded())
    waits: list[float] = []
    assert fetched(garden, now, wait=waits.append)
    assert waits == [7, 10]


def test_trouble_that_stays_is_told_with_its_number_of_tries(
    garden: Garden, now: datetime, service: WeatherServer
) -> None:
    service.answers.clear()
    service.will_say({}, 500)
    with pytest.raises(FetchFailed, match=r"127\.0\.0\.1 answered 500 \(3 tries\)"):
        fetched(garden, now)
    assert len(service.asked) == 3


def test_a_refusal_is_not_asked_again_and_told_in_the_services_words(
    garden: Garden, now: datetime, service: WeatherServer
) -> None:
    service.answers.clear()
    service.will_say({"error": True, "reason": "Latitude must be in range"}, 400)
    with pytest.raises(FetchFailed, match="answered 400: Latitude must be in range"):
        fetched(garden, now)
    assert len(service.asked) == 1


def broken(**changes: Any) -> dict[str, Any]:
    answer = recorded()
    answer["daily"] |= changes.get("daily", {})
    answer["daily_units"] |= changes.get("units", {})
    return answer


@pytest.mark.parametrize(
    ("answer", "said"),
    [
        (b"<html>", "something else than JSON"),
        ([], "holds no days"),
        ({"daily": {}}, "holds no days"),
        (broken(units={"temperature_2m_min": "°F"}), "in '°F', and we asked for °C"),
        (broken(daily={"temperature_2m_min": [1]}), "holds no temperature_2m_min"),
        (broken(daily={"temperature_2m_min": ["warm"] * 22}), "cannot be read"),
        (b"[" + b" " * 1_000_001, "more than 1 MB"),
        (b"[" * 500_000, "something else than JSON"),
        (broken(daily={"temperature_2m_min": [1e40] * 22}), "cannot be read"),
        (broken(daily={"temperature_2m_min": [10**400] * 22}), "cannot be read"),
        (broken(daily={"temperature_2m_min": [float("nan")] * 22}), "cannot be read"),
        (broken(daily={"time": ["2025-10-06"] * 22}), "the same day twice"),
    ],
)
def test_an_answer_that_is_no_weather_is_told_and_not_kept(
    garden: Garden, now: datetime, service: WeatherServer, answer: Any, said: str
) -> None:
    service.answers.clear()
    service.will_say(answer)
    with pytest.raises(FetchFailed, match=said):
        fetched(garden, now)
    service.answers.clear()
    service.will_say(recorded())
    assert fetched(garden, now), "what was wrong must not be taken from the disk"


def test_a_service_that_is_not_there_is_told(garden: Garden, now: datetime, tmp_path: Path) -> None:
    with (
        override_settings(WEATHER="http://127.0.0.1:9/none", WEATHER_CACHE=str(tmp_path)),
        pytest.raises(FetchFailed, match="cannot be reached"),
    ):
        fetched(garden, now)


def test_a_service_that_sends_on_to_a_file_is_not_followed(
    garden: Garden, now: datetime, service: WeatherServer
) -> None:
    service.answers.clear()
    service.will_say(b"", 302, Location="file:///etc/hostname")
    with pytest.raises(FetchFailed):
        fetched(garden, now)


@pytest.mark.parametrize("to", ["ftp://127.0.0.1/weather", "http://127.0.0.2:9/weather", "/elsewhere"])
def test_the_place_of_the_garden_is_told_to_nobody_else(
    garden: Garden, now: datetime, service: WeatherServer, to: str
) -> None:
    service.answers.clear()
    service.will_say(b"", 302, Location=to)
    service.will_say(recorded())
    with pytest.raises(FetchFailed, match="sends on to another address"):
        fetched(garden, now)
    assert len(service.asked) == 1


def test_an_answer_that_trickles_in_without_end_is_left(
    garden: Garden, now: datetime, service: WeatherServer, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(weather_fetch, "LONGEST_ANSWER_S", 0.0)
    with pytest.raises(FetchFailed, match="takes too long to answer"):
        fetched(garden, now)


def test_what_was_a_forecast_before_midnight_is_no_observation_after(
    garden: Garden, now: datetime, service: WeatherServer
) -> None:
    fetched(garden, now)
    fetched_days(garden, now=now + timedelta(hours=1), today=TODAY + timedelta(days=1))
    assert len(service.asked) == 2


@pytest.mark.parametrize(
    "said", ["file:///etc/hostname", "weather", "http://", "http://weather.example.org/v1", "http://8.8.8.8/"]
)
def test_a_setting_that_names_no_service_is_refused(garden: Garden, now: datetime, said: str) -> None:
    with override_settings(WEATHER=said), pytest.raises(FetchFailed, match="SLIPWRIGHT_WEATHER must be"):
        fetched(garden, now)


def test_fetching_is_off_unless_it_is_asked_for(garden: Garden, now: datetime) -> None:
    with override_settings(WEATHER=""), pytest.raises(FetchFailed, match="is off"):
        fetched(garden, now)
    with override_settings(WEATHER="open-meteo"):
        assert weather_fetch.address() == weather_fetch.ADDRESS
    for own in ("https://weather.example.org/v1", "http://192.168.1.5:8080/v1", "http://nas.lan/v1"):
        with override_settings(WEATHER=own):
            assert weather_fetch.address() == own


# --- what was fetched, kept -------------------------------------------------------------------------------


def test_a_day_somebody_else_observed_stays_as_it_is(
    garden: Garden, grower: Member, now: datetime, service: WeatherServer
) -> None:
    keep_weather_file(garden=garden, by=grower, now=now, content=STATION)
    keep_fetched_weather(garden=garden, now=now, days=fetched(garden, now))
    assert WeatherDay.rows.get(on=date(2025, 10, 13)).source == "NOAA GHCN-Daily XX000000001"
    assert WeatherDay.rows.get(on=date(2025, 10, 12)).source == "Open-Meteo"


def test_a_forecast_of_the_same_morning_changes_by_half_a_degree_or_not_at_all(
    garden: Garden, now: datetime, service: WeatherServer
) -> None:
    days = fetched(garden, now)
    assert keep_fetched_weather(garden=garden, now=now, days=days).accepted == 21
    assert keep_fetched_weather(garden=garden, now=now, days=days).accepted == 0
    for shift, accepted in (("0.4", 0), ("0.5", 21)):
        moved = [{**row, "tmax_c": row["tmax_c"] + Decimal(shift)} for row in days]
        assert keep_fetched_weather(garden=garden, now=now, days=moved).accepted == accepted
    assert selfcheck().ok


def test_a_sky_that_turned_out_brighter_is_news_for_tents(
    garden: Garden, now: datetime, service: WeatherServer
) -> None:
    days = fetched(garden, now)
    keep_fetched_weather(garden=garden, now=now, days=days)
    for shift, accepted in (("2.9", 0), ("3", 21)):
        brighter = [{**row, "radiation_mj_m2": row["radiation_mj_m2"] + Decimal(shift)} for row in days]
        assert keep_fetched_weather(garden=garden, now=now, days=brighter).accepted == accepted


# --- the helper -------------------------------------------------------------------------------------------


def test_the_helper_fetches_every_three_hours(garden: Garden, now: datetime, service: WeatherServer) -> None:
    helper = Helper(told=pytest.fail)
    for minutes, asked in ((0, 1), (1, 1), (179, 1), (180, 2)):
        helper.one_pass(now=now + timedelta(minutes=minutes))
        assert len(service.asked) == asked
    assert WeatherDay.rows.filter(made_on=TODAY).count() == 8
    assert keeping.fetched_last(garden).came_at == now + timedelta(hours=3)


def test_the_helper_tells_a_fault_once_and_comes_again_later_each_time(
    garden: Garden, now: datetime, service: WeatherServer
) -> None:
    service.answers.clear()
    service.will_say({"reason": "no"}, 400)
    faults: list[str] = []
    due = []
    for minutes in range(0, 90, 5):
        before = len(service.asked)
        keeping.one_pass(garden, now=now + timedelta(minutes=minutes), told=faults.append)
        if len(service.asked) > before:
            due.append(minutes)
    assert due == [0, 10, 30, 70]
    assert len(faults) == 1
    last = keeping.fetched_last(garden)
    assert "answered 400: no" in last.fault
    assert last.came_at is None
    service.answers.clear()
    service.will_say(recorded())
    assert keeping.one_pass(garden, now=now + timedelta(hours=5), told=faults.append)
    assert keeping.fetched_last(garden).fault == ""


def test_an_answer_beyond_belief_is_a_fault_and_writes_nothing(
    garden: Garden, now: datetime, service: WeatherServer
) -> None:
    service.answers.clear()
    service.will_say(broken(daily={"temperature_2m_max": [99.0] * 22}))
    with pytest.raises(FetchFailed, match="no weather"):
        keeping.fetch(garden, now=now)
    assert not WeatherDay.rows.exists()


def test_nothing_is_fetched_for_a_demonstration_or_where_it_is_off(
    garden: Garden, now: datetime, service: WeatherServer
) -> None:
    garden.stands_on = TODAY
    assert not keeping.one_pass(garden, now=now, told=pytest.fail)
    garden.stands_on = None
    with override_settings(WEATHER="off"):
        assert not keeping.one_pass(garden, now=now, told=pytest.fail)
    assert not service.asked
