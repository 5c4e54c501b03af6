"""Sticking from a phone: four entries, refusals with a way on, one save however often it is pressed."""

from __future__ import annotations

import json
import re
import uuid
from collections.abc import Callable
from datetime import date, datetime
from decimal import Decimal
from html import unescape
from typing import Any

import pytest
from django.http import HttpResponse
from django.test import Client

from slipwright.records import services
from slipwright.records.models import Firmness, Garden, Member, Method, Note, Place, Plant, Sticking, Taxon
from tests.records.making import stick

ROSE = "Rosa 'Pale Ferry'"


@pytest.fixture
def usual(garden: Garden, grower: Member, now: datetime) -> Sticking:
    """Stick one batch by a method, so that there is a usual way."""
    return stick(garden, grower, now, method="rose-autumn", plant="rose-gate", cutting="piece")


def _post(client: Client, **said: Any) -> HttpResponse:
    form = {
        "entry_id": str(uuid.uuid4()),
        "plant": "rose-gate",
        "n_stuck": "24",
        "place": "frame-1",
        "way": "usual",
    }
    return client.post("/stick", {**form, **said})  # type: ignore[return-value]


def _new(garden: Garden) -> list[Sticking]:
    return list(Sticking.rows.of(garden).filter(stuck_on="2025-10-20").order_by("number"))


def test_without_a_plant_it_asks_which(client: Client) -> None:
    page = client.get("/stick").content.decode()
    assert "rose-gate: Rosa" in page
    assert 'name="n_stuck"' not in page


def test_for_a_want_only_its_own_plants_are_offered(client: Client, garden: Garden) -> None:
    to_form = client.get("/stick", {"want": "roses-27"})
    assert to_form.headers["Location"] == "/stick?plant=rose-gate&want=roses-27"
    rose = Taxon.rows.of(garden).get(taxon=ROSE)
    Plant.rows.create(garden=garden, plant="rose-shed", taxon=rose)
    Plant.rows.create(garden=garden, plant="other", taxon=Taxon.rows.of(garden).exclude(taxon=ROSE).first())
    page = client.get("/stick", {"want": "roses-27"}).content.decode()
    assert "rose-gate: Rosa" in page
    assert "rose-shed: Rosa" in page
    assert "other: " not in page
    assert 'name="want" value="roses-27"' in page
    assert client.get("/stick", {"want": "no such want"}).status_code == 200


def test_a_plant_not_on_the_list_is_found_by_its_name(client: Client) -> None:
    page = client.get("/stick", {"taxon": "rosa 'pale ferry'"})
    assert page.status_code == 200
    assert f'name="taxon" value="{ROSE.replace(chr(39), "&#x27;")}"' in page.content.decode()


def test_an_unknown_name_is_told_with_what_the_handbook_calls_it(client: Client) -> None:
    page = client.get("/stick", {"taxon": "hydrangea"})
    assert page.status_code == 422
    assert "/rows/taxa/new?taxon=Hydrangea" in page.content.decode()
    assert client.get("/stick", {"plant": "nowhere"}).status_code == 404


def test_the_number_is_never_filled_in(client: Client, usual: Sticking) -> None:
    page = client.get("/stick", {"plant": "rose-gate"}).content.decode()
    assert 'required autocomplete="off" value=""' in page
    assert "roses-27, 40 wanted by 1 Apr 2027" in page
    assert "wished" in page.lower()
    assert _post(client, n_stuck="").status_code == 422
    assert _post(client, n_stuck="0").status_code == 422


def test_the_usual_way_is_told_with_its_day_and_kept(client: Client, garden: Garden, usual: Sticking) -> None:
    page = client.get("/stick", {"plant": "rose-gate"}).content.decode()
    assert "As on 1 Oct, “rose-autumn”:" in page
    assert "IBA 3\u00a0000 mg/kg, powder" in page
    answer = _post(client)
    assert answer.status_code == 302
    (batch,) = _new(garden)
    assert answer["Location"] == f"/stick/done?b={batch.batch}"
    assert batch.method is not None
    assert (batch.method.method, batch.wood, batch.auxin, batch.auxin_mg_per_kg) == (
        "rose-autumn",
        "semi-hardwood",
        "iba",
        Decimal(3000),
    )
    assert (batch.n_stuck, batch.by.member) == (24, "grower")


def test_the_cover_of_a_place_comes_before_that_of_the_way(
    client: Client, garden: Garden, usual: Sticking
) -> None:
    _post(client, place="frame-1")  # a tent; the way says mist
    _post(client, place="frame-1", cover="open")
    assert [batch.cover for batch in _new(garden)] == ["", "open"]


