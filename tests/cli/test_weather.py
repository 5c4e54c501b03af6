"""Weather into the garden by a command."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from django.test import override_settings

from slipwright.records.models import WeatherDay
from tests.records.weather_server import WeatherServer, recorded, weather_server

Answer = Callable[..., Any]
STATION = "".join(
    f"XX000000001,201601{day:02},{name},{value},,,S,\n"
    for day in (1, 2, 5)
    for name, value in (("TMIN", -12), ("TMAX", 61))
)


@pytest.fixture
def station(tmp_path: Path) -> Path:
    """A station's file with two days missing."""
    file = tmp_path / "XX000000001.csv"
    file.write_text(STATION, encoding="utf-8")
    return file


@pytest.fixture
def service(example: Path, tmp_path: Path) -> Iterator[WeatherServer]:
    """A service on this machine that the setting names."""
    with (
        weather_server() as server,
        override_settings(WEATHER=server.address, WEATHER_CACHE=str(tmp_path / "cache")),
    ):
        server.will_say(recorded())
        yield server


def test_a_stations_file_comes_in_once_and_gaps_are_told(
    example: Path, answer: Answer, run: Answer, station: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SLIPWRIGHT_TODAY", "2016-02-01")
    data = answer("weather", "weather", station)
    assert (data["accepted"], data["unchanged"], data["n_gaps"]) == (3, 0, 2)
    assert data["station"] == "XX000000001"
    assert answer("weather", "weather", station)["unchanged"] == 3
    words = run("weather", station).stdout
    assert "3 were there already" in words
    assert "Not known between: 2 days (2016-01-03, 2016-01-04)" in words


def test_days_before_the_first_asked_for_are_left_out(example: Path, answer: Answer, station: Path) -> None:
    assert answer("weather", "weather", station, "--from", "2016-01-02")["accepted"] == 2


def test_a_bad_line_is_told_and_nothing_is_taken_in(
    example: Path, run: Answer, answer: Answer, tmp_path: Path
) -> None:
    file = tmp_path / "weather.csv"
    file.write_text("on,tmin_c,tmax_c\n2016-01-01,9,4\n", encoding="utf-8")
    before = WeatherDay.rows.count()
    assert "line 2" in run("weather", file, code=2).stderr
    assert answer("weather", "weather", file, code=2)["n_rejected"] == 1
    assert WeatherDay.rows.count() == before
    file.write_text("day,low\n", encoding="utf-8")
    assert "day" in run("weather", file, code=2).stderr


def test_fetching_names_the_service_and_its_licence(
    service: WeatherServer, answer: Answer, run: Answer
) -> None:
    data = answer("weather", "weather", "--fetch")
    assert data["accepted"] == 21
    assert data["credit"]["licence"] == "CC BY 4.0"
    assert "Weather data by Open-Meteo.com" in run("weather", "--fetch").stdout


def test_a_service_in_trouble_is_told_and_ends_with_1(service: WeatherServer, run: Answer) -> None:
    service.answers.clear()
    service.will_say({"reason": "closed"}, 403)
    assert "answered 403: closed" in run("weather", "--fetch", code=1).stderr


def test_fetching_that_is_off_says_how_to_turn_it_on(example: Path, run: Answer) -> None:
    with override_settings(WEATHER=""):
        assert "SLIPWRIGHT_WEATHER=open-meteo" in run("weather", "--fetch", code=1).stderr


def test_neither_file_nor_fetch_is_refused(example: Path, run: Answer) -> None:
    assert "FILE or --fetch" in run("weather", code=2).stderr
