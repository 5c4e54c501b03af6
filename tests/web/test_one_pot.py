"""One pot and a bag, as a stranger asks: no account, no session, no garden, no database at all."""

from __future__ import annotations

import re
from datetime import date
from html import unescape
from urllib.parse import urlencode

import pytest
from django.test import Client

from slipwright.advice.advise import advise
from slipwright.handbook import load_handbook

ROSE = {"plant": "climbing rose", "on": "2026-10-20", "at": "41, -72", "want": "5", "have": "tent"}


def page(stranger: Client, status: int = 200, address: str = "/one-pot", /, **asked: str) -> str:
    answer = stranger.get(address, asked)
    assert answer.status_code == status
    assert not answer.cookies
    return answer.content.decode()


def words(html: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", html).split())


def test_nothing_asked_yet_shows_five_questions_and_an_example(stranger: Client) -> None:
    html = page(stranger)
    for name in ("plant", "on", "at", "want", "have"):
        assert f'<label for="{name}"' in html
        assert f'id="{name}"' in html
    assert "For example" in html
    assert "Yes, cut now" not in html
    assert 'href="/sign-in"' in html
    assert "no sign-in" in html


def test_a_climbing_rose_in_october_is_cut_now_as_semi_hardwood(stranger: Client) -> None:
    said = words(page(stranger, **ROSE))
    assert "Yes, cut now" in said
    assert "Take semi-hardwood from shoots with no open flower and no bud. Stick 13 in 2 pots." in said
    assert "About 7 in 10 root, in 3 to 10 weeks; 8 times in 10 between 2 and 9 of every 10." in said
    assert "With 9 in 1 pot: 5 or more, 7 times in 10." in said
    assert "the handbook alone (common practice, no source)" in said
    assert "Published beside it:" in said


def test_every_page_has_one_h1_and_a_label_for_every_field(stranger: Client) -> None:
    for asked in ({}, ROSE, {**ROSE, "plant": "no such"}, {**ROSE, "rights": "protected"}):
        html = page(stranger, **asked)
        assert html.count("<h1") == 1
        for field in re.findall(r'<(?:input|select)[^>]* id="(\w+)"', html):
            assert f'for="{field}"' in html
        assert "style=" not in html.replace("stylesheet", "")


def test_each_step_has_a_drawing_and_cautions_stand_in_their_step(stranger: Client) -> None:
    html = page(stranger, **ROSE)
    steps = html.split('<ol class="plain work">')[1].split("</ol>")[0].split("<li>")[1:]
    assert len(steps) == 9
    assert all("<svg" in step for step in steps)
    assert "Dust:" in steps[1]
    assert "drawn away from the hand" in steps[2]
    assert "hormone" in steps[5].lower()
    assert "A closed bag" in steps[8]


def test_saving_is_told_only_where_a_price_is_given(stranger: Client) -> None:
    assert "Against buying" not in page(stranger, **ROSE)
    assert "5 bought at 25 each are 125" in page(stranger, **ROSE, price="25")


def test_what_was_asked_stays_in_the_fields(stranger: Client) -> None:
    html = page(stranger, **ROSE)
    assert 'value="climbing rose"' in html
    assert 'value="2026-10-20"' in html
    assert '<option value="tent" selected>' in html


def test_an_unknown_plant_gets_names_near_it_that_ask_the_same(stranger: Client) -> None:
    html = page(stranger, **{**ROSE, "plant": "hydrangia"})
    assert "Not known" in html
    address = re.search(r'href="(/one-pot\?[^"]*plant=Hydrangea[^"]*)"', html)
    assert address is not None
    assert "want=5" in address[1]
    assert "one-pot.pdf" not in html


def test_a_protected_plant_is_refused_and_nothing_is_to_be_done(stranger: Client) -> None:
    html = page(stranger, **ROSE, rights="protected")
    assert "Not allowed" in html
    assert "plate refused" in html
    assert "Do this" not in html
    assert "one-pot.pdf" not in html
    assert "Yes, cut now" in page(stranger, **ROSE, rights="licensed", licence="L-7")


def test_a_budded_shoot_is_refused_in_the_sentence(stranger: Client) -> None:
    said = words(page(stranger, **ROSE, shoot="budded"))
    assert "Not this shoot" in said
    assert "Not this one. Of another:" in said
    assert "Yes, cut now" not in said


def test_soon_says_from_when(stranger: Client) -> None:
    said = words(page(stranger, **{**ROSE, "plant": "hydrangea"}))
    assert "Soon, from about 15 Nov 2026" in said
    assert "Wait until about 15 Nov 2026; then take dormant hardwood from" in said
    assert "Not today" not in said


def test_a_plant_that_is_not_there_is_told_with_those_that_are(stranger: Client) -> None:
    html = page(stranger, **{**ROSE, "plant": "pine"})
    assert "The handbook has no plant called pine." in html
    held = re.findall(r'href="/one-pot\?([^"]*)"', html.split('class="plain near held"')[1].split("</ul>")[0])
    assert len(held) == len(load_handbook().pages)
    for asked in held:
        again = stranger.get("/one-pot?" + asked.replace("&amp;", "&")).content.decode()
        assert "The plants it holds" not in again, asked


@pytest.mark.parametrize("want", ["", "1"])
def test_one_plant_wanted_is_answered_sensibly(stranger: Client, want: str) -> None:
    said = words(page(stranger, **{**ROSE, "want": want}))
    assert "Stick 3 in one pot." in said
    assert "3 cuttings, 1 pot of" in said
    assert "3 in a pot, about" in said


def test_a_page_in_spanish_holds_no_sentence_in_english(stranger: Client) -> None:
    answer = advise(
        load_handbook(), "rose", on=date(2026, 10, 20), latitude_deg=41, want=5, have="tent", price_each=25
    )
    assert answer.plan is not None
    assert answer.plan.saving is not None
    steps = answer.plan.steps
    english = {answer.why, answer.basis, answer.plan.saving.text, *answer.notes}
    english |= {step.title for step in steps} | {step.text for step in steps}
    english |= {caution.text for caution in answer.cautions}
    stranger.cookies["tongue"] = "es"
    said = words(
        unescape(stranger.get("/one-pot", {**ROSE, "plant": "rosal", "price": "25"}).content.decode())
    )
    assert [text for text in english if text in said] == []
    assert 'lang="en"' not in said


def test_a_plant_is_asked_for_by_its_spanish_name(stranger: Client) -> None:
    stranger.cookies["tongue"] = "es"
    said = words(stranger.get("/one-pot", {**ROSE, "plant": "salvia"}).content.decode())
    assert "Salvia officinalis (salvia)" in said


def test_south_of_the_equator_has_the_other_season(stranger: Client) -> None:
    assert "Yes, cut now" not in page(stranger, **{**ROSE, "at": "34 S"})
    assert "the northern calendar is assumed" in page(stranger, **{**ROSE, "at": ""})


@pytest.mark.parametrize(
    ("field", "value", "told"),
    [
        ("plant", "", "say which plant"),
        ("plant", "x" * 200, "no plant has so long a name"),
        ("on", "2026-02-30", "must be a date"),
        ("on", "9999-12-31", "must lie between 1900 and 2199"),
        ("at", "north", "must be a latitude"),
        ("at", "95", "latitude is from"),
        ("want", "0", "must be from 1 to 500"),
        ("want", "many", "must be a whole number"),
        ("price", "-1", "must be 0 or more"),
        ("price", "nan", "must be a number"),
        ("have", "umbrella", "must be one of the choices"),
        ("shoot", "sad", "must be one of the choices"),
        ("rights", "maybe", "must be one of the choices"),
    ],
)
def test_what_is_wrong_is_told_beside_its_field(stranger: Client, field: str, value: str, told: str) -> None:
    html = page(stranger, 422, **{**ROSE, field: value})
    beside = re.search(rf'id="wrong-{field}">(.*?)</span>', html, re.DOTALL)
    assert beside is not None
    assert told in beside[1]
    assert f'wrong-{field}"' in html.split(f'id="{field}"')[1].split(">")[0]


def test_a_script_in_a_name_stays_words(stranger: Client) -> None:
    nasty = "<script>alert(1)</script>"
    for asked in ({"plant": nasty}, {"plant": f"Rosa '{nasty}'"}, {"plant": "rose", "at": nasty}):
        html = page(stranger, 422 if "at" in asked else 200, **asked)
        assert nasty not in html
        assert "&lt;script&gt;" in html


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_printed_page_is_one(stranger: Client, paper: str) -> None:
    answer = stranger.get("/one-pot.pdf", {**ROSE, "paper": paper})
    assert answer.status_code == 200
    assert answer["Content-Type"] == "application/pdf"
    pdf = answer.content
    assert pdf.startswith(b"%PDF")
    assert len(re.findall(rb"/Type\s*/Page\b(?!s)", pdf)) == 1


def test_the_page_links_to_its_print_with_the_same_question(stranger: Client) -> None:
    html = page(stranger, **ROSE)
    address = re.search(r'href="(/one-pot\.pdf\?[^"]*)"', html)
    assert address is not None
    assert urlencode({"plant": "climbing rose"}) in address[1]
    answer = stranger.get(address[1].replace("&amp;", "&"))
    assert answer["Content-Type"] == "application/pdf"


def test_nothing_to_print_is_told_as_a_page(stranger: Client) -> None:
    assert "Not allowed" in page(stranger, 422, "/one-pot.pdf", **ROSE, rights="protected")
    assert "say which plant" in page(stranger, 422, "/one-pot.pdf")


def test_nothing_is_asked_by_post(stranger: Client) -> None:
    assert stranger.post("/one-pot", ROSE).status_code in (403, 405)


def test_the_page_is_light(stranger: Client) -> None:
    assert len(page(stranger, **ROSE, price="25").encode()) < 60_000


def test_a_member_has_the_gardens_place_and_may_stick_a_batch(client: Client) -> None:
    assert 'value="41.1"' in client.get("/one-pot").content.decode()
    html = client.get("/one-pot", ROSE).content.decode()
    assert 'href="/stick?taxon=Rosa"' in html
    assert "Sign in" not in html.partition("</main>")[0]


def test_the_days_of_potting_and_of_looking_say_what_they_hang_on(stranger: Client) -> None:
    asked = {"plant": "rose", "on": "2026-06-25", "at": "41", "want": "5", "have": "tent"}
    said = re.sub(r"\s+", " ", stranger.get("/one-pot", asked).content.decode())
    assert re.search(r"Once \d+ have rooted:", said)
    assert "Go on looking while any waits." in said
    assert "times the odds" not in said