def test_pressing_twice_saves_once_and_a_changed_form_is_told(
    client: Client, garden: Garden, usual: Sticking
) -> None:
    form = {"entry_id": str(uuid.uuid4()), "firmness": "springs"}
    first, second = _post(client, **form), _post(client, **form)
    assert first["Location"] == second["Location"]
    assert len(_new(garden)) == 1
    assert Firmness.rows.of(garden).count() == 1
    page = _post(client, **form, n_stuck="25")
    assert page.status_code == 422
    assert "Kept once already" in page.content.decode()
    assert form["entry_id"] not in page.content.decode()
    assert len(_new(garden)) == 1


def test_a_form_without_the_id_given_out_is_refused(client: Client, garden: Garden, usual: Sticking) -> None:
    assert _post(client, entry_id="mine").status_code == 422
    assert not _new(garden)


def test_lots_are_graded_in_one_save_and_must_come_to_the_number(
    client: Client, garden: Garden, usual: Sticking
) -> None:
    lots = {"grade": "three", "n_upper": "8", "n_middle": "", "n_lower": "7"}
    page = _post(client, **lots, n_stuck="24")
    assert page.status_code == 422
    assert "upper, middle and lower come to 15, but 24 were stuck" in page.content.decode()
    form = {"entry_id": str(uuid.uuid4())}
    _post(client, **form, **lots, n_stuck="15")
    answer = _post(client, **form, **lots, n_stuck="15")
    assert [(one.part, one.n_stuck) for one in _new(garden)] == [("upper", 8), ("lower", 7)]
    assert answer["Location"].count("b=") == 2


def test_a_shoot_in_flower_is_refused_unless_it_is_done_already(
    client: Client, garden: Garden, usual: Sticking
) -> None:
    page = _post(client, shoot="flowering")
    assert page.status_code == 422
    told = page.content.decode()
    assert "Flowering and rooting compete" in told
    assert 'name="already_done"' in told
    assert 'value="24"' in told
    assert not _new(garden)
    assert _post(client, shoot="flowering", already_done="1").status_code == 302
    assert "flowering shoot" in Note.rows.of(garden).get().text


def test_a_protected_plant_is_shut_with_doors(client: Client, garden: Garden) -> None:
    tide = "Lavandula 'Night Tide'"
    Plant.rows.create(garden=garden, plant="tide", taxon=Taxon.rows.of(garden).get(taxon=tide))
    page = client.get("/stick", {"plant": "tide"}).content.decode()
    assert "no licence seen" in page
    assert 'name="n_stuck"' not in page
    assert "/rows/taxa/row?key=Lavandula" in page
    done = client.get("/stick", {"plant": "tide", "done": "1"}).content.decode()
    assert 'name="ground"' in done
    form = {"plant": "tide", "way": "other", "wood": "softwood"}
    assert _post(client, **form).status_code == 422
    assert _post(client, **form, already_done="1").status_code == 422
    assert not _new(garden)
    assert _post(client, **form, already_done="1", ground="private-use").status_code == 302
    assert Note.rows.of(garden).get().text.startswith("ground: private-use")


def test_without_a_usual_way_the_handbooks_or_a_chosen_one_is_taken(client: Client, garden: Garden) -> None:
    page = client.get("/stick", {"plant": "rose-gate"}).content.decode()
    assert "As the handbook says" in page
    assert 'value="usual"' not in page
    _post(client, way="handbook")
    _post(client, way="other", method="rose-autumn")
    _post(client, way="other", firmness="stiff")
    assert [(one.method and one.method.method, one.wood) for one in _new(garden)] == [
        (None, "semi-hardwood"),
        ("rose-autumn", "semi-hardwood"),
        (None, "hardwood"),
    ]
    assert _post(client, way="other").status_code == 422
    assert _post(client, way="other", method="by moonlight").status_code == 422


def test_another_hormone_leaves_nothing_of_the_ways_own(
    client: Client, garden: Garden, usual: Sticking
) -> None:
    _post(client, auxin="none")
    _post(client, auxin_form="quick-dip", strength="1000", dip_s="5")
    plain, dipped = _new(garden)
    assert (plain.auxin, plain.auxin_form, plain.auxin_mg_per_kg) == ("none", "", None)
    assert (dipped.auxin, dipped.auxin_form, dipped.auxin_mg_per_l, dipped.auxin_mg_per_kg) == (
        "iba",
        "quick-dip",
        Decimal(1000),
        None,
    )


