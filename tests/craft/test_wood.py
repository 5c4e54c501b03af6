"""Windows on the calendar."""

from __future__ import annotations

import itertools
import math
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.craft.errors import BadArgument
from slipwright.craft.wood import (
    EDGE_SD_DAYS,
    Window,
    occurrences,
    p_open,
    season_dates,
    windows_of_chances,
    windows_of_seasons,
)

DATES = st.dates(date(1990, 1, 1), date(2080, 12, 31))
MONTH_DAYS = st.dates(date(2024, 1, 1), date(2024, 12, 31)).map(lambda d: (d.month, d.day))


def windows_in_year(
    wood: str,
    opens: tuple[int, int],
    closes: tuple[int, int],
    on: date,
    south: bool = False,
    sd_days: float = EDGE_SD_DAYS,
) -> tuple[Window, ...]:
    """Return the windows of a wood with one season."""
    return windows_of_seasons(wood, [(opens, closes)], on, south, sd_days)


def normal(z: float) -> float:
    return 0.5 * (1 + math.erf(z / math.sqrt(2)))


def test_the_edges_of_a_long_season_have_a_little_over_one_half() -> None:
    opens_on, closes_on = date(2026, 8, 15), date(2026, 11, 30)
    assert p_open(opens_on, opens_on, closes_on) == pytest.approx(normal(0.5 / 14), abs=1e-9)
    assert p_open(opens_on - timedelta(days=1), opens_on, closes_on) == pytest.approx(
        normal(-0.5 / 14), abs=1e-9
    )
    assert p_open(closes_on, opens_on, closes_on) == pytest.approx(normal(0.5 / 14), abs=1e-9)
    assert p_open(date(2026, 10, 7), opens_on, closes_on) > 0.999


def test_with_no_spread_the_season_is_the_season() -> None:
    opens_on, closes_on = date(2026, 8, 15), date(2026, 8, 16)
    days = [opens_on + timedelta(days=i) for i in range(-2, 4)]
    assert [p_open(day, opens_on, closes_on, 0.0) for day in days] == [0, 0, 1, 1, 0, 0]


@pytest.mark.parametrize(
    ("opens", "closes", "south", "near", "expected"),
    [
        ((8, 15), (10, 31), False, date(2026, 9, 1), (date(2026, 8, 15), date(2026, 10, 31))),
        ((8, 15), (10, 31), False, date(2026, 12, 1), (date(2026, 8, 15), date(2026, 10, 31))),
        ((8, 15), (10, 31), False, date(2027, 5, 1), (date(2027, 8, 15), date(2027, 10, 31))),
        ((8, 15), (10, 31), True, date(2026, 12, 1), (date(2027, 2, 15), date(2027, 4, 30))),
        ((11, 15), (2, 29), False, date(2027, 1, 1), (date(2026, 11, 15), date(2027, 2, 28))),
        ((11, 15), (2, 29), False, date(2028, 1, 1), (date(2027, 11, 15), date(2028, 2, 29))),
        ((11, 15), (2, 15), True, date(2026, 7, 1), (date(2026, 5, 15), date(2026, 8, 15))),
        ((5, 15), (8, 31), True, date(2028, 1, 1), (date(2027, 11, 15), date(2028, 2, 29))),
        ((2, 29), (2, 29), False, date(2027, 2, 20), (date(2027, 2, 28), date(2027, 2, 28))),
    ],
)
def test_season_dates_wrap_the_year_and_cross_the_equator(
    opens: tuple[int, int], closes: tuple[int, int], south: bool, near: date, expected: tuple[date, date]
) -> None:
    assert season_dates(opens, closes, south=south, near=near) == expected


@settings(deadline=None)
@given(MONTH_DAYS, MONTH_DAYS, st.booleans(), DATES)
def test_no_season_lies_nearer_than_the_one_given(
    opens: tuple[int, int], closes: tuple[int, int], south: bool, near: date
) -> None:
    first, last = season_dates(opens, closes, south=south, near=near)
    assert first <= last < first + timedelta(days=367)
    assert first - timedelta(days=184) <= near <= last + timedelta(days=184)


