"""Daily weather: put together, its gaps, what is usual, and the files it comes in."""

from __future__ import annotations

import gzip
import tracemalloc
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slipwright.craft import weather_files
from slipwright.craft.errors import BadArgument
from slipwright.craft.weather import (
    Weather,
    climatology,
    day_of_year,
    days_from,
    filled,
    joined,
    read_weather,
    weather_file,
)
from slipwright.craft.weather_files import read_bytes, read_text


def wave(first: str, last: str, height: float = 8) -> Weather:
    on = days_from(first, last)
    middle = 10 - height * np.cos(2 * np.pi * day_of_year(on) / 366)
    return Weather(on, middle - 4, middle + 4)


@pytest.mark.parametrize(
    ("argument", "values"),
    [
        ("on", {"on": ["2026-05-02", "2026-05-01"], "tmin_c": [1, 2], "tmax_c": [3, 4]}),
        ("on", {"on": ["2026-05-01", "2026-05-01"], "tmin_c": [1, 2], "tmax_c": [3, 4]}),
        ("tmin_c", {"on": ["2026-05-01"], "tmin_c": [1, 2], "tmax_c": [3]}),
        ("tmax_c", {"on": ["2026-05-01"], "tmin_c": [5], "tmax_c": [4]}),
    ],
)
def test_days_out_of_order_and_lengths_that_differ_are_refused(
    argument: str, values: dict[str, object]
) -> None:
    with pytest.raises(BadArgument) as refused:
        Weather(**values)  # type: ignore[arg-type]
    assert refused.value.argument == argument


def test_a_day_that_is_not_there_is_not_known() -> None:
    asked = wave("2026-05-01", "2026-05-03").of(["2026-04-30", "2026-05-02", "2026-06-01"])
    assert list(asked.is_known) == [False, True, False]
    assert not asked.is_forecast.any()


def test_gaps_are_days_between_of_which_lowest_or_highest_is_missing() -> None:
    seen = Weather(["2026-05-01", "2026-05-02", "2026-05-05"], [1, np.nan, 3], [5, 6, 7])  # type: ignore[arg-type]
    assert [str(day) for day in seen.gaps()] == ["2026-05-02", "2026-05-03", "2026-05-04"]


def test_what_was_seen_goes_before_what_was_forecast() -> None:
    seen, told = wave("2026-05-01", "2026-05-03"), wave("2026-05-02", "2026-05-06", height=0)
    told = Weather(told.on, told.tmin_c, told.tmax_c, is_forecast=np.ones(5, bool))
    both = joined([seen, told])
    assert list(both.is_forecast) == [False] * 3 + [True] * 3
    assert both.tmin_c[1] == seen.tmin_c[1]
    assert not len(joined([]))


# --- what is usual ----------------------------------------------------------------------------------------


@given(st.floats(-10, 25), st.integers(1, 4))
def test_the_usual_of_days_that_are_all_alike_is_that_day(middle: float, years: int) -> None:
    on = days_from("2020-01-01", f"{2019 + years}-12-31")
    usual = climatology(Weather(on, np.full(on.shape, middle - 3), np.full(on.shape, middle + 3)))
    assert usual.tmin_c == pytest.approx(np.full(366, middle - 3))
    assert usual.mean_sd_c == pytest.approx(np.zeros(366), abs=1e-5)
    assert usual.n_years == years


def test_the_usual_keeps_the_seasons_to_two_per_cent() -> None:
    usual = climatology(wave("2019-01-01", "2024-12-31"))
    swing = usual.tmax_c.max() - usual.tmax_c.min()
    assert 0.98 * 16 < swing < 16


def test_the_spread_is_that_of_single_days() -> None:
    luck = np.random.default_rng(3)
    on = days_from("1985-01-01", "2024-12-31")
    middle = 10 + luck.normal(0, 3, on.shape)
    usual = climatology(Weather(on, middle - 4, middle + 4))
    assert usual.mean_sd_c == pytest.approx(np.full(366, 3.0), abs=0.4)
    assert usual.n_years == 40


def test_the_turn_of_the_year_is_no_edge() -> None:
    usual = climatology(wave("2019-01-01", "2024-12-31"))
    assert abs(usual.tmin_c[0] - usual.tmin_c[365]) < 0.05


def test_nothing_is_said_of_a_season_nobody_saw() -> None:
    usual = climatology(wave("2026-06-01", "2026-06-30"))
    low, _ = usual.of(["2030-06-15", "2030-12-15"])
    assert np.isfinite(low[0])
    assert np.isnan(low[1])
    near, far = usual.of(["2030-07-30", "2030-07-31"])[0]
    assert np.isfinite(near), "30 days after the last day seen"
    assert np.isnan(far)


