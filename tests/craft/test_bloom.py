"""The bloom forecast: bounds, joins, and the plain algebra it is another form of."""

from __future__ import annotations

import math
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.craft.bloom import (
    LATE_WINTER,
    SPRING,
    Slope,
    days_after,
    first_clear_day,
    forecast,
    is_late_winter,
    own_anomalies,
    p_clear,
    p_in_bloom,
    shared_slope,
    slope_prior,
    usual_day,
    warmth,
    warmth_in,
)
from slipwright.craft.errors import BadArgument
from slipwright.craft.weather import Weather, days_from
from slipwright.craft.years import WeatherYears, weather_years

BOOK = np.array(["2026-05-20"], "datetime64[D]")
off_days = st.lists(st.floats(-40, 40), min_size=1, max_size=8)
warm = st.floats(-4, 4)


def records(off: list[float]) -> np.ndarray:
    """First flowers of the years before, so many days off the handbook's day."""
    days = [BOOK[0] + np.timedelta64(round(one - 365.2425 * (i + 1)), "D") for i, one in enumerate(off)]
    return np.array([days], "datetime64[D]")


def weather(above_c: float = 0.0, last: str = "2026-05-19", year: int = 2026) -> WeatherYears:
    """Twelve years of a smooth spring, the last of them warmer or colder."""
    on = days_from("2014-01-01", last)
    day = (on - on.astype("datetime64[Y]")).astype(int)
    mean = 11 - 9 * np.cos(2 * np.pi * (day - 20) / 365)
    mean += np.where(on.astype("datetime64[Y]").astype(int) + 1970 == year, above_c, 0.0)
    found = weather_years(Weather(on, mean - 5, mean + 5))
    assert found is not None
    return found


@given(off_days, st.data())
def test_the_closed_form_is_augmented_least_squares(off: list[float], data: st.DataObject) -> None:
    anomalies = data.draw(st.lists(warm, min_size=len(off), max_size=len(off)))
    ahead = data.draw(warm)
    own_on = records(off)
    slope = shared_slope(own_on, [anomalies], book_on=BOOK)
    told = forecast(own_on, [anomalies], book_on=BOOK, anomaly_c=[ahead], anomaly_sd_c=0.0, slope=slope)
    # records weigh 1/4.5 each, and the slope known beforehand is one more equation
    rows = [[1 / 4.5, one / 4.5] for one in anomalies] + [[0, 1 / 0.9]]
    values = [*(days_after(own_on, BOOK)[0] / 4.5), -3.8 / 0.9]
    design = np.array(rows)
    solved, *_ = np.linalg.lstsq(design, np.array(values), rcond=None)
    spread = np.linalg.inv(design.T @ design)
    at = np.array([1.0, ahead])
    assert told.after_book_days[0] == pytest.approx(at @ solved, abs=1e-6)
    assert told.sd_days[0] == pytest.approx(math.sqrt(at @ spread @ at + 4.5**2), rel=1e-6)


def test_without_records_the_handbooks_day_stands_within_weeks() -> None:
    told = forecast([["NaT"]], [[math.nan]], book_on=BOOK)
    assert told.p50[0] == BOOK[0]
    assert told.n_own[0] == 0
    assert 17 <= (told.p90[0] - told.p50[0]).astype(int) <= 22
    narrow = forecast([["NaT"]], [[math.nan]], book_on=BOOK, anomaly_sd_c=0.0, slope=Slope(0.0, 0.0, 1e-9))
    assert narrow.sd_days[0] == pytest.approx(14.0)


@given(st.floats(-30, 30), warm, st.integers(1, 10))
def test_more_records_never_make_the_range_wider(off: float, ahead: float, k: int) -> None:
    few = forecast(records([off] * k), [[0.0] * k], book_on=BOOK, anomaly_c=[ahead])
    more = forecast(records([off] * (k + 1)), [[0.0] * (k + 1)], book_on=BOOK, anomaly_c=[ahead])
    assert more.sd_days[0] < few.sd_days[0] + 1e-9
    assert few.p10[0] <= few.p50[0] <= few.p90[0]


