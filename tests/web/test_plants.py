"""Stock plants on the pages: what may be cut, the year, what was seen."""

from __future__ import annotations

import re
import uuid
from collections.abc import Callable
from datetime import date, datetime
from decimal import Decimal
from html import unescape
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from slipwright.handbook import load_handbook
from slipwright.records.answers.stock import stock_plant
from slipwright.records.models import Act, Firmness, Garden, Member, Place, Plant, Stage, Taxon
from slipwright.records.services import Lot, add_reference, record_firmness, record_stage, record_sticking


def text_of(answer: object) -> str:
    """Return the words of a page, tags and doubled blanks left out."""
    html = answer.content.decode()  # type: ignore[attr-defined]
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html))


def form_id(client: Client, address: str) -> str:
    found = re.search(r'name="entry_id" value="([^"]+)"', client.get(address).content.decode())
    assert found
    return found[1]


@pytest.fixture
def protected(garden: Garden) -> Plant:
    taxon = Taxon.rows.get(garden=garden, taxon="Lavandula 'Night Tide'")
    return Plant.rows.create(garden=garden, plant="tide-row", taxon=taxon)


def test_the_list_goes_by_place_and_says_which_wood_is_right_or_next(client: Client) -> None:
    text = text_of(client.get("/plants"))
    assert "Right now: semi-hardwood, to about 15 Nov" in text  # a rose on 20 October
    places = text[text.index("frame-1") :]
    assert places.index("rose-gate") < places.index("No place written down") < places.index("sage-wall")


def test_a_plant_leads_to_the_how_to_of_each_of_its_woods(client: Client) -> None:
    html = client.get("/plants/rose-gate").content.decode()
    targets = re.findall(r'href="(/[^"]*how-to[^"]*)"', html)
    assert [target.rpartition("%7C")[2] for target in targets] == ["softwood", "semi-hardwood", "hardwood"]
    for target in targets:
        answer = client.get(unescape(target))
        assert answer["Content-Type"] == "application/pdf"


def test_a_plant_that_may_not_be_multiplied_leads_to_no_how_to(client: Client, protected: Plant) -> None:
    assert "how-to" not in client.get("/plants/tide-row").content.decode()


def test_plants_to_cut_this_week_are_named_above_the_list(client: Client) -> None:
    above = text_of(client.get("/plants")).split("frame-1")[0]
    assert re.search(r"1 plant to cut this week: \S+", above)
    assert "rose-gate" in above


def test_a_wanted_plant_whose_wood_is_right_is_to_be_cut_this_week(client: Client, garden: Garden) -> None:
    text = text_of(client.get("/plants"))
    assert (text.count("Cut this week"), text.count("May be cut")) == (1, 1)  # nobody wants rosemary
    Plant.rows.filter(garden=garden).update(shoots_per_season=10, max_share_taken=0)
    text = text_of(client.get("/plants"))
    assert "Cut this week" not in text
    assert "Enough shoots were cut within a year" in text


def test_a_plant_without_a_handbook_page_is_not_guessed_at(client: Client, garden: Garden) -> None:
    oak = Taxon.rows.create(garden=garden, taxon="Quercus robur")
    Plant.rows.create(garden=garden, plant="oak", taxon=oak)
    assert "The handbook has no page for this plant." in text_of(client.get("/plants"))
    text = text_of(client.get("/plants/oak"))
    assert "does not guess" in text
    assert "Stick a batch" in text


def test_an_empty_list_says_the_next_step(client: Client, garden: Garden) -> None:
    Plant.rows.filter(garden=garden).delete()
    text = text_of(client.get("/plants"))
    assert "No stock plant is written down yet" in text
    assert "Write down a plant" in text


def test_one_plant_answers_first_and_then_shows_its_year_and_the_same_as_a_table(client: Client) -> None:
    answer = client.get("/plants/rose-gate")
    html, text = answer.content.decode(), text_of(answer)
    assert text.index("Semi-hardwood is right now") < text.index("Likely from")
    assert 'aria-label="The year of rose-gate from Aug 2025 to Jul 2026' in html
    assert "Before the first flush the shoot is soft" in text
    assert re.search(r"semi-hardwood 1 Aug\b(?! 2025)", text)  # semi-hardwood in the table
    assert 'href="/stick?plant=rose-gate"' in html


