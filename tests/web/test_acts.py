"""Who did what: entries, edits and the door's book, day by day."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from slipwright.records import services
from slipwright.records.models import Garden, Member, Sending
from slipwright.records.services.door_book import keep_door_event
from tests.records.conftest import small_garden
from tests.records.making import every_kind_of_entry, stick


@pytest.fixture
def owned(owner: Member, as_member: Callable[[Member], Client]) -> Client:
    return as_member(owner)


def text(answer: Any) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", "", answer.content.decode()))


def test_entries_edits_and_the_door_stand_together(
    owned: Client, garden: Garden, grower: Member, owner: Member, now: datetime
) -> None:
    every_kind_of_entry(garden, grower, now)
    services.set_role(garden=garden, by=owner, now=now, member=grower, role="volunteer")
    keep_door_event(what="tables-out", now=now, member=owner)
    page = text(owned.get("/who-did-what"))
    for said in (
        "grower: stuck",
        "grower: looked at",
        "grower: took back",
        "grower: photo",
        "owner: changed in Members: grower",
        "grower → volunteer",
        "owner: took all tables out",
        "Monday 20 October 2025",
    ):
        assert said in page, said
    assert "11:30" in page  # the garden's clock


def test_another_gardens_deeds_are_not_told(owned: Client, now: datetime) -> None:
    other = small_garden("Another Garden")
    stick(other, Member.objects.get(garden=other, member="grower"), now)
    keep_door_event(what="backup", now=now, garden=other)
    assert "Nothing is written down here" in text(owned.get("/who-did-what"))


def test_what_one_member_did(
    owned: Client, garden: Garden, grower: Member, owner: Member, now: datetime
) -> None:
    every_kind_of_entry(garden, grower, now)
    keep_door_event(what="tables-out", now=now, member=owner)
    theirs, ours = (text(owned.get(f"/who-did-what?of={name}")) for name in ("grower", "owner"))
    assert "grower: stuck" in theirs
    assert "took all tables out" not in theirs
    assert "took all tables out" in ours
    assert ": stuck" not in ours


def test_a_phone_whose_clock_was_off_is_told(
    owned: Client, garden: Garden, volunteer: Member, now: datetime
) -> None:
    for skew in (299, -7500, 300_000):
        Sending.rows.create(
            garden=garden, by=volunteer, sent_at=now, received_at=now, skew_s=skew, n_received=1, n_aside=0
        )
    page = text(owned.get("/who-did-what"))
    assert page.count("clock differs") == 2
    assert "2 h 5 min" in page
    assert "3 d" in page


def test_pages_hold_everything_once(owned: Client, garden: Garden, grower: Member, now: datetime) -> None:
    for n in range(60):
        stick(garden, grower, now, n_stuck=n + 1)
        keep_door_event(what="signed-in", now=now + timedelta(seconds=n), member=grower)
    seen, address = "", "/who-did-what"
    for _ in range(3):
        page = owned.get(address).content.decode()
        seen += page
        older = re.search(r'href="(\?before=[^"]+)"', page)
        address = f"/who-did-what{older[1]}" if older else ""
    assert address == ""
    assert sum(int(n or 1) for n in re.findall(r"</strong>: signed in *(?:× (\d+))?", seen)) == 60
    assert len(set(re.findall(r'href="/batches/(\w{8})"', seen))) == 60


@pytest.mark.parametrize("before", ["x", "1.2.3", "-1.2.3.4", "9" * 30 + ".1.1.1"])
def test_a_made_up_place_to_begin_is_the_beginning(before: str, owned: Client) -> None:
    assert owned.get(f"/who-did-what?before={before}").status_code == 200


def test_the_page_asks_the_database_twelve_times_at_most(
    owned: Client, garden: Garden, grower: Member, now: datetime
) -> None:
    every_kind_of_entry(garden, grower, now)
    for query in ("", "?of=grower"):
        with CaptureQueriesContext(connection) as asked:
            owned.get(f"/who-did-what{query}")
        assert len(asked) <= 12
