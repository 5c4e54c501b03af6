"""The garden as one walks it."""

from __future__ import annotations

from datetime import date, datetime

import pytest

from slipwright.handbook import load_handbook
from slipwright.records import services
from slipwright.records.answers.walk import batches_on_round, plants_on_round, round_days
from slipwright.records.models import Garden, Member, Taxon
from slipwright.records.selectors import states_of_open_batches
from tests.records.making import stick

ON = date(2025, 10, 15)


def test_a_batch_comes_with_its_page_its_counts_and_its_cover(
    garden: Garden, grower: Member, now: datetime
) -> None:
    batch = stick(garden, grower, now, taxon="Salvia rosmarinus", n_stuck=12, place="mist-1")
    services.record_look(garden=garden, by=grower, now=now, batch=batch.batch, on=ON, n_rooted=3, n_lost=1)
    (walked,) = batches_on_round(garden, load_handbook(), states_of_open_batches(garden))
    assert walked.page is not None
    assert walked.page.key == "rosemary"
    assert (walked.counts.n_rooted, walked.counts.n_lost, walked.counts.n_waiting) == (3, 1, 8)
    assert walked.cover == "mist"


def test_a_protected_plant_may_not_be_stuck(garden: Garden, owner: Member, now: datetime) -> None:
    services.add_reference(
        garden=garden,
        by=owner,
        now=now,
        table="plants",
        row={"plant": "lav", "taxon": "Lavandula 'Night Tide'"},
    )
    found = {plant.plant: plant.may_stick for plant in plants_on_round(garden, load_handbook(), {}, on=ON)}
    assert found["lav"] is False
    assert found["rose-gate"] is True


def test_the_gardens_own_distance_from_bloom_stands_before_the_handbooks(garden: Garden) -> None:
    taxon = Taxon.rows.of(garden).get(taxon="Rosa 'Pale Ferry'")
    taxon.gap_after_bloom_days = 30
    taxon.bloom_gap_reason = "ours drop their leaves"
    taxon.save()
    rose = next(p for p in plants_on_round(garden, load_handbook(), {}, on=ON) if p.plant == "rose-gate")
    assert rose.page is not None
    assert rose.page.bloom.gap_after_days.value == 30
    assert rose.page.bloom.reason.text == "ours drop their leaves"


@pytest.mark.parametrize(("set_to", "days"), [(None, 7), (3, 5), (8, 8), (21, 10)])
def test_rounds_keep_to_five_to_ten_days(garden: Garden, set_to: int | None, days: int) -> None:
    garden.round_days = set_to
    assert round_days(garden) == days
