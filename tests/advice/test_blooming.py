"""Bloom of one plant from its own records and the weather before."""

from __future__ import annotations

import math
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.advice.blooming import bloom_of_plant, first_flowers, flush_of_plant, slope_of_garden
from slipwright.advice.seen import NOTHING_SEEN, SeenPlant, StageSeen
from slipwright.advice.timing import bloom_days, bloom_now, is_before_bloom
from slipwright.handbook import load_handbook
from tests.advice.smooth_years import weather

HANDBOOK = load_handbook()
WILD_ROSE = HANDBOOK.page_of("Rosa canina")
ROSE = HANDBOOK.page_of("Rosa")
BOOK, END = date(2026, 5, 25), date(2026, 6, 30)


def flowered(*days: date, bbch: int = 60) -> SeenPlant:
    return SeenPlant(tuple(StageSeen(day, bbch) for day in days))


def test_one_record_a_season_counts_and_later_flushes_do_not() -> None:
    seen = flowered(date(2024, 5, 20), date(2024, 7, 12), date(2025, 5, 28), date(2025, 10, 30))
    assert first_flowers(seen, BOOK, date(2026, 1, 1)) == (date(2024, 5, 20), date(2025, 5, 28))


def test_a_later_flush_is_not_the_first_of_a_repeat_bloomer_whose_first_was_not_recorded() -> None:
    seen = flowered(date(2023, 5, 18), date(2024, 7, 25), date(2025, 5, 26), date(2025, 7, 20))
    found = first_flowers(seen, BOOK, date(2026, 1, 1), repeats=True)
    assert found == (date(2023, 5, 18), date(2025, 5, 26))
    assert date(2024, 7, 25) in first_flowers(seen, BOOK, date(2026, 1, 1))
    alone = bloom_of_plant(flowered(date(2026, 7, 25)), BOOK, END, date(2026, 7, 28), repeats=True)
    assert (alone.was_seen, alone.n_own) == (False, 0)


def test_what_counts_as_first_flowers_of_a_repeat_bloomer_follows_the_plants_own_mean() -> None:
    own = [date(year, 4, 15) for year in (2022, 2023, 2024)]
    found = first_flowers(flowered(*own, date(2025, 6, 20)), BOOK, date(2026, 1, 1), repeats=True)
    assert found == tuple(own)  # 26 days after the handbook's day, but 66 after its own
    assert first_flowers(flowered(date(2025, 6, 20)), BOOK, date(2026, 1, 1), repeats=True)


def test_missed_first_flushes_do_not_pull_the_slope_of_a_garden() -> None:
    air = weather("2026-03-01", 3.0, "2025-01-01")
    kept = [date(2022, 5, 25), date(2023, 5, 25), date(2025, 5, 14)]
    missed = flowered(*kept, date(2024, 7, 20))
    seen, off = (SeenPlant(one.stages, weather=air) for one in (flowered(*kept), missed))
    slope, same = (slope_of_garden([(one, BOOK, True)] * 4, date(2026, 3, 1)) for one in (seen, off))
    assert same == slope
    assert slope_of_garden([(off, BOOK, False)] * 4, date(2026, 3, 1)).days_per_c < slope.days_per_c - 2


def test_flowers_seen_this_season_stand() -> None:
    told = bloom_of_plant(flowered(date(2026, 5, 12)), BOOK, END, date(2026, 5, 20), repeats=False)
    assert told.was_seen
    assert (told.first_on, told.first_sd_days) == (date(2026, 5, 12), 2.0)
    before = bloom_of_plant(flowered(date(2026, 5, 12)), BOOK, END, date(2026, 5, 1), repeats=False)
    assert not before.was_seen
    assert before.n_own == 0


@settings(max_examples=25, deadline=None)
@given(st.lists(st.integers(-25, 25), max_size=8))
def test_own_records_move_the_forecast_and_narrow_it(off: list[int]) -> None:
    days = [date(2025 - i, 5, 25) + timedelta(days=one) for i, one in enumerate(off)]
    told = bloom_of_plant(flowered(*days), BOOK, END, date(2026, 2, 1), repeats=False)
    assert told.n_own == len(off)
    mean = sum(off) / len(off) if off else 0
    assert abs((told.first_on - BOOK).days - mean) <= 1.6
    assert told.p10 < told.first_on < told.p90
    if off:
        assert told.first_sd_days < 9.0
    else:
        assert 14.0 < told.first_sd_days < 16.0


def test_a_warm_spring_brings_it_forward_by_some_4_days_a_degree() -> None:
    days = [date(year, 5, 25) for year in range(2020, 2026)]
    firsts = []
    for above_c in (0.0, 2.0):
        seen = SeenPlant(flowered(*days).stages, weather=weather("2026-05-24", above_c))
        firsts.append(bloom_of_plant(seen, BOOK, END, date(2026, 5, 24), repeats=False).first_on)
    assert 6 <= (firsts[0] - firsts[1]).days <= 9