def test_firmness_is_written_down_for_the_plant_with_the_sticking(
    client: Client, garden: Garden, usual: Sticking
) -> None:
    _post(client, firmness="springs", stuck_on="2025-10-18")
    felt = Firmness.rows.of(garden).get()
    assert (felt.plant.plant, felt.firmness_mid, felt.on) == ("rose-gate", 3, date(2025, 10, 18))


def test_the_place_is_asked_for_and_what_was_typed_is_kept(client: Client, usual: Sticking) -> None:
    page = _post(client, place="", note="cool morning")
    assert page.status_code == 422
    assert "say where they stand" in page.content.decode()
    assert "cool morning" in page.content.decode()


@pytest.mark.parametrize(
    "wrong", [{"stuck_on": "2031-01-01"}, {"stuck_on": "soon"}, {"n_nodes": "-1"}, {"medium": "moon dust"}]
)
def test_a_wrong_field_saves_nothing(
    client: Client, garden: Garden, usual: Sticking, wrong: dict[str, str]
) -> None:
    before = Sticking.rows.of(garden).count()
    page = _post(client, **wrong)
    assert page.status_code == 422
    assert "Not saved yet" in page.content.decode()
    assert Sticking.rows.of(garden).count() == before


def test_afterwards_the_code_the_labels_and_the_next_look_stand_there(
    client: Client, garden: Garden, usual: Sticking
) -> None:
    answer = client.get(_post(client)["Location"])
    page = answer.content.decode()
    (batch,) = _new(garden)
    assert f"{batch.batch[:4]}-{batch.batch[4:]}" in page
    assert f"/labels.pdf?b={batch.batch}" in page
    assert "Monday 27 October" in page
    assert client.session["saved"]["entries"] == [["sticking", batch.entry_id]]
    assert client.get("/stick/done").status_code == 302


def test_cautions_and_drawings_stand_where_the_hand_is(client: Client) -> None:
    rose = client.get("/stick", {"plant": "rose-gate"}).content.decode()
    sage = client.get("/stick", {"plant": "sage-wall"}).content.decode()
    assert "Prickles: stout gloves" in rose
    assert "Prickles" not in sage
    for page in (rose, sage):
        assert "drawn away from the hand that holds" in page
        assert "from memory" in page
        assert "style=" not in page
    assert 'class="drawing cane"' in rose


def test_a_reader_may_not_stick(reader: Member, as_member: Callable[[Member], Client]) -> None:
    assert as_member(reader).get("/stick").status_code == 403


def test_undo_takes_back_the_batch_its_firmness_and_the_note_beside_it(
    client: Client, garden: Garden, usual: Sticking
) -> None:
    _post(client, shoot="budded", already_done="1", firmness="snaps")
    (batch,) = _new(garden)
    client.post("/undo", {"saved": client.session["saved"]["id"]})
    assert not Sticking.rows.of(garden).standing().filter(pk=batch.pk).exists()
    assert not Firmness.rows.of(garden).standing().exists()
    assert not Note.rows.of(garden).standing().exists()


@pytest.fixture
def shut(garden: Garden, usual: Sticking) -> Plant:
    """Give a plant of which not one shoot may go this season."""
    plant = Plant.rows.get(garden=garden, plant="rose-gate")
    Plant.rows.filter(pk=plant.pk).update(shoots_per_season=3, max_share_taken=Decimal("0.3"))
    return plant


def test_a_plant_whose_share_is_cut_is_stuck_only_all_the_same(
    client: Client, garden: Garden, shut: Plant
) -> None:
    page = client.get("/stick", {"plant": shut.plant}).content.decode()
    assert "0 shoots were cut within a year; by this garden’s own rule 0 may go" in page
    assert 'name="anyway"' in page
    refused = _post(client)
    assert refused.status_code == 422
    assert 'id="wrong-anyway"' in refused.content.decode()
    assert 'value="24"' in refused.content.decode()
    assert not _new(garden)
    assert _post(client, anyway="1").status_code == 302
    assert len(_new(garden)) == 1


def test_a_plant_with_shoots_left_asks_for_no_all_the_same(client: Client, usual: Sticking) -> None:
    assert 'name="anyway"' not in client.get("/stick", {"plant": "rose-gate"}).content.decode()