def test_forecasts_and_filled_days_teach_nothing() -> None:
    told = wave("2026-05-01", "2026-05-10")
    told = Weather(told.on, told.tmin_c, told.tmax_c, is_forecast=np.ones(10, bool))
    assert np.isnan(climatology(told).tmin_c).all()
    assert climatology(Weather([], [], [])).n_years == 0  # type: ignore[arg-type]


@given(st.sets(st.integers(0, 729), max_size=40))
def test_filling_changes_no_known_day_and_marks_every_other(gone: set[int]) -> None:
    whole = wave("2024-01-01", "2025-12-30")
    keep = np.array([n not in gone for n in range(len(whole))])
    seen = Weather(whole.on[keep], whole.tmin_c[keep], whole.tmax_c[keep])
    both = filled(seen, days=whole.on)
    assert list(both.is_filled) == [bool(one) for one in ~keep]
    assert both.tmin_c[keep] == pytest.approx(whole.tmin_c[keep])
    assert both.tmin_c == pytest.approx(whole.tmin_c, abs=1.5)
    assert not len(both.gaps())


@given(st.dates())
def test_every_day_has_its_place_in_the_year(day: object) -> None:
    at = int(day_of_year(day))
    assert 0 <= at <= 365
    assert f"{np.datetime64('2024-01-01') + at:}"[5:] == str(day)[5:]


# --- files ------------------------------------------------------------------------------------------------


def dly(
    element: str, values: dict[int, tuple[int, str]], station: str = "XX000000001", month: int = 2
) -> str:
    """Return a line of a station file, by its published columns."""
    days = [values.get(day, (-9999, "   ")) for day in range(1, 32)]
    return f"{station}2024{month:02}{element}" + "".join(f"{value:5d}{flags}" for value, flags in days)


def test_a_station_file_is_read_by_its_columns() -> None:
    lines = [
        dly("TMAX", {1: (56, "  S"), 2: (-11, "  S"), 29: (101, "  S")}),
        dly("TMIN", {1: (-22, "  S"), 2: (-50, "  S"), 29: (7, "  S")}),
        dly("PRCP", {1: (0, "T S"), 2: (254, "  S")}),
        dly("SNWD", {1: (12, "  S")}),
    ]
    found = read_bytes("\n".join(lines).encode())
    assert (found.form, found.station) == ("dly", "XX000000001")
    assert [str(day) for day in found.weather.on] == ["2024-02-01", "2024-02-02", "2024-02-29"]
    assert list(found.weather.tmin_c) == [-2.2, -5.0, 0.7]
    assert list(found.weather.tmax_c) == [5.6, -1.1, 10.1]
    assert list(found.weather.rain_mm[:2]) == [0, 25.4]
    assert len(found.weather.gaps()) == 26


def test_a_value_that_failed_a_check_of_quality_is_left_out() -> None:
    lines = [
        dly("TMAX", {1: (156, " IS"), 2: (90, "  S"), 3: (80, "  S")}),
        dly("TMIN", {1: (10, "  S"), 2: (20, "  S"), 3: (95, "  S")}),
    ]
    found = read_bytes("\n".join(lines).encode())
    assert [row["on"] for row in found.rows] == ["2024-02-02"]
    assert (found.n_flagged, found.n_half, found.n_beyond) == (1, 1, 1)


def test_the_by_station_file_says_the_same(tmp_path: Path) -> None:
    told = [("TMAX", 56, ""), ("TMIN", -22, ""), ("TSUN", 270, ""), ("RHAV", 71, ""), ("ACMH", 40, "")]
    lines = "".join(f"XX000000001,20240201,{name},{value},,{flag},S,0700\n" for name, value, flag in told)
    file = tmp_path / "XX000000001.csv.gz"
    file.write_bytes(gzip.compress(lines.encode()))
    day = weather_file(file)
    assert day.form == "by-station"
    assert day.rows == (
        {
            "on": "2024-02-01",
            "tmin_c": "-2.2",
            "tmax_c": "5.6",
            "sunshine_h": "4.5",
            "rh_mean_percent": "71",
            "cloud_fraction": "0.4",
            "source": "NOAA GHCN-Daily XX000000001",
        },
    )
    headed = "ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME\n" + lines
    assert read_bytes(headed.encode()).rows == day.rows


