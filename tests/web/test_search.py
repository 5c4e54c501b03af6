"""Finding by code and by name."""

from __future__ import annotations

from datetime import date, datetime
from urllib.parse import urlencode

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from slipwright.handbook import load_handbook
from slipwright.records import codes, services
from slipwright.records.models import Garden, Member, Taxon
from slipwright.records.selectors.search import plain
from slipwright.records.selectors.search import search as found_for
from tests.records.making import stick


def find(client: Client, words: str) -> str:
    answer = client.get(f"/search?{urlencode({'q': words})}")
    assert answer.status_code == 200
    return answer.content.decode()


@pytest.mark.usefixtures("garden")
def test_without_words_it_shows_the_field(client: Client) -> None:
    shown = client.get("/search").content.decode()
    assert 'name="q"' in shown
    assert "Nothing answers" not in shown
    assert "Nothing answers" in find(client, "zzz")


def test_a_code_leads_to_its_batch(client: Client, garden: Garden, grower: Member, now: datetime) -> None:
    batch = stick(garden, grower, now).batch
    for typed in (batch, batch.lower(), codes.shown(batch), batch[:4], batch[:4].lower(), f" {batch[:6]} "):
        answer = client.get(f"/search?{urlencode({'q': typed})}")
        assert (answer.status_code, answer.headers.get("Location")) == (302, f"/batches/{batch}"), typed


def test_a_code_of_an_ended_batch_is_found_too(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    batch = stick(garden, grower, now).batch
    services.record_look(garden=garden, by=grower, now=now, batch=batch, on=date(2025, 10, 20), n_lost=20)
    assert client.get(f"/search?q={batch[:4]}").status_code == 302


def test_two_that_begin_alike_are_both_shown(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    one, two = "K7Q2M9TH", "K7Q2M9VM"
    for batch in (one, two):
        stick(garden, grower, now, batch=batch)
    shown = find(client, "k7q2")
    assert "K7Q2" in shown
    assert shown.count('class="batch-row"') == 2


@pytest.mark.parametrize("typed", ["pale ferry", "PALE", "‘Pale Ferry’", "rosa 'pale", "ferry rosa"])
def test_plants_answer_to_any_part_of_their_name(
    client: Client, garden: Garden, grower: Member, now: datetime, typed: str
) -> None:
    stick(garden, grower, now)
    shown = find(client, typed)
    assert 'id="f-taxa"' in shown
    assert 'href="/plants/rose-gate"' in shown
    assert 'class="batch-row"' in shown
    assert 'id="f-wants"' in shown
    assert "Salvia" not in shown


def test_accents_and_common_names(garden: Garden) -> None:
    Taxon.rows.create(garden=garden, taxon="Syringa 'Été'", common_name="Flieder Größe", sold_as="Ciel™")
    assert plain("‘ÉTÉ’") == "'ete'"
    for typed in ("ete", "ÉTÉ", "flieder grosse", "ciel"):
        assert [one.taxon for one in found_for(garden, typed).taxa] == ["Syringa 'Été'"], typed


def test_plants_answer_to_the_handbooks_common_names_in_any_tongue(client: Client, garden: Garden) -> None:
    taxon = "Punica granatum 'Lantern'"
    Taxon.rows.create(garden=garden, taxon=taxon)
    for typed in ("pomegranate", "granado"):
        assert [one.taxon for one in found_for(garden, typed, load_handbook()).taxa] == [taxon], typed
    assert '<span class="second">pomegranate</span>' in find(client, "granado")
    client.cookies["tongue"] = "es"
    assert '<span class="second">granado</span>' in find(client, "granado")


def test_places_ways_and_wants(client: Client, garden: Garden) -> None:
    assert garden.pk
    assert "/batches?place=frame-1" in find(client, "frame")
    assert "rose-autumn" in find(client, "autumn")
    assert "40 × " in find(client, "roses-27")


def test_what_was_typed_is_shown_as_text(client: Client, garden: Garden) -> None:
    assert garden.pk
    assert "<script>alert" not in find(client, "<script>alert(1)</script>")


def test_it_asks_the_database_twelve_times_at_most(
    client: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    for _ in range(2):
        stick(garden, grower, now)
    with CaptureQueriesContext(connection) as asked:
        find(client, "rosa")
    assert len(asked) <= 12
