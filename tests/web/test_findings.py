"""Findings: answers first, drawings with tables, the handbook beside the garden, rules of its own."""

from __future__ import annotations

import re
import uuid
from collections.abc import Callable
from datetime import date, datetime
from decimal import Decimal
from functools import partial
from html import unescape
from typing import Any

import pytest
from django.db import connection
from django.template.loader import render_to_string
from django.test import Client
from django.test.utils import CaptureQueriesContext

from slipwright.handbook import load_handbook
from slipwright.records import services
from slipwright.records.answers.findings.own_rules import in_words, own_rules, rules_for
from slipwright.records.answers.refit import learn
from slipwright.records.answers.straight import advice_in
from slipwright.records.answers.today_parts import Card
from slipwright.records.answers.told import ToldAct
from slipwright.records.models import Garden, GardenFit, Member, Note, Withdrawal
from slipwright.records.selectors.own_rules import own_rules_of
from slipwright.records.services.own_rules import state_rule
from slipwright.rooting import fitting
from slipwright.web.views import today
from tests.records.making import stick

NEEDED = ("along", "rates", "weeks", "dose", "length", "cover", "warmth", "bloom", "month", "place", "season")
ROSE = "Rosa 'Pale Ferry'"


def page(client: Client, address: str = "/findings", **asked: str) -> str:
    """Return a page that is there."""
    answer = client.get(address, asked)
    assert answer.status_code == 200
    return answer.content.decode()


def card(told: str, name: str) -> str:
    """Return one card of the page."""
    return told.split(f'id="{name}"', 1)[1].split("</section>")[0]


@pytest.fixture
def learned(garden: Garden, grower: Member, now: datetime, monkeypatch: pytest.MonkeyPatch) -> Garden:
    """A garden with batches of upper and of lower parts, all looked at and learned from."""
    monkeypatch.setattr(fitting, "fit", partial(fitting.fit, integrate_up_to=0))
    who: dict[str, Any] = {"garden": garden, "by": grower, "now": now}
    one: dict[str, Any] = {"part": "upper", "cover": "tent", "length_mm": Decimal(70), "auxin": "none"}
    one |= {"medium_temp_c": Decimal(18), "days_from_bloom": 0}
    other: dict[str, Any] = {"part": "lower", "cover": "mist", "length_mm": Decimal(150), "auxin": "iba"}
    other |= {"auxin_form": "talc", "auxin_mg_per_kg": Decimal(3000), "medium_temp_c": Decimal(22)}
    other |= {"days_from_bloom": 60}
    for way, n_rooted, n_lost in ((one, 3, 9), (other, 9, 1), (one, 2, 12), (other, 8, 2)):
        code = stick(garden, grower, now, n_stuck=20, **way).batch
        services.record_look(**who, batch=code, on=date(2025, 10, 15), n_rooted=n_rooted, n_lost=n_lost)
    fresh = Garden.objects.get(pk=garden.pk)
    assert learn(fresh, load_handbook(), now=now)
    return Garden.objects.get(pk=garden.pk)


def test_before_any_count_it_says_so_and_offers_a_rule_of_ones_own(client: Client) -> None:
    told = page(client)
    assert "Nothing yet" in told
    assert "State a rule of your own" in told


def test_what_another_model_learned_is_not_shown(client: Client, learned: Garden) -> None:
    GardenFit.rows.update(version="0-old")
    told = page(client)
    assert "Being learned anew" in told
    assert 'id="rates"' not in told


def test_every_finding_has_its_sentence_its_drawing_its_table_and_what_it_rests_on(
    client: Client, learned: Garden
) -> None:
    told = page(client)
    assert "80 cuttings in 4 batches." in told
    for name in NEEDED:
        one = card(told, name)
        assert 'class="answer"' in one
        assert "<svg" in one
        assert "<table>" in one
        assert "What would settle it" in one
        assert "Rests on 80 cuttings in 4 batches of your own." in one
        assert "Ranges allow for batches differing, not only cuttings." in one


