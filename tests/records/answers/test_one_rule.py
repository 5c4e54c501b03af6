"""Today, the page of a batch and the page to pot up agree on when rooted ones may be potted."""

from __future__ import annotations

from datetime import date, datetime
from typing import get_args

import pytest

from slipwright.handbook import WOODS, load_handbook
from slipwright.handbook.pages import Wood
from slipwright.records import services
from slipwright.records.answers.one_batch import one_batch
from slipwright.records.answers.recording import afterwards
from slipwright.records.answers.round import round_of
from slipwright.records.answers.walk import plants_on_round
from slipwright.records.models import Garden, Member, Plant
from tests.records.making import stick

BOOK = load_handbook()


def taxon_that_stands_until_spring(garden: Garden) -> tuple[str, Wood]:
    for plant in Plant.rows.of(garden).select_related("taxon"):
        page = BOOK.page_of(plant.taxon.taxon)
        for wood in get_args(Wood):
            leaf = page.woods.get(wood) if page else None
            if leaf and leaf.pot_up == "undisturbed-until-spring":
                return plant.taxon.taxon, wood
    pytest.skip("no such plant in the garden")


@pytest.mark.parametrize(
    "rooted_on", [date(2025, 3, 1), date(2025, 4, 20), date(2025, 5, 25), date(2025, 7, 20)]
)
@pytest.mark.parametrize("on", [date(2025, 8, 12), date(2025, 10, 20), date(2026, 4, 20)])
@pytest.mark.parametrize("n_stuck", [3, 12])
@pytest.mark.parametrize("held", [True, False])
def test_three_pages_give_one_answer(
    garden: Garden, grower: Member, now: datetime, rooted_on: date, on: date, n_stuck: int, held: bool
) -> None:
    del now
    later = datetime.fromisoformat("2026-05-01T12:00:00+00:00")
    taxon, wood = taxon_that_stands_until_spring(garden) if held else ("Salvia rosmarinus", WOODS[0])
    batch = stick(
        garden, grower, later, taxon=taxon, wood=wood, plant="", stuck_on=date(2025, 1, 10), n_stuck=n_stuck
    )
    who = {"garden": garden, "by": grower, "now": later, "batch": batch.batch}
    services.record_look(**who, on=rooted_on, n_rooted=1)
    services.record_look(**who, on=rooted_on.replace(day=28), n_rooted=2)
    acts = {act.act: act.why for act in round_of(garden, BOOK, on=on).acts if act.batch == batch.batch}
    page = one_batch(garden, BOOK, batch.batch, on=on)
    then = afterwards(garden, BOOK, page.now, on=on)
    assert page.pot_now == ("pot_up" in acts)
    assert page.waits_for_spring == then.must_wait
    assert not (page.pot_now and page.waits_for_spring)
    assert page.stands is not None
    assert page.stands.since == then.since
    assert page.ahead is not None
    assert page.ahead.told.pot_now == page.pot_now
    if page.pot_now:
        assert page.ahead.told.pot_up_on.p50 == on
    if held and rooted_on.month <= 5:
        assert page.pot_now
    if held and rooted_on.month == 7:
        assert page.waits_for_spring == (on.year == 2025)


def test_a_plant_whose_share_is_cut_is_not_on_the_round(garden: Garden) -> None:
    on = date(2025, 10, 20)
    assert "rose-gate" in {plant.plant for plant in plants_on_round(garden, BOOK, {}, on=on)}
    Plant.rows.of(garden).filter(plant="rose-gate").update(shoots_per_season=10, max_share_taken=0)
    assert "rose-gate" not in {plant.plant for plant in plants_on_round(garden, BOOK, {}, on=on)}