@settings(deadline=None)
@given(MONTH_DAYS, MONTH_DAYS, st.booleans(), DATES)
def test_windows_are_the_unbroken_runs_that_touch_the_year(
    opens: tuple[int, int], closes: tuple[int, int], south: bool, on: date
) -> None:
    windows = windows_in_year("hardwood", opens, closes, on, south)
    last_day = on + timedelta(days=364)
    for window in windows:
        assert window.opens_on <= window.closes_on
        assert window.opens_on <= last_day
        assert window.closes_on >= on
        assert 0.0 <= window.p_open <= 1.0
        if window.sure_from is not None and window.sure_to is not None:
            assert window.opens_on <= window.sure_from <= window.sure_to <= window.closes_on
        if window.opens_on <= on <= window.closes_on:
            assert window.p_open >= 0.5
    for earlier, later in itertools.pairwise(windows):
        assert earlier.closes_on + timedelta(days=1) < later.opens_on
    assert len(windows) <= 2


@settings(deadline=None)
@given(st.integers(60, 250), DATES, st.booleans(), MONTH_DAYS)
def test_a_season_of_some_length_opens_and_closes_on_its_dates(
    n_days: int, on: date, south: bool, opens: tuple[int, int]
) -> None:
    last = date(2023, *opens if opens != (2, 29) else (2, 28)) + timedelta(days=n_days)
    closes = (last.month, last.day)
    first, end = season_dates(opens, closes, south=south, near=on)
    windows = windows_in_year("softwood", opens, closes, on, south)
    if first <= on + timedelta(days=364) and end >= on:
        found = [
            w for w in windows if abs((w.opens_on - first).days) <= 1 and abs((w.closes_on - end).days) <= 1
        ]
        assert len(found) == 1
        assert found[0].p_open == pytest.approx(p_open(on, first, end), abs=1e-9)


def test_a_window_open_now_may_have_opened_before() -> None:
    now, later = windows_in_year("semi-hardwood", (8, 15), (10, 31), date(2026, 10, 20))
    assert (now.opens_on, now.closes_on) == (date(2026, 8, 15), date(2026, 10, 31))
    assert (now.sure_from, now.sure_to) == (date(2026, 9, 2), date(2026, 10, 13))
    assert now.p_open == pytest.approx(normal(11.5 / 14), abs=1e-4)
    # the next season begins inside the 365 days and ends after them
    assert (later.opens_on, later.closes_on) == (date(2027, 8, 15), date(2027, 10, 31))
    assert later.p_open < 1e-9


def test_a_season_over_the_new_year_is_one_window() -> None:
    (window,) = windows_in_year("hardwood", (11, 15), (2, 15), date(2026, 10, 20))
    assert (window.opens_on, window.closes_on) == (date(2026, 11, 15), date(2027, 2, 15))


def test_the_south_is_half_a_year_later() -> None:
    (window,) = windows_in_year("hardwood", (11, 15), (2, 15), date(2026, 4, 20), south=True)
    assert (window.opens_on, window.closes_on) == (date(2026, 5, 15), date(2026, 8, 15))


def test_a_short_season_is_never_sure_and_a_very_short_one_never_open() -> None:
    (short,) = windows_in_year("softwood", (6, 1), (6, 25), date(2026, 3, 1))
    assert short.sure_from is None
    assert short.sure_to is None
    assert windows_in_year("softwood", (6, 1), (6, 5), date(2026, 3, 1)) == ()