@given(off_days, warm, warm)
def test_a_warmer_spring_is_never_later(off: list[float], one: float, two: float) -> None:
    rows = {"own_on": records(off), "own_anomaly_c": [[0.0] * len(off)], "book_on": BOOK}
    early = forecast(**rows, anomaly_c=[max(one, two)]).after_book_days
    late = forecast(**rows, anomaly_c=[min(one, two)]).after_book_days
    assert early[0] <= late[0]


@pytest.mark.parametrize(("k", "half_width"), [(1, 8.7), (3, 7.3), (10, 6.7)])
def test_half_widths_30_days_ahead_are_near_those_measured(k: int, half_width: float) -> None:
    # half of the 60 days unseen, and a usual spread of warmth in the years on record
    spread = 0.5**0.75
    anomalies = np.resize([1.5, -1.5, 0.5], k).tolist()
    told = forecast(records([0.0] * k), [anomalies], book_on=BOOK, anomaly_c=[0.5], anomaly_sd_c=spread)
    assert 1.2816 * told.sd_days[0] == pytest.approx(half_width, abs=0.6)


@given(off_days)
def test_a_plant_without_weather_has_its_own_mean_and_a_wider_range(off: list[float]) -> None:
    blind = forecast(records(off), [[math.nan] * len(off)], book_on=BOOK)
    seeing = forecast(records(off), [[0.0] * len(off)], book_on=BOOK, anomaly_sd_c=0.0)
    assert blind.after_book_days[0] == pytest.approx(days_after(records(off), BOOK).mean(), abs=1e-6)
    assert blind.sd_days[0] > seeing.sd_days[0]


@given(st.lists(warm, min_size=2, max_size=6))
def test_plants_share_their_slope_and_keep_their_means(anomalies: list[float]) -> None:
    n = len(anomalies)
    moved = [[-5.0 * one for one in anomalies], [20.0 - 5.0 * one for one in anomalies]]
    own_on = np.concatenate([records(one) for one in moved])
    alone = shared_slope(own_on[:1], [anomalies], book_on=BOOK)
    both = shared_slope(own_on, [anomalies] * 2, book_on=np.repeat(BOOK, 2))
    assert both.sd_days_per_c <= alone.sd_days_per_c <= SPRING.sd_days_per_c + 1e-12
    assert both.n_years == 2 * (n - 1)
    told = forecast(own_on, [anomalies] * 2, book_on=np.repeat(BOOK, 2), slope=both)
    assert told.after_book_days[1] - told.after_book_days[0] == pytest.approx(20.0, abs=1.1)


def test_one_record_tells_nothing_of_the_slope() -> None:
    told = shared_slope(records([5.0]), [[2.0]], book_on=BOOK)
    assert (told.days_per_c, told.sd_days_per_c) == pytest.approx((SPRING.days_per_c, SPRING.sd_days_per_c))


@given(st.dates(date(1990, 1, 1), date(2050, 12, 31)))
def test_the_late_winter_setting_holds_before_day_80_on_both_sides_of_the_equator(day: date) -> None:
    early = day.timetuple().tm_yday < 80
    assert bool(is_late_winter(np.datetime64(day))) is early
    south = day + timedelta(days=183)
    assert bool(is_late_winter(np.datetime64(south), south=True)) is early
    assert slope_prior(day) is (LATE_WINTER if early else SPRING)


def test_a_season_over_the_new_year_has_one_mean() -> None:
    days = np.array([["2023-12-29", "2025-01-04", "2025-12-31"]], "datetime64[D]")
    assert usual_day(days, np.array(["2027-01-01"], "datetime64[D]"))[0] == np.datetime64("2027-01-01")


