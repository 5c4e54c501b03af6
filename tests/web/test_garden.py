"""The garden's own page, what can be taken away from it, and how pages look on a device."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable

import pytest
from django.test import Client

from slipwright.records.columns import TABLES
from slipwright.records.models import DoorEvent, Garden, Member


def test_the_page_leads_to_everything_the_garden_has(client: Client) -> None:
    page = client.get("/garden").content.decode()
    for address in (
        "/wants",
        "/rows/places",
        "/rows/methods",
        "/rows/containers",
        "/rows/media",
        "/rows/taxa",
        "/people",
        "/labels",
        "/growing-on",
        "/one-pot",
        "/search",
        "/garden/calendar.ics",
    ):
        assert f'href="{address}"' in page, address
    assert page.count("slipwright backup") == 1
    assert "Signed in as <strong>grower</strong>, grower." in page
    assert page.count("<h1") == 1


def test_the_owner_can_take_every_table_away_in_one_file_and_the_book_says_so(
    owner: Member, as_member: Callable[[Member], Client]
) -> None:
    owned = as_member(owner)
    assert 'action="/garden/tables.zip"' in owned.get("/garden").content.decode()
    answer = owned.post("/garden/tables.zip")
    assert answer["Content-Type"] == "application/zip"
    assert 'filename="saltmarsh-lane-community-garden-2025-10-20.zip"' in answer["Content-Disposition"]
    with zipfile.ZipFile(io.BytesIO(answer.getvalue())) as tables:
        assert tables.namelist() == [f"{table.name}.csv" for table in TABLES]
        assert b"rose-gate" in tables.read("plants.csv")
    answer.close()
    assert DoorEvent.objects.get().what == "tables-out"


def test_nobody_else_is_offered_the_tables(client: Client) -> None:
    assert "/garden/tables.zip" not in client.get("/garden").content.decode()


def test_the_calendar_can_be_taken_away(client: Client) -> None:
    answer = client.get("/garden/calendar.ics")
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    assert answer["Content-Disposition"] == 'attachment; filename="saltmarsh-lane-community-garden.ics"'
    assert answer.content.startswith(b"BEGIN:VCALENDAR")
    assert b"Saltmarsh Lane" in answer.content


@pytest.mark.parametrize("address", ["/garden", "/garden/calendar.ics"])
def test_strangers_get_none_of_it(address: str, garden: Garden) -> None:
    assert Client(HTTP_HOST="127.0.0.1").get(address).status_code == 302


def test_a_device_may_keep_to_dark_and_go_back(client: Client) -> None:
    assert 'data-look="dark"' not in client.get("/garden").content.decode()
    assert client.post("/garden/look-of-page", {"look": "dark"})["Location"] == "/garden"
    assert 'data-look="dark"' in client.get("/garden").content.decode()
    client.post("/garden/look-of-page", {"look": ""})
    assert "data-look" not in client.get("/garden").content.decode()


def test_a_device_may_choose_its_language(client: Client) -> None:
    client.post("/garden/look-of-page", {"tongue": "es"})
    assert '<html lang="es"' in client.get("/garden").content.decode()
    client.post("/garden/look-of-page", {"tongue": "xx"})
    assert '<html lang="en"' in client.get("/garden").content.decode()


def test_a_stranger_may_choose_too_and_is_led_back_to_these_pages_only(garden: Garden) -> None:
    stranger = Client(HTTP_HOST="127.0.0.1")
    answer = stranger.post("/garden/look-of-page", {"tongue": "es", "next": "/sign-in"})
    assert answer["Location"] == "/sign-in"
    answer = stranger.post("/garden/look-of-page", {"tongue": "es", "next": "//elsewhere.example"})
    assert answer["Location"] == "/garden"
    assert stranger.get("/garden/look-of-page").status_code == 405