def test_a_protected_plant_is_refused_with_doors_and_without_the_main_button(
    client: Client, protected: Plant
) -> None:
    answer = client.get("/plants/tide-row")
    html = answer.content.decode()
    assert "Not to be stuck" in html
    assert "/rows/taxa/row?key=Lavandula%20%27Night%20Tide%27" in html
    assert "/stick?plant=" not in html
    assert "Protected: not to be stuck" in text_of(client.get("/plants"))


def test_a_plant_that_is_not_there_is_not_found(client: Client) -> None:
    assert client.get("/plants/nowhere").status_code == 404


def test_one_tap_keeps_a_stage_and_a_second_press_keeps_it_once(client: Client, garden: Garden) -> None:
    said = {"entry_id": form_id(client, "/plants/rose-gate"), "kind": "stage", "bbch": "61"}
    for _ in range(2):
        answer = client.post("/plants/rose-gate/seen", said, follow=True)
        assert "First flower" in text_of(answer)
    (kept,) = Stage.rows.of(garden)
    assert (kept.bbch, kept.on) == (61, date(2025, 10, 20))


def test_two_stages_of_one_form_are_two_entries(client: Client, garden: Garden) -> None:
    entry_id = form_id(client, "/plants/rose-gate")
    for bbch in ("61", "69"):
        client.post("/plants/rose-gate/seen", {"entry_id": entry_id, "kind": "stage", "bbch": bbch})
    assert Stage.rows.of(garden).count() == 2


def test_a_day_ahead_is_not_kept(client: Client, garden: Garden) -> None:
    said = {"entry_id": str(uuid.uuid4()), "kind": "stage", "bbch": "61", "on": "2999-01-01"}
    answer = client.post("/plants/rose-gate/seen", said)
    assert answer.status_code == 422
    assert not Stage.rows.of(garden).exists()


def test_a_bent_shoot_is_kept_part_by_part_and_nothing_felt_is_nothing_kept(
    client: Client, garden: Garden
) -> None:
    said = {"entry_id": str(uuid.uuid4()), "kind": "firmness", "firmness_tip": "1", "firmness_base": "4"}
    text = text_of(client.post("/plants/rose-gate/seen", said, follow=True))
    assert "tip soft: folds over; base hard: hardly bends, cracks" in text
    (kept,) = Firmness.rows.of(garden)
    assert (kept.firmness_tip, kept.firmness_mid, kept.firmness_base) == (1, None, 4)
    empty = client.post("/plants/rose-gate/seen", {"entry_id": str(uuid.uuid4()), "kind": "firmness"})
    assert empty.status_code == 422
    assert Firmness.rows.of(garden).count() == 1


def test_cutting_back_says_when_new_wood_is_right_and_is_kept(client: Client, garden: Garden) -> None:
    assert "about 1 Dec 2025 to 29 Dec 2025" in text_of(client.get("/plants/rose-gate"))
    client.post("/plants/rose-gate/seen", {"entry_id": str(uuid.uuid4()), "kind": "act"})
    (kept,) = Act.rows.of(garden)
    assert (kept.act, kept.plant.plant) == ("cut-back", "rose-gate")


def test_a_reader_sees_the_plant_and_keeps_nothing(
    reader: Member, as_member: Callable[[Member], Client]
) -> None:
    client = as_member(reader)
    assert "Seen today" not in text_of(client.get("/plants/rose-gate"))
    said = {"entry_id": str(uuid.uuid4()), "kind": "stage", "bbch": "61"}
    assert client.post("/plants/rose-gate/seen", said).status_code == 403


