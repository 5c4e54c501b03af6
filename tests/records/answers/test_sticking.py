"""What is known before a plant is stuck."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Any

import pytest

from slipwright.handbook import load_handbook
from slipwright.records.answers.stick_choices import choices, taxon_called
from slipwright.records.answers.sticking import (
    FELT,
    first_look_on,
    kept_beside,
    lot_of_way,
    to_stick,
)
from slipwright.records.errors import NotFound
from slipwright.records.models import Garden, Member, Place, Taxon
from slipwright.records.services import record_firmness, record_look, record_stage
from tests.records.making import stick

ON = date(2025, 10, 15)
ROSE = "Rosa 'Pale Ferry'"
WAY: dict[str, Any] = {
    "wood": "softwood",
    "auxin": "iba",
    "auxin_form": "talc",
    "auxin_mg_per_kg": Decimal(3000),
}


@pytest.mark.parametrize(
    ("place_cover", "way_cover", "said", "kept"),
    [
        ("mist", "tent", None, None),
        ("tent", "mist", None, None),
        ("open", "tent", None, "tent"),
        ("open", "mist", None, None),
        ("", "mist", None, "mist"),
        ("mist", "tent", "open", "open"),
    ],
)
def test_the_cover_is_that_of_the_place_unless_bags_go_over_the_pots(
    place_cover: str, way_cover: str, said: str | None, kept: str | None
) -> None:
    assert lot_of_way({"cover": way_cover}, {"cover": said}, place_cover=place_cover).get("cover") == kept


def test_what_is_not_said_stays_as_the_way_has_it() -> None:
    assert lot_of_way(WAY, {"auxin": "", "n_nodes": None}, place_cover="") == WAY
    assert lot_of_way(WAY, {"auxin": "iba"}, place_cover="") == WAY


@pytest.mark.parametrize(
    ("said", "kept"),
    [
        ({"auxin": "none"}, {"auxin": "none"}),
        ({"auxin": "naa"}, {"auxin": "naa", "auxin_form": "talc"}),
        ({"auxin_form": "gel"}, {"auxin": "iba", "auxin_form": "gel"}),
        (
            {"auxin_mg_per_kg": Decimal(8000)},
            {"auxin": "iba", "auxin_form": "talc", "auxin_mg_per_kg": Decimal(8000)},
        ),
    ],
)
def test_another_dip_leaves_no_strength_behind(said: dict[str, Any], kept: dict[str, Any]) -> None:
    assert lot_of_way(WAY, said, place_cover="") == {"wood": "softwood", **kept}


def test_the_number_counts_what_is_stuck_already(garden: Garden, grower: Member, now: datetime) -> None:
    before = to_stick(garden, load_handbook(), on=ON, plant="rose-gate").number
    assert before is not None
    assert before.n_to_stick is not None
    assert before.n_to_stick > before.need.n_short > 40
    assert before.p_reached is not None
    assert before.p_reached >= 0.8
    smaller = [chance for n, chance in before.others if n < before.n_to_stick]
    assert smaller == sorted(smaller)
    assert max(smaller) < 0.8
    batch = stick(garden, grower, now, n_stuck=90, want="roses-27")
    record_look(garden=garden, by=grower, now=now, batch=batch.batch, on=ON, n_rooted=80)
    after = to_stick(garden, load_handbook(), on=ON, plant="rose-gate").number
    assert after is not None
    assert after.n_to_stick is None
    assert after.need.n_short == 0


def test_a_want_that_is_past_or_of_another_plant_asks_for_nothing(garden: Garden) -> None:
    assert to_stick(garden, load_handbook(), on=ON, plant="sage-wall").number is None
    assert to_stick(garden, load_handbook(), on=date(2027, 4, 2), plant="rose-gate").number is None


def test_bloom_near_costs_soft_wood_a_share(garden: Garden) -> None:
    near = to_stick(garden, load_handbook(), on=date(2025, 5, 10), plant="rose-gate").near_bloom
    assert near is not None
    assert not near.in_bloom
    assert near.now is not None
    assert near.clear is not None
    assert near.now[1] < near.clear[1]
    assert to_stick(garden, load_handbook(), on=date(2025, 1, 10), plant="rose-gate").near_bloom is None


def test_a_plant_the_handbook_does_not_know_can_still_be_stuck(garden: Garden) -> None:
    Taxon.rows.create(garden=garden, taxon="Zelkova serrata")
    known = to_stick(garden, load_handbook(), on=ON, taxon="Zelkova serrata")
    assert (known.page, known.cane, known.by_handbook, known.usual) == (None, None, {}, None)
    assert [caution.key for caution in known.cautions_at("cutting")] == ["blade"]


def test_names_are_found_without_regard_to_case_and_by_a_common_name_of_one_plant(garden: Garden) -> None:
    Taxon.rows.of(garden).filter(taxon=ROSE).update(common_name="ferry rose")
    for named in (ROSE, ROSE.lower(), "Ferry Rose"):
        found = taxon_called(garden, named)
        assert found is not None
        assert found.taxon == ROSE
    Taxon.rows.of(garden).update(common_name="plant")
    assert taxon_called(garden, "plant") is None


def test_a_plant_that_is_not_there_is_told(garden: Garden) -> None:
    with pytest.raises(NotFound):
        to_stick(garden, load_handbook(), on=ON, plant="nowhere")
    with pytest.raises(NotFound):
        to_stick(garden, load_handbook(), on=ON, taxon="Nobody")


def test_places_without_a_cover_where_plants_grow_come_last(garden: Garden) -> None:
    Place.rows.create(garden=garden, place="hedge", kind="nursery")
    found = choices(garden)
    assert [place.place for place in found.places] == ["mist-1", "frame-1"]
    assert [place.place for place in found.far_places] == ["hedge"]
    assert dict(found.methods)["rose-autumn"]["container"] == "pot-1l"


def test_the_first_look_comes_a_round_later(garden: Garden) -> None:
    assert first_look_on(garden, date(2025, 10, 1)) == date(2025, 10, 8)


def test_felt_firmness_rises_with_the_wood() -> None:
    assert [firmness for firmness, _ in FELT.values()] == sorted(firmness for firmness, _ in FELT.values())


def test_an_ordinary_sticking_has_no_notes_beside_it(garden: Garden, grower: Member, now: datetime) -> None:
    assert kept_beside(garden, [stick(garden, grower, now)]) == []


def test_what_was_seen_long_ago_is_not_told(garden: Garden, grower: Member, now: datetime) -> None:
    who: dict[str, Any] = {"garden": garden, "by": grower, "now": now, "plant": "rose-gate"}
    record_stage(**who, on=date(2025, 10, 1), bbch=69)
    record_firmness(**who, on=date(2025, 10, 1), firmness_mid=3)

    def seen(on: date) -> tuple[int | None, int | None]:
        stock = to_stick(garden, load_handbook(), on=on, plant="rose-gate").stock
        assert stock is not None
        return stock.bbch, stock.firmness_mid

    assert seen(date(2025, 10, 15)) == (69, 3)
    assert seen(date(2026, 3, 1)) == (None, None)