def test_only_a_flag_of_quality_refuses_a_value_and_not_one_of_measurement() -> None:
    lines = "".join(
        f"XX000000001,202402{day:02},{name},{value},{flags},S,0700\n"
        for day, flags in ((1, "H,"), (2, ",G"))
        for name, value in (("TMIN", -22), ("TMAX", 56))
    )
    found = read_bytes(lines.encode())
    assert [row["on"] for row in found.rows] == ["2024-02-01"]
    assert found.n_flagged == 2


def test_a_month_of_a_station_file_has_its_31st() -> None:
    lines = [dly(name, {1: (50, "  S"), 31: (60, "  S")}, month=1) for name in ("TMIN", "TMAX")]
    found = read_bytes("\r\n".join(lines).encode())
    assert [row["on"] for row in found.rows] == ["2024-01-01", "2024-01-31"]


def test_a_station_file_in_any_order_gives_days_in_order() -> None:
    lines = [
        f"XX000000001,{day},{name},50,,,S,\n" for day in (20240302, 20231231) for name in ("TMAX", "TMIN")
    ]
    found = read_bytes("".join(lines).encode()).weather
    assert [str(day) for day in found.on] == ["2023-12-31", "2024-03-02"]


def test_of_a_day_seen_and_forecast_what_was_seen_stands(tmp_path: Path) -> None:
    file = tmp_path / "weather.csv"
    file.write_text(
        "on,tmin_c,tmax_c,made_on\n"
        "2026-05-03,1,9,2026-05-01\n2026-05-03,2,9,2026-05-02\n"
        "2026-05-01,5,9,\n2026-05-01,4,9,2026-04-30\n",
        encoding="utf-8",
    )
    weather = read_weather(file)
    assert list(weather.tmin_c) == [5, 2]
    assert list(weather.is_forecast) == [False, True]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"day,low\n", "the columns on, tmin_c and tmax_c"),
        (b"on,tmin_c,tmax_c\n1.5.2026,3,4\n", "line 2"),
        (b"on,tmin_c,tmax_c\n2026-05-01,3,\n", "line 2"),
        (b"on,tmin_c,tmax_c\n2026-05-01,3,2\n", "tmax_c must not lie below tmin_c, in line 2"),
        (b"on,tmin_c,tmax_c\n2026-05-01,3,99\n", "between -90 and 60"),
        (b"\xff\xfe", "UTF-8"),
        (b"\x1f\x8bnothing", "gzip"),
        (b"XX000000001,20240201,TMAX,warm,,,S,\n", "line 1"),
        (b"XX000000001,20240231,TMAX,5,,,S,\n", "line 1"),
        (b"XX000000001,20240201,TMAX,5,,,S,\nXX000000002,20240201,TMIN,5,,,S,\n", "one station"),
        (b"on,tmin_c,tmax_c\n2026-05-01," + b"4" * 200_000 + b",14\n", "table with commas"),
        (b'XX000000001,20240201,TMAX,5,,,S,\n"' + b"4" * 200_000, "table with commas"),
    ],
)
def test_a_file_that_will_not_do_says_where(content: bytes, said: str) -> None:
    with pytest.raises(BadArgument, match=said):
        read_bytes(content)


def test_a_day_written_without_hyphens_is_that_day() -> None:
    for day in ("20260501", "2026-W18-5"):
        table = f"on,tmin_c,tmax_c,made_on\n{day},4,14,\n"
        assert read_bytes(table.encode()).weather.on.tolist() == [date(2026, 5, 1)]


def test_a_file_too_large_to_be_a_stations_is_refused_packed_or_not(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(weather_files, "MOST_BYTES", 1_000_000)
    large = b"XX000000001202605TMAX  140  S\n" + b"\n" * 1_000_000
    for content in (large, gzip.compress(large)):
        with pytest.raises(BadArgument, match="no more than 1 MB"):
            read_bytes(content)


def test_the_lines_of_a_stations_file_are_never_all_held_at_once() -> None:
    text = "XX000000001202605TMAX  140  S\n" + "\n" * 1_000_000
    tracemalloc.start()
    read_text(text)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 2_000_000


def test_a_file_that_is_not_there_says_so(tmp_path: Path) -> None:
    with pytest.raises(BadArgument, match="can be read"):
        read_weather(tmp_path / "none.csv")


@given(st.integers(-800, 550))
def test_tenths_of_the_station_are_kept_to_the_tenth(tenths: int) -> None:
    lines = f"XX000000001,20240201,TMAX,{tenths},,,S,\nXX000000001,20240201,TMIN,{tenths},,,S,\n"
    assert read_bytes(lines.encode()).weather.tmax_c[0] == pytest.approx(tenths / 10, abs=1e-12)