def test_waiting_is_counted_by_itself(client: Client, learned: Garden) -> None:
    one = card(page(client), "along")
    upper = next(row for row in re.findall(r"<tr>.*?</tr>", one) if ">Upper<" in row)
    assert re.findall(r'<td class="n">(\d+)</td>', upper)[:6] == ["2", "40", "5", "14", "21", "0"]


def test_nobody_is_named(client: Client, learned: Garden, grower: Member) -> None:
    grower.shown_as = "Wilhelmina"
    grower.save()
    assert "Wilhelmina" not in page(client).split("<main")[1]


def test_the_handbook_is_held_against_the_garden_with_numbers_and_chances(
    client: Client, learned: Garden
) -> None:
    one = card(page(client), "rules")
    assert "Rules of the handbook that hold here:" in one
    assert re.search(r"likely (over |under )?\d+ in 10", one)
    assert re.search(r"\d (times|weeks|in 100) \(", one)


def test_findings_that_a_quick_fit_carried_along_say_of_when_they_are(
    client: Client, learned: Garden
) -> None:
    assert "These findings are of" not in page(client)
    GardenFit.rows.of(learned).update(data_hash="of more looks")
    assert "These findings are of 20 Oct, 11:30: looks learned from since join them" in page(client)


def test_the_heading_of_a_finding_is_the_finding(client: Client, learned: Garden) -> None:
    told = page(client)
    for name in NEEDED:
        heading = re.search(r'<h2[^>]*class="answer">([^<]+)</h2>', card(told, name))
        assert heading is not None
        assert heading.group(1).endswith(".")


def test_the_page_is_read_as_it_was_kept(client: Client, learned: Garden) -> None:
    page(client)
    with CaptureQueriesContext(connection) as seen:
        page(client)
    said = [one["sql"] for one in seen.captured_queries]
    assert not any("records_look" in sql or "records_sticking" in sql for sql in said)
    assert len(said) <= 6


def test_of_a_genus_there_is_not_the_page_shows_all_plants(client: Client, learned: Garden) -> None:
    assert "Along the shoot: all plants" in page(client, of="<b>Quercus")


def test_pages_beyond_the_last_are_there(client: Client, learned: Garden) -> None:
    assert 'id="rules"' in page(client, page="99", rules="99")


# --- in Spanish ---------------------------------------------------------------------------------------

#: words that no Spanish sentence has
ENGLISH = re.compile(r"\b(the|of|and|than|with|is|are|root|batch|batches|cuttings|likely|must)\b", re.I)


def english_in(told: str) -> list[str]:
    """Return what is said in English between the head and the foot of a page."""
    main = re.sub(r"<(script|style)\b.*?</\1>", "", told.split("<main")[1].split("</main>")[0], flags=re.S)
    said = [*re.findall(r">([^<]+)<", main), *re.findall(r'(?:aria-label|title|alt)="([^"]+)"', main)]
    return [text for text in (unescape(one).strip() for one in said) if ENGLISH.search(text)]


def test_the_findings_in_spanish_hold_no_english(client: Client, learned: Garden) -> None:
    client.cookies["tongue"] = "es"
    told = page(client)
    assert "Hallazgos" in told
    assert english_in(told) == []


def test_findings_that_are_not_there_yet_are_told_in_spanish(client: Client) -> None:
    client.cookies["tongue"] = "es"
    assert english_in(page(client)) == []


@pytest.mark.parametrize("said", [{"rule": ""}, {"rule": "x" * 601}, {"plant": "Rosa (x)"}])
def test_the_form_of_a_rule_is_told_in_spanish_what_is_wrong_with_it_too(
    client: Client, said: dict[str, str]
) -> None:
    client.cookies["tongue"] = "es"
    assert english_in(page(client, "/findings/rule")) == []
    answer = stated(client, **{"plant": "", "rule": "Del medio", "evidence": "41 en 3 lotes"} | said)
    assert answer.status_code == 422
    assert english_in(answer.content.decode()) == []


