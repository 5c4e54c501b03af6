"""Windows of one plant from what was seen of it."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.advice.seen import (
    NOTHING_SEEN,
    FirmnessFelt,
    SeenPlant,
    StageSeen,
    chances_of_plant,
    windows_of_plant,
    windows_rest_on,
)
from slipwright.advice.timing import windows_of_page
from slipwright.craft.wood import Window
from slipwright.handbook import load_handbook
from tests.advice.smooth_years import weather

HANDBOOK = load_handbook()
ROSE = HANDBOOK.page_of("Rosa")
DAYS = st.integers(0, 364).map(lambda n: date(2026, 1, 1) + timedelta(days=n))
PAGES = st.sampled_from(HANDBOOK.pages)
SUMMER = date(2026, 7, 20)


def felt(on: date, firmness: int) -> FirmnessFelt:
    return FirmnessFelt(on, firmness_mid=firmness)


def run_of(seen: SeenPlant, wood: str, on: date, south: bool = False) -> Window | None:
    """The window of a wood that a day lies in, or the next."""
    runs = [run for run in windows_of_plant(ROSE, seen, on, south) if run.wood == wood]
    return next((run for run in runs if run.closes_on >= on), None)


@settings(max_examples=20, deadline=None)
@given(PAGES, DAYS, st.booleans())
def test_with_nothing_seen_the_handbooks_months_stand(page, on, south):
    assert windows_of_plant(page, NOTHING_SEEN, on, south) == windows_of_page(page, on, south=south)


@settings(max_examples=20, deadline=None)
@given(PAGES, DAYS, st.booleans())
def test_what_is_seen_in_another_season_leaves_the_months_nearly_as_they_are(page, on, south):
    # a stage that says nothing of wood: the way by days agrees with the way by months
    seen = SeenPlant(stages=(StageSeen(on - timedelta(days=1500), 65),))
    by_days, by_months = windows_of_plant(page, seen, on, south), windows_of_page(page, on, south=south)
    assert [(w.wood, w.opens_on, w.closes_on) for w in by_days] == [
        (w.wood, w.opens_on, w.closes_on) for w in by_months
    ]


@settings(max_examples=30, deadline=None)
@given(
    PAGES,
    DAYS,
    st.lists(st.tuples(st.integers(0, 800), st.integers(1, 5)), max_size=5),
    st.lists(st.tuples(st.integers(0, 800), st.sampled_from((0, 7, 9, 31, 65, 91, 93, 97))), max_size=4),
    st.booleans(),
)
def test_chances_stay_chances_whatever_was_seen(page, on, firmness, stages, south):
    seen = SeenPlant(
        tuple(StageSeen(on - timedelta(days=ago), bbch) for ago, bbch in stages),
        tuple(felt(on - timedelta(days=ago), one) for ago, one in firmness),
    )
    for chances in chances_of_plant(page, seen, on, south).values():
        assert len(chances) == 365
        assert min(chances) >= -1e-9
        assert max(chances) <= 1 + 1e-9


@pytest.mark.parametrize(("firmness", "right"), [(2, "softwood"), (3, "semi-hardwood")])
def test_the_hand_says_which_wood_it_is_today(firmness: int, right: str) -> None:
    seen = SeenPlant(firmness=(felt(SUMMER, firmness),))
    now = [
        run.wood for run in windows_of_plant(ROSE, seen, SUMMER) if run.opens_on <= SUMMER <= run.closes_on
    ]
    assert now == [right]


def test_what_is_felt_tomorrow_is_not_known_today() -> None:
    seen = SeenPlant(firmness=(felt(SUMMER + timedelta(days=1), 3),))
    told, book = windows_of_plant(ROSE, seen, SUMMER), windows_of_page(ROSE, SUMMER)
    assert [(w.wood, w.opens_on) for w in told] == [(w.wood, w.opens_on) for w in book]


def test_firm_wood_of_last_year_does_not_open_this_years_softwood() -> None:
    page, on = HANDBOOK.page_of("Lavandula"), date(2026, 4, 1)
    book = next(run for run in windows_of_page(page, on) if run.wood == "softwood")
    seen = SeenPlant(firmness=(felt(on, 5),))
    told = next(run for run in windows_of_plant(page, seen, on) if run.wood == "softwood")
    assert abs((told.opens_on - book.opens_on).days) <= 3


def test_years_of_firmness_move_the_season_part_of_the_way() -> None:
    book = run_of(NOTHING_SEEN, "semi-hardwood", SUMMER)
    early = tuple(
        felt(date(year, 7, day), one) for year in (2023, 2024, 2025) for day, one in ((1, 2), (14, 3))
    )
    told = run_of(SeenPlant(firmness=early), "semi-hardwood", SUMMER)
    assert book is not None
    assert told is not None
    assert timedelta(days=6) < book.opens_on - told.opens_on < timedelta(days=24)


def test_a_warm_spring_ripens_wood_sooner_and_a_cold_one_later() -> None:
    on = date(2026, 6, 1)
    opens = []
    for above_c in (-3.0, 0.0, 3.0):
        run = run_of(SeenPlant(weather=weather("2026-05-31", above_c)), "softwood", on)
        assert run is not None
        opens.append(run.opens_on)
    assert opens[0] > opens[1] > opens[2]
    book = run_of(NOTHING_SEEN, "softwood", on)
    assert book is not None
    assert abs((opens[1] - book.opens_on).days) <= 4


def test_to_know_the_weather_makes_no_edge_vaguer() -> None:
    on = date(2026, 6, 1)
    known, book = (
        run_of(seen, "softwood", on) for seen in (SeenPlant(weather=weather("2026-05-31")), NOTHING_SEEN)
    )
    assert known is not None
    assert book is not None
    assert known.sure_from is not None
    assert book.sure_from is not None
    assert known.sure_from <= book.sure_from + timedelta(days=4)


def test_late_bud_break_with_the_same_heat_after_it_opens_softwood_later() -> None:
    usual = [StageSeen(date(year, 4, 1), 8) for year in range(2020, 2026)]
    on, air = date(2026, 6, 1), weather("2026-05-31")
    opens = []
    for this in (date(2026, 4, 1), date(2026, 4, 20)):
        run = run_of(SeenPlant(stages=(*usual, StageSeen(this, 8)), weather=air), "softwood", on)
        assert run is not None
        opens.append(run.opens_on)
    assert opens[1] > opens[0]


def test_hardwood_opens_at_leaf_fall_and_closes_at_bud_break() -> None:
    fallen = SeenPlant(stages=(StageSeen(date(2026, 10, 25), 97),))
    run = run_of(fallen, "hardwood", date(2026, 11, 1))
    assert run is not None
    assert abs((run.opens_on - date(2026, 10, 20)).days) <= 2
    assert run.p_open > 0.9
    broken = SeenPlant(stages=(StageSeen(date(2027, 2, 1), 7),))
    after = run_of(broken, "hardwood", date(2027, 2, 10))
    assert after is not None
    assert after.opens_on > date(2027, 9, 1)


def test_in_a_mild_winter_hardwood_opens_though_the_leaves_stay() -> None:
    on = date(2026, 12, 20)
    run = run_of(SeenPlant(weather=weather("2026-12-19", 12.0, "2026-09-01")), "hardwood", on)
    assert run is not None
    assert run.opens_on <= on
    firm = SeenPlant(firmness=(felt(date(2026, 11, 1), 5),))
    early = run_of(firm, "hardwood", date(2026, 11, 1))
    assert early is not None
    assert early.opens_on <= date(2026, 11, 1)


def test_cold_stops_growth_before_the_calendar_does() -> None:
    on = date(2026, 11, 5)
    cold, mild = (
        run_of(SeenPlant(weather=weather("2026-11-04", above, "2026-10-01")), "hardwood", on)
        for above in (-10.0, 8.0)
    )
    assert cold is not None
    assert mild is not None
    assert cold.opens_on < mild.opens_on


def test_after_cutting_back_new_wood_is_right_in_6_to_10_weeks() -> None:
    cut = date(2026, 7, 1)
    seen = SeenPlant(cut_back=(cut,))
    soft = run_of(seen, "softwood", SUMMER)
    assert soft is not None
    assert cut + timedelta(weeks=6) <= soft.opens_on <= cut + timedelta(weeks=10)
    firm = run_of(seen, "semi-hardwood", SUMMER)
    assert firm is not None
    assert firm.opens_on >= cut + timedelta(weeks=6)


def test_the_south_has_it_half_a_year_later() -> None:
    north = run_of(SeenPlant(firmness=(felt(SUMMER, 3),)), "semi-hardwood", SUMMER)
    later = date(2027, 1, 20)
    south = run_of(SeenPlant(firmness=(felt(later, 3),)), "semi-hardwood", later, south=True)
    assert north is not None
    assert south is not None
    assert abs((south.opens_on - north.opens_on).days - 184) <= 3


def test_it_says_what_the_days_rest_on() -> None:
    assert windows_rest_on(NOTHING_SEEN, SUMMER) == "the handbook's months, weeks wide"
    seen = SeenPlant(
        stages=(StageSeen(date(2026, 3, 20), 8),),
        firmness=(felt(SUMMER, 3), felt(SUMMER + timedelta(days=9), 4)),
        cut_back=(date(2026, 2, 10),),
        weather=weather("2026-07-19"),
    )
    told = windows_rest_on(seen, SUMMER)
    assert "firmness felt once, on 20 Jul" in told
    assert "buds or leaf fall seen once" in told
    assert "cut back on 10 Feb" in told
    assert "weather to 19 Jul" in told