def test_the_save_that_takes_the_last_shoots_may_be_pressed_twice(
    client: Client, garden: Garden, usual: Sticking
) -> None:
    Plant.rows.filter(garden=garden, plant="rose-gate").update(
        shoots_per_season=10, max_share_taken=Decimal("0.3")
    )
    form = {"entry_id": str(uuid.uuid4()), "n_shoots": "3"}
    first, second = _post(client, **form), _post(client, **form)
    assert first["Location"] == second["Location"]
    assert len(_new(garden)) == 1
    assert _post(client, n_shoots="3").status_code == 422


def test_lots_alone_are_the_number(client: Client, garden: Garden, usual: Sticking) -> None:
    lots = {"grade": "three", "n_upper": "10", "n_middle": "10", "n_lower": "8"}
    assert _post(client, **lots, n_stuck="30").status_code == 422
    assert _post(client, **lots, n_stuck="").status_code == 302
    assert [one.n_stuck for one in _new(garden)] == [10, 10, 8]


@pytest.mark.parametrize(
    ("said", "at"),
    [
        ({"n_stuck": ""}, "n_stuck"),
        ({"place": ""}, "place"),
        ({"way": "other"}, "wood"),
        ({"way": "other", "method": "by moonlight"}, "method"),
        ({"grade": "three", "n_stuck": ""}, "n_upper"),
    ],
)
def test_what_is_missing_is_said_under_its_step(
    client: Client, usual: Sticking, said: dict[str, str], at: str
) -> None:
    answer = _post(client, **said)
    assert answer.status_code == 422
    page = answer.content.decode()
    assert f'id="wrong-{at}"' in page
    assert page.count('class="wrong-here"') == 1
    assert "novalidate" in page


def test_the_season_is_said_in_words_and_its_chance_in_a_fold(client: Client) -> None:
    page = client.get("/stick", {"plant": "rose-gate"}).content.decode()
    top, fold = page.split("More on its season")[:2]
    assert "near the edge of its season" in top or "surely in season" in top
    assert "in 10)" not in top
    assert "right now" in fold


def test_pots_say_the_number_of_the_handbook_where_no_way_is_usual(client: Client) -> None:
    page = client.get("/stick", {"plant": "rose-gate"}).content.decode()
    assert "the handbook: " in page
    assert "not known yet" not in page


def test_a_common_name_that_is_the_plants_own_name_is_said_once(client: Client, garden: Garden) -> None:
    taxon = Taxon.rows.get(garden=garden, taxon=ROSE)
    Taxon.rows.filter(pk=taxon.pk).update(common_name="rose-gate")
    page = client.get("/stick", {"plant": "rose-gate"}).content.decode()
    assert '<span class="second">rose-gate</span>' not in page


class TestTheWayAsShown:
    """What the page showed is what is kept; where it changed since, nothing is before it was seen."""

    def form(self, client: Client) -> dict[str, str]:
        page = client.get("/stick", {"plant": "rose-gate"}).content.decode()
        hidden = dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', page))
        return {name: unescape(value) for name, value in hidden.items() if name.endswith("_shown")}

    def another(self, garden: Garden) -> None:
        """Change the way while the page is open."""
        Method.rows.filter(garden=garden, method="rose-autumn").update(auxin_mg_per_kg=Decimal(8000))

    def test_a_way_that_changed_is_told_and_nothing_kept(
        self, client: Client, garden: Garden, usual: Sticking
    ) -> None:
        shown = self.form(client)
        assert set(shown) == {"usual_shown", "handbook_shown"}
        self.another(garden)
        answer = _post(client, **shown)
        assert answer.status_code == 422
        page = answer.content.decode()
        assert 'id="wrong-way"' in page
        assert "was 3000, is 8000" in page
        assert 'value="24"' in page
        assert not _new(garden)
        assert _post(client, **self.form(client)).status_code == 302
        assert [one.auxin_mg_per_kg for one in _new(garden)] == [Decimal(8000)]

    def test_somebody_else_sticks_by_another_way_in_between(
        self, client: Client, garden: Garden, grower: Member, now: datetime, usual: Sticking
    ) -> None:
        shown = self.form(client)
        Method.rows.create(garden=garden, method="rose-soft", wood="softwood")
        stick(garden, grower, now, method="rose-soft", plant="rose-gate", stuck_on=date(2025, 10, 19))
        answer = _post(client, **shown)
        assert answer.status_code == 422
        assert "was rose-autumn, is rose-soft" in answer.content.decode()

    def test_the_only_batch_of_the_way_is_taken_back_in_between(
        self, client: Client, garden: Garden, grower: Member, now: datetime, usual: Sticking
    ) -> None:
        shown = self.form(client)
        services.withdraw(garden=garden, by=grower, now=now, withdraws=usual.entry_id, reason="wrong", at=now)
        answer = _post(client, **shown)
        assert answer.status_code == 422
        assert 'value="handbook" checked' in answer.content.decode()
        assert not _new(garden)

    def test_pressed_again_after_it_changed_it_is_the_same_batch(
        self, client: Client, garden: Garden, usual: Sticking
    ) -> None:
        form = self.form(client) | {"entry_id": str(uuid.uuid4())}
        first = _post(client, **form)
        self.another(garden)
        assert _post(client, **form)["Location"] == first["Location"]
        assert len(_new(garden)) == 1

    def test_the_handbooks_way_is_carried_too(self, client: Client, garden: Garden) -> None:
        shown = self.form(client)
        assert _post(client, way="handbook", **shown).status_code == 302
        other = json.dumps({**json.loads(shown["handbook_shown"]), "leaves": "none"})
        assert _post(client, way="handbook", handbook_shown=other).status_code == 422

    @pytest.mark.parametrize("shown", ["[", "[]", "null", '{"nowhere": "1"}'])
    def test_nonsense_is_told(self, client: Client, garden: Garden, usual: Sticking, shown: str) -> None:
        assert _post(client, usual_shown=shown).status_code == 422
        assert not _new(garden)