# --- rules of the garden's own ------------------------------------------------------------------------


def stated(client: Client, **said: str) -> Any:
    """Send the form of a rule."""
    form = {
        "plant": "Rosa",
        "wood": "",
        "rule": "Take the second from the tip",
        "evidence": "41 in 3 batches",
    }
    return client.post("/findings/rule", form | {"entry_id": str(uuid.uuid4())} | said)


def test_a_finding_brings_its_words_along(client: Client) -> None:
    told = page(client, "/findings/rule", rule="Take the <middle>", evidence="48 batches", plant="Rosa")
    assert "Take the &lt;middle&gt;" in told
    assert 'value="Rosa"' in told


def test_a_rule_is_kept_told_on_the_page_and_can_be_undone(
    client: Client, garden: Garden, grower: Member
) -> None:
    answer = stated(client)
    assert answer.status_code == 302
    told = page(client)
    assert "Take the second from the tip" in told
    assert "41 in 3 batches" in told
    assert "Your own rule is kept." in told
    (rule,) = own_rules_of(garden)
    assert (rule.plant, rule.wood, rule.by) == ("Rosa", "", grower.member)


def test_pressed_twice_it_is_kept_once(client: Client, garden: Garden) -> None:
    same = str(uuid.uuid4())
    assert stated(client, entry_id=same).status_code == 302
    assert stated(client, entry_id=same).status_code == 302
    assert stated(client, entry_id=same, rule="Take another").status_code == 422
    assert len(own_rules_of(garden)) == 1


@pytest.mark.parametrize(
    ("said", "column"),
    [
        ({"rule": ""}, "The rule"),
        ({"rule": "x" * 601}, "The rule"),
        ({"plant": "Rosa (old)"}, "Of which plants"),
        ({"plant": "of no plant"}, "Of which plants"),
    ],
)
def test_what_is_wrong_is_said_and_what_was_typed_stays(
    client: Client, garden: Garden, said: dict[str, str], column: str
) -> None:
    answer = stated(client, **said)
    assert answer.status_code == 422
    told = answer.content.decode()
    assert "Not saved yet" in told
    assert f"{column}:" in told
    assert "41 in 3 batches" in told
    assert not own_rules_of(garden)


@pytest.mark.parametrize(
    ("typed", "kept"), [("rosa", "Rosa"), (ROSE.lower(), ROSE), ("  Rosa  'pale Ferry' ", ROSE), ("", "")]
)
def test_a_rule_is_kept_for_a_plant_as_it_is_spelt_here(
    client: Client, garden: Garden, typed: str, kept: str
) -> None:
    assert stated(client, plant=typed).status_code == 302
    (rule,) = own_rules_of(garden)
    assert rule.plant == kept
    assert rules_for([rule], ROSE)


@pytest.mark.parametrize(("typed", "near"), [("Lavender", "Lavandula"), ("Rossa", "Rosa")])
def test_a_name_under_which_a_rule_would_be_told_nowhere_is_answered_with_those_near_it(
    client: Client, garden: Garden, typed: str, near: str
) -> None:
    answer = stated(client, plant=typed)
    assert answer.status_code == 422
    assert re.search(rf"near it are [^<]*\b{near}\b", answer.content.decode())
    assert not own_rules_of(garden)


def test_it_is_told_at_the_stock_plant_and_in_a_straight_answer_for_its_plants_only(
    client: Client, garden: Garden
) -> None:
    stated(client)
    stated(client, plant="Lavandula", rule="Never in July")
    told = page(client, "/plants/rose-gate")
    assert "Take the second from the tip" in told
    assert "Never in July" not in told
    fresh = Garden.objects.get(pk=garden.pk)
    answer = advice_in(fresh, load_handbook(), ROSE, on=date(2025, 10, 20), latitude_deg=41.0)
    assert "Your own rule: Take the second from the tip. 41 in 3 batches." in answer.notes
    assert not any("Never in July" in note for note in answer.notes)


