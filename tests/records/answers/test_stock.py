"""Stock plants: verdict, year and how much wood may go."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

from slipwright.handbook import load_handbook
from slipwright.records.answers.cuts import cuts_on
from slipwright.records.answers.plant_year import months_about, new_wood_after, year_of
from slipwright.records.answers.stock import plants_by_place, stock_plant, wood_to_take
from slipwright.records.errors import NotFound
from slipwright.records.models import Garden, Member, Plant, Taxon
from slipwright.records.selectors import ShootsCut, stock_plants
from slipwright.records.services import Lot, record_sticking

ON = date(2025, 10, 20)
BOOK = load_handbook()


def verdict(garden: Garden, plant: str, on: date = ON) -> str:
    return stock_plant(garden, BOOK, plant, on=on).line.verdict


def test_the_list_and_the_page_of_a_plant_say_the_same(garden: Garden) -> None:
    lines = [line for place in plants_by_place(garden, BOOK, on=ON) for line in place.lines]
    assert len(lines) == 2
    for line in lines:
        assert line == stock_plant(garden, BOOK, line.stock.plant, on=ON).line


def test_the_verdict_follows_the_season_the_want_and_the_share(garden: Garden) -> None:
    assert verdict(garden, "rose-gate") == "cut"  # wanted, and semi-hardwood is right
    assert verdict(garden, "rose-gate", date(2025, 4, 1)) == "wait"
    Taxon.rows.filter(garden=garden, taxon__startswith="Rosa").update(rights="protected")
    assert verdict(garden, "rose-gate", date(2025, 10, 21)) == "refused"


def test_a_plant_whose_share_was_cut_is_left(garden: Garden) -> None:
    Plant.rows.filter(garden=garden).update(shoots_per_season=3, max_share_taken=Decimal("0.3"))
    assert verdict(garden, "rose-gate") == "taken"  # 0.3 of 3 is not one shoot


def test_a_plant_of_another_garden_or_none_is_not_found(garden: Garden) -> None:
    with pytest.raises(NotFound):
        stock_plant(garden, BOOK, "elsewhere", on=ON)


@pytest.mark.parametrize(
    ("on", "first", "last"),
    [
        (date(2025, 10, 20), date(2025, 8, 1), date(2026, 7, 31)),
        (date(2025, 1, 31), date(2024, 11, 1), date(2025, 10, 31)),
        (date(2025, 3, 1), date(2025, 1, 1), date(2025, 12, 31)),
    ],
)
def test_the_year_begins_two_months_back(on: date, first: date, last: date) -> None:
    assert months_about(on) == (first, last)


def test_the_year_holds_every_wood_and_the_bloom_with_its_gap() -> None:
    page = BOOK.page_of("Rosa")
    assert page
    year = year_of(page, ON, south=False)
    assert {run.wood for run in year.windows} == {"softwood", "semi-hardwood", "hardwood"}
    assert (date(2026, 4, 25), date(2026, 5, 25)) in year.too_near  # 30 days before first flower
    chances = dict(year.bloom)
    assert max(chances.values()) > 0.9
    assert min(chances.values()) < 0.01


def test_the_southern_year_is_six_months_away() -> None:
    page = BOOK.page_of("Rosa")
    assert page
    blooms = year_of(page, ON, south=True).blooms
    assert blooms[0][0].month == 11


def test_new_wood_is_right_six_to_ten_weeks_after_cutting_back() -> None:
    assert new_wood_after(date(2025, 6, 1)) == (date(2025, 7, 13), date(2025, 8, 10))


def test_how_many_cuttings_the_shoots_make(garden: Garden) -> None:
    Plant.rows.filter(garden=garden, plant="rose-gate").update(
        shoots_per_season=12, max_share_taken=Decimal("0.35"), shoot_length_mm=900, nodes_per_shoot=22
    )
    (stock,) = (one for one in stock_plants(garden, on=ON) if one.plant == "rose-gate")
    page = BOOK.page_of("Rosa")
    assert page
    take = wood_to_take(stock, page, page.woods["semi-hardwood"], ShootsCut(1, 2))
    assert (take.n_may_go, take.n_cut, take.n_left, take.n_stay) == (4, 1, 3, 8)
    assert take.cuttings
    fewest, usual, most = take.cuttings
    assert 3 <= fewest <= usual <= most <= 3 * 22
    assert fewest % 3 == usual % 3 == most % 3 == 0
    assert take.unsaid == ()
    assert take.n_batches_unsaid == 2


def test_what_is_not_written_down_is_asked_for_and_not_guessed(garden: Garden) -> None:
    stock = stock_plants(garden, on=ON)[0]
    take = wood_to_take(stock, None, None, ShootsCut())
    assert (take.n_may_go, take.n_left, take.n_stay, take.cuttings) == (None, None, None, None)
    assert take.unsaid == ("shoots_per_season", "max_share_taken", "shoot_length_mm", "nodes_per_shoot")


def test_the_round_does_not_ask_to_cut_a_plant_whose_share_is_cut(garden: Garden) -> None:
    def asked() -> set[str]:
        return {act.plant or "" for act, _ in cuts_on(garden, BOOK, [], {}, ON).acts}

    assert "rose-gate" in asked()
    rose = Plant.rows.get(garden=garden, plant="rose-gate")
    rose.shoots_per_season, rose.max_share_taken = 10, Decimal("0.3")
    rose.save()
    assert "rose-gate" in asked()
    member = Member.objects.get(garden=garden, member="grower")
    lot = Lot(
        taxon="Rosa 'Pale Ferry'",
        plant="rose-gate",
        stuck_on=date(2025, 9, 1),
        n_stuck=3,
        wood="semi-hardwood",
        n_shoots=3,
    )
    record_sticking(garden=garden, by=member, now=datetime(2025, 9, 1, 12, tzinfo=UTC), lots=[lot])
    assert "rose-gate" not in asked()
    assert verdict(garden, "rose-gate") == "taken"