def test_a_figure_that_is_no_number_is_told(client: Client, usual: Sticking) -> None:
    for n in ("²", "१", "9" * 9):
        answer = _post(client, container="pot-1l", n_per_container=n, place="")
        assert answer.status_code == 422


def test_other_firmness_under_one_id_is_told_and_nothing_more_is_kept(
    client: Client, garden: Garden, usual: Sticking
) -> None:
    form = {"entry_id": str(uuid.uuid4())}
    assert _post(client, **form, firmness="springs").status_code == 302
    answer = _post(client, **form, firmness="snaps")
    assert answer.status_code == 422
    assert "Kept once already" in answer.content.decode()
    assert Firmness.rows.of(garden).get().firmness_mid == 3


@pytest.fixture
def out_of_season(garden: Garden, usual: Sticking) -> Sticking:
    """Make the usual way one of hardwood, which is not in season in October."""
    Method.rows.of(garden).filter(method="rose-autumn").update(wood="hardwood")
    return usual


def test_a_usual_way_out_of_season_gives_way_to_the_wood_in_season_as_today_says(
    client: Client, out_of_season: Sticking
) -> None:
    page = re.sub(r"\s+", " ", unescape(client.get("/stick", {"plant": "rose-gate"}).content.decode()))
    assert 'name="way" value="handbook" checked' in page
    assert "not its season" in page
    assert "The usual way takes wood out of season: Hardwood is next from about" in page
    assert "Semi-hardwood is in season, so the handbook’s way is chosen." in page
    assert "Hardwood is next, from about" not in page


def test_in_season_the_usual_way_is_chosen_with_no_word_of_season_against_it(
    client: Client, usual: Sticking
) -> None:
    page = client.get("/stick", {"plant": "rose-gate"}).content.decode()
    assert 'name="way" value="usual" checked' in page
    assert "not its season" not in page


def test_today_and_the_page_for_sticking_ask_for_the_same_number(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    stick(garden, grower, now, n_stuck=17, want="roses-27", plant="rose-gate")
    page = unescape(client.get("/stick", {"plant": "rose-gate"}).content.decode())
    (short,) = re.findall(r"(\d+) more rooted are needed", page)
    assert f"{short} more rooted wanted" in unescape(client.get("/").content.decode())


def test_what_lives_of_the_rooted_is_told_beside_the_number(client: Client, usual: Sticking) -> None:
    page = client.get("/stick", {"plant": "rose-gate"}).content.decode()
    assert "Not all live: about" in page


def test_an_empty_form_is_told_all_that_is_missing_at_once(client: Client, garden: Garden) -> None:
    page = unescape(_post(client, n_stuck="", place="", way="").content.decode())
    for words in ("say how many you stuck", "say where they stand", "choose the wood"):
        assert words in page


def test_the_only_place_there_is_is_chosen(client: Client, garden: Garden) -> None:
    where = re.compile(r'name="place" value="frame-1"[^>]* checked')
    assert not where.search(client.get("/stick", {"plant": "rose-gate"}).content.decode())
    Plant.rows.of(garden).update(place=None)
    Place.rows.of(garden).exclude(place="frame-1").delete()
    assert where.search(client.get("/stick", {"plant": "rose-gate"}).content.decode())
