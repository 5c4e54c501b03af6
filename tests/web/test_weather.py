"""The weather on the pages: last days and next, where from, what nobody saw, and bringing it in."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, datetime, timedelta
from decimal import Decimal
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client, override_settings
from django.test.utils import CaptureQueriesContext

from slipwright.records.keeping import weather as keeping
from slipwright.records.models import Garden, Member, WeatherDay
from slipwright.records.weather_fetch import FetchFailed
from tests.records.weather_server import recorded, weather_server

TODAY = date(2025, 10, 20)


@pytest.fixture
def days(garden: Garden) -> Callable[..., None]:
    """Give a function that writes days of weather, counted from today."""

    def write(*counted: int, made_on: date | None = None, source: str = "hut") -> None:
        for n in counted:
            WeatherDay.rows.create(
                garden=garden,
                on=TODAY + timedelta(n),
                tmin_c=Decimal(4),
                tmax_c=Decimal(15),
                rain_mm=Decimal("1.5"),
                made_on=made_on,
                source=source,
            )

    return write


def shown(client: Client, where: str = "/weather") -> str:
    return re.sub(r"\s+", " ", client.get(where).content.decode()).replace("\xa0", " ")


def file(text: str, name: str = "weather.csv") -> dict[str, SimpleUploadedFile]:
    return {"file": SimpleUploadedFile(name, text.encode())}


def test_a_garden_without_weather_says_so_and_how_to_bring_it(client: Client) -> None:
    page = shown(client)
    assert "No day's weather is known yet" in page.replace("&#x27;", "'")
    assert "Bring in a file" in page
    assert "d-weather" not in page


def test_days_seen_forecast_and_as_usual_are_told_apart(client: Client, days: Callable[..., None]) -> None:
    days(-5, -4, -2, -1)
    days(0, 1, 2, made_on=TODAY, source="model")
    page = shown(client)
    assert "4 days are known, from 15 Oct 2025 to 19 Oct 2025" in page
    assert page.count("d-enamelfill") == 4
    assert page.count("d-enamel d-line") == 3
    assert page.count("d-edge d-line d-dash") == 1
    assert "not seen: as usual" in page
    assert "forecast of 20 Oct" in page
    assert "1 day between was seen by nobody" in page
    assert "<li>17 Oct 2025</li>" in page
    assert "hut" in page


def test_a_longer_record_costs_no_more_queries(client: Client, days: Callable[..., None]) -> None:
    def asked() -> int:
        with CaptureQueriesContext(connection) as found:
            shown(client)
        return len(found)

    days(-2, -1)
    few = asked()
    days(*range(-200, -10))
    assert asked() == few


def test_a_table_is_taken_in_and_taken_in_once(client: Client) -> None:
    rows = "on,tmin_c,tmax_c,source\n2025-10-18,4,14,hut\n2025-10-19,5,13,hut\n"
    assert "2 days were taken in" in client.post("/weather", file(rows)).content.decode()
    assert "2 were there already" in client.post("/weather", file(rows)).content.decode()
    assert WeatherDay.rows.count() == 2


def test_a_stations_file_tells_what_was_left_out(client: Client) -> None:
    rows = "".join(
        f"XX000000001,202510{day},{name},{value},,{flag},S,\n"
        for day, name, value, flag in (
            (17, "TMIN", 40, ""),
            (17, "TMAX", 140, ""),
            (18, "TMIN", 40, ""),
            (18, "TMAX", 640, "X"),
            (19, "TMIN", 40, ""),
            (19, "TMAX", 30, ""),
        )
    )
    page = client.post("/weather", file(rows, "XX000000001.csv")).content.decode()
    assert "1 day was taken in" in page
    assert "From station XX000000001" in page
    assert "1 value failed a check" in page
    assert "1 value was beyond belief" in page
    assert "1 day has only a coldest" in page
    none = client.post("/weather", file(rows) | {"from_on": "2025-10-18"}).content.decode()
    assert "0 days were taken in" in none


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ("on,tmin_c,tmax_c\n2025-10-18,14,4\n", "must not be below tmin_c"),
        ("on,tmin_c,tmax_c\n18.10.2025,4,14\n", "line 2"),
        ("on,tmin_c,tmax_c,wind\n2025-10-18,4,14,3\n", "wind"),
        ("XX000000001,20251018,TMIN,cold,,,S,\n", "line 1"),
        ("", "weather.csv"),
    ],
)
def test_a_file_that_will_not_do_is_told_and_nothing_is_taken_in(
    client: Client, rows: str, said: str
) -> None:
    answer = client.post("/weather", file(rows) if rows else {"file": SimpleUploadedFile("w.csv", b"\n")})
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not WeatherDay.rows.exists()


def test_no_file_and_no_day_are_told(client: Client) -> None:
    assert "choose a file" in client.post("/weather").content.decode()
    wrong = client.post("/weather", file("on,tmin_c,tmax_c\n") | {"from_on": "soon"})
    assert wrong.status_code == 422
    assert "First day" in wrong.content.decode()


def test_who_only_records_or_reads_brings_none_in(
    volunteer: Member, as_member: Callable[[Member], Client]
) -> None:
    client = as_member(volunteer)
    assert "Bring in a file" not in shown(client)
    answer = client.post("/weather", file("on,tmin_c,tmax_c\n2025-10-18,4,14\n"))
    assert answer.status_code == 403
    assert not WeatherDay.rows.exists()


def test_fetching_is_off_and_an_owner_learns_how_to_turn_it_on(
    client: Client, owner: Member, as_member: Callable[[Member], Client]
) -> None:
    assert "SLIPWRIGHT_WEATHER" not in shown(client)
    page = shown(as_member(owner))
    assert "Off: no weather is asked of anybody" in page
    assert "SLIPWRIGHT_WEATHER=open-meteo" in page


def test_what_a_service_gave_is_shown_with_its_name_and_licence(
    client: Client, garden: Garden, now: datetime, tmp_path: Path
) -> None:
    with weather_server() as server:
        server.will_say(recorded())
        with override_settings(WEATHER=server.address, WEATHER_CACHE=str(tmp_path)):
            assert "Nothing has come yet" in shown(client)
            keeping.fetch(garden, now=now)
            page = shown(client)
            today = shown(client, "/")
            server.answers.clear()
            server.will_say({"reason": "too many"}, 400)
            with pytest.raises(FetchFailed):
                keeping.fetch(garden, now=now + timedelta(hours=4))
            after = shown(client)
    for told in (page, today):
        assert 'href="https://open-meteo.com/" rel="noopener">Weather data by Open-Meteo.com</a>' in told
        assert "CC BY 4.0" in told
    assert "not read from a thermometer" in page
    assert "It came last on 20 Oct 2025, 11:30" in page
    assert "It did not come on 20 Oct 2025, 15:30" in after
    assert "too many" in after
    assert "forecast of 20 Oct" in after, "the newest forecast stands"


def test_the_garden_page_leads_to_the_weather(client: Client) -> None:
    assert 'href="/weather"' in shown(client, "/garden")