def test_how_much_wood_asks_for_what_is_unknown_and_takes_off_what_was_cut(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    text = text_of(client.get("/plants/rose-gate"))
    assert "Not written down yet: shoots a season, largest share to take" in text
    Plant.rows.filter(garden=garden, plant="rose-gate").update(
        shoots_per_season=12, max_share_taken=Decimal("0.35"), shoot_length_mm=900, nodes_per_shoot=20
    )
    assert re.search(
        r"4 canes may go: about \d+ semi-hardwood cuttings", text_of(client.get("/plants/rose-gate"))
    )
    lot = Lot(
        taxon="Rosa 'Pale Ferry'",
        plant="rose-gate",
        stuck_on=date(2025, 9, 1),
        n_stuck=9,
        wood="semi-hardwood",
        n_shoots=3,
    )
    record_sticking(garden=garden, by=grower, now=now, lots=[lot])
    text = text_of(client.get("/plants/rose-gate"))
    assert "1 cane may go" in text
    assert "9 semi-hardwood: 0 rooted, 9 waiting, 0 lost" in text
    assert re.search(r"Cut in the last year 3 3 on 1 Sep\b(?! 2025)", text)


def test_a_hundred_plants_of_one_page_cost_no_more_queries_than_two(client: Client, garden: Garden) -> None:
    with CaptureQueriesContext(connection) as few:
        client.get("/plants")
    rose = Taxon.rows.get(garden=garden, taxon="Rosa 'Pale Ferry'")
    place = Place.rows.get(garden=garden, place="frame-1")
    Plant.rows.bulk_create(
        Plant(garden=garden, plant=f"rose-{n}", taxon=rose, place=place) for n in range(100)
    )
    with CaptureQueriesContext(connection) as many:
        client.get("/plants")
    assert len(many) <= len(few) + 1


def test_a_plant_whose_share_is_cut_is_left_and_stuck_only_all_the_same(client: Client) -> None:
    assert "Stick all the same" not in text_of(client.get("/plants/rose-gate"))
    Plant.rows.filter(plant="rose-gate").update(shoots_per_season=3, max_share_taken=Decimal("0.3"))
    html = client.get("/plants/rose-gate").content.decode()
    assert html.index("Leave it</h2>") < html.index("Stick all the same")
    assert 'class="slant"' not in html


def test_why_bloom_matters_is_said_once(client: Client) -> None:
    for plant in ("rose-gate", "sage-wall"):
        told = stock_plant(Garden.objects.get(), load_handbook(), plant, on=date(2025, 10, 20))
        assert told.bloom is not None
        assert text_of(client.get(f"/plants/{plant}")).count(told.bloom.reason.rstrip(".")) <= 1
    assert text_of(client.get("/plants/rose-gate")).lower().count("the shoot decides") == 1


def test_a_page_says_what_bloom_and_wood_rest_on_and_how_far_the_weather_goes(
    client: Client, garden: Garden, grower: Member, owner: Member, now: datetime
) -> None:
    text = text_of(client.get("/plants/rose-gate"))
    assert re.search("Wood: the handbook.+s months, weeks wide", text)
    assert "0 first flowers, 0 bent shoots" in text
    assert "Weather: none is written down; every year counts as usual." in text
    who: dict[str, Any] = {"garden": garden, "by": grower, "now": now}
    for on in (date(2024, 5, 25), date(2024, 7, 10), date(2025, 5, 30)):
        record_stage(**who, plant="rose-gate", on=on, bbch=61)
    record_firmness(**who, plant="rose-gate", on=date(2025, 8, 9), firmness_mid=3)
    for on in (date(2025, 10, 16), date(2025, 10, 19)):
        row: dict[str, Any] = {
            "on": on,
            "tmin_c": Decimal(6),
            "tmax_c": Decimal(14),
            "source": "glass by the shed",
        }
        add_reference(garden=garden, by=owner, now=now, table="weather", row=row)
    text = text_of(client.get("/plants/rose-gate"))
    assert "firmness felt once, on 9 Aug" in text
    assert "3 first flowers, one bent shoot." in text
    assert "First flower about 30 May; 8 times in 10 from 27 May to 2 Jun." in text
    assert "From one flush to the next about 46 days" in text
    assert "by the one time it was seen here" in text
    assert "Weather: glass by the shed, 16 Oct 2025 to 19 Oct 2025" in text
    assert "2 days not known, taken as they usually are" in text


def test_the_list_goes_by_what_was_felt_of_the_plant(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    record_firmness(
        garden=garden, by=grower, now=now, plant="rose-gate", on=date(2025, 10, 19), firmness_mid=5
    )
    assert "Right now: semi-hardwood" not in text_of(client.get("/plants")).split("No place written down")[0]


def test_a_page_tells_of_flushes_only_what_it_has_seen(client: Client) -> None:
    assert "tells how many days lie between" in text_of(client.get("/plants/rose-gate"))
    assert "flush" not in text_of(client.get("/plants/sage-wall"))