@pytest.mark.parametrize(("act", "is_told"), [("cut", True), ("look", False)])
def test_on_today_it_is_told_beside_what_is_cut(
    client: Client, garden: Garden, act: Any, is_told: bool
) -> None:
    stated(client, evidence="Rests on 41 cuttings in 3 batches. More is in the book.")
    card = Card((ToldAct(act, "wood is right"),), taxon=ROSE, plant="rose-gate")
    shown = today._card(card, today._words(), own_rules(Garden.objects.get(pk=garden.pk)))
    told = render_to_string("web/_today_card.html", {"item": shown})
    assert ("Take the second from the tip" in told) == is_told
    assert ("41 cuttings in 3 batches." in told) == is_told
    assert "More is in the book" not in told


def test_a_rule_holds_for_its_plant_its_genus_or_all_and_for_its_wood(
    garden: Garden, grower: Member, now: datetime
) -> None:
    who: dict[str, Any] = {"garden": garden, "by": grower, "now": now, "evidence": ""}
    for plant, wood, rule in (
        (ROSE, "", "of the plant"),
        ("Rosa", "hardwood", "of its hard wood"),
        ("", "", "of all"),
        ("Rosa 'Other'", "", "of another"),
    ):
        state_rule(**who, plant=plant, wood=wood, rule=rule)
    rules = own_rules(Garden.objects.get(pk=garden.pk))
    assert {one.rule for one in rules_for(rules, ROSE)} == {"of the plant", "of its hard wood", "of all"}
    assert {one.rule for one in rules_for(rules, ROSE, "softwood")} == {"of the plant", "of all"}
    hard = next(one for one in rules if one.wood)
    assert in_words(hard) == "Your own rule for hardwood: Of its hard wood."


def test_a_plain_note_about_the_garden_is_no_rule(garden: Garden, grower: Member, now: datetime) -> None:
    who: dict[str, Any] = {"garden": garden, "by": grower, "now": now, "about": str(garden.garden), "at": now}
    services.record_note(**who, text="The gate sticks")
    services.record_note(**who, text="Own rule (unfinished")
    assert not own_rules_of(garden)


def test_taken_back_it_is_told_no_more_and_stays_in_the_records(
    client: Client, garden: Garden, volunteer: Member, as_member: Callable[[Member], Client]
) -> None:
    stated(client)
    (rule,) = own_rules_of(garden)
    sent = {"rule": rule.entry_id}
    assert as_member(volunteer).post("/findings/rule/take-back", sent).status_code == 403
    assert client.post("/findings/rule/take-back", {"rule": "none-such"}).status_code == 404
    for _ in range(2):
        assert client.post("/findings/rule/take-back", sent).status_code == 302
    assert not own_rules_of(garden)
    assert Note.rows.of(garden).filter(entry_id=rule.entry_id).exists()
    assert "Take the second" not in page(client).split('id="own"')[1]
    assert Withdrawal.rows.of(garden).get().reason == "The rule no longer holds."


def test_the_reason_it_is_taken_back_for_is_in_the_tongue_of_the_page(
    client: Client, garden: Garden, monkeypatch: pytest.MonkeyPatch
) -> None:
    stated(client)
    (rule,) = own_rules_of(garden)
    monkeypatch.setattr("slipwright.web.views.findings._", lambda text: f"en otra lengua: {text}")
    client.post("/findings/rule/take-back", {"rule": rule.entry_id})
    assert Withdrawal.rows.of(garden).get().reason == "en otra lengua: The rule no longer holds."


def test_who_may_not_edit_is_offered_no_rule(
    garden: Garden, learned: Garden, volunteer: Member, as_member: Callable[[Member], Client]
) -> None:
    told = page(as_member(volunteer))
    assert "State a rule of your own" not in told
    assert "State it as your own rule" not in told