def test_the_range_narrows_as_the_spring_goes_on() -> None:
    days = flowered(*[date(year, 5, 25) for year in range(2020, 2026)]).stages
    spreads = []
    for last in ("2026-03-01", "2026-04-25", "2026-05-11"):
        seen = SeenPlant(days, weather=weather(last))
        spreads.append(bloom_of_plant(seen, BOOK, END, date.fromisoformat(last), repeats=False).first_sd_days)
    assert spreads[0] > spreads[1] > spreads[2]


def test_it_says_from_when_it_is_sharper() -> None:
    seen = SeenPlant(flowered(date(2025, 5, 25)).stages, weather=weather("2026-03-01"))
    early = bloom_of_plant(seen, BOOK, END, date(2026, 3, 1), repeats=False)
    assert "one first flower of its own, 25 May 2025" in early.rests_on
    assert "sharper from about 10 Apr" in early.rests_on
    late = bloom_of_plant(seen, BOOK, END, date(2026, 4, 20), repeats=False)
    assert "sharper" not in late.rests_on


def test_flowers_seen_over_end_the_bloom_of_a_plant_that_flowers_once() -> None:
    seen = SeenPlant((StageSeen(date(2026, 5, 20), 60), StageSeen(date(2026, 6, 12), 69)))
    told = bloom_of_plant(seen, BOOK, END, date(2026, 6, 20), repeats=False)
    assert (told.last_on, told.last_sd_days) == (date(2026, 6, 12), 2.0)
    assert bloom_of_plant(seen, BOOK, END, date(2026, 6, 20), repeats=True).last_on == END


def test_the_next_flush_is_told_from_own_records_alone() -> None:
    assert flush_of_plant(NOTHING_SEEN, date(2026, 7, 1)) is None
    assert flush_of_plant(flowered(date(2026, 5, 20)), date(2026, 7, 1)) is None
    seen = flowered(date(2025, 5, 20), date(2025, 7, 4), date(2026, 5, 22), date(2026, 7, 6))
    flush = flush_of_plant(SeenPlant(seen.stages, weather=weather("2026-07-10")), date(2026, 7, 10))
    assert flush is not None
    assert (flush.days, flush.n_own, flush.next_on) == (45.0, 2, date(2026, 8, 20))
    assert flush.degree_days_c is not None
    assert 400 < flush.degree_days_c < 800
    assert flush.sd_days > 45 * 0.1
    late = flush_of_plant(seen, date(2026, 12, 1))
    assert late is not None
    assert late.next_on is None


def test_plants_of_a_garden_share_one_slope() -> None:
    air = weather("2026-03-01", 3.0, "2025-01-01")
    days = [date(2023, 5, 25), date(2024, 5, 25), date(2025, 5, 10)]
    seen = SeenPlant(flowered(*days).stages, weather=air)
    one, many = (slope_of_garden([(seen, BOOK, False)] * n, date(2026, 3, 1)) for n in (1, 8))
    assert many.sd_days_per_c < one.sd_days_per_c < 0.9
    assert many.days_per_c < one.days_per_c < -3.8
    assert slope_of_garden([(NOTHING_SEEN, BOOK, False)], date(2026, 3, 1)).n_years == 0


def test_a_page_uses_the_plants_own_bloom() -> None:
    own = flowered(*[date(year, 5, 1) for year in range(2019, 2026)])
    on = date(2026, 4, 10)
    told = bloom_now(WILD_ROSE, on, seen=own)
    assert told.n_own == 7
    assert (told.first_on, told.p50) == (date(2026, 5, 1), date(2026, 5, 1))
    assert told.p10 < told.p50 < told.p90
    assert bloom_days(WILD_ROSE, on, seen=own)[0] == told.first_on
    assert is_before_bloom(WILD_ROSE, on, seen=own)
    assert not is_before_bloom(WILD_ROSE, on)


def test_a_day_is_clear_from_nine_chances_in_ten() -> None:
    own = flowered(*[date(year, 5, 25) for year in range(2016, 2026)])
    for day in (date(2026, 3, 1) + timedelta(days=n) for n in range(0, 150, 3)):
        told = bloom_now(WILD_ROSE, day, seen=own)
        if told.state != "in_bloom":
            assert (told.state == "clear") == (told.p_clear >= 0.9)


def test_a_repeat_bloomer_is_never_a_closed_door() -> None:
    told = bloom_now(ROSE, date(2026, 9, 1), seen=flowered(date(2026, 5, 20)))
    assert told.flowers == "repeat"
    assert told.state == "in_bloom"


def test_months_alone_say_so() -> None:
    told = bloom_now(WILD_ROSE, date(2026, 4, 1))
    assert (told.n_own, told.rests_on) == (0, "the handbook's months")
    assert told.p90 - told.p50 == timedelta(days=math.ceil(1.28 * 14))


@pytest.mark.parametrize("south", [False, True])
def test_both_hemispheres_have_their_own_spring(south: bool) -> None:
    on = date(2026, 10, 1) if south else date(2026, 4, 1)
    book = bloom_days(WILD_ROSE, on, south=south)[0]
    own = flowered(*[date(book.year - n, book.month, min(book.day, 28)) for n in range(1, 6)])
    told = bloom_now(WILD_ROSE, on, south=south, seen=own)
    assert abs((told.first_on - book).days) <= 4
