"""The season of one plant: of any plant of its page, and of the very plant."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from slipwright.advice.plant_season import season_of_plant, windows_since
from slipwright.advice.seen import NOTHING_SEEN, FirmnessFelt, SeenPlant, StageSeen
from slipwright.advice.timing import windows_of_page
from slipwright.handbook import load_handbook
from slipwright.handbook.pages import Page

ON = date(2026, 7, 20)
FIRM = SeenPlant(firmness=(FirmnessFelt(ON - timedelta(days=3), firmness_mid=3),))


@pytest.fixture
def rose() -> Page:
    page = load_handbook().page_of("Rosa")
    assert page
    return page


def test_of_a_plant_nothing_is_seen_of_it_is_the_pages(rose: Page) -> None:
    season = season_of_plant(rose, ON)
    assert season.windows == windows_of_page(rose, ON)
    assert season.rests_on == "the handbook's months, weeks wide"
    assert season.best in season.openings


def test_a_firm_shoot_makes_it_another_wood(rose: Page) -> None:
    by_book, by_hand = season_of_plant(rose, ON), season_of_plant(rose, ON, seen=FIRM)
    assert by_book.best
    assert by_hand.best
    assert (by_book.best.wood, by_hand.best.wood) == ("softwood", "semi-hardwood")
    assert "firmness felt once" in by_hand.rests_on


def test_a_late_flower_of_its_own_moves_the_day_softwood_is_near_bloom(rose: Page) -> None:
    seen = SeenPlant(stages=tuple(StageSeen(date(year, 7, 8), 60) for year in (2023, 2024, 2025)))
    day = date(2026, 6, 20)

    def near(of: SeenPlant) -> bool:
        openings = season_of_plant(rose, day, seen=of).openings
        return next(one.near_bloom for one in openings if one.wood == "softwood")

    assert (near(NOTHING_SEEN), near(seen)) == (False, True)


def test_windows_that_are_over_are_told_by_what_was_felt_since(rose: Page) -> None:
    back = date(2026, 5, 1)
    runs = windows_since(rose, FIRM, ON, back)
    (soft,) = [run for run in runs if run.wood == "softwood" and run.opens_on.year == 2026]
    assert back < soft.opens_on < soft.closes_on < ON
    by_book = next(run for run in windows_since(rose, NOTHING_SEEN, ON, back) if run.wood == "softwood")
    assert by_book.closes_on > ON
    open_now = [run.wood for run in season_of_plant(rose, ON, seen=FIRM).windows if run.opens_on <= ON]
    assert open_now == [run.wood for run in runs if run.opens_on <= ON <= run.closes_on]


@pytest.mark.parametrize("seen", [NOTHING_SEEN, FIRM])
def test_from_today_on_they_are_the_windows_of_the_plant(rose: Page, seen: SeenPlant) -> None:
    assert windows_since(rose, seen, ON, ON) == season_of_plant(rose, ON, seen=seen).windows