def test_days_not_seen_are_as_usual_and_only_widen() -> None:
    on = np.datetime64("2026-05-20")
    known = warmth(weather(2.0), [on])
    assert known.anomaly_c[0] == pytest.approx(2.0, abs=0.1)
    assert (known.n_days_seen[0], known.sd_c[0]) == (60, 0.0)
    half = warmth(weather(2.0), [on], on - np.timedelta64(31, "D"))
    assert half.anomaly_c[0] == pytest.approx(1.0, abs=0.1)
    assert half.n_days_seen[0] == 30
    early = warmth(weather(2.0), [on], on - np.timedelta64(90, "D"))
    assert (early.anomaly_c[0], early.n_days_seen[0]) == (0.0, 0)
    assert 0 < half.sd_c[0] < early.sd_c[0]


@settings(max_examples=25, deadline=None)
@given(st.integers(-5, 70))
def test_each_day_seen_moves_the_warmth_a_little(ago: int) -> None:
    on = np.datetime64("2026-05-20")
    years = weather(2.0)
    before, after = (warmth(years, [on], on - np.timedelta64(ago + more, "D")) for more in (1, 0))
    assert abs(after.anomaly_c[0] - before.anomaly_c[0]) <= 2.2 / 60
    assert 0 <= before.sd_c[0] - after.sd_c[0] <= 0.15


def test_weather_of_one_year_says_nothing_of_what_is_usual() -> None:
    on = days_from("2026-01-01", "2026-05-19")
    years = weather_years(Weather(on, np.full(len(on), 5.0), np.full(len(on), 15.0)))
    assert years is not None
    told = warmth(years, ["2026-05-20"])
    assert (told.anomaly_c[0], told.n_years[0], told.n_days_seen[0]) == (0.0, 0, 0)
    assert told.sd_c[0] == pytest.approx(1.0)
    assert np.isnan(told.usual_c[0])


def test_the_warmth_of_years_on_record_is_measured_from_the_same_usual() -> None:
    years = weather(3.0, year=2024)
    own = np.array([["2024-05-10", "2025-05-21", "1999-05-20"]], "datetime64[D]")
    here = warmth(years, BOOK)
    above = own_anomalies(years, own, BOOK, here.usual_c)[0]
    assert above[0] - above[1] == pytest.approx(3.0, abs=0.2)
    assert np.isnan(above[2])
    assert np.isnan(warmth_in(years, ["2027-05-20"])[0])


@given(st.floats(0, 300), st.floats(0.5, 20), st.floats(0, 60), st.floats(-20, 40), st.floats(-20, 40))
def test_chances_stay_between_0_and_1(
    day: float, sd: float, length: float, before: float, after: float
) -> None:
    spans = {"first_sd_days": sd, "last_sd_days": sd}
    clear = float(p_clear(day, 120, 120 + length, **spans, gap_before_days=before, gap_after_days=after))
    bloom = float(p_in_bloom(day, 120, 120 + length, **spans))
    assert 0 <= clear <= 1
    assert 0 <= bloom <= 1


@given(st.floats(1, 20), st.floats(0, 40), st.floats(0.55, 0.99))
def test_the_first_clear_day_has_the_chance_wished(sd: float, gap: float, p: float) -> None:
    day = first_clear_day(120, sd, gap, p)
    spans = {"first_sd_days": sd, "last_sd_days": sd, "gap_before_days": gap, "gap_after_days": gap}
    assert float(p_clear(day, 120, 120, **spans)) >= p - 1e-9
    assert float(p_clear(day - 3, 120, 120, **spans)) < p or gap < 3 or sd > 8


@pytest.mark.parametrize(
    ("argument", "ask"),
    [
        ("p", lambda: first_clear_day(120, 6, 30, 1.0)),
        ("sd_days", lambda: p_in_bloom(1, 2, 3, first_sd_days=0, last_sd_days=1)),
        ("anomaly_sd_c", lambda: forecast(records([1.0]), [[0.0]], book_on=BOOK, anomaly_sd_c=-1)),
        ("book_sd_days", lambda: forecast(records([1.0]), [[0.0]], book_on=BOOK, book_sd_days=0)),
        (
            "residual_days",
            lambda: forecast(records([1.0]), [[0.0]], book_on=BOOK, slope=Slope(-4, 1, 0)),
        ),
    ],
)
def test_bad_arguments_are_named(argument: str, ask) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(BadArgument) as error:
        ask()
    assert error.value.argument == argument
