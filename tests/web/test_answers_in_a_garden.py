"""One pot and wants, asked in a garden: they rest on what it learned, and say so."""

from __future__ import annotations

import re
from datetime import date, datetime
from functools import partial
from html import unescape
from typing import Any

import pytest
from django.test import Client

from slipwright.handbook import load_handbook
from slipwright.records import services
from slipwright.records.answers.refit import learn
from slipwright.records.models import Garden, Member, Taxon
from slipwright.rooting import fitting
from tests.records.making import stick

ROSE = {"plant": "Rosa 'Pale Ferry'", "on": "2025-10-20", "at": "41, -72", "want": "5", "have": "tent"}
OWN = "your 1 batch of Rosa 'Pale Ferry' and the handbook"


def words(client: Client, address: str, **asked: str) -> str:
    answer = client.get(address, asked)
    assert answer.status_code == 200
    return unescape(" ".join(re.sub(r"<[^>]+>", " ", answer.content.decode()).split()))


@pytest.fixture
def looked(garden: Garden, grower: Member, now: datetime) -> Garden:
    """A batch of the rose, most of it lost, that was looked at and not learned from yet."""
    code = stick(garden, grower, now, n_stuck=30).batch
    who: dict[str, Any] = {"garden": garden, "by": grower, "now": now}
    services.record_look(**who, batch=code, on=date(2025, 10, 15), n_rooted=2, n_lost=25)
    return garden


@pytest.fixture
def learned(looked: Garden, now: datetime, monkeypatch: pytest.MonkeyPatch) -> Garden:
    """The same, learned from."""
    monkeypatch.setattr(fitting, "fit", partial(fitting.fit, integrate_up_to=0))
    assert learn(Garden.objects.get(pk=looked.pk), load_handbook(), now=now)
    return looked


def test_one_pot_asked_in_a_garden_rests_on_its_batches(
    client: Client, stranger: Client, learned: Garden
) -> None:
    alone, here = words(stranger, "/one-pot", **ROSE), words(client, "/one-pot", **ROSE)
    assert "no records of yours" in alone
    assert OWN not in alone
    assert f"Rests on {OWN}" in here
    assert "what the handbook holds likely" in here
    assert "no records of yours" not in here
    stuck = [int(found) for said in (alone, here) for found in re.findall(r"Stick (\d+) in", said)[:1]]
    assert stuck[1] > stuck[0], "most of what was stuck here was lost"


def test_one_pot_says_where_nothing_was_learned_yet(client: Client, looked: Garden) -> None:
    said = words(client, "/one-pot", **ROSE)
    assert "the handbook alone" in said
    assert "Nothing is learned from this garden's looks yet." in said


def test_a_name_only_the_garden_has_is_known_there(client: Client, stranger: Client, learned: Garden) -> None:
    Taxon.rows.of(learned).filter(taxon=ROSE["plant"]).update(common_name="the gate one")
    assert OWN in words(client, "/one-pot", **{**ROSE, "plant": "The gate one"})
    assert "has no plant called" in words(stranger, "/one-pot", **{**ROSE, "plant": "the gate one"})


def test_a_right_the_garden_wrote_down_holds_unless_another_is_said(client: Client, learned: Garden) -> None:
    Taxon.rows.of(learned).filter(taxon=ROSE["plant"]).update(rights="protected")
    assert "Not allowed" in words(client, "/one-pot", **ROSE)
    assert "Not allowed" not in words(client, "/one-pot", **ROSE, rights="none")


def test_the_printed_answer_counts_as_the_page_does(client: Client, learned: Garden) -> None:
    answer = client.get("/one-pot.pdf", ROSE)
    assert answer["Content-Type"] == "application/pdf"


def test_a_want_names_the_ground_of_its_number(client: Client, learned: Garden) -> None:
    said = words(client, "/wants")
    assert f"Rests on {OWN}" in said
    assert "That chance holds if the middle of the forecast comes true" in said


def test_a_want_where_nothing_was_learned_rests_on_the_handbook_alone(client: Client, garden: Garden) -> None:
    assert "Rests on the handbook alone" in words(client, "/wants")