@pytest.mark.parametrize(
    ("opens", "closes"), [((1, 1), (12, 31)), ((6, 10), (6, 9)), ((3, 1), (2, 29)), ((3, 1), (2, 28))]
)
def test_wood_that_is_always_right_has_one_window(opens: tuple[int, int], closes: tuple[int, int]) -> None:
    (window,) = windows_in_year("softwood", opens, closes, date(2026, 10, 20))
    assert (window.opens_on, window.closes_on) == (date(2026, 10, 20), date(2027, 10, 19))
    assert (window.sure_from, window.sure_to, window.p_open) == (window.opens_on, window.closes_on, 1.0)


def test_a_season_of_nearly_a_year_is_open_inside_its_window() -> None:
    windows = windows_in_year("hardwood", (7, 3), (7, 1), date(2000, 1, 2), south=True)
    assert all(w.p_open >= 0.5 for w in windows if w.opens_on <= date(2000, 1, 2) <= w.closes_on)


def test_seasons_that_meet_make_one_window() -> None:
    (joined,) = windows_of_seasons("softwood", [((4, 1), (5, 31)), ((6, 1), (7, 31))], date(2026, 3, 1))
    assert (joined.opens_on, joined.closes_on) == (date(2026, 4, 1), date(2026, 7, 31))
    apart = windows_of_seasons("softwood", [((8, 1), (9, 30)), ((4, 1), (5, 31))], date(2026, 3, 1))
    assert [w.opens_on.month for w in apart] == [4, 8]


def test_no_season_gives_no_window() -> None:
    assert windows_of_seasons("softwood", [], date(2026, 3, 1)) == ()


@pytest.mark.parametrize(
    ("argument", "ask"),
    [
        ("wood", lambda: windows_in_year("balsa", (1, 1), (2, 1), date(2026, 1, 1))),
        ("opens", lambda: windows_in_year("softwood", (13, 1), (2, 1), date(2026, 1, 1))),
        ("opens", lambda: season_dates((2, 30), (3, 1), south=False, near=date(2026, 1, 1))),
        ("closes", lambda: season_dates((2, 1), (4, 31), south=False, near=date(2026, 1, 1))),
        ("sd_days", lambda: windows_in_year("softwood", (1, 1), (2, 1), date(2026, 1, 1), sd_days=-1)),
        ("sd_days", lambda: p_open(date(2026, 1, 1), date(2026, 1, 1), date(2026, 2, 1), math.nan)),
        ("closes_on", lambda: p_open(date(2026, 1, 1), date(2026, 2, 1), date(2026, 1, 1))),
        ("on", lambda: windows_in_year("softwood", (1, 1), (2, 1), date.min)),
        ("on", lambda: windows_in_year("softwood", (1, 1), (2, 1), date.max)),
    ],
)
def test_bad_arguments_are_named(argument: str, ask) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(BadArgument) as error:
        ask()
    assert error.value.argument == argument


@settings(max_examples=30, deadline=None)
@given(MONTH_DAYS, MONTH_DAYS, st.booleans(), DATES)
def test_windows_of_chances_by_day_are_those_of_the_season(
    opens: tuple[int, int], closes: tuple[int, int], south: bool, on: date
) -> None:
    known = windows_in_year("hardwood", opens, closes, on, south)
    spans = occurrences((opens, closes), south, on)
    days = [on + timedelta(days=i - 365) for i in range(1095)]
    chances = [1 - math.prod(1 - p_open(day, *span) for span in spans) for day in days]
    told = windows_of_chances("hardwood", chances, on)
    if known and known[0].p_open < 1.0:
        assert [(w.opens_on, w.closes_on) for w in told] == [(w.opens_on, w.closes_on) for w in known]


def test_chances_by_day_must_be_all_the_days_looked_at() -> None:
    with pytest.raises(BadArgument, match="chances"):
        windows_of_chances("softwood", [0.5] * 100, date(2026, 1, 1))
    with pytest.raises(BadArgument, match="wood"):
        windows_of_chances("balsa", [0.5] * 1095, date(2026, 1, 1))
    assert windows_of_chances("softwood", [0.4] * 1095, date(2026, 1, 1)) == ()
