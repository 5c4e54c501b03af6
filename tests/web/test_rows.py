"""Rows of the garden's tables on the pages, and what is wanted."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from html import unescape

import pytest
from django.test import Client

from slipwright.records.columns import table_named
from slipwright.records.models import Garden, Member, Place, Plant, ReferenceEdit, Taxon, Want
from slipwright.web.row_labels import TABLES, label_of


def text_of(answer: object) -> str:
    """Return the words of a page, tags and doubled blanks left out."""
    html = answer.content.decode()  # type: ignore[attr-defined]
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", html))


NEW_PLACE = {
    "place": "shelf by the sink",
    "kind": "shelf",
    "cover": "tent",
    "walk_order": "3",
    "room_m2": "1,5",
}


@pytest.mark.parametrize("table", [name for name in TABLES if name != "garden"])
def test_every_list_opens_and_names_its_rows(client: Client, table: str) -> None:
    answer = client.get(f"/rows/{table}")
    assert answer.status_code == 200
    assert str(TABLES[table].title) in text_of(answer)


@pytest.mark.parametrize("table", [name for name in TABLES if name not in ("garden", "members")])
def test_every_new_form_asks_for_each_column_under_a_label(client: Client, table: str) -> None:
    html = client.get(f"/rows/{table}/new").content.decode()
    for column in table_named(table).columns:
        assert f'name="{column.name}"' in html
        assert label_of(table, column.name) in html


def test_every_main_column_is_a_column() -> None:
    for table, words in TABLES.items():
        assert set(words.main) <= set(table_named(table).names)


def test_a_new_place_is_kept_with_who_and_a_second_press_changes_nothing(
    client: Client, garden: Garden
) -> None:
    for _ in range(2):
        answer = client.post("/rows/places/new", NEW_PLACE, follow=True)
        assert "shelf by the sink" in text_of(answer)
        assert answer.status_code == 200
    place = Place.rows.get(garden=garden, place="shelf by the sink")
    assert (place.kind, place.cover, place.walk_order, place.room_m2) == ("shelf", "tent", 3, Decimal("1.5"))
    (edit,) = ReferenceEdit.rows.of(garden)
    assert edit.by.member == "grower"


def test_another_row_of_a_taken_name_is_refused_beside_the_field_and_what_was_typed_stays(
    client: Client, garden: Garden
) -> None:
    answer = client.post("/rows/places/new", {**NEW_PLACE, "place": "mist-1"})
    assert answer.status_code == 422
    html = answer.content.decode()
    assert 'id="f-place-wrong"' in html
    assert "is taken" in html
    assert 'value="1,5"' in html
    assert Place.rows.get(garden=garden, place="mist-1").kind == "bench"


def test_what_breaks_a_rule_is_said_with_the_fields_own_words(client: Client) -> None:
    answer = client.post("/rows/places/new", {**NEW_PLACE, "walk_order": "first"})
    assert answer.status_code == 422
    assert "Place in the walk: must be a number" in text_of(answer)
    missing = client.post("/rows/places/new", {**NEW_PLACE, "kind": ""})
    assert "What it is: must be given" in text_of(missing)


def test_a_row_is_changed_and_its_name_is_not(client: Client, garden: Garden) -> None:
    address = "/rows/places/row?key=mist-1"
    assert 'name="place"' not in client.get(address).content.decode()
    client.post(address, {"place": "elsewhere", "kind": "bench", "cover": "open", "walk_order": ""})
    place = Place.rows.get(garden=garden, place="mist-1")
    assert (place.cover, place.walk_order) == ("open", None)


def test_a_key_may_hold_any_sign(client: Client, garden: Garden) -> None:
    Place.rows.create(garden=garden, place="bed 4/5 & 'gate' #2?", kind="bench")
    (address,) = re.findall(
        r'href="(/rows/places/row\?key=bed[^"]*)"', client.get("/rows/places").content.decode()
    )
    assert "bed 4/5 &amp; &#x27;gate&#x27; #2?" in client.get(address.replace("&amp;", "&")).content.decode()


def test_days_kept_clear_of_bloom_may_be_negative(client: Client, garden: Garden) -> None:
    address = "/rows/taxa/row?key=Salvia%20rosmarinus"
    client.post(address, {"gap_before_bloom_days": "-10", "rights": "none"})
    assert Taxon.rows.get(garden=garden, taxon="Salvia rosmarinus").gap_before_bloom_days == -10


def test_a_new_plant_is_shown_on_its_own_page(client: Client, garden: Garden) -> None:
    said = {"plant": "rose-wall", "taxon": "Rosa 'Pale Ferry'", "max_share_taken": "0.3"}
    answer = client.post("/rows/plants/new", said, follow=True)
    assert answer.redirect_chain[-1][0] == "/plants/rose-wall"
    assert Plant.rows.get(garden=garden, plant="rose-wall").max_share_taken == Decimal("0.3")


def test_a_reference_to_what_is_not_there_is_told_in_the_gardens_words(client: Client) -> None:
    answer = client.post("/rows/plants/new", {"plant": "x", "taxon": "Rosa 'Not Here'"})
    assert "Taxon: is not in the list of this garden" in text_of(answer)


def test_a_row_says_where_it_is_used(client: Client) -> None:
    assert "wants: 1; stock plants: 1" in text_of(client.get("/rows/taxa/row?key=Rosa%20%27Pale%20Ferry%27"))


def test_people_and_the_garden_are_the_owners_to_change(
    client: Client, garden: Garden, owner: Member, as_member: Callable[[Member], Client]
) -> None:
    new = {"member": "ada", "role": "volunteer", "shown_as": "Ada"}
    assert client.get("/rows/members/new").status_code == 403
    assert client.post("/rows/members/new", new).status_code == 403
    assert '<form class="card' not in client.get("/rows/garden/row").content.decode()
    boss = as_member(owner)
    boss.post("/rows/members/new", new)
    assert Member.objects.filter(garden=garden, member="ada").exists()
    form = boss.get("/rows/garden/row").content.decode()
    assert 'value="America/New_York"' in form
    said = {
        "name": garden.name,
        "latitude_deg": "41.5",
        "longitude_deg": "-72.4",
        "time_zone": "America/New_York",
        "round_days": "8",
    }
    boss.post("/rows/garden/row", said)
    garden.refresh_from_db()
    assert (garden.latitude_deg, garden.round_days) == (Decimal("41.5"), 8)


def test_the_last_owner_stays_owner(
    client: Client, owner: Member, as_member: Callable[[Member], Client]
) -> None:
    answer = as_member(owner).post("/rows/members/row?key=owner", {"role": "reader"})
    assert answer.status_code == 422
    assert "at least one owner" in text_of(answer)


def test_a_volunteer_reads_and_does_not_change(
    volunteer: Member, garden: Garden, as_member: Callable[[Member], Client]
) -> None:
    client = as_member(volunteer)
    text = text_of(client.get("/rows/places/row?key=mist-1"))
    assert "You may read this" in text
    assert "Keep the change" not in text
    assert client.post("/rows/places/row?key=mist-1", {"kind": "shelf"}).status_code == 403
    assert client.post("/rows/places/new", NEW_PLACE).status_code == 403
    assert Place.rows.get(garden=garden, place="mist-1").kind == "bench"


def test_other_tables_have_no_page_here(client: Client) -> None:
    assert client.get("/rows/looks").status_code == 404
    assert client.get("/rows/garden/new").status_code == 404
    assert client.get("/rows/places/row?key=nowhere").status_code == 404


def test_a_want_says_how_many_to_stick_and_how_sure_that_makes_it(client: Client) -> None:
    text = text_of(client.get("/wants"))
    assert "40 wanted, established, by 1 Apr 2027" in text
    assert "wished 8 in 10" in text
    assert re.search(r"Stick \d+ more for about 8 in 10: semi-hardwood is right now\.", text)
    assert "Stick for it" in text


def test_a_want_whose_day_is_past_is_not_pressed(client: Client, garden: Garden) -> None:
    Want.rows.filter(garden=garden).update(ready_by=date(2025, 4, 1))
    text = text_of(client.get("/wants"))
    assert "Its day is past." in text
    assert "more for about" not in text


def test_a_want_for_a_protected_plant_is_refused_with_a_door(client: Client, garden: Garden) -> None:
    Want.rows.filter(garden=garden).update(
        taxon=Taxon.rows.get(garden=garden, taxon="Lavandula 'Night Tide'")
    )
    text = text_of(client.get("/wants"))
    assert "Not to be stuck." in text
    assert "Write down a licence" in text


def test_a_new_want_is_added_with_its_assurance_in_words(client: Client, garden: Garden) -> None:
    assert "8 in 10" in text_of(client.get("/rows/wants/new"))
    said = {
        "want": "rosemary for the slope",
        "taxon": "Salvia rosmarinus",
        "n_wanted": "10",
        "ready_by": "2026-10-01",
        "ready_as": "established",
        "assurance": "0.9",
    }
    answer = client.post("/rows/wants/new", said, follow=True)
    assert "10 wanted, established, by 1 Oct 2026" in text_of(answer)


def test_no_wants_are_told_in_words(client: Client, garden: Garden) -> None:
    Want.rows.filter(garden=garden).delete()
    assert "Nothing is wanted yet" in text_of(client.get("/wants"))


def test_lists_are_called_as_on_the_page_of_the_garden(client: Client) -> None:
    garden_page = text_of(client.get("/garden"))
    for table in ("places", "methods", "containers", "media", "taxa"):
        title = str(TABLES[table].title)
        assert title in garden_page
        assert f"<h1>{title}</h1>" in client.get(f"/rows/{table}").content.decode()
    assert "<h1>Wants</h1>" in client.get("/wants").content.decode()


def test_past_wants_come_last_folded(client: Client, garden: Garden) -> None:
    assert "past" not in text_of(client.get("/wants"))
    coming = Want.rows.get(garden=garden)
    for n in range(2):
        Want.rows.create(
            garden=garden,
            want=f"gone-{n}",
            taxon=coming.taxon,
            n_wanted=5,
            ready_by=date(2025, 4, 1),
            ready_as=coming.ready_as,
            assurance=coming.assurance,
        )
    html = client.get("/wants").content.decode()
    assert html.count("2 whose day is past") == 1
    assert html.index(coming.want) < html.index("2 whose day is past") < html.index("gone-0")


def test_what_is_to_be_stuck_for_comes_first(client: Client, garden: Garden) -> None:
    asked = Want.rows.get(garden=garden)
    Want.rows.create(
        garden=garden,
        want="oaks",
        taxon=Taxon.rows.create(garden=garden, taxon="Quercus robur"),
        n_wanted=1,
        ready_by=date(2025, 12, 1),
        ready_as=asked.ready_as,
        assurance=asked.assurance,
    )
    text = text_of(client.get("/wants"))
    assert text.index("is right now.") < text.index("The handbook has no page for it")


def test_a_want_whose_every_stock_plant_is_shut_says_no_plant_is_left(client: Client, garden: Garden) -> None:
    roses = Plant.rows.filter(garden=garden, taxon__taxon="Rosa 'Pale Ferry'")
    roses.update(shoots_per_season=3, max_share_taken=Decimal("0.3"))  # not one shoot may go
    text = text_of(client.get("/wants"))
    assert "No plant left to cut from within a year of the last cuts." in text
    assert "Stick for it" not in text
    one = roses.get()
    Plant.rows.create(garden=garden, plant="rose-shed", taxon=one.taxon)
    assert "No plant left" not in text_of(client.get("/wants"))


class TestTwoChangeOneRow:
    """A form says what it showed, so that two who have one row open lose nothing of each other's."""

    ADDRESS = "/rows/plants/row?key=rose-gate"

    def form(self, client: Client, table_address: str = ADDRESS) -> dict[str, str]:
        html = client.get(table_address).content.decode()
        (seen,) = re.findall(r'name="seen" value="([^"]*)"', html)
        kept = {**json.loads(unescape(seen))}
        return {**kept, "seen": unescape(seen)}

    def test_changes_of_other_columns_are_both_kept(self, client: Client, garden: Garden) -> None:
        mine, theirs = self.form(client), self.form(client)
        assert client.post(self.ADDRESS, {**theirs, "shoots_per_season": "9"}).status_code == 302
        assert client.post(self.ADDRESS, {**mine, "health": "fair"}).status_code == 302
        plant = Plant.rows.get(garden=garden, plant="rose-gate")
        assert (plant.shoots_per_season, plant.health) == (9, "fair")

    def test_of_one_column_both_are_shown_and_the_second_press_decides(
        self, client: Client, garden: Garden
    ) -> None:
        mine, theirs = self.form(client), self.form(client)
        client.post(self.ADDRESS, {**theirs, "shoots_per_season": "9", "note": "by the wall"})
        answer = client.post(self.ADDRESS, {**mine, "shoots_per_season": "4", "health": "fair"})
        assert answer.status_code == 422
        assert Plant.rows.get(garden=garden, plant="rose-gate").shoots_per_season == 9
        html = answer.content.decode()
        assert "somebody else changed it too" in html
        assert "Shoots a season: now “9”" in html
        assert 'id="f-shoots_per_season-wrong"' in html
        assert re.search(r'name="shoots_per_season" value="4"', html)
        assert "by the wall" in html.split("<form", 1)[1]
        (seen,) = re.findall(r'name="seen" value="([^"]*)"', html)
        again = {
            **mine,
            "shoots_per_season": "4",
            "health": "fair",
            "note": "by the wall",
            "seen": unescape(seen),
        }
        assert client.post(self.ADDRESS, again).status_code == 302
        plant = Plant.rows.get(garden=garden, plant="rose-gate")
        assert (plant.shoots_per_season, plant.health, plant.note) == (4, "fair", "by the wall")

    def test_the_same_change_twice_is_one(self, client: Client, garden: Garden) -> None:
        mine = self.form(client)
        for _ in range(2):
            assert client.post(self.ADDRESS, {**mine, "shoots_per_season": "9"}).status_code == 302
        assert ReferenceEdit.rows.of(garden).count() == 1

    def test_a_column_emptied_by_another_is_said(self, client: Client, garden: Garden) -> None:
        Plant.rows.filter(garden=garden, plant="rose-gate").update(note="old")
        mine, theirs = self.form(client), self.form(client)
        client.post(self.ADDRESS, {**theirs, "note": ""})
        answer = client.post(self.ADDRESS, {**mine, "note": "new"})
        assert answer.status_code == 422
        assert "emptied by somebody else" in answer.content.decode()

    @pytest.mark.parametrize("seen", ["[", "[]", "7"])
    def test_a_form_that_carries_nonsense_changes_nothing(
        self, client: Client, garden: Garden, seen: str
    ) -> None:
        answer = client.post(self.ADDRESS, {**self.form(client), "shoots_per_season": "9", "seen": seen})
        assert answer.status_code == 422
        assert "open it again" in answer.content.decode()
        assert not ReferenceEdit.rows.of(garden).exists()

    def test_a_note_of_several_lines_is_not_taken_for_a_change(self, client: Client, garden: Garden) -> None:
        Plant.rows.filter(garden=garden, plant="rose-gate").update(note="one\ntwo")
        mine = self.form(client) | {"note": "one\r\ntwo"}
        Plant.rows.filter(garden=garden, plant="rose-gate").update(note="three")
        assert client.post(self.ADDRESS, {**mine, "shoots_per_season": "9"}).status_code == 302
        plant = Plant.rows.get(garden=garden, plant="rose-gate")
        assert (plant.note, plant.shoots_per_season) == ("three", 9)
