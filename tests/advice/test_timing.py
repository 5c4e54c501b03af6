from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.advice.timing import (
    bloom_days,
    bloom_now,
    is_south,
    occurs_within,
    openings_of_page,
    windows_of_page,
    with_own_gaps,
)
from slipwright.handbook import load_handbook

HANDBOOK = load_handbook()
ROSE = HANDBOOK.page_of("Rosa")
WILD_ROSE = HANDBOOK.page_of("Rosa canina")
SAGE = HANDBOOK.page_of("Salvia officinalis")
days = st.integers(0, 364).map(lambda n: date(2026, 1, 1) + timedelta(days=n))
pages = st.sampled_from(HANDBOOK.pages)


@settings(max_examples=40, deadline=None)
@given(pages, days, st.booleans())
def test_windows_touch_the_year_ahead_and_come_in_order(page, on, south):
    windows = windows_of_page(page, on, south=south)
    assert windows
    assert [w.opens_on for w in windows] == sorted(w.opens_on for w in windows)
    for window in windows:
        assert window.closes_on >= on
        assert window.opens_on <= on + timedelta(days=365)
        assert 0 <= window.p_open <= 1
        assert (window.opens_on <= on <= window.closes_on) == (window.p_open >= 0.5)


@given(pages, days, st.booleans(), st.sampled_from((None, "once", "repeat")))
def test_bloom_is_in_near_or_clear_of_a_day(page, on, south, flowers):
    bloom = bloom_now(page, on, south=south, flowers=flowers)
    assert bloom.first_on <= bloom.last_on
    assert 0 <= bloom.p_in_bloom <= 1
    assert 0 <= bloom.p_clear <= 1
    assert (bloom.state == "in_bloom") == (bloom.first_on <= on <= bloom.last_on)


@given(pages, days)
def test_the_south_blooms_six_months_later(page, on):
    north, south = bloom_days(page, on), bloom_days(page, on, south=True)
    apart = abs((south[0] - north[0]).days) % 365
    assert min(apart, 365 - apart) > 170


@settings(max_examples=40, deadline=None)
@given(pages, days, st.booleans(), st.sampled_from((None, "vegetative", "spent")))
def test_nothing_is_begun_before_today_or_after_its_window(page, on, south, shoot):
    windows = windows_of_page(page, on, south=south)
    for opening in openings_of_page(page, windows, on, south=south, shoot=shoot):
        assert on <= opening.from_on <= opening.window.closes_on
        assert opening.wood == opening.window.wood


def test_softwood_close_before_bloom_waits_until_after_it():
    page = with_own_gaps(WILD_ROSE, gap_before_days=30)
    on = date(2026, 5, 12)
    early = replace(page.woods["softwood"].seasons[0], opens=(4, 20), closes=(7, 20))
    leaf = replace(page.woods["softwood"], seasons=(early,))
    page = replace(page, woods={**page.woods, "softwood": leaf})
    openings = openings_of_page(page, windows_of_page(page, on), on)
    softwood = next(opening for opening in openings if opening.wood == "softwood")
    assert softwood.from_on == date(2026, 7, 1)
    assert "not recommended" in softwood.delay


def test_the_handbooks_own_gap_costs_and_never_closes_the_door():
    lavender, on = HANDBOOK.page_of("Lavandula"), date(2026, 5, 22)
    openings = openings_of_page(lavender, windows_of_page(lavender, on), on)
    softwood = next(opening for opening in openings if opening.wood == "softwood")
    assert (softwood.from_on, softwood.near_bloom, softwood.delay) == (on, True, "")
    spent = openings_of_page(lavender, windows_of_page(lavender, on), on, shoot="spent")
    assert not any(opening.near_bloom for opening in spent)


@pytest.mark.parametrize("south", [False, True])
def test_a_leap_day_may_open_the_leafless_season(south):
    on = date(2027, 10, 20) if south else date(2027, 4, 20)
    window = replace(windows_of_page(ROSE, on)[0], opens_on=on - timedelta(days=60))
    assert occurs_within((2, 29), window, on, south=south)


def test_a_spent_shoot_has_its_bloom_behind_it():
    on = date(2026, 4, 1)
    page = with_own_gaps(SAGE, gap_before_days=60)
    windows = windows_of_page(page, on)
    waits = openings_of_page(page, windows, on)
    spent = openings_of_page(page, windows, on, shoot="spent")
    assert waits[0].from_on > on
    assert spent[0].from_on == on


def test_the_gardens_own_gaps_replace_the_handbooks():
    page = with_own_gaps(ROSE, gap_before_days=3, gap_after_days=-5, reason="seen here")
    rule = page.bloom
    assert (rule.gap_before_days.value, rule.gap_after_days.value) == (3, -5)
    assert rule.reason.text == "seen here"
    assert str(rule.gap_before_days.origin) == "the garden's own"
    assert ROSE.bloom.gap_before_days.value == 30
    assert bloom_now(page, date(2026, 11, 4)).state == "in_bloom"


def test_gaps_that_swallow_the_bloom_leave_it_clear():
    page = with_own_gaps(WILD_ROSE, gap_before_days=-100, gap_after_days=-100)
    assert bloom_now(page, date(2026, 6, 1)).p_clear == 1.0


def test_a_plant_told_to_flower_once_ends_after_six_weeks():
    first, last = bloom_days(ROSE, date(2026, 6, 1), flowers="once")
    assert (last - first).days == 42


def test_leaves_become_optional_inside_their_window_only():
    on = date(2026, 10, 20)
    window = next(w for w in windows_of_page(ROSE, on) if w.wood == "semi-hardwood")
    assert occurs_within((9, 20), window, on)
    assert not occurs_within((9, 20), window, date(2026, 9, 19))


@pytest.mark.parametrize(("latitude", "south"), [(None, False), (41.0, False), (0.0, False), (-0.1, True)])
def test_hemisphere_by_latitude(latitude, south):
    assert is_south(latitude) is south


def test_beyond_a_pole_is_refused():
    with pytest.raises(ValueError, match="-91"):
        is_south(-91)
